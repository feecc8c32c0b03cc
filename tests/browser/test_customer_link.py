"""A customer's link shows the plain answer to whoever holds it, and nothing once it has ended."""

from urllib.parse import urlsplit

import pytest
from playwright.sync_api import expect

from pathproof.simulate import build_demo

NOBODY = "There is no answer here"
END = """
import django
django.setup()
from django.utils import timezone
from pathproof.web.jobs.models import CustomerLink
print(CustomerLink.objects.filter(note="%s").update(expires_at=timezone.now()))
"""


@pytest.fixture
def customer(browser, served, guard):
    """A page of somebody who has no account."""
    context = browser.new_context(base_url=served.url, viewport={"width": 390, "height": 844})
    page = context.new_page()
    guard.watch(page)
    yield page
    context.close()


def link_for(page, served, whom: str) -> str:
    """Make a link; gives its path."""
    page.goto(f"/jobs/{served.demo}/papers/")
    page.locator("[name=note]").fill(whom, timeout=120_000)  # kernels compile the first time
    page.locator("[name=days]").fill("1")
    page.get_by_role("button", name="Make a link").click()
    return urlsplit(page.locator("#new-link").input_value()).path


def opens_nothing(customer, path: str) -> None:
    for address in (path, f"{path}paper/"):
        assert customer.request.get(address).status == 404
        customer.goto(address)
        expect(customer.locator("main")).to_contain_text(NOBODY)


def test_it_shows_no_places_and_leaves_nothing_behind(served, laptop, customer, sign_in):
    sign_in(laptop)
    customer.goto(link_for(laptop, served, "Mrs Quell"))
    expect(customer.locator("h1")).to_have_text(build_demo().site.name, timeout=120_000)
    shown = customer.locator("body").inner_text()
    assert [d.name for d in build_demo().site.devices if d.name in shown] == []
    assert customer.context.cookies() == []
    links = [a.get_attribute("href") for a in customer.locator("a").all()]
    assert links == [f"{urlsplit(customer.url).path}paper/"]
    with customer.expect_download() as paper:
        customer.get_by_role("link", name="Get this as PDF").click()
    assert paper.value.path().read_bytes().startswith(b"%PDF")


def test_it_opens_nothing_once_its_time_is_over(served, laptop, customer, sign_in):
    sign_in(laptop)
    path = link_for(laptop, served, "Mr Late")
    assert customer.request.get(path).status in (200, 202)
    assert served.python(END % "Mr Late").strip() == "1"
    opens_nothing(customer, path)
    laptop.goto(f"/jobs/{served.demo}/papers/")
    expect(laptop.locator("tr", has_text="Mr Late")).to_contain_text("ended")


def test_it_opens_nothing_once_it_is_withdrawn(served, laptop, customer, sign_in):
    sign_in(laptop)
    path = link_for(laptop, served, "Mr Gone")
    assert customer.request.get(path).status in (200, 202)
    laptop.get_by_role("button", name="Withdraw the link for Mr Gone").click()
    expect(laptop.locator("tr", has_text="Mr Gone")).to_contain_text("withdrawn")
    opens_nothing(customer, path)
