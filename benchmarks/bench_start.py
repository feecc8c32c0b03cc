"""How long a person waits for `pathproof --help`: at most 0.3 s, and how much of it is Python."""

import subprocess
import sys
import time
from collections.abc import Sequence

TARGET_S = 0.3
RUNS = 7
MAIN = "import sys; sys.argv = ['pathproof', '--help']; from pathproof.cli import main; main()"


def best_s(command: Sequence[str]) -> float:
    """Shortest of some runs in processes of their own; the first one warms the disk. [s]"""
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        times.append(time.perf_counter() - start)
    return min(times[1:])


def main() -> None:
    """Print both times and their ratio."""
    bare = best_s([sys.executable, "-c", "pass"])
    asked = best_s([sys.executable, "-c", MAIN])
    print(f"python -c pass    {bare:6.3f} s")
    print(f"pathproof --help  {asked:6.3f} s  {asked / bare:.1f} times, target {TARGET_S} s")


if __name__ == "__main__":
    main()
