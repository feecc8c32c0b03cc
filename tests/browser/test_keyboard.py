"""What a technician does every day is done with the keyboard alone, and its place is seen."""

from playwright.sync_api import expect

from .conftest import PASSWORD

MOST_TABS = 300
SEEN = """thing => {
  const style = getComputedStyle(thing);
  return style.outlineStyle !== "none" && parseFloat(style.outlineWidth) > 0;
}"""


def reach(target) -> None:
    """Go on with Tab until the target has the focus, and see that it shows."""
    keys = target.page.keyboard
    for _ in range(MOST_TABS):
        if target.evaluate("thing => thing === document.activeElement"):
            assert target.evaluate(SEEN), f"the focus is not seen on {target}"
            return
        keys.press("Tab")
    raise AssertionError(f"{target} is not reached by {MOST_TABS} tabs")


def enter(target, text: str) -> None:
    """Type in place of what stands in a field; Tab has marked it all."""
    reach(target)
    target.page.keyboard.insert_text(text)


def press(target, key: str = "Enter") -> None:
    reach(target)
    target.page.keyboard.press(key)


def sign_in(page) -> None:
    page.goto("/sign-in/")
    enter(page.locator("[name=username]"), "tech")
    enter(page.locator("[name=password]"), PASSWORD)
    page.keyboard.press("Enter")
    expect(page).to_have_title("Jobs · Pathproof")


def test_a_walk_test_and_its_working(served, laptop):
    page = laptop
    sign_in(page)
    press(page.locator(f"main a[href='/jobs/{served.demo}/']"))
    form = page.locator("form[data-keep^='walk test']").first
    form.wait_for(state="attached", timeout=120_000)  # kernels are compiled the first time
    row = page.locator("article.row", has=form).first
    name = form.get_attribute("data-keep").removeprefix("walk test of ")

    press(page.locator("a.skip"))
    press(row.locator("summary", has_text="Walk test"))
    enter(form.locator("[name=received]"), "5")
    enter(form.locator("[name=in_hand_db]"), "8")
    press(form.locator("[name=lid_shut]"), "Space")
    press(form.locator("[name=final_place]"), "Space")
    press(form.locator("button"))
    told = page.locator(".said")
    expect(told).to_be_visible(timeout=60_000)
    expect(told.locator("p").first).to_contain_text(name)

    press(page.locator("section.site .strip a.seg").first)
    expect(page.locator("#link-name")).to_be_focused()  # what was opened is where one goes on
    press(page.locator("article.row .strip a.seg", has_text="radio").first)
    working = page.locator("#beside details.sheet").first
    expect(working).to_be_visible()
    press(working.locator("summary"))
    expect(working.locator("table")).to_be_visible()


def test_a_device_is_placed_by_the_form(served, laptop):
    page = laptop
    sign_in(page)
    page.goto(f"/jobs/{served.demo}/survey/")
    page.locator("#page table.rows").first.wait_for(timeout=120_000)
    row = page.locator("tr[data-kind=device]").first
    thing = row.get_attribute("data-thing")
    press(row.get_by_role("link", name="Place"))
    expect(page.locator("h2").first).to_contain_text("Place of")
    storey = page.locator("main [name=floor]")
    before = storey.input_value()
    press(storey, "ArrowDown")
    assert storey.input_value() != before
    page.keyboard.press("ArrowUp")
    assert storey.input_value() == before
    enter(page.locator("main [name=x]"), "3.25")
    enter(page.locator("main [name=y]"), "1.5")
    page.keyboard.press("Enter")
    voids = page.get_by_role("button", name="Move it all the same")
    placed = page.locator(f"tr[data-thing='{thing}']")
    expect(voids.or_(placed)).to_be_visible(timeout=60_000)
    if voids.is_visible():
        press(voids)
    expect(placed).to_contain_text("x 3.25, y 1.50", timeout=60_000)
