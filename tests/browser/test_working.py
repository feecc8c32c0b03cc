"""A page that waits says how far the work is, and shows what was asked for once it is there."""

import pytest
from django.template.loader import render_to_string
from django.test import RequestFactory
from playwright.sync_api import expect

from pathproof.web.works import Progress

PDF = {"content_type": "application/pdf",
       "headers": {"Content-Disposition": 'attachment; filename="paper.pdf"'}}  # fmt: skip


def working(done):
    context = {"progress": Progress("Reading the plan", "walls", done, 2)}
    return render_to_string("working.html", context, request=RequestFactory().get("/"))


@pytest.fixture
def slow(phone):
    """Answers at an address: two that work goes on, then what is given."""

    def answered(path, **finished):
        asked = []

        def answer(route):
            asked.append(route.request.resource_type)
            if len(asked) <= 2:
                route.fulfill(status=202, content_type="text/html", body=working(len(asked)))
            else:
                route.fulfill(**finished)

        phone.route(f"**{path}", answer)
        return asked

    return answered


def test_it_says_how_far_the_work_is_then_shows_the_page(phone, slow):
    asked = slow("/slow/", body="<h1>There it is</h1>", content_type="text/html")
    phone.goto("/slow/#below")
    expect(phone.locator("#working")).to_contain_text("walls (1 of 2)")
    expect(phone.locator("#working")).to_contain_text("walls (2 of 2)")
    expect(phone.locator("h1")).to_have_text("There it is")
    assert phone.url.endswith("/slow/#below")
    assert asked == ["document", "fetch", "fetch", "document"]


def test_a_file_is_saved_as_it_came_and_not_asked_for_again(phone, slow):
    asked = slow("/slow.pdf", body=b"%PDF-1.7 invented", **PDF)
    with phone.expect_download() as download:
        phone.goto("/slow.pdf")
    assert download.value.suggested_filename == "paper.pdf"
    assert download.value.path().read_bytes() == b"%PDF-1.7 invented"
    expect(phone.get_by_role("link", name="Save it")).to_be_visible()
    assert asked == ["document", "fetch", "fetch"]
