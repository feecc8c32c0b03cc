"""`python -m pathproof` is the command line."""

import subprocess
import sys

from pathproof import __version__


def test_module_runs_the_command_line() -> None:
    command = [sys.executable, "-m", "pathproof", "--version"]
    answer = subprocess.run(command, check=True, capture_output=True, text=True)
    assert __version__ in answer.stdout
