"""The record of a job."""

from django.urls import reverse

from pathproof.web.jobs import store

from .conftest import DEMO


def test_it_is_newest_first_with_corrected_ones_struck(stored, technician, as_):
    text = as_(technician).get(reverse("signals:record", args=[stored.pk])).text
    places = [text.index(f'id="{e.id}"') for e in sorted(DEMO.record, key=lambda e: e.at)]
    assert places[0] == max(places)
    assert places[-1] == min(places)
    struck = text[text.index('id="walk-05"') :]
    assert struck.index("<s>") < struck.index("</li>")
    assert "?replaces=walk-06" in text
    assert "?replaces=walk-05" not in text


def test_an_empty_one_says_what_goes_there(plain_job, technician, as_):
    stored = store.add_job(plain_job, by=technician, what="made")
    assert (
        "Nothing has been tested yet"
        in as_(technician).get(reverse("signals:record", args=[stored.pk])).text
    )
