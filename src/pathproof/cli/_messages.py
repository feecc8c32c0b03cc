"""Sentences on standard error, and text made safe for a terminal."""

import shutil
import sys
import textwrap
import unicodedata

import typer


def complain(message: str) -> None:
    """Print a message on standard error, in lines that fit where that is a terminal."""
    text = printable(message)
    if sys.stderr is not None and sys.stderr.isatty():
        width = max(20, shutil.get_terminal_size().columns)
        wrapped = (textwrap.wrap(x, width, subsequent_indent="  ") for x in text.splitlines())
        text = "\n".join(line for lines in wrapped for line in lines)
    typer.echo(text, err=True)


def printable(text: str) -> str:
    """The text without control and direction-changing characters, so that it cannot pose as other
    text or give orders to a terminal; line ends stay."""
    kept = (c for c in text if c == "\n" or unicodedata.category(c) not in ("Cc", "Cf"))
    return "".join(kept)
