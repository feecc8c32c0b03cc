"""A real server and a real browser; the whole folder is skipped where there is no Chromium."""

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from pathproof.job import Job, dump_job, parse_job
from served import Served

from .plans import Plan

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]
SIZES = {"laptop": (1280, 800), "phone": (390, 844)}
PASSWORD = "long enough pw"
REFUSALS = tuple(f"status of {status}" for status in (403, 404, 405, 409, 422, 429))
"""What Chromium says on its console of pages that tell a person what to mend."""


ADD = """
import os
from pathlib import Path
import django
django.setup()
from pathproof.job import parse_job
from pathproof.web.jobs import store
from pathproof.web.people.models import Person
office = Person.objects.get(username="office")
job = parse_job(Path(os.environ['JOB']).read_bytes())
print(store.add_job(job, by=office, what="imported").pk)
"""
LOAD = """
import django
django.setup()
from pathproof.job import dump_job
from pathproof.web.jobs import store
print(dump_job(store.load("%s")))
"""


@pytest.fixture(scope="module")
def browser():
    """Debian's Chromium; one a module, since only one such session can be open at a time."""
    if CHROMIUM is None:
        pytest.skip("no Chromium here: apt install chromium (scripts/debian-packages)")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture(scope="session")
def _filled_home(tmp_path_factory) -> tuple[Path, list[str]]:
    folder = tmp_path_factory.mktemp("filled")
    served = Served(folder)
    served.python("from pathproof.web.serving.setup import set_up; set_up()\n"
                  "from pathproof.web.serving.ready import make_ready; make_ready()")  # fmt: skip
    return folder, served.fill()


@pytest.fixture(scope="module")
def served(browser, _filled_home, tmp_path_factory) -> Iterator[Served]:
    """A server of the module's own, with office, technician, the demo's job and an empty one."""
    filled, jobs = _filled_home
    server = Served(shutil.copytree(filled, tmp_path_factory.mktemp("home") / "home"))
    server.demo, server.plain = jobs
    server.start()
    yield server
    server.kill()


@pytest.fixture
def fresh(browser, tmp_path) -> Iterator[Served]:
    """A server with nobody in it yet."""
    server = Served(tmp_path)
    server.start()
    yield server
    server.kill()


@dataclass
class Guard:
    """What a page must not do: ask elsewhere, break its content policy, or fail."""

    allowed: str
    seen: list[str] = field(default_factory=list)
    away: bool = False
    """The server is away on purpose, so requests to it may fail."""

    def watch(self, page) -> None:
        page.on("request", lambda request: self._request(request.url))
        page.on("console", lambda message: self._console(message.type, message.text))
        page.on("pageerror", lambda error: self.seen.append(f"error: {error}"))

    def _request(self, url: str) -> None:
        if not url.startswith((self.allowed, "data:", "blob:", "about:")):
            self.seen.append(f"request to {url}")

    def _console(self, kind: str, text: str) -> None:
        refused = any(status in text for status in REFUSALS)
        lost = self.away and "net::ERR" in text
        if kind == "error" and not refused and not lost:
            self.seen.append(f"console: {text}")


@pytest.fixture
def guard(served) -> Iterator[Guard]:
    """Fails the test where a page did what it must not."""
    watching = Guard(served.url)
    yield watching
    assert watching.seen == []


@pytest.fixture(params=SIZES)
def page(request, browser, served, guard):
    """A page of the server at both sizes, guarded."""
    yield from _page(browser, served, guard, request.param)


@pytest.fixture
def laptop(browser, served, guard):
    """A page of the server at the larger size only, guarded."""
    yield from _page(browser, served, guard, "laptop")


@pytest.fixture
def phone(browser, served, guard):
    """A page of the server on a phone only, guarded."""
    yield from _page(browser, served, guard, "phone")


def _page(browser, served, guard, size):
    width, height = SIZES[size]
    context = browser.new_context(
        base_url=served.url,
        viewport={"width": width, "height": height},
        has_touch=size == "phone",
        is_mobile=size == "phone",
    )
    context.set_default_timeout(15_000)
    opened = context.new_page()
    guard.watch(opened)
    yield opened
    context.close()


@pytest.fixture
def sign_in() -> Callable[..., None]:
    """Signs somebody in: `sign_in(page, "tech")`."""

    def signed_in(page, username="tech"):
        page.goto("/sign-in/")
        page.locator("[name=username]").fill(username)
        page.locator("[name=password]").fill(PASSWORD)
        page.locator("form button").first.click()
        page.wait_for_url(lambda url: "/sign-in/" not in url)

    return signed_in


def _focused(field) -> bool:
    return field.evaluate("field => field === document.activeElement")


@dataclass
class Hands:
    """Works a page as a person does, and counts taps and groups of keystrokes."""

    taps: int = 0
    groups: int = 0

    @property
    def count(self) -> int:
        return self.taps + self.groups

    def tap(self, thing) -> None:
        """A tap on something."""
        thing.click()
        self.taps += 1

    def type(self, field, text: str) -> None:
        """One group of keystrokes, typed or pasted, after a tap into the field if it needs one."""
        if not _focused(field):
            self.tap(field)
        field.fill(text)
        self.groups += 1

    def next(self, field, text: str) -> None:
        """One group: the key that leads from one field to the next, and what is typed there."""
        field.page.keyboard.press("Tab")
        assert _focused(field), field
        field.fill(text)
        self.groups += 1

    def choose(self, field, value: str) -> None:
        """A choice out of a list: a tap that opens it and one that takes."""
        field.focus()
        field.select_option(value)
        self.taps += 2


@pytest.fixture
def hands() -> Hands:
    return Hands()


@pytest.fixture
def plan(page, sign_in) -> Plan:
    sign_in(page)
    return Plan(page, touch=page.viewport_size["width"] < 500)


@pytest.fixture
def added(served, tmp_path) -> Callable[[Job], str]:
    """Puts a job in; gives its id."""

    def put(job: Job) -> str:
        file = tmp_path / "job.json"
        file.write_text(dump_job(job), "utf-8")
        return served.python(ADD, JOB=str(file)).strip()

    return put


@pytest.fixture
def stored(served) -> Callable[[str], Job]:
    """A job as it is in the store now."""
    return lambda job_id: parse_job(served.python(LOAD % job_id))
