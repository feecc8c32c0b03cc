"""What loading the radio calculations costs."""

import subprocess
import sys


def modules_loaded_by(module: str) -> set[str]:
    code = f"import sys, {module}; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


def test_only_the_crossing_kernels_load_the_compiler() -> None:
    assert not modules_loaded_by("pathproof.calc.radio") & {"numba", "scipy", "pydantic"}
    assert "numba" in modules_loaded_by("pathproof.calc.radio.crossings")
