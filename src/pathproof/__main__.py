"""`python -m pathproof` is the command `pathproof`."""

from pathproof.cli import main

main()
