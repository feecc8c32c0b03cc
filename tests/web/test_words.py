"""Strips and working as pages draw them, held against the assessment they show."""

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.template import Context, Template

import pathproof.web
from pathproof.assess import assess
from pathproof.assess.strip import site_strip_layout, strip_layout

from .conftest import DEMO

SHEET = Path(pathproof.web.__file__).parent / "static/pathproof/sheet.css"
SAID = assess(DEMO, datetime(2026, 11, 25, tzinfo=UTC), leave_out_later=True)


def drawn(source: str, **context: object) -> str:
    return Template(source).render(Context(context))


@pytest.mark.parametrize("signal", SAID.signals[:8], ids=lambda s: s.id)
def test_a_strip_names_every_link_with_its_word(signal):
    layout = strip_layout(signal, SAID)
    html = drawn("{% strip layout %}", layout=layout)
    shown = [*(s.link for s in layout.segments), *layout.hanging]
    for link in shown:
        assert f"{link.kind} {link.word}: " in html
    assert html.count('class="seg') == len(shown)
    assert html.count('class="node') == len(layout.nodes)
    assert "style=" not in html


@pytest.mark.parametrize("signal", SAID.signals, ids=lambda s: s.id)
def test_every_place_on_a_strip_is_one_the_sheet_knows(signal):
    known = set(re.findall(r"\.([cernto]+\d+)\b", SHEET.read_text()))
    html = drawn("{% strip layout %}", layout=strip_layout(signal, SAID))
    used = {c for cs in re.findall(r'class="([^"]*)"', html) for c in cs.split()}
    places = {c for c in used if re.fullmatch(r"(c|e|r|n|to)\d+", c)}
    assert places
    assert places <= known


def test_a_strip_without_an_address_has_no_links():
    assert "<a " not in drawn("{% strip layout %}", layout=site_strip_layout(SAID))


def test_one_link_of_a_strip_is_the_weakest():
    html = drawn("{% strip layout %}", layout=strip_layout(SAID.signals[0], SAID))
    assert html.count("weakest") == 1


def test_what_a_person_typed_is_text_in_a_strip():
    layout = site_strip_layout(SAID)
    html = drawn("{% strip layout %}", layout=layout.__class__(**{**vars(layout), "title": "<b>"}))
    assert "&lt;b&gt;" in html


def test_working_has_a_row_for_each_line_and_each_source_once():
    link = next(x for x in SAID.links if len(x.working) > 5)
    html = drawn("{% working link %}", link=link)
    assert html.count('<th scope="row">') == len(link.working)
    assert html.count("<li value=") == len({s for line in link.working for s in line.sources})


def test_a_link_without_working_has_no_sheet():
    link = next(x for x in SAID.links if not x.working)
    assert drawn("{% working link %}", link=link).strip() == ""
