"""The way from signing in to the paper works where no script runs."""

import re

import pytest
from playwright.sync_api import expect

from .conftest import SIZES

DEVICES = "door contact, Front door, 9 m, 1 brick\nmotion, Shop, 6 m, 1 plasterboard\n"


@pytest.fixture(params=SIZES)
def page(request, browser, served, guard):
    width, height = SIZES[request.param]
    context = browser.new_context(
        base_url=served.url,
        viewport={"width": width, "height": height},
        java_script_enabled=False,
    )
    page = context.new_page()
    guard.watch(page)
    yield page
    context.close()


def test_from_sign_in_to_paper(page, sign_in):
    sign_in(page)
    page.get_by_role("link", name="New job").click()
    page.locator("[name=name]").fill("Without a script")
    page.locator("[name=devices]").fill(DEVICES)
    page.get_by_role("button", name="Make the job").click()
    strip = page.locator("section.site .strip")
    expect(strip).to_contain_text("radio predicted", timeout=120_000)

    page.get_by_role("link", name="Walk-test many").click()
    page.locator("[name=in_hand_db]").fill("6")
    page.locator("[name=lid_shut]").check()
    page.locator("[name=final_place]").check()
    for row in page.locator(".walks input").all():
        row.fill("5")
    page.get_by_role("button", name="Put them on record").click()
    expect(strip).to_contain_text("radio proven", timeout=60_000)

    page.locator("article.row .strip a.seg").first.click()
    expect(page.locator("h3", has_text="Working")).to_be_visible()
    page.get_by_role("link", name=re.compile("^Hand over")).click()
    page.get_by_role("button", name="Make Zone schedule").click()
    paper = page.get_by_role("link", name="Zone schedule of revision")
    expect(paper).to_be_visible(timeout=60_000)
    with page.expect_download() as download:
        paper.click()
    assert download.value.path().read_bytes().startswith(b"%PDF")
