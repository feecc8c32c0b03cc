"""What the tests of the plan share: jobs, what an assessment says of them, and hands on a plan."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime

from playwright.sync_api import Page, expect

from pathproof.assess import assess
from pathproof.job import Device, Job, links
from pathproof.simulate.buildings import BuildingKind, generated_job

NEW = "device/extra"
FLOOR = "ground"
MARGIN = re.compile(r"predicted ([0-9.]+) dB (short of|over) the odds")
PLACE = re.compile(r"x (\u2212?\d+\.\d\d), y (\u2212?\d+\.\d\d) m")


def house() -> Job:
    """Twelve devices on two storeys, and one that hangs nowhere yet."""
    job = generated_job(BuildingKind.HOUSE, devices=12)
    extra = Device(id="extra", name="Extra", part=job.site.devices[0].part)
    return with_devices(job, [*job.site.devices, extra])


def with_devices(job: Job, devices: list[Device]) -> Job:
    return job.model_copy(update={"site": job.site.model_copy(update={"devices": devices})})


def moved(job: Job, device: str, at: tuple[float, float]) -> Job:
    """The job with one device elsewhere on its storey, by hand."""
    return with_devices(
        job,
        [d.model_copy(update={"at": at}) if d.id == device else d for d in job.site.devices],
    )


def with_panel_at(job: Job, floor: str, at: tuple[float, float]) -> Job:
    assert job.site.panel is not None
    panel = job.site.panel.model_copy(update={"floor": floor, "at": at})
    return job.model_copy(update={"site": job.site.model_copy(update={"panel": panel})})


def margins_db(job: Job) -> dict[str, float]:
    """Margin of every device's link to the panel, as an assessment has it. [dB]"""
    assessment = assess(job, datetime.now(UTC), leave_out_later=True)
    found = {}
    for device in job.site.devices:
        for link in assessment.links:
            if link.id == links.radio(device.id, "panel") and link.margin is not None:
                found[device.id] = link.margin.value
    return found


def number(text: str) -> float:
    return float(text.replace("\u2212", "-"))


def place_said(text: str) -> tuple[float, float]:
    x, y = PLACE.search(text).groups()
    return number(x), number(y)


def margin_said(text: str) -> float:
    figure, against = MARGIN.search(text).groups()
    return -float(figure) if against == "short of" else float(figure)


def device_of(job: Job, device: str) -> Device:
    return next(d for d in job.site.devices if d.id == device)


@dataclass
class Plan:
    """The plan on a page, worked by finger on a phone and by mouse elsewhere."""

    page: Page
    touch: bool

    def open(self, job_id: str, floor: str = "", what: str = "") -> "Plan":
        storey = f"storeys/{floor}/" if floor else ""
        self.page.goto(f"/jobs/{job_id}/survey/{storey}" + (f"?map={what}" if what else ""))
        expect(self.page.locator("#plan img.leaflet-image-layer").first).to_be_visible(
            timeout=60_000
        )
        self.page.locator("#plan").evaluate("plan => plan.scrollIntoView()")
        if what:
            self.wait_for_map()
        return self

    def wait_for_map(self) -> None:
        expect(self.page.locator("#legend li")).not_to_have_count(0, timeout=60_000)

    @property
    def said(self):
        return self.page.locator("#under")

    def mark(self, title: str):
        return self.page.locator(f'#plan .mark[title="{title}"]')

    def width(self) -> float:
        """Of the drawing, on the screen. [px]"""
        return self.page.locator("#plan img.leaflet-image-layer").first.bounding_box()["width"]

    def on_screen(self, x: float, y: float) -> tuple[float, float]:
        """Where a place of the site is on the screen, by the corners of the drawing."""
        corners = self.page.locator("#plan").get_attribute("data-corners")
        x0, y0, x1, y1 = map(float, corners.split())
        box = self.page.locator("#plan img.leaflet-image-layer").first.bounding_box()
        across, up = (x - x0) / (x1 - x0), (y - y0) / (y1 - y0)
        return box["x"] + across * box["width"], box["y"] + (1 - up) * box["height"]

    def choose(self, thing: str) -> None:
        self.page.locator("#thing").select_option(thing)
        self.settle()

    def settle(self) -> None:
        """Until the plan stands still."""
        plan = self.page.locator("#plan")
        expect(plan).not_to_have_class(re.compile("leaflet-zoom-anim.*leaflet-pan-anim"))
        last = None
        while (now := self.page.locator("#plan img.leaflet-image-layer").first.bounding_box()) != (
            last
        ):
            last = now
            self.page.wait_for_timeout(150)

    def tap(self, x: float, y: float) -> None:
        self.tap_at(*self.on_screen(x, y))

    def tap_at(self, left: float, top: float) -> None:
        if self.touch:
            self.page.touchscreen.tap(left, top)
        else:
            self.page.mouse.click(left, top)

    def drag(
        self,
        start: tuple[float, float],
        end: tuple[float, float],
        on_the_way: Callable[[], None] = lambda: None,
    ) -> None:
        """From one place of the site to another; `on_the_way` runs before it is let go."""
        first, last = self.on_screen(*start), self.on_screen(*end)
        way = [tuple(a + (b - a) * n / 8 for a, b in zip(first, last, strict=True))
               for n in range(9)]  # fmt: skip
        press, move, release = self._finger() if self.touch else self._mouse()
        press(*way[0])
        for point in way[1:]:
            move(*point)
        on_the_way()
        release()

    def _mouse(self):
        mouse = self.page.mouse

        def press(left, top):
            mouse.move(left, top)
            mouse.down()

        return press, mouse.move, mouse.up

    def _finger(self):
        session = self.page.context.new_cdp_session(self.page)

        def send(kind, *points):
            session.send("Input.dispatchTouchEvent", {
                "type": kind, "touchPoints": [{"x": x, "y": y} for x, y in points]
            })  # fmt: skip

        return (
            lambda x, y: send("touchStart", (x, y)),
            lambda x, y: send("touchMove", (x, y)),
            lambda: send("touchEnd"),
        )

    def pinch(self, scale: float) -> None:
        """Two fingers around the middle of the plan, apart."""
        box = self.page.locator("#plan").bounding_box()
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        session = self.page.context.new_cdp_session(self.page)
        for step in range(10):
            apart = 30 * (1 + (scale - 1) * step / 9)
            session.send("Input.dispatchTouchEvent", {
                "type": "touchMove" if step else "touchStart",
                "touchPoints": [{"x": x + (2 * n - 1) * apart, "y": y, "id": n} for n in (0, 1)],
            })  # fmt: skip
        session.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        self.settle()
