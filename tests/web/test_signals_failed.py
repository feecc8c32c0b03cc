"""A walk test that failed speaks, whatever was left unsaid about it."""

import pytest
from django.urls import reverse

from pathproof.terms import Word
from pathproof.web.jobs.answers import answer

from ._signals import WALK, followed, post

pytestmark = pytest.mark.usefixtures("patient")
LINK = "radio:shop_glass>panel"


@pytest.fixture
def client(as_, technician):
    return as_(technician)


@pytest.mark.parametrize("ticked", [True, False])
@pytest.mark.parametrize("received", ["0", "4"])
def test_messages_that_did_not_come_through_make_the_link_lack(client, stored, received, ticked):
    walk = WALK | {"received": received, "in_hand_db": "0"}
    if not ticked:
        walk = {k: v for k, v in walk.items() if k not in ("lid_shut", "final_place")}
    page = followed(client, post(client, stored, "signals:evidence", "walk", **walk))
    assert answer(stored.pk, wait=True).assessment.link(LINK).word is Word.LACKING
    assert f"{received} of 5" in page.text


def test_no_odds_stand_beside_a_test_that_failed(client, stored):
    url = reverse("signals:link", args=[stored.pk, LINK])
    assert "<dt>Odds that it works" in client.get(url).text
    post(client, stored, "signals:evidence", "walk", **WALK | {"received": "0", "in_hand_db": "0"})
    assert "<dt>Odds that it works" not in client.get(url).text
