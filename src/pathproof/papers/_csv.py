"""Tables as CSV text by RFC 4180 that no spreadsheet takes for formulas."""

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Final

Cell = str | int | float | None

_FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""Some spreadsheets also take the wide forms that eastern keyboards have (common practice)."""


def csv_text(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """The table with its header line, lines ended by CR LF.

    A text that a spreadsheet would take for a formula gets an apostrophe in front.
    """
    out = io.StringIO()
    writer = csv.writer(out)  # its defaults are those of RFC 4180
    writer.writerow(header)
    writer.writerows([_safe(cell) for cell in row] for row in rows)
    return out.getvalue()


def _safe(cell: Cell) -> Cell:
    if isinstance(cell, str) and cell.lstrip(" ").startswith(_FORMULA_STARTS):
        return f"'{cell}"
    return cell
