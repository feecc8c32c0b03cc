"""What is typed outlives a reload, a lost network and a killed server, and is sent once."""

from datetime import UTC, datetime
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Locator, Page, Route, expect

LAST_MOMENT = """
import sys
import django
django.setup()
from pathproof.web.jobs import store
print(store.load("%s").record[-1].at.isoformat())
"""


@pytest.fixture
def page(phone: Page, guard, sign_in) -> Page:
    """A technician's page, from which network and server are taken away at times."""
    guard.away = True
    sign_in(phone, "tech")
    return phone


def typed(page: Page, name: str, devices: str = "") -> None:
    page.goto("/new/")
    page.locator("[name=name]").fill(name)
    page.locator("[name=devices]").fill(devices)


def send(page: Page) -> None:
    page.get_by_role("button", name="Make the job", exact=True).click()


def own_job(page: Page, name: str) -> str:
    """The address of a new job, that no other test changes."""
    typed(page, name)
    send(page)
    page.wait_for_url("**/jobs/**")
    return "/".join(urlsplit(page.url).path.split("/")[:3])


def jobs_named(page: Page, name: str) -> int:
    return page.request.get("/", params={"q": name}).text().count(f">{name}</a>")


def waits(page: Page) -> Locator:
    return page.locator("#kept-bar")


def test_a_reload_gives_back_what_was_typed(page):
    typed(page, "Half typed", "motion, Hall")
    page.reload()
    expect(page.locator("[name=name]")).to_have_value("Half typed")
    expect(page.locator("[name=devices]")).to_have_value("motion, Hall")
    page.get_by_role("button", name="Start anew").click()
    expect(page.locator("[name=name]")).to_have_value("")
    page.reload()
    expect(page.locator("[name=name]")).to_have_value("")


def test_a_draft_gives_back_what_was_changed_alone(page):
    job = own_job(page, "Half changed")
    page.goto(f"{job}/specify/site/")
    page.locator("main [name=reference]").fill("J-77")
    other = page.context.new_page()
    other.goto(f"{job}/specify/parts/")
    other.goto(f"{job}/specify/site/")  # its draft comes along; it is taken back there
    other.get_by_role("button", name="Start anew").click()
    other.locator("main [name=name]").fill("Named meanwhile")
    page.locator("main [name=reference]").fill("J-78")
    with other.expect_navigation():
        other.get_by_role("button", name="Save").click()
    page.locator("main [name=reference]").fill("J-79")
    page.goto(f"{job}/specify/site/")
    expect(page.locator("main [name=reference]")).to_have_value("J-79")
    expect(page.locator("main [name=name]")).to_have_value("Named meanwhile")
    page.get_by_role("button", name="Save").click()
    page.wait_for_url(lambda url: "/site/" not in url)
    expect(page.locator("h1")).to_have_text("Named meanwhile")
    expect(page.locator("main")).not_to_contain_text("Both are kept")


def test_what_was_sent_is_not_given_back(page):
    typed(page, "Sent at once")
    send(page)
    page.wait_for_url("**/jobs/**")
    page.goto("/new/")
    expect(page.locator("[name=name]")).to_have_value("")
    assert jobs_named(page, "Sent at once") == 1


def test_a_mistake_is_said_on_the_page_and_nothing_is_lost(page):
    typed(page, "With a mistake", "unicorn, Attic, 5 m")
    send(page)
    expect(page.locator("main")).to_contain_text("Line 1")
    expect(page.locator("[name=devices]")).to_have_value("unicorn, Attic, 5 m")
    expect(waits(page)).to_have_count(0)
    page.locator("[name=devices]").fill("motion, Attic, 5 m")
    send(page)
    page.wait_for_url("**/jobs/**")
    assert jobs_named(page, "With a mistake") == 1
    page.goto("/new/")
    expect(page.locator("[name=name]")).to_have_value("")


def test_the_server_dies_in_the_middle_of_a_form_and_comes_back(served, page):
    typed(page, "Server killed", "motion, Hall, 5 m")
    served.kill()
    send(page)
    expect(page.locator("main")).to_contain_text("Kept on this device, not sent yet: new job")
    expect(waits(page)).to_contain_text("not sent yet: 1")
    page.locator("[name=name]").fill("Another one")
    send(page)
    expect(waits(page)).to_contain_text("not sent yet: 2")
    served.start()
    page.get_by_role("button", name="Send now").click()
    expect(waits(page)).to_have_count(0, timeout=20_000)
    expect(page.locator(".kept-line")).to_contain_text("Sent, and saved: new job Another one")
    expect(page.locator(".kept-line")).not_to_contain_text("not sent yet")
    assert jobs_named(page, "Server killed") == 1
    assert jobs_named(page, "Another one") == 1


def test_an_answer_that_is_lost_makes_no_second_job(page):
    """The server has it, and the page does not know."""

    def lose_answer(route: Route) -> None:
        route.fetch()
        route.abort()

    typed(page, "Answer lost")
    page.route("**/new/", lambda r: lose_answer(r) if r.request.method == "POST" else r.continue_())
    send(page)
    expect(waits(page)).to_contain_text("not sent yet: 1")
    assert jobs_named(page, "Answer lost") == 1
    page.unroute_all()
    page.get_by_role("button", name="Send now").click()
    expect(waits(page)).to_have_count(0)
    assert jobs_named(page, "Answer lost") == 1


def test_two_open_pages_send_what_waits_once(page):
    typed(page, "Once A")
    other = page.context.new_page()
    other.goto("/")
    page.context.set_offline(True)
    send(page)
    expect(waits(page)).to_contain_text("not sent yet: 1")
    page.locator("[name=name]").fill("Once B")
    send(page)
    expect(waits(other)).to_contain_text("not sent yet: 2")
    page.context.set_offline(False)  # both pages hear of it
    for open_page in (page, other):
        expect(waits(open_page)).to_have_count(0, timeout=20_000)
    for name in ("Once A", "Once B"):
        assert jobs_named(page, name) == 1


def test_one_that_is_refused_later_stays_with_its_sentence(page):
    typed(page, "Refused later", "unicorn, Attic, 5 m")
    page.context.set_offline(True)
    send(page)
    expect(waits(page)).to_contain_text("not sent yet: 1")
    page.context.set_offline(False)
    expect(waits(page)).to_contain_text("was not taken", timeout=20_000)
    expect(waits(page)).to_contain_text("Line 1")
    page.get_by_role("link", name="Open it again").click()
    expect(page.locator("[name=name]")).to_have_value("Refused later")
    page.locator("[name=devices]").fill("motion, Attic, 5 m")
    send(page)
    page.wait_for_url("**/jobs/**")
    expect(waits(page)).to_have_count(0)
    assert jobs_named(page, "Refused later") == 1


def test_nobody_sends_what_another_account_typed(page, sign_in):
    typed(page, "Of Tom")
    page.context.set_offline(True)
    send(page)
    expect(waits(page)).to_contain_text("not sent yet: 1")
    page.route("**/new/", lambda route: route.abort())
    page.context.set_offline(False)
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.message), dialog.accept()))
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/sign-in/")
    assert "only be sent when you sign in here again" in asked[0]
    page.unroute_all()
    sign_in(page, "office")
    expect(waits(page)).to_contain_text("Something of another account waits")
    assert jobs_named(page, "Of Tom") == 0
    page.get_by_role("button", name="Sign out").click()
    sign_in(page, "tech")
    expect(waits(page)).to_have_count(0, timeout=20_000)
    assert jobs_named(page, "Of Tom") == 1


def test_a_walk_test_kept_on_the_phone_holds_the_moment_it_was_typed(served, page):
    page.goto(f"/jobs/{served.demo}/")
    form = page.locator("form[data-keep^='walk test']").first
    form.wait_for(state="attached", timeout=120_000)  # kernels are compiled the first time
    form.evaluate("form => form.closest('details').open = true")
    form.locator("[name=received]").fill("5")
    form.locator("[name=in_hand_db]").fill("8")
    served.kill()
    before = datetime.now(UTC)
    form.locator("button").click()
    expect(waits(page)).to_contain_text("walk test of")
    after = datetime.now(UTC)
    served.start()
    page.get_by_role("button", name="Send now").click()
    expect(waits(page)).to_have_count(0, timeout=20_000)
    typed_at = datetime.fromisoformat(served.python(LAST_MOMENT % served.demo).strip())
    assert before.replace(microsecond=0) <= typed_at <= after


def test_two_browsers_change_the_same_and_both_sides_are_kept(served, browser, page, sign_in):
    office = browser.new_context(base_url=served.url)
    other = office.new_page()
    sign_in(other, "office")
    job = own_job(page, "Changed by two")
    for open_page in (page, other):
        open_page.goto(f"{job}/specify/site/")
    for open_page, name in ((page, "Name of the technician"), (other, "Name of the office")):
        open_page.locator("main [name=name]").fill(name)
        open_page.get_by_role("button", name="Save").click()
        open_page.wait_for_url(lambda url: "/site/" not in url)
    expect(other.locator("main")).to_contain_text("Both are kept")
    expect(other.locator("main")).to_contain_text("Name of the technician")
    expect(waits(other)).to_have_count(0)
    page.reload()
    expect(page.locator("main")).to_contain_text("1 change waits for you to choose")
    other.get_by_role("button", name="Keep what Olga Office typed").click()
    expect(other.locator("h1")).to_have_text("Name of the office")
    office.close()


def test_a_change_that_met_another_while_it_waited_leads_to_both_sides(
    served, browser, page, sign_in
):
    office = browser.new_context(base_url=served.url)
    other = office.new_page()
    sign_in(other, "office")
    job = own_job(page, "Changed while it waited")
    for open_page in (page, other):
        open_page.goto(f"{job}/specify/site/")
    page.locator("main [name=reference]").fill("of the technician")
    page.context.set_offline(True)
    page.get_by_role("button", name="Save").click()
    expect(waits(page)).to_contain_text("not sent yet: 1")
    other.locator("main [name=reference]").fill("of the office")
    other.get_by_role("button", name="Save").click()
    other.wait_for_url(lambda url: "/site/" not in url)
    office.close()
    page.context.set_offline(False)
    page.get_by_role("link", name="See both sides").click(timeout=20_000)
    expect(page.locator("main")).to_contain_text("of the technician")
    expect(waits(page)).to_have_count(0)
