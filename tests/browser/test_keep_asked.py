"""A form that waited, and that the server then answers with a question, is not lost."""

import re

from playwright.sync_api import expect

from .test_keep import waits


def test_one_that_is_asked_something_later_stays_until_it_is_answered(served, page, sign_in, guard):
    sign_in(page, "tech")
    page.goto(f"/jobs/{served.demo}/specify/listed/")

    page.locator("textarea").wait_for(timeout=120_000)  # kernels are compiled the first time
    page.locator("textarea").fill("contact, Shed door, 7 m, nothing")
    guard.away = True
    page.context.set_offline(True)
    page.locator("main form[data-keep] button").first.click()
    expect(waits(page)).to_contain_text("not sent yet: 1")
    page.context.set_offline(False)
    guard.away = False
    expect(waits(page)).to_contain_text("asks something before it is saved", timeout=20_000)
    waits(page).get_by_role("link", name="Open it again").click()
    expect(page.locator("textarea")).to_have_value(re.compile("Shed door"))
