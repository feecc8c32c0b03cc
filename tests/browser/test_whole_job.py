"""A whole job without a plan, in a browser: from signing in to the paper, with its taps counted.

An invented joinery with twelve devices. What is counted: every tap, and every group of keystrokes,
which is one field typed or pasted. A field that the key for the next field leads to costs its group
alone; that the key does lead there is part of the test. A choice out of a list costs two taps. The
pages' own waiting costs nothing.

Figures that are asserted come from outside: the levels from the code table of 3GPP TS 27.007
(+CESQ: code 53 of RSRP is -88 dBm or more and below -87 dBm), the delays from the times that the
test itself types and pastes, the check digits of module and card from their published methods by
python-stdnum.
"""

import re
import sys
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pymupdf
import pytest
from playwright.sync_api import expect
from stdnum import luhn

from .conftest import PASSWORD

MOST = 120
"""Taps and groups that the whole job may take."""
NAME = "Tannert joinery"
DEVICES = (
    ("door contact", "Front door", "9 m, 1 brick", "134"),
    ("door contact", "Workshop door", "14 m, 2 brick", "134"),
    ("door contact", "Yard door", "11 m, 1 brick", "131"),
    ("motion", "Shop", "6 m, 1 plasterboard", "132"),
    ("motion", "Workshop", "12 m, 2 brick", "132"),
    ("motion", "Wood store", "17 m, 2 brick", "132"),
    ("motion", "Office", "4 m", "132"),
    ("motion", "Landing", "7 m, 1 floor", "132"),
    ("glass break", "Shop window", "8 m, 1 plasterboard", "131"),
    ("shock", "Roller shutter", "16 m, 2 brick", "131"),
    ("smoke", "Varnish room", "13 m, 2 brick", "111"),
    ("hold-up", "Counter", "6 m, 1 plasterboard", "120"),
)
"""What, where, how far and what stands between, and the code agreed on for its alarm."""
LISTED = "\n".join(f"{what}, {where}, {far}" for what, where, far, _ in DEVICES)
IMEI = "00101700004201" + luhn.calc_check_digit("00101700004201")
CARD = "899997000120073451" + luhn.calc_check_digit("899997000120073451")
SPENT_S = (6, 5, 5, 6, 4, 5, 4, 3, 4, 3, 3, 2)
"""From each device's trip to the line in the centre's list. [s]"""
LEVEL_DBM = (-88.0, -87.0)
NEED_DBM = -115.0 + 10.0
"""LTE's need and the fade margin of the shipped profile, as its page shows them. [dBm]"""


def log_of_the_module(now: datetime) -> str:
    """Half an hour of answers, a minute apart, up to ten minutes ago."""
    start = now - timedelta(minutes=40)
    return "\n".join(
        f"{start + timedelta(minutes=n):%Y-%m-%d %H:%M:%S} +CESQ: 99,99,255,255,23,53"
        for n in range(31)
    )


def list_of_the_centre(tripped: list[datetime]) -> tuple[str, datetime]:
    """The centre's list, under headings that tell a stranger nothing; and its last moment."""
    seen = [at + timedelta(seconds=spent) for at, spent in zip(tripped, SPENT_S, strict=True)]
    lines = [
        f"{where};{n:03};{at:%Y-%m-%d %H:%M:%S};{code};01;4711"
        for n, ((_, where, _, code), at) in enumerate(zip(DEVICES, seen, strict=True), start=1)
    ]
    return "\n".join(["K1;K2;K3;K4;K5;K6", *lines]), max(seen)


class Work:
    """A person's work on one job, page by page, with counted hands."""

    def __init__(self, page, hands) -> None:
        self.page, self.hands = page, hands
        self.main = page.locator("main")

    def sign_in(self) -> None:
        self.page.goto("/")
        self.type(username="tech", password=PASSWORD)
        self.press("Sign in")
        expect(self.page).to_have_title("Jobs · Pathproof")

    def new_job(self) -> None:
        self.go("New job")
        self.zone = ZoneInfo(self.field("time_zone").input_value())
        self.type(name=NAME)
        self.type(devices=LISTED)
        expect(self.field("communicator")).to_have_value("lte_cat1_module")  # as is proposed
        self.press("Make the job")
        expect(self.main.locator("h1")).to_have_text(NAME)

    def agree_on_codes(self) -> None:
        self.stage("Specify")
        self.go("Change the codes")
        self.type(**{f"zones.z{n}.event": code for n, (*_, code) in enumerate(DEVICES, start=1)})
        self.save("Save")

    def agree_on_networks_and_reporting(self) -> None:
        self.go("Antenna")
        self.go("Add the first network")
        self.type(mcc_mnc="001-01", label="Net one")
        self.hands.tap(self.main.locator("[name=technologies][value=lte]"))
        self.save("Add")
        self.go("Power")
        self.go("Say how")
        self.type(interval_s="300", misses="2", timeout_s="60")
        self.save("Add")

    def prepare(self) -> None:
        self.stage("Prepare")
        numbers = self.form("/numbers/")
        self.type(numbers, **{"module-imei": IMEI})
        self.hands.choose(self.field("module-kind", numbers), "fixed")
        self.hands.next(self.field("module-iccid", numbers), CARD)
        self.type(numbers, **{"module-account": "4711", "module-centre": "Watch room at Ostrain"})
        self.save("Save the numbers")
        self.hands.choose(self.field("module-state-state"), "on_test")
        self.save("Put it on record")
        expect(self.main).to_contain_text("on test, now")

    def read_the_mobile_level(self) -> None:
        self.open("Record a mobile reading")
        form = self.form("/evidence/reading/")
        self.type(form, shows=log_of_the_module(datetime.now(self.zone)))
        self.hands.choose(self.field("network", form), "001-01")
        self.hands.choose(self.field("technology", form), "lte")
        self.hands.tap(self.field("final_antenna", form))
        self.hands.tap(self.field("lid_shut", form))
        self.hands.next(self.field("minutes_since_registration", form), "10")
        self.save("Put it on record", form)

    def walk_test_all(self) -> None:
        self.go("Walk-test many")
        self.type(in_hand_db="6")
        self.hands.tap(self.field("lid_shut"))
        self.hands.tap(self.field("final_place"))
        self.type(**{name: "5" for name in self.names("received-")})
        self.save("Put them on record")

    def trip_all(self) -> list[datetime]:
        """Trip each device and take the moment by a tap; gives these moments."""
        self.go("Paste the centre's list")
        self.open("Note when you trip each")
        return [self.trip(where) for _, where, *_ in DEVICES]

    def trip(self, where: str) -> datetime:
        row = self.main.get_by_label(f"{where}: alarm", exact=True)
        self.hands.tap(self.main.get_by_role("button", name=f"{where}: alarm: now", exact=True))
        now = datetime.now(self.zone)
        at = datetime.combine(now, time.fromisoformat(row.input_value()), tzinfo=self.zone)
        return at if at <= now else at - timedelta(days=1)

    def paste_the_list(self, tripped: list[datetime]) -> None:
        text, last = list_of_the_centre(tripped)
        self.page.wait_for_function("last => Date.now() > last", arg=last.timestamp() * 1000)
        self.type(text=text)
        self.press("Read the list")
        self.open("Which column holds what")
        self.hands.choose(self.field("column-text"), "1")
        self.press("Match the lines")
        expect(self.field("column-text")).to_be_hidden()  # folded again: matched anew
        expect(self.main).to_contain_text("12 signals of this site")
        self.save("Put the ticked ones on record")

    def test_the_supply(self) -> None:
        self.open("Record a supply test")
        form = self.form("/evidence/supply_test/")
        self.type(
            form,
            standby_current_a="0.131",
            alarm_current_a="0.402",
            loaded_v="12.4",
            loaded_minutes="15",
            charger_v="13.7",
            battery_date=f"{datetime.now(UTC) - timedelta(days=30):%Y-%m-%d}",
        )
        self.save("Put it on record", form)

    def get_the_paper(self) -> bytes:
        self.stage("Hand over")
        self.hands.tap(self.main.get_by_role("button", name="Make Design assessment", exact=True))
        with self.page.expect_download(timeout=60_000) as download:
            self.go("Design assessment of revision")
        return download.value.path().read_bytes()

    def says(self, **words: str) -> dict[str, str]:
        """Wait until the site's strip has those words; gives the margins under them."""
        margins = {}
        for link, word in words.items():
            part = self.main.locator(f"section.site .strip .seg:has-text('{link} {word}:')")
            expect(part).to_have_class(re.compile(rf"\b{word}\b"))
            margins[link] = part.inner_text().rpartition(":")[2].strip()
        return margins

    # ---- What the hands do

    def form(self, action: str):
        return self.main.locator(f"form[action$='{action}']:visible")

    def field(self, name: str, within=None):
        return (within or self.main).locator(f"[name='{name}']:not([type=hidden])")

    def names(self, start: str, *, visible: bool = False) -> list[str]:
        """Names of the fields that start so, in their order."""
        found = self.main.locator(f"input[name^='{start}']{':visible' if visible else ''}")
        return [field.get_attribute("name") for field in found.all()]

    def type(self, within=None, **texts: str) -> None:
        """Fill fields that stand in a row: a tap into the first, the key to each of the others."""
        (first, text), *others = texts.items()
        self.hands.type(self.field(first, within), text)
        for name, text in others:
            self.hands.next(self.field(name, within), text)

    def go(self, text: str) -> None:
        self.hands.tap(self.main.get_by_role("link", name=text).first)

    def stage(self, name: str) -> None:
        stages = self.page.get_by_role("navigation", name="Stages")
        self.hands.tap(stages.get_by_role("link", name=name))

    def open(self, text: str) -> None:
        self.hands.tap(self.main.locator("summary", has_text=text))

    def press(self, text: str, within=None) -> None:
        self.hands.tap((within or self.main).get_by_role("button", name=text))

    def save(self, text: str, within=None) -> None:
        """Press, and wait for the next revision."""
        block = self.main.locator(".title-block")
        before = block.inner_text()
        self.press(text, within)
        expect(block).not_to_have_text(before, timeout=60_000)


def text_of(pdf: bytes) -> str:
    with pymupdf.open(stream=pdf, filetype="pdf") as document:
        return " ".join(" ".join(page.get_text() for page in document).split())


@pytest.fixture
def tell(capsys):
    """Says a line among what the tests say, whatever else is caught."""

    def told(line: str) -> None:
        with capsys.disabled():
            sys.stdout.write(f"\n{line}\n")

    return told


def test_from_sign_in_to_paper(page, hands, tell):
    work = Work(page, hands)
    work.sign_in()
    work.new_job()
    work.says(radio="predicted", mobile="undecided", supply="predicted", standby="predicted")
    work.agree_on_codes()
    work.agree_on_networks_and_reporting()
    work.prepare()
    work.stage("Prove")

    work.read_the_mobile_level()
    margin_db = work.says(radio="predicted", mobile="proven")["mobile"]
    low, high = (level - NEED_DBM for level in LEVEL_DBM)
    assert low <= float(margin_db.removesuffix(" dB")) <= high

    work.walk_test_all()
    work.says(radio="proven", supply="predicted", standby="predicted")
    expect(page.locator("article.row", has_text="Front door")).to_contain_text("not yet seen")

    work.paste_the_list(work.trip_all())
    for (_, where, *_), spent in zip(DEVICES, SPENT_S, strict=True):
        expect(page.locator("#told")).to_contain_text(
            f"{where}: alarm: at the centre after {spent} s with the right code and zone"
        )

    work.test_the_supply()
    work.says(radio="proven", mobile="proven", supply="proven", standby="proven")

    paper = text_of(work.get_the_paper())
    for told in (
        NAME,
        "12 of 12 devices reach the panel: 12 shown by test",
        *(where for _, where, *_ in DEVICES),
    ):
        assert told in paper, told
    tell(f"{hands.count} taps and groups: {hands.taps} taps, {hands.groups} groups")
    assert hands.count <= MOST
