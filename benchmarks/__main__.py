"""Run every benchmark, or those named on the command line, each in a process of its own."""

import subprocess
import sys
from pathlib import Path


def main(names: list[str]) -> int:
    """Exit code: 0 all ran, 1 one failed, 2 a name that is none."""
    found = {path.stem: path for path in sorted(Path(__file__).parent.glob("bench_*.py"))}
    if not found:
        print("There is no benchmark yet: a file benchmarks/bench_<what>.py adds one.")
        return 0
    unknown = [name for name in names if name not in found]
    if unknown:
        print(f"No benchmark is called {', '.join(unknown)}; there are {', '.join(found)}.")
        return 2
    failed = False
    for name in names or found:
        print(f"== {name}", flush=True)
        failed |= subprocess.run([sys.executable, found[name]], check=False).returncode != 0
    return int(failed)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
