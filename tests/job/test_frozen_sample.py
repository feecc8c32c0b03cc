"""Format version 1 keeps reading for ever: its samples in tests/data are never written anew.

`job_v1.json` is what the format was at first; `job_v1_underlay.json`, `job_v1_retirements.json`,
`job_v1_communicator.json` and `job_v1_power.json` hold the fields added since.
"""

import json
import re
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest

from pathproof.job import (
    AntennaPart,
    CommunicatorPart,
    DetectorPart,
    InstrumentPart,
    Job,
    Library,
    PanelPart,
    ServicePart,
    content_hash,
    dump_job,
    parse_job,
    read_job,
)
from pathproof.job.fingerprint import Fingerprints
from pathproof.job.record import EventEntry, ReadingEntry, SupplyTestEntry, WalkEntry
from pathproof.job.schema import job_schema
from pathproof.terms import (
    AccountState,
    AntennaPlace,
    DeviceKind,
    EventMeans,
    Evidence,
    LimitName,
    Material,
    Mounting,
    Quantity,
    RecordKind,
    SignalKind,
    SimKind,
    SupplyKind,
    Technology,
    UnderlayKind,
    ZoneKind,
)


def test_reads_without_any_library_and_was_not_changed(sample_path: Path) -> None:
    job = read_job(sample_path, Library())
    assert job.revision == 7
    assert job.hash == "3cc1c10b7caa527b447e881d28d13d1ff2e01365a7a89639ad32baeb6eaa1467"
    assert content_hash(job) == job.hash
    assert not job.changed_outside


def test_site(sample: Job) -> None:
    site = sample.site
    assert (site.name, site.reference) == ("Tierpraxis Kiebitzweg", "KW-2026-014")
    assert (site.country, site.time_zone, site.currency) == ("XA", "Europe/Vienna", "CHF")
    assert (site.profile, site.service_life_years) == ("practice_plus", 12.0)
    assert site.plan_origin_m == (4512.25, -310.5)
    upper = site.floors[1]
    assert (upper.name, upper.elevation_m, upper.height_m) == ("Obergeschoß", 3.0, 2.6)
    assert site.floors[0].slabs[0].outline is None
    assert upper.slabs[0].holes == [[(5.0, 6.0), (7.0, 6.0), (7.0, 8.0), (5.0, 8.0)]]
    assert [w.id for w in site.walls][4:] == ["w_middle", "w_upper"]
    assert (site.walls[4].base_m, site.walls[4].top_m, site.walls[0].top_m) == (0.0, 2.7, None)
    door, window = site.walls[0].openings
    assert (door.offset_m, door.width_m, door.sill_m, door.head_m) == (1.0, 0.9, 0.0, 2.05)
    assert (window.sill_m, window.construction) == (0.9, "glazing_coated")
    assert site.walls[4].openings[0].construction is None
    assert [layer.material for layer in site.constructions["brick_250"].layers] == [
        Material.PLASTERBOARD,
        Material.BRICK,
        Material.PLASTERBOARD,
    ]
    assert site.constructions["unknown_wall"].fixed_loss_db == 6.9
    assert site.constructions["unknown_wall"].guessed
    assert (site.partitions[1].number, site.zones[3].number) == (2, 11)
    assert (site.zones[0].kind, site.zones[0].event) == (ZoneKind.ENTRY_EXIT, "E134")
    assert site.zones[4].event is None


def test_what_is_fitted(sample: Job) -> None:
    site = sample.site
    door, ward, _, button, shed, store = site.devices
    assert (door.part, door.zone, door.floor, door.at) == (
        "kw_contact",
        "z_entrance",
        "ground",
        (1.5, 0.1),
    )
    assert (ward.mounting, ward.height_m) == (Mounting.MASONRY, 2.3)
    assert (button.carried, door.carried) == (True, False)
    assert shed.at is None
    assert shed.height_m == 2.0
    assert shed.between is not None
    assert shed.between.walls == {"brick_250": 1, "metal_sheet": 1}
    assert (shed.between.distance_m, shed.between.floors) == (24.0, 1)
    assert shed.between_repeaters["attic"].distance_m == 15.0
    assert store.part == "wired_glass"
    assert site.panel is not None
    assert (site.panel.part, site.panel.near_electronics) == ("kw_panel", True)
    assert site.panel.candidates[0].at == (3.0, 3.0)
    assert (site.repeaters[0].id, site.spots[1].at) == ("attic", None)
    assert site.networks[0].technologies == [Technology.LTE, Technology.LTE_M]
    module, second = site.communicators
    assert module.sim is not None
    assert (module.sim.kind, module.sim.networks) == (SimKind.STEERED, ["001-01", "999-002"])
    assert (module.sim.iccid, module.imei) == ("8900000000000000006", "260531793113837")
    assert (module.account, module.state) == ("04A7", AccountState.ON_TEST)
    assert (module.antenna, module.spot) == ("kw_antenna", "office")
    assert module.feeder is not None
    assert (module.feeder.length_m, module.feeder.connectors) == (4.5, 3)
    assert (second.role, second.state) == ("second", AccountState.ORDERED)
    assert site.supply is not None
    assert site.supply.kind is SupplyKind.MAINS_RECHARGED
    assert site.battery is not None
    assert (site.battery.count, site.battery.fitted_on) == (2, date(2026, 2, 27))
    assert site.battery.temperature_degc == 14.0
    assert [c.to for c in site.cables] == ["store", "module"]
    assert site.reporting is not None
    assert (site.reporting.interval_s, site.reporting.misses) == (90.0, 3)
    assert (site.reporting.timeout_s, site.reporting.category) == (20.0, "SP3")


def test_record(sample: Job) -> None:
    by_id = {entry.id: entry for entry in sample.record}
    assert {entry.kind for entry in sample.record} == set(RecordKind)
    reading = by_id["r01"]
    assert isinstance(reading, ReadingEntry)
    assert reading.at == datetime(2026, 3, 2, 8, 12, 30, tzinfo=UTC)
    assert reading.at.utcoffset() == timedelta(hours=1)
    assert reading.values.levels[1].quantity is Quantity.RSRP_DBM
    assert (reading.values.levels[1].low, reading.values.levels[1].high) == (-101.0, -100.0)
    assert reading.raw == "+CESQ: 99,99,255,255,20,40"
    assert reading.conditions.final_antenna is False
    assert (reading.conditions.minutes, reading.conditions.lid_shut) == (2.0, None)
    walk = by_id["r04"]
    assert isinstance(walk, WalkEntry)
    assert (walk.replaces, walk.values.due, walk.values.received) == ("r03", 10, 10)
    assert (walk.values.in_hand_db, walk.values.via) == (6.0, "panel")
    event = by_id["r06"]
    assert isinstance(event, EventEntry)
    assert event.at == datetime(2026, 3, 2, 11, 5, 9, 250_000, timezone(timedelta(hours=1)))
    assert (event.values.signal, event.values.code) == (SignalKind.ALARM, "E134")
    assert (event.values.means, event.values.delay_s) == (EventMeans.READ_BACK, 4.5)
    missing = by_id["r07"]
    assert isinstance(missing, EventEntry)
    assert not missing.values.arrived
    test = by_id["r08"]
    assert isinstance(test, SupplyTestEntry)
    assert (test.values.alarm_current_a, test.values.battery_date) == (0.41, date(2026, 1, 15))
    assert by_id["r14"].values.model_dump() == {
        "text": "Scaffold needed: ceiling 3,4 m — “Achtung”"
    }


def test_embedded(sample: Job) -> None:
    panel, contact, module = map(sample.part, ("kw_panel", "kw_contact", "kw_module"))
    assert isinstance(panel, PanelPart)
    assert (panel.radios[0].sensitivity_dbm, panel.zones_max) == (-106.0, 48)
    assert panel.scale is not None
    assert panel.scale.tied
    assert panel.scale.steps[1].low == -80.0
    assert isinstance(contact, DetectorPart)
    assert contact.what is DeviceKind.CONTACT
    assert contact.cell is not None
    assert contact.cell.sleep_current_a == 6e-6
    assert contact.sources["radio.sensitivity_dbm"].evidence is Evidence.MEMORY
    assert isinstance(module, CommunicatorPart)
    assert (module.peak_current_a, module.platform_ends) == (1.6, date(2033, 6, 30))
    assert sample.part("survey_modem").kind == "instrument"
    assert sample.construction("slab_200").fixed_loss_db == 18.3
    limits = sample.profile.limits
    assert limits[LimitName.RADIO_ODDS_RATIO].value == 0.97
    assert limits[LimitName.STANDBY_H].usable
    assert limits[LimitName.STANDBY_H].confirmed is not None
    assert limits[LimitName.STANDBY_H].confirmed.on == date(2026, 3, 3)


def test_evidence_on_record_still_fits(sample: Job) -> None:
    prints = Fingerprints(sample)
    fits = [
        (name, entry.fits[name], entry.values.communicator if entry.kind == "event" else None)
        for entry in sample.record
        for name in entry.fits
    ]
    # A pin: what these once were. Should they change, evidence in every job file is void.
    assert len(fits) == 9
    assert [prints.of(name, over) for name, _, over in fits] == [then for _, then, _ in fits]


def test_written_and_read_again_is_the_same(sample: Job) -> None:
    again = parse_job(dump_job(sample), Library())
    assert again == sample
    assert dump_job(again) == dump_job(sample)


def test_what_was_added_since_reads_the_same(sample: Job, sample_path: Path) -> None:
    job = read_job(sample_path.with_name("job_v1_underlay.json"), Library())
    assert (job.revision, content_hash(job)) == (1, job.hash)
    assert not job.changed_outside
    assert sample.site.floors[0].underlay is None
    ground, upper = (floor.underlay for floor in job.site.floors)
    assert ground is not None
    assert upper is not None
    assert (ground.kind, ground.page, upper.kind) == (
        UnderlayKind.PDF_PAGE,
        2,
        UnderlayKind.PICTURE,
    )
    assert (ground.width_px, ground.height_px, ground.m_per_px) == (3508, 2480, 0.00846667)
    assert (ground.origin, ground.rotation_deg) == ((-2.5, -1.25), 0.0)
    assert (upper.page, upper.rotation_deg) == (None, 1.5)
    assert ground.sha256 == "5d20c808b198565734f3c8eec0d6d9f1a0a1d0f4a8b5b5f9a7d6f0e1c2b3a495"


def test_retirements_that_were_added_since_read_the_same(sample: Job, sample_path: Path) -> None:
    job = read_job(sample_path.with_name("job_v1_retirements.json"), Library())
    assert job.hash == "41a9de635e6f743bfd177113d28ec6662d4e835c384b91e2cbf39eb4dc8a4f32"
    assert content_hash(job) == job.hash
    assert sample.embedded.retirements == []
    centre, country, network, past, part = job.embedded.retirements
    assert (centre.centre, centre.ends_on) == ("Centre at the Weir", date(2034, 7, 1))
    assert (country.network, country.technology, country.announced) == ("001-*", "lte", True)
    assert (network.ends_from, network.ends_by) == (date(2028, 1, 1), date(2029, 12, 31))
    assert (network.seen, network.note) == (date(2026, 4, 9), "region by region")
    assert (past.technology, past.done, network.done) == ("umts", True, False)
    assert (part.part, part.ends_by) == ("tm_module", date(2035, 12, 31))


def test_what_a_communicator_was_chosen_from_reads_the_same(sample: Job, sample_path: Path) -> None:
    job = read_job(sample_path.with_name("job_v1_communicator.json"), Library())
    assert job.hash == "dc72c15d0ca2e923760b7054de536427b1a780886902fda990894192232d03b7"
    assert content_hash(job) == job.hash
    assert sample.site.considered == []
    assert job.site.considered == ["tm_module", "tm_card", "tm_rod", "tm_coax"]
    card = job.part("tm_card")
    assert isinstance(card, ServicePart)
    assert (card.sim_kind, card.networks) == (SimKind.FIXED, ["999-002"])
    assert (card.communicators, card.countries) == (["tm_module"], ["XA"])
    assert card.yearly_cost == 33.0
    (spot,) = job.site.spots
    assert (spot.place, spot.cable_m) == (AntennaPlace.OUTSIDE, 7.5)
    (main,) = job.site.communicators
    assert (main.antenna_crossed, main.antenna_near_metal) == (True, True)
    assert main.service == "tm_card"
    rod = job.part("tm_rod")
    assert isinstance(rod, AntennaPart)
    assert rod.places == [AntennaPlace.OUTSIDE]
    bars, watch = job.record
    assert isinstance(bars, ReadingEntry)
    assert (bars.values.step, bars.values.levels) == ("3 bars", [])
    assert isinstance(watch, ReadingEntry)
    assert watch.values.bandwidth_hz == 10e6
    assert [(s.after_s, len(s.levels)) for s in watch.values.series] == [(30.0, 1), (60.0, 0)]
    meter = job.part("tm_meter")
    assert isinstance(meter, InstrumentPart)
    assert meter.offset_db == 1.5


def test_what_takes_current_and_cells_reads_the_same(sample: Job, sample_path: Path) -> None:
    job = read_job(sample_path.with_name("job_v1_power.json"), Library())
    assert job.hash == "45f4bf6111a526d1e51ff189babe5b5b27c6f539add61dde249c673331023967"
    assert content_hash(job) == job.hash
    assert sample.profile.alarm_within_standby
    assert not job.profile.alarm_within_standby
    assert job.site.devices[0].cells_fitted_on == date(2026, 5, 4)
    assert job.site.supply is not None
    assert job.site.supply.mains_fail_notified
    (run,) = job.site.cables
    assert [(t.to, t.at_m) for t in run.on_the_way] == [("eye", 9.5)]
    assert run.temperature_degc == 35.0
    module, horn = job.part("bs_module"), job.part("bs_horn")
    assert isinstance(module, CommunicatorPart)
    assert isinstance(horn, DetectorPart)
    assert horn.minimum_v == 9.5
    assert module.burst_s == 0.005
    (draw,) = module.draws
    assert (draw.technology, draw.idle_a, draw.report_a) == (Technology.LTE, 0.01, 0.12)
    assert (draw.report_s, draw.peak_a) == (7.5, 0.8)


def test_uses_every_model_and_field_of_the_format(
    sample_data: dict[str, Any], sample_path: Path
) -> None:
    sample_data["hash"] = ""  # the fixture takes it out
    schema = job_schema()
    used: set[tuple[str, str]] = set()
    _note_fields(sample_data, schema, schema["$defs"], used)
    for name in (
        "job_v1_underlay.json",
        "job_v1_retirements.json",
        "job_v1_communicator.json",
        "job_v1_power.json",
    ):
        added = json.loads(sample_path.with_name(name).read_text("utf-8"))
        _note_fields(added, schema, schema["$defs"], used)
    models = {"Job": schema, **schema["$defs"]}
    known = {(m["title"], f) for m in models.values() for f in m.get("properties", {})}
    assert {model for model, _ in known} == {model for model, _ in used}
    # Parts share fields, and so do entries: one that uses them is enough. An embedded profile has
    # its bases filled in.
    assert _shared(known) - _shared(used) == {("Profile", "base")}


def _shared(fields: set[tuple[str, str]]) -> set[tuple[str, str]]:
    return {(re.sub("^[A-Z].*(Part|Entry)$", r"\1", model), field) for model, field in fields}


def _note_fields(value: Any, schema: Any, defs: Any, used: set[tuple[str, str]]) -> None:
    """Walk value and schema together and note every field that occurs, by its model."""
    for part in _candidates(value, schema, defs):
        if isinstance(value, list):
            for item in value:
                _note_fields(item, part.get("items", {}), defs, used)
        elif "properties" in part:
            for field, inner in value.items():
                used.add((part["title"], field))
                _note_fields(inner, part["properties"][field], defs, used)
        elif isinstance(value, dict):
            of_values = [*part.get("patternProperties", {}).values()]
            of_values = of_values or [part.get("additionalProperties", {})]
            for inner in value.values():
                _note_fields(inner, of_values[0], defs, used)


def _candidates(value: Any, schema: Any, defs: Any) -> list[Any]:
    if "$ref" in schema:
        schema = defs[schema["$ref"].rpartition("/")[2]]
    if "discriminator" in schema:
        return _candidates(value, {"$ref": schema["discriminator"]["mapping"][value["kind"]]}, defs)
    if "anyOf" in schema:
        return [c for option in schema["anyOf"] for c in _candidates(value, option, defs)]
    kind = {list: "array", dict: "object"}.get(type(value))
    return [schema] if kind is not None and schema.get("type") == kind else []


def test_a_bare_site_is_read_with_the_defaults_of_the_format() -> None:
    """Fields at their default are left out of files, so a default may never change."""
    job = parse_job(
        """{"format": "pathproof-job", "format_version": 1, "site": {"name": "Bare",
        "floors": [{"id": "g", "name": "g", "elevation_m": 0, "height_m": 3}],
        "panel": {"part": "p"}, "battery": {"part": "b"}, "supply": {"part": "s",
        "kind": "battery_only"}, "communicators": [{"id": "c", "part": "m",
        "feeder": {"part": "f", "length_m": 1}}], "profile": "x",
        "devices": [{"id": "d", "name": "d", "part": "k", "between": {"distance_m": 1}}]},
        "embedded": {"profile": {"id": "x", "title": "x", "text": ""}, "catalogue": {
        "p": {"id": "p", "kind": "panel", "name": "p", "source": {"ref": "r", "evidence": "read"}},
        "k": {"id": "k", "kind": "detector", "name": "k", "what": "other",
              "radio": {"family": "f", "frequency_hz": 1e9},
              "source": {"ref": "r", "evidence": "read"}},
        "b": {"id": "b", "kind": "battery", "name": "b", "chemistry": "lead_acid", "nominal_v": 12,
              "capacity_ah": 7, "source": {"ref": "r", "evidence": "read"}},
        "s": {"id": "s", "kind": "supply", "name": "s", "types": ["battery_only"], "output_v": 12,
              "average_a": 1, "peak_a": 1, "source": {"ref": "r", "evidence": "read"}},
        "m": {"id": "m", "kind": "communicator", "name": "m", "technologies": ["gsm"],
              "source": {"ref": "r", "evidence": "read"}},
        "f": {"id": "f", "kind": "feeder", "name": "f", "k1_db_per_100m": 1, "k2_db_per_100m": 0,
              "source": {"ref": "r", "evidence": "read"}}}}}""",
        Library(),
    )
    defaults = {
        path: value
        for path, value in _leaves(job.model_dump(mode="json"))
        if value not in (None, "", [], {})
    }
    # A pin, read from the format as it was first written down in docs/job_file.md.
    expected = {
        "site.time_zone": "UTC",
        "site.currency": "EUR",
        "site.service_life_years": 10.0,
        "site.panel.height_m": 2.0,
        "site.panel.near_electronics": False,
        "site.devices.0.height_m": 2.0,
        "site.devices.0.carried": False,
        "site.devices.0.between.floors": 0,
        "site.devices.0.between.floor_construction": "unknown_floor",
        "site.communicators.0.role": "main",
        "site.communicators.0.state": "ordered",
        "site.communicators.0.feeder.connectors": 2,
        "site.battery.count": 1,
        "site.battery.temperature_degc": 20.0,
        "embedded.catalogue.p.nominal_v": 12.0,
        "embedded.catalogue.k.signals.0": "alarm",
        "embedded.catalogue.k.radio.field_strength_at_m": 3.0,
        "embedded.catalogue.k.radio.antenna_gain_dbi": 0.0,
        "embedded.catalogue.k.radio.spread_db": 0.0,
        "embedded.catalogue.b.hour_rate_h": 20.0,
        "embedded.catalogue.s.charge_a": 0.0,
        "embedded.catalogue.m.antenna_gain_dbi": 0.0,
        "embedded.catalogue.m.antenna_socket": False,
        "embedded.catalogue.m.stated_distance_m": 0.2,
        "embedded.catalogue.f.connector_loss_db": 0.5,
        "embedded.profile.all_paths": False,
        "revision": 0,
    }
    assert {path: defaults.get(path) for path in expected} == pytest.approx(expected)


def _leaves(value: Any, path: str = "") -> Any:
    if isinstance(value, dict | list) and value:
        pairs = value.items() if isinstance(value, dict) else enumerate(value)
        for key, inner in pairs:
            yield from _leaves(inner, f"{path}.{key}" if path else str(key))
    else:
        yield path, value
