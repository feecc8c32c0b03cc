"""CSV by RFC 4180 in which nothing is a formula."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pathproof.papers._csv import csv_text


def read(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline="")))


# RFC 4180 (2005), section 2: lines end with CRLF; fields with commas, double quotes or line breaks
# are enclosed in double quotes, and a double quote inside is doubled (from memory).
def test_lines_and_quotes() -> None:
    text = csv_text(["a", "b"], [['say "yes"', "one, two"], [3, None]])
    assert text == 'a,b\r\n"say ""yes""","one, two"\r\n3,\r\n'


@pytest.mark.parametrize(
    "typed",
    ["=1+1", "+43 1", "-2", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "  =1", "＝1", "＋1", "－1", "＠1"],
)
def test_a_text_that_starts_a_formula_is_held_back(typed: str) -> None:
    assert read(csv_text(["a"], [[typed]]))[1] == [f"'{typed}"]


@pytest.mark.parametrize("typed", ["Door = closed", "1-2", "", "Tür", "0010"])
def test_other_texts_stay_as_they_are(typed: str) -> None:
    assert read(csv_text(["a", "b"], [[typed, "x"]]))[1] == [typed, "x"]


@given(st.lists(st.text(st.characters(exclude_categories=["Cs"])), min_size=2, max_size=4))
def test_any_texts_come_back_and_none_starts_a_formula(cells: list[str]) -> None:
    row = read(csv_text([""] * len(cells), [cells]))[1]
    assert [got.removeprefix("'") for got in row] == [typed.removeprefix("'") for typed in cells]
    assert not any(got.lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r")) for got in row)
