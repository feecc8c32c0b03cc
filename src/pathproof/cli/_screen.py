"""What people read: wrapped to the width there is, in plain ASCII where it has to be."""

import json
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, nullcontext
from typing import Final

import typer
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn
from rich.text import Text

from pathproof.cli._messages import printable

WIDEST: Final = 100
"""Longer lines are hard to read, whatever the terminal's width. [columns]"""

Piece = str | tuple[str, str]
"""A text, or a text with its style."""

_PLAIN: Final = str.maketrans(
    {
        "−": "-",
        "–": "-",
        "—": "-",
        "·": "|",
        "×": "x",
        "°": " deg",
        "±": "+/-",
        "≥": ">=",
        "≤": "<=",
        "→": "->",
        "‘": "'",
        "’": "'",
        "“": '"',
        "”": '"',
        "²": "2",
        "µ": "u",
        "σ": "sigma",
        "θ": "theta",
    }
)


def print_json(data: object) -> None:
    """JSON on standard output and nothing else; escaped, so that any terminal can show it."""
    typer.echo(json.dumps(data, indent=2, allow_nan=False))


class Screen:
    """Standard output as a person reads it.

    Colour is never the only carrier and is left out where the output is no terminal or NO_COLOR
    is set.
    """

    def __init__(self, *, ascii_only: bool = False) -> None:
        self._console = Console(highlight=False, markup=False, emoji=False, soft_wrap=True)
        self.ascii = ascii_only or not self._console.encoding.startswith("utf")
        self.width = max(20, min(self._console.width, WIDEST))

    def line(self, *pieces: Piece) -> None:
        """One line as it is, with styles."""
        self._console.print(self._text(*pieces))

    def paragraph(self, *pieces: Piece, first: Piece = "") -> None:
        """Wrapped text behind `first`; the lines below are indented as far."""
        head = self._text(first)
        indent = head.cell_len
        lines = self._text(*pieces).wrap(self._console, max(10, self.width - indent))
        for number, text in enumerate(lines):
            text.rstrip()
            self._console.print((head if number == 0 else Text(" " * indent)) + text)

    def ends(self, left: str, right: str, *, bold: bool = False) -> None:
        """One text to the left and one to the right, on two lines where one is too short."""
        style = "bold" if bold else ""
        head, tail = self._text((left, style)), self._text((right, style))
        room = self.width - head.cell_len - tail.cell_len
        if room < 2:
            self.paragraph((left.strip(), style), first=" " * (len(left) - len(left.lstrip())))
            head, room = Text(), self.width - tail.cell_len
        self._console.print(head + Text(" " * room) + tail)

    def heading(self, text: str) -> None:
        """A heading with a hairline under it, after an empty line."""
        self.line()
        self.paragraph((text, "bold"))
        self.line(("-" if self.ascii else "─") * min(self.width, len(text)))

    def steps(self, heading: str, texts: Iterable[str]) -> None:
        """Texts in their order, with numbers, under a heading."""
        self.heading(heading)
        for number, text in enumerate(texts, start=1):
            self.paragraph(text, first=f"{number}. ")

    def points(self, heading: str, texts: Iterable[str]) -> None:
        """Texts in any order under a heading."""
        self.heading(heading)
        for text in texts:
            self.paragraph(text, first="- ")

    def plain(self, text: str) -> str:
        """The text without control characters, in ASCII where that is asked for."""
        text = printable(text)
        if not self.ascii:
            return text
        return text.translate(_PLAIN).encode("ascii", "replace").decode()

    def _text(self, *pieces: Piece) -> Text:
        pairs = [(p, "") if isinstance(p, str) else p for p in pieces]
        return Text.assemble(*((self.plain(text), style) for text, style in pairs))


@contextmanager
def busy(what: str) -> Iterator[None]:
    """Says on a terminal what one is waiting for."""
    console = Console(stderr=True)
    with console.status(what, spinner="line") if console.is_terminal else nullcontext():
        yield


@contextmanager
def progress_bar() -> Iterator[Callable[[int, int, str], None]]:
    """A bar on a terminal's standard error; yields a function of done, total and what."""
    console = Console(stderr=True)
    columns = (BarColumn(bar_width=20), TextColumn("{task.description}"))
    quiet = not console.is_terminal
    with Progress(*columns, console=console, transient=True, disable=quiet) as bar:
        task = bar.add_task("", total=None)
        yield lambda done, total, what: bar.update(
            task, completed=done, total=total, description=what
        )
