"""A form that does not say on which revision it was made is refused in the same words."""

import pytest
from django.urls import reverse

from .conftest import DEMO

DEVICE = DEMO.site.devices[0].id
FORMS = [
    ("signals:evidence", "note"),
    ("specify:edit", "devices", DEVICE),
    ("survey:place", "device", DEVICE),
    ("prepare:identifiers", DEMO.site.communicators[0].id),
]


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form[0])
@pytest.mark.parametrize("based_on", ["", "newest", "9" * 4301])
def test_it_is_said(based_on, form, stored, technician, as_):
    name, *rest = form
    url = reverse(name, args=[stored.pk, *rest])
    got = as_(technician).post(url, {"based_on": based_on, "text": "typed"})
    assert got.status_code == 422
    assert "does not say which revision it was made on" in got.text
