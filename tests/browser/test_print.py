"""What the browser prints: all of a page's content, and nothing that can only be pressed."""

import pymupdf
import pytest
from django.urls import reverse

PRESSED = (
    "Sign out",
    "Zones and partitions",
    "Hand over",
    "Back to the signals",
    "Correct it",
    "Put it on record",
)


def close(text: str) -> str:
    """The text without its blanks, as lines break anywhere on paper."""
    return "".join(text.split())


@pytest.fixture
def printed(laptop, served, sign_in):
    """The text of a page of the demo's job, as printed."""
    sign_in(laptop, "office")

    def text(name: str, *more: str) -> str:
        laptop.goto(reverse(name, args=[served.demo, *more]))
        laptop.locator("header.folder").wait_for()
        with pymupdf.open(stream=laptop.pdf(format="A4")) as paper:
            return close("".join(sheet.get_text() for sheet in paper))

    return text


@pytest.mark.parametrize(("name", "more"), [("specify:power", []), ("signals:link", ["standby"])])
def test_folded_working_is_printed(printed, laptop, name, more):
    text = printed(name, *more)
    labels = laptop.locator("details.sheet .working th[scope=row]").all_text_contents()
    assert len(labels) > 10
    assert [x for x in labels if close(x) not in text] == []


@pytest.mark.parametrize(
    ("name", "more"),
    [("specify:lists", []), ("specify:power", []), ("signals:page", []), ("signals:record", [])],
)
def test_nothing_is_printed_that_can_only_be_pressed(printed, name, more):
    text = printed(name, *more)
    assert [x for x in PRESSED if close(x) in text] == []
    assert close("Quellrain dairy and shop") in text
