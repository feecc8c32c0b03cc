"""What the tests of the signals pages send."""

from uuid import uuid4

from django.urls import reverse

from pathproof.web.jobs import store


def post(client, stored, url, *args, **fields):
    """Send a form of the signals pages as it stands on a page of the present revision."""
    stored.refresh_from_db()
    head = {"based_on": stored.revision, "key": str(uuid4())}
    return client.post(reverse(url, args=[stored.pk, *args]), {**head, **fields})


def record(stored):
    """The record as it is now."""
    return store.load(stored.pk).record


def followed(client, response):
    """The page that a save leads to."""
    assert response.status_code == 302, response.text
    return client.get(response["Location"])


WALK = {
    "about": "shop_glass",
    "due": "5",
    "received": "5",
    "in_hand_db": "6,0",
    "lid_shut": "on",
    "final_place": "on",
}
