"""Two people work on one job at once, and an answer gets lost: everything is there, and once."""

import pytest
from playwright.sync_api import expect

COUNT = """
import django
django.setup()
from pathproof.web.jobs import store
print([e.kind for e in store.load("%s").record].count("%s"))
"""
MADE = """
import django
django.setup()
from pathproof.job.home import user_library
from pathproof.web.jobs import store
from pathproof.web.listing.making import from_list
from pathproof.web.people.models import Person
given = {"name": "Shared site", "panel": "lark_panel", "devices":
         "door contact, Front door, 9 m, 1 brick\\nmotion, Shop, 6 m, 1 brick"}
job = from_list(given, user_library()).job
print(store.add_job(job, by=Person.objects.get(username="office"), what="made").pk)
"""


@pytest.fixture
def job(served) -> str:
    return served.python(MADE).strip()


@pytest.fixture
def two(browser, served, guard, sign_in):
    """A page of the technician and one of the office."""
    pages = []
    for who in ("tech", "office"):
        page = browser.new_context(base_url=served.url).new_page()
        guard.watch(page)
        sign_in(page, who)
        pages.append(page)
    yield pages
    for page in pages:
        page.context.close()


def count(served, job: str, kind: str) -> int:
    return int(served.python(COUNT % (job, kind)))


def save(page, button: str) -> None:
    """Press, and wait for the page that it leads to."""
    was = page.url
    page.get_by_role("button", name=button, exact=True).click()
    page.wait_for_url(lambda url: url != was, timeout=60_000)


def test_changes_of_two_things_are_both_there(served, job, two):
    tech, office = two
    tech.goto(f"/jobs/{job}/specify/device/front_door/")
    office.goto(f"/jobs/{job}/specify/change/zones/z2/")
    tech.locator("main [name=name]").fill("Street door")
    office.locator("main [name=name]").fill("Sales room")
    save(tech, "Save")
    save(office, "Save")
    expect(office.locator("main")).not_to_contain_text("Both are kept")
    for page in two:
        page.goto(f"/jobs/{job}/survey/")
        expect(page.locator("main")).to_contain_text("Street door", timeout=60_000)
        page.goto(f"/jobs/{job}/specify/")
        expect(page.locator("main")).to_contain_text("Sales room")


def test_evidence_from_two_open_pages_is_all_on_record(served, job, two):
    for page in two:
        page.goto(f"/jobs/{job}/walk-tests/")
        page.locator("[name=in_hand_db]").fill("6", timeout=60_000)
    for page, device in zip(two, ("front_door", "shop"), strict=True):
        page.locator(f"[name=received-{device}]").fill("5")
        save(page, "Put them on record")
    assert count(served, job, "walk") == 2


def test_a_walk_test_whose_answer_is_lost_is_on_record_once(served, job, two, guard):
    tech, _ = two
    guard.away = True  # to the page it looks so

    def lose_answer(route):
        if route.request.method == "POST":
            route.fetch()
            route.abort()
        else:
            route.continue_()

    tech.goto(f"/jobs/{job}/walk-tests/")
    tech.locator("[name=received-front_door]").fill("5", timeout=60_000)
    tech.route("**/walk-tests/", lose_answer)
    tech.get_by_role("button", name="Put them on record").click()
    bar = tech.locator("#kept-bar")
    expect(bar).to_contain_text("not sent yet: 1")
    assert count(served, job, "walk") == 1
    tech.unroute_all()
    tech.get_by_role("button", name="Send now").click()
    expect(bar).to_have_count(0, timeout=20_000)
    assert count(served, job, "walk") == 1
