"""What must hold for the power of any site: loads, battery, supply, cables, cells and dates."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from pathproof.assess import Assessment, Link, assess
from pathproof.assess.judge import WORST_FIRST
from pathproof.job import Job, embed, shipped
from pathproof.job.fingerprint import Fingerprints
from pathproof.terms import Word

NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
TODAY = NOW.date()
SOURCE = {"ref": "Invented for the tests", "evidence": "practice"}
LIBRARY = shipped()
WITHIN_ROUNDING = 1e-9

currents_a = st.floats(0.0, 0.3)
loads = st.lists(st.tuples(currents_a, currents_a), max_size=4)
more_loads = st.lists(st.tuples(currents_a, currents_a), min_size=1, max_size=3)
capacities_ah = st.floats(1.0, 40.0)
temperatures_degc = st.floats(-3.0, 50.0)
lengths_m = st.floats(1.0, 200.0)
kinds = st.sampled_from(["mains_recharged", "mains_not_recharged", "battery_only"])
dates = st.dates(date(2000, 1, 1), date(2040, 1, 1))
past_dates = st.dates(date(2000, 1, 1), TODAY)
some = settings(max_examples=40, deadline=None)


def _part(kind: str, part_id: str, **figures: Any) -> dict[str, Any]:
    return {"kind": kind, "id": part_id, "name": part_id, "source": SOURCE, **figures}


def _job(
    wired: list[tuple[float, float]],
    *,
    capacity_ah: float = 7.0,
    battery: dict[str, Any] | None = None,
    kind: str = "mains_recharged",
    cables: list[dict[str, Any]] | None = None,
    devices: list[dict[str, Any]] | None = None,
    parts: list[dict[str, Any]] | None = None,
) -> Job:
    """A panel with so many wired devices, by standby and alarm current each."""
    catalogue = [
        _part("panel", "board", standby_current_a=0.1, alarm_current_a=0.4, minimum_v=9.6),
        _part(
            "supply", "psu", types=[kind], output_v=13.8, average_a=1.0, peak_a=2.0, charge_a=0.5
        ),
        _part(
            "battery",
            "block",
            chemistry="lead_acid",
            nominal_v=12.0,
            capacity_ah=capacity_ah,
            peukert=1.15,
            life_years=5.0,
            internal_resistance_ohm=0.025,
            end_v=10.5,
        ),
        _part("cable", "thin", area_mm2=0.5),
        _part("cable", "thick", area_mm2=1.5),
        *(
            _part("detector", f"w{i}", what="other", standby_current_a=idle, alarm_current_a=alarm)
            for i, (idle, alarm) in enumerate(wired)
        ),
        *(parts or []),
    ]
    site = {
        "name": "Test",
        "panel": {"part": "board"},
        "devices": [
            *({"id": f"W{i}", "name": f"W{i}", "part": f"w{i}"} for i in range(len(wired))),
            *(devices or []),
        ],
        "supply": {"part": "psu", "kind": kind},
        "battery": {"part": "block", "temperature_degc": 25.0, **(battery or {})},
        "cables": cables or [],
    }
    data = {"site": site, "embedded": {"catalogue": {p["id"]: p for p in catalogue}}}
    return embed(Job.model_validate(data), LIBRARY)


def _answer(job: Job) -> Assessment:
    return assess(job, NOW)


def _no_better(link: Link, than: Link) -> None:
    assert WORST_FIRST.index(link.word) <= WORST_FIRST.index(than.word), (link.why, than.why)


def _no_longer(job: Job, than: Job) -> None:
    one, other = (_answer(j).link("standby") for j in (job, than))
    _no_better(one, other)
    if one.margin is not None and other.margin is not None:
        assert (one.margin.unit, other.margin.unit) == ("h", "h")
        assert one.margin.value <= other.margin.value + WITHIN_ROUNDING


@some
@given(loads, more_loads, capacities_ah, kinds, temperatures_degc)
def test_adding_any_load_never_makes_standby_longer_or_supply_better(
    wired: list[tuple[float, float]],
    added: list[tuple[float, float]],
    capacity_ah: float,
    kind: str,
    degc: float,
) -> None:
    figures: dict[str, Any] = {
        "capacity_ah": capacity_ah,
        "kind": kind,
        "battery": {"temperature_degc": degc},
    }
    before, after = _job(wired, **figures), _job([*wired, *added], **figures)
    _no_longer(after, before)
    _no_better(_answer(after).link("supply"), _answer(before).link("supply"))


@some
@given(loads, capacities_ah, st.floats(1.0, 4.0), st.integers(1, 3))
def test_a_larger_battery_or_another_beside_it_never_lasts_shorter(
    wired: list[tuple[float, float]], capacity_ah: float, times: float, count: int
) -> None:
    one = _job(wired, capacity_ah=capacity_ah)
    _no_longer(one, _job(wired, capacity_ah=capacity_ah * times))
    _no_longer(one, _job(wired, capacity_ah=capacity_ah, battery={"count": count}))


@some
@given(loads, capacities_ah, temperatures_degc, temperatures_degc)
def test_colder_never_lasts_longer(
    wired: list[tuple[float, float]], capacity_ah: float, one: float, other: float
) -> None:
    cold, warm = (
        _job(wired, capacity_ah=capacity_ah, battery={"temperature_degc": degc})
        for degc in sorted((one, other))
    )
    _no_longer(cold, warm)


@some
@given(more_loads, lengths_m, st.floats(1.0, 5.0), temperatures_degc, temperatures_degc)
def test_a_longer_thinner_or_hotter_cable_never_helps(
    wired: list[tuple[float, float]], length_m: float, times: float, one: float, other: float
) -> None:
    cool, hot = sorted((one, other))

    def supply(part: str, metres: float, degc: float) -> Link:
        run = {"id": "run", "part": part, "to": "W0", "length_m": metres, "temperature_degc": degc}
        return _answer(_job(wired, cables=[run])).link("supply")

    best = supply("thick", length_m, cool)
    _no_better(supply("thin", length_m, cool), best)
    _no_better(supply("thick", length_m * times, cool), best)
    _no_better(supply("thick", length_m, hot), best)


@some
@given(loads, more_loads)
def test_a_load_added_voids_what_a_supply_test_showed(
    wired: list[tuple[float, float]], added: list[tuple[float, float]]
) -> None:
    before, after = _job(wired, capacity_ah=40.0), _job([*wired, *added], capacity_ah=40.0)
    prints = Fingerprints(before)
    test = {
        "id": "t1",
        "kind": "supply_test",
        "about": ["panel"],
        "at": "2026-11-20T10:00:00+00:00",
        "by": "A. Tester",
        "values": {
            "standby_current_a": 0.1 + sum(idle for idle, _ in wired),
            "alarm_current_a": 0.4 + sum(alarm for _, alarm in wired),
            "loaded_v": 12.3,
            "loaded_minutes": 15.0,
            "charger_v": 13.7,
            "battery_date": "2026-06-01",
        },
        "fits": {name: prints.of(name) for name in ("supply", "standby")},
    }
    tested, added_to = (
        Job.model_validate(job.model_dump(mode="json") | {"record": [test]})
        for job in (before, after)
    )
    assert _answer(tested).link("standby").word is Word.PROVEN
    for name in ("standby", "supply"):
        link = _answer(added_to).link(name)
        assert link.word is not Word.PROVEN
        assert link.evidence == ()


cell_figures = st.fixed_dictionaries(
    {
        "capacity_ah": st.floats(0.1, 12.0),
        "sleep_current_a": st.floats(1e-7, 1e-3),
        "message_current_a": st.floats(1e-3, 0.1),
        "message_s": st.floats(0.01, 1.0),
    }
)


def _wireless(part_id: str, cell: dict[str, Any], interval_s: float) -> dict[str, Any]:
    radio = {"family": "f868", "frequency_hz": 868.42e6, "eirp_dbm": 0.0}
    cell = {"designation": "CR17345", **cell}
    figures = {"radio": radio, "cell": cell, "supervision_interval_s": interval_s}
    return _part("detector", part_id, what="contact", **figures)


def _device(device_id: str, part: str, fitted_on: date | None) -> dict[str, Any]:
    on = {} if fitted_on is None else {"cells_fitted_on": fitted_on.isoformat()}
    return {"id": device_id, "name": device_id, "part": part, **on}


@some
@given(cell_figures, st.floats(60.0, 86400.0), st.floats(1.0, 10.0), past_dates)
def test_more_use_never_makes_cells_last_longer(
    cell: dict[str, Any], interval_s: float, times: float, fitted_on: date
) -> None:
    used_more = [
        _wireless("busier", cell, interval_s / times if interval_s / times > 1.0 else interval_s),
        _wireless("sleepless", cell | {"sleep_current_a": 1e-3}, interval_s),
        _wireless("smaller", cell | {"capacity_ah": cell["capacity_ah"] / times}, interval_s),
    ]
    parts = [_wireless("plain", cell, interval_s), *used_more]
    devices = [_device(p["id"], p["id"], fitted_on) for p in parts]
    found = {r.things[0]: r for r in _answer(_job([], parts=parts, devices=devices)).replacements}
    plain = found["plain"].due
    assert plain is not None
    assert fitted_on <= plain <= fitted_on.replace(year=fitted_on.year + 10, day=1) + timedelta(31)
    for part in used_more:
        due = found[part["id"]].due
        assert due is not None
        assert due <= plain


@some
@given(
    st.lists(st.tuples(st.integers(0, 2), st.none() | dates), max_size=12, unique=False),
    st.none() | dates,
    st.randoms(use_true_random=False),
)
def test_every_device_is_in_one_row_whatever_the_order(
    things: list[tuple[int, date | None]], battery_on: date | None, random: Any
) -> None:
    cell = {
        "capacity_ah": 1.4,
        "sleep_current_a": 5e-6,
        "message_current_a": 0.02,
        "message_s": 0.1,
    }
    parts = [
        _wireless(f"p{i}", cell | {"sleep_current_a": 10.0**-i * 1e-4}, 900.0) for i in range(3)
    ]
    devices = [_device(f"D{i}", f"p{p}", on) for i, (p, on) in enumerate(things)]
    battery = {} if battery_on is None else {"fitted_on": battery_on.isoformat()}
    rows = _answer(_job([], parts=parts, devices=devices, battery=battery)).replacements
    named = [t for r in rows for t in r.things]
    assert sorted(named) == sorted([*(d["id"] for d in devices), "panel"])
    dues = [r.due for r in rows if r.due is not None]
    assert dues == sorted(dues)
    assert all(r.due is None for r in rows[len(dues) :])
    assert all(r.overdue == (r.due is not None and r.due < TODAY) for r in rows)
    random.shuffle(devices)
    again = _answer(_job([], parts=parts, devices=devices, battery=battery)).replacements
    assert [(r.id, sorted(r.things), r.due) for r in again] == [
        (r.id, sorted(r.things), r.due) for r in rows
    ]


@some
@given(dates, dates, dates)
def test_what_is_overdue_stays_so(battery_on: date, one: date, other: date) -> None:
    job = _job([], battery={"fitted_on": battery_on.isoformat()})
    early, late = (
        assess(job, datetime(d.year, d.month, d.day, tzinfo=UTC)).replacements[0]
        for d in sorted((one, other))
    )
    assert early.due in (late.due, None)  # none before the battery was fitted
    assert late.overdue or not early.overdue
