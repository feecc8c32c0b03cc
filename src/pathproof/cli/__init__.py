"""The command line: arguments, one call down, show.

Each command lives in a module of its own that is loaded when the command is named, so that
`--help` never waits for kernels, models or plan readers.
"""

from pathproof.cli._app import app, main

__all__ = ["app", "main"]
