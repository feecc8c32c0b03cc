"""One link with its working, on a page and beside its strip."""

import pytest
from django.urls import reverse

from pathproof.assess import assess

from .conftest import DEMO


def link(client, stored, name, **kwargs):
    return client.get(reverse("signals:link", args=[stored.pk, name]), **kwargs)


def test_every_link_opens(stored, technician, as_):
    client = as_(technician)
    as_of = DEMO.record[-1].at
    for one in assess(DEMO, as_of, leave_out_later=True).links:
        assert link(client, stored, one.id).status_code == 200, one.id


def test_it_says_what_counts_and_what_does_not(stored, technician, as_):
    text = link(as_(technician), stored, "radio:yard_door>panel").text
    assert "Dairy door to the yard to 15" not in text
    assert "walk-06" in text
    assert "Replaced by walk-06" in text


def test_beside_a_strip_it_is_a_part(stored, technician, as_):
    got = link(as_(technician), stored, "mobile:main", headers={"HX-Request": "true"})
    assert "<html" not in got.text
    assert "module-01" in got.text
    where = {"HX-Request": "true", "HX-Current-URL": "http://testserver/jobs/x/?zone=4"}
    assert (
        'name="back" value="zone=4"'
        in link(as_(technician), stored, "mobile:main", headers=where).text
    )
    assert f'value="{stored.revision}"' in got.text


def test_the_sites_strip_opens_what_it_stands_for(stored, technician, as_):
    got = link(as_(technician), stored, "devices")
    assert "9 of 21 proven to reach the panel, 10 predicted, 1 wired" in got.text
    assert "asked of each device alone are 95 in 100" in got.text
    assert "21 Cold store door" in got.text


@pytest.mark.parametrize("name", ["radio:nobody>panel", "x"])
def test_no_such_link(name, stored, technician, as_):
    assert link(as_(technician), stored, name).status_code == 404
