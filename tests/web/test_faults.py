"""A refused page says on top that nothing was saved, and leads to each fault."""

import re

import pytest
from django.urls import reverse

from pathproof.web.faults import with_faults

from .conftest import DEMO
from .specifying import send

PAGE = (
    '<body><main id="page"><h1>Page</h1><form>'
    '<p class="error" role="alert">Together they make &lt;no&gt; sense.</p>'
    '<div class="field wrong"><label for="id_a">Name</label><input id="id_a">'
    '<p class="error" id="id_a_error" role="alert">Nothing was given.</p></div>'
    "<fieldset><legend>Where</legend></fieldset>"
    '<p class="error" id="id_b_error" role="alert">Tick one.</p>'
    "</form></main></body>"
)


def links(page: str) -> dict[str, str]:
    top = page.partition('id="refused"')[2].partition("</div>")[0]
    return {text: at for at, text in re.findall(r'<a href="#([^"]*)">(.*?)</a>', top)}


def test_each_fault_has_a_link_to_its_field_or_itself():
    made = with_faults(PAGE)
    found = links(made)
    assert found == {
        "Together they make &lt;no&gt; sense.": "fault-1",
        "Name: Nothing was given.": "id_a",
        "Where: Tick one.": "id_b_error",
    }
    assert all(made.count(f'id="{at}"') == 1 for at in found.values())
    assert made.index('id="refused"') < made.index("<h1>")


@pytest.mark.parametrize(
    "page", ['<main id="page"><h1>No fault</h1></main>', '<p role="alert">A part of a page.</p>']
)
def test_a_page_without_faults_and_a_part_stay_as_they_are(page):
    assert with_faults(page) == page


def test_a_refused_save_opens_at_its_faults(as_, technician, stored):
    main = DEMO.site.communicators[0].id
    url = reverse("prepare:identifiers", args=[stored.pk, main])
    got = send(as_(technician), url, stored, **{f"{main}-imei": "12", f"{main}-account": "X"})
    assert got.status_code == 422
    page = got.content.decode()
    assert re.search(r'<div class="refused" id="refused"[^>]* tabindex="-1" autofocus>', page)
    assert {f"id_{main}-imei", f"id_{main}-account"} == set(links(page).values())
    assert "Nothing was saved." in page


def test_a_new_job_that_is_refused_does_too(as_, technician):
    page = (
        as_(technician).post(reverse("listing:new"), {"name": "", "devices": ""}).content.decode()
    )
    assert any(text.startswith("Name of the site: ") for text in links(page))
