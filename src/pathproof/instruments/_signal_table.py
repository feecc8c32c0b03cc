"""Text of a list as a table: pasted from a screen or a spreadsheet, or out of a CSV file."""

import csv
import re
from collections import Counter
from dataclasses import dataclass
from typing import Final

from pathproof.instruments._log import MAX_LOG
from pathproof.instruments._signal_words import TIME_SHOWN, role_of
from pathproof.protocol.modem import shown
from pathproof.terms import InvalidInputError

MAX_ROWS: Final = 5000
"""Most lines of a table."""
MAX_COLUMNS: Final = 60
"""Most columns of a table."""
_DELIMITERS: Final = {"\t": "tab", ";": "semicolon", ",": "comma"}


@dataclass(frozen=True, kw_only=True)
class TableRow:
    """One line of a table."""

    line: int
    """Where it begins in the text; the first line is 1."""
    cells: tuple[str, ...]
    """Its cells, without white space around them."""
    raw: str
    """To the letter."""

    def cell(self, column: int | None) -> str:
        """The cell in a column, the first being 1; empty where there is none."""
        return self.cells[column - 1] if column is not None and column <= len(self.cells) else ""


@dataclass(frozen=True, kw_only=True)
class SignalTable:
    """A list as a table."""

    delimiter: str
    """What stands between cells: tab, semicolon or comma."""
    has_header: bool
    """Whether the first line looks like a heading; a person may know better."""
    rows: tuple[TableRow, ...]
    """Every line that holds something, the heading included."""

    @property
    def heading(self) -> TableRow | None:
        """The heading, where there is one."""
        return self.rows[0] if self.has_header else None

    @property
    def body(self) -> tuple[TableRow, ...]:
        """The lines without the heading."""
        return self.rows[1:] if self.has_header else self.rows

    @property
    def width(self) -> int:
        """Cells of the longest line."""
        return max(len(row.cells) for row in self.rows)


def table_of(text: str) -> SignalTable:
    """The table in a text: its delimiter, its lines, and whether the first is a heading.

    Parameters
    ----------
    text : str
        Lines with tabs, semicolons or commas between the cells, in quotation marks or not. At most
        `MAX_LOG` characters, `MAX_ROWS` lines and `MAX_COLUMNS` columns.

    Raises
    ------
    InvalidInputError
        Nothing in it, too much of it, no columns, or a quotation mark that is never closed.
    """
    if len(text) > MAX_LOG:
        raise InvalidInputError(
            f"The list has {len(text)} characters; {MAX_LOG} are read at most. Split it."
        )
    text = text.removeprefix("\ufeff")
    if not text.strip():
        raise InvalidInputError(
            "Nothing was given; paste the list with its columns, or give a CSV file."
        )
    lines = re.split(r"\r*\n|\r", text)
    if len(lines) > MAX_ROWS + 1:
        raise InvalidInputError(
            f"The list has {len(lines)} lines; {MAX_ROWS} are read at once. Split it."
        )
    found = {delimiter: _rows(lines, delimiter) for delimiter in _DELIMITERS}
    delimiter = max(_DELIMITERS, key=lambda d: _evenness(found[d]))
    rows = found[delimiter]
    if _evenness(rows) == (0, 0):
        raise InvalidInputError(_no_columns(lines))
    if max(len(row.cells) for row in rows) > MAX_COLUMNS:
        raise InvalidInputError(
            f"The list has a line of more than {MAX_COLUMNS} columns. Copy only those that hold "
            "time, code, zone, partition, account and reference."
        )
    return SignalTable(delimiter=_DELIMITERS[delimiter], has_header=_is_heading(rows[0]), rows=rows)


def _rows(lines: list[str], delimiter: str) -> tuple[TableRow, ...]:
    """The rows by one delimiter; none where the text cannot be read by it."""
    reader = csv.reader((f"{line}\n" for line in lines), delimiter=delimiter, strict=True)
    rows, done = [], 0
    try:
        for cells in reader:
            plain = tuple(" ".join(cell.split()) for cell in cells)
            if any(plain):
                raw = "\n".join(lines[done : reader.line_num])
                rows.append(TableRow(line=done + 1, cells=plain, raw=raw))
            done = reader.line_num
    except csv.Error:
        return ()
    return tuple(rows)


def _evenness(rows: tuple[TableRow, ...]) -> tuple[int, int]:
    """How many rows have the commonest number of cells, and that number; 0, 0 without columns."""
    widths = Counter(len(row.cells) for row in rows if len(row.cells) > 1)
    return max(((n, width) for width, n in widths.items()), default=(0, 0))


def _no_columns(lines: list[str]) -> str:
    first = next(line for line in lines if line.strip())
    quoted = any('"' in line for line in lines)
    return (
        f"The list has no columns: its first line is {shown(first)}. Allowed are tab, semicolon or "
        "comma between the cells of a line. Paste it from a table, or save it as CSV"
        + ("; close every quotation mark." if quoted else ".")
    )


def _is_heading(row: TableRow) -> bool:
    if any(TIME_SHOWN.search(cell) for cell in row.cells):
        return False
    named = sum(role_of(cell) is not None for cell in row.cells)
    return named > 1 or not any(c.isdigit() for cell in row.cells for c in cell)
