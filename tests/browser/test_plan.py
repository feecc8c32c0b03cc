"""Things placed and moved on the plan by finger, mouse and keyboard, and the number on the way.

What a place would give is held against `assess` of the job with the thing moved there; where
something is on the screen, against the corners of the drawing.
"""

import math

import pytest
from playwright.sync_api import expect

from pathproof.job import Device, Job
from pathproof.simulate import build_demo
from pathproof.simulate.buildings import BuildingKind, generated_job

from .plans import (
    FLOOR,
    NEW,
    Plan,
    device_of,
    house,
    margin_said,
    margins_db,
    moved,
    place_said,
    with_devices,
    with_panel_at,
)

# -- placed and moved ------------------------------------------------------------------------------


def test_a_thing_is_placed_by_a_tap_and_its_margin_said(plan, added, stored):
    job_id = added(house())
    plan.open(job_id, FLOOR).choose(NEW)
    expect(plan.said).to_contain_text("Tap the place of")
    plan.tap(3.0, 2.0)
    expect(plan.said).to_contain_text("Extra is placed.", timeout=30_000)
    job = stored(job_id)
    extra = device_of(job, "extra")
    assert (job.revision, extra.floor) == (2, FLOOR)
    assert extra.at == pytest.approx((3.0, 2.0), abs=0.1)
    assert margin_said(plan.said.inner_text()) == pytest.approx(margins_db(job)["extra"], abs=0.06)
    row = plan.page.locator("#things tr", has_text="Extra")
    expect(row).to_have_attribute("data-x", f"{extra.at[0]:.3f}")
    expect(row).to_contain_text("predicted")
    expect(plan.page.locator(".title-block")).to_contain_text("revision 2")


def test_a_drag_says_the_margin_on_the_way_and_saves_it_at_the_end(plan, added, stored):
    job = house()
    job_id = added(job)
    device = next(d for d in job.site.devices if d.floor == FLOOR)
    plan.open(job_id, FLOOR).choose(f"device/{device.id}")
    on_the_way = []

    def look():
        expect(plan.said).to_contain_text(f"{device.name}: predicted", timeout=30_000)
        on_the_way.append(plan.said.inner_text())
        assert stored(job_id).revision == 1

    end = (device.at[0] + 1.5, device.at[1] + 0.8)
    plan.drag(device.at, end, look)
    expect(plan.said).to_contain_text("is placed.", timeout=30_000)
    (said,) = on_the_way
    there = place_said(said)
    assert there == pytest.approx(end, abs=0.1)
    expected = margins_db(moved(job, device.id, there))[device.id]
    assert margin_said(said) == pytest.approx(expected, abs=0.1)
    now = stored(job_id)
    assert now.revision == 2
    assert device_of(now, device.id).at == pytest.approx(end, abs=0.1)
    assert device_of(now, device.id).height_m == device.height_m
    expected = margins_db(now)[device.id]
    assert margin_said(plan.said.inner_text()) == pytest.approx(expected, abs=0.06)


def test_the_panel_takes_its_map_along(plan, added, stored):
    job = with_devices(house(), house().site.devices[:-1])
    job_id, panel = added(job), job.site.panel
    plan.open(job_id, panel.floor, "worst").choose("panel/panel")
    end = (panel.at[0] - 2.0, panel.at[1] - 1.0)
    plan.drag(panel.at, end)
    expect(plan.said).to_contain_text("Panel is placed. Heard worst", timeout=30_000)
    expect(plan.page.locator('#plan img.cells[src*="map-2"]')).to_be_visible(timeout=30_000)
    expect(plan.said).to_contain_text("Panel is placed. Heard worst")
    now = stored(job_id)
    assert now.site.panel.at == pytest.approx(end, abs=0.1)
    lowest = min(margins_db(now).values())
    assert margin_said(plan.said.inner_text()) == pytest.approx(lowest, abs=0.06)


def test_without_a_choice_a_drag_moves_the_plan_and_no_thing(plan, added, stored):
    job = house()
    job_id = added(job)
    device = next(d for d in job.site.devices if d.floor == FLOOR)
    plan.open(job_id, FLOOR)
    before = plan.on_screen(*device.at)
    plan.drag(device.at, (device.at[0] + 1.0, device.at[1]))
    plan.settle()
    assert plan.on_screen(*device.at)[0] > before[0] + 5
    assert stored(job_id).revision == 1


def test_the_number_under_a_tap_is_that_of_an_assessment(plan, added):
    job = with_devices(house(), house().site.devices[:-1])
    plan.open(added(job), FLOOR, "worst")
    plan.tap(4.2, 3.1)
    expect(plan.said).to_contain_text("Heard worst", timeout=30_000)
    said = plan.said.inner_text()
    all_of_them = margins_db(with_panel_at(job, FLOOR, place_said(said)))
    worst = min(all_of_them, key=lambda device: all_of_them[device])
    assert len(all_of_them) == 12
    assert device_of(job, worst).name in said
    assert margin_said(said) == pytest.approx(all_of_them[worst], abs=0.1)


def proven_device(job: Job) -> Device:
    proven = {about for entry in job.record if entry.kind == "walk" for about in entry.about}
    return next(d for d in job.site.devices if d.id in proven and d.floor == FLOOR)


def test_a_move_that_voids_evidence_is_asked_about_and_can_be_undone(plan, added, stored):
    job = build_demo()
    job_id, device = added(job), proven_device(job)
    plan.open(job_id, FLOOR).choose(f"device/{device.id}")
    asked, answers = [], [False, True]

    def answer(dialog):
        asked.append(dialog.message)
        if answers.pop(0):
            dialog.accept()
        else:
            dialog.dismiss()

    plan.page.on("dialog", answer)
    at = plan.on_screen(*device.at)
    end = (device.at[0] + 2.0, device.at[1] + 1.0)
    plan.drag(device.at, end)
    expect(plan.said).to_contain_text("stays where it was", timeout=30_000)
    mark = plan.page.locator("#plan .mark.chosen").bounding_box()
    assert (mark["x"] + 22, mark["y"] + 22) == pytest.approx(at, abs=1.5)
    assert stored(job_id).revision == 1
    plan.drag(device.at, end)
    expect(plan.said).to_contain_text("is placed.", timeout=30_000)
    expect(plan.said).to_contain_text("on record")
    assert len(asked) == 2
    assert all(f"If {device.name} moves" in text and "no longer speak" in text for text in asked)
    assert device_of(stored(job_id), device.id).at == pytest.approx(end, abs=0.1)
    plan.page.get_by_role("button", name="Move it back").click()
    expect(plan.page.locator(".title-block")).to_contain_text("revision 3", timeout=30_000)
    assert device_of(stored(job_id), device.id).at == device.at
    assert len(asked) == 2
    expect(plan.page.get_by_role("button", name="Move it back")).to_be_hidden()


def test_a_refused_save_puts_the_thing_back_and_says_why(plan, added, stored, guard):
    job = house()
    job_id = added(job)
    device = next(d for d in job.site.devices if d.floor == FLOOR)
    plan.open(job_id, FLOOR).choose(f"device/{device.id}")
    at = plan.on_screen(*device.at)
    guard.away = True
    plan.page.route("**/place/**", lambda route: route.fulfill(status=403, body="no"))
    plan.drag(device.at, (device.at[0] + 1.5, device.at[1]))
    expect(plan.said).to_contain_text("was put back: the server did not save it")
    mark = plan.page.locator("#plan .mark.chosen").bounding_box()
    assert (mark["x"] + 22, mark["y"] + 22) == pytest.approx(at, abs=1.5)
    assert stored(job_id).revision == 1
    plan.page.unroute("**/place/**")
    plan.drag(device.at, (device.at[0] + 1.5, device.at[1]))
    expect(plan.said).to_contain_text("is placed.", timeout=30_000)


@pytest.mark.parametrize("lost", ["what was sent", "the answer"])
def test_a_move_without_an_answer_is_sent_until_there_is_one(lost, plan, added, stored, guard):
    job = house()
    job_id = added(job)
    device = next(d for d in job.site.devices if d.floor == FLOOR)
    plan.open(job_id, FLOOR).choose(f"device/{device.id}")
    end = (device.at[0] + 1.5, device.at[1])
    guard.away = True

    def lose(route):
        if lost == "the answer":
            route.fetch()
        route.abort()

    plan.page.route("**/place/**", lose)
    plan.drag(device.at, end)
    expect(plan.said).to_contain_text("it is not known whether the place", timeout=30_000)
    plan.page.unroute("**/place/**")
    expect(plan.said).to_contain_text("is placed.", timeout=30_000)
    assert stored(job_id).revision == 2
    assert device_of(stored(job_id), device.id).at == pytest.approx(end, abs=0.1)
    plan.drag(end, device.at)
    expect(plan.page.locator(".title-block")).to_contain_text("revision 3", timeout=30_000)


def test_two_who_move_the_same_thing_both_keep_their_side(plan, added, stored, browser, served,
                                                          sign_in):  # fmt: skip
    job = house()
    job_id = added(job)
    device, other = [d for d in job.site.devices if d.floor == FLOOR][:2]
    context = browser.new_context(base_url=served.url, viewport={"width": 1280, "height": 800})
    second = Plan(context.new_page(), touch=False)
    sign_in(second.page, "office")
    for each in (plan, second):
        each.open(job_id, FLOOR).choose(f"device/{device.id}")
    first_end = (device.at[0] + 1.0, device.at[1] + 0.5)
    plan.drag(device.at, first_end)
    expect(plan.said).to_contain_text("is placed.", timeout=30_000)
    second.drag(device.at, (device.at[0] + 2.0, device.at[1] + 1.0))
    second.page.wait_for_url("**/history/*/")
    expect(second.page.locator("main")).to_contain_text("Both are kept")
    now = stored(job_id)
    assert device_of(now, device.id).at == pytest.approx(first_end, abs=0.1)
    row = second.page.locator("tr", has_text=f"{device_of(now, device.id).at[0]:g}")
    expect(row.first).to_contain_text(f"{device.at[0]:g}")
    context.close()

    # Another thing, moved on a page that is behind, goes in beside what others did.
    behind = Plan(plan.page, touch=plan.touch).open(job_id, FLOOR)
    served.python(
        "import django; django.setup()\n"
        "from pathproof.web.jobs import store\n"
        "from pathproof.web.people.models import Person\n"
        "def named(job): return job.model_copy(update={'site': job.site.model_copy("
        "update={'reference': 'R-7'})})\n"
        f"store.save('{job_id}', named, based_on=2, by=Person.objects.get(username='office'), "
        "what='reference')"
    )
    behind.choose(f"device/{other.id}")
    behind.drag(other.at, (other.at[0] + 1.0, other.at[1]))
    expect(behind.page.locator(".said")).to_contain_text(f"{other.name} is placed.", timeout=30_000)
    now = stored(job_id)
    assert (now.site.reference, now.revision) == ("R-7", 4)
    assert device_of(now, other.id).at == pytest.approx((other.at[0] + 1.0, other.at[1]), abs=0.1)


def test_a_thing_is_moved_by_keyboard_alone(laptop, sign_in, added, stored):
    sign_in(laptop)
    plan = Plan(laptop, touch=False)
    job = house()
    job_id = added(job)
    device = next(d for d in job.site.devices if d.floor == FLOOR)
    plan.open(job_id, FLOOR)
    laptop.locator("#thing").focus()
    laptop.keyboard.type(laptop.locator(f'#thing option[value="device/{device.id}"]').inner_text())
    plan.settle()
    laptop.keyboard.press("Tab")
    assert laptop.evaluate("document.activeElement.id") == "plan"
    laptop.keyboard.press("ArrowRight")
    plan.settle()
    laptop.keyboard.press("Enter")
    expect(plan.said).to_contain_text("is placed.", timeout=30_000)
    now = device_of(stored(job_id), device.id).at
    assert now[0] > device.at[0] + 0.5
    assert now[1] == pytest.approx(device.at[1], abs=0.1)


# -- many things, and no script --------------------------------------------------------------------


def crowded() -> Job:
    """Some 300 devices on one storey of a clinic."""
    return generated_job(BuildingKind.CLINIC, devices=600)


def test_of_three_hundred_devices_each_can_be_had(plan, added):
    job = crowded()
    here = [d for d in job.site.devices if d.floor == "level_0"]
    assert len(here) >= 300
    job_id = added(job)
    plan.open(job_id, "level_0")
    assert len(plan.page.request.get(f"/jobs/{job_id}/survey/storeys/level_0/").body()) < 300_000
    expect(plan.page.locator("#plan .mark")).to_have_count(len(here))
    # Taps on one place have one thing after the other, until all that a finger covers were had.
    left, top = plan.on_screen(*here[0].at)
    centres = {d.id: math.dist((left, top), plan.on_screen(*d.at)) for d in here}
    near = {f"device/{name}" for name, far in centres.items() if far <= 21}
    assert len(near) > 1
    had = set()
    for _ in range(len(near) + 1):
        plan.tap_at(left, top)
        had.add(plan.page.locator("#thing").input_value())
    assert had >= near
    expect(plan.said).to_contain_text("things here; tap again for the next")
    # The list leads to a mark, which is then on top.
    for device in here[::60]:
        plan.choose(f"device/{device.id}")
        left, top = plan.on_screen(*device.at)
        chosen = plan.page.evaluate(
            "([x, y]) => document.elementFromPoint(x, y).closest('.mark')?.className", [left, top]
        )
        assert "chosen" in chosen, device.id


def test_without_script_the_list_and_its_forms_do_the_same(served, browser, sign_in, added, stored):
    job = house()
    job_id = added(job)
    context = browser.new_context(base_url=served.url, java_script_enabled=False)
    page = context.new_page()
    sign_in(page)
    page.goto(f"/jobs/{job_id}/survey/storeys/{FLOOR}/")
    while page.locator("#things").count() == 0:
        page.wait_for_timeout(500)
        page.reload()
    page.get_by_role("link", name="Extra").click()
    for name, value in (("x", "3.25"), ("y", "1.5"), ("height_m", "2.1")):
        page.locator(f"[name={name}]").fill(value)
    page.get_by_role("button", name="Save the place").click()
    expect(page.locator(".said")).to_contain_text("Extra is placed.")
    placed = device_of(stored(job_id), "extra")
    assert (placed.floor, placed.at, placed.height_m) == (FLOOR, (3.25, 1.5), 2.1)
    page.locator("#map-of").select_option("coverage")
    page.get_by_role("button", name="Show").click()
    expect(page.locator("img.cells")).to_be_visible()
    context.close()
