"""What happened on the demo's site: a survey, a day of fitting, a day of proving."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from pathproof import instruments
from pathproof.job import PANEL_ID, Conditions, Entry, Job, Level, links
from pathproof.job.fingerprint import Fingerprints
from pathproof.job.record import (
    ConfirmEntry,
    ConfirmValues,
    EventEntry,
    EventValues,
    LevelEntry,
    LevelValues,
    NoteEntry,
    NoteValues,
    SupplyTestEntry,
    SupplyTestValues,
    WalkEntry,
    WalkValues,
)
from pathproof.simulate._demo_kit import FAR, FITTED_ON, NEAR, ROAMED
from pathproof.terms import EventMeans, LimitName, Quantity, SignalKind, Technology

_SURVEY = datetime.fromisoformat("2026-09-15T10:05:00+02:00")
_PROVING = datetime.fromisoformat("2026-10-06T08:40:00+02:00")
_SURVEYOR, _FITTER = "R. Senn", "A. Moosbrugger"
_IN_PLACE = Conditions(lid_shut=True, final_place=True)
_REPEATER = "yard_repeater"
_PACE = timedelta(minutes=1)
_WANDERS = (
    *(0, 1, -1, 0, 2, 0, -2, 1, 1, -1, 0, 3, -1, 0, -2, 1, 0, 2, -3, 0),
    *(1, -1, 0, 0, 2, -2, 1, 0, -1, 1, 0, -2, 3, -1, 0, 1, -1, 2, 0, -1),
    *(0, 1, 0, -1, 2, 0, 1, -2, 0, 1),
)
"""How the level wanders from minute to minute, in codes of 1 dB."""


def record(job: Job) -> list[Entry]:
    """The entries, oldest first, each with the fingerprint of what it was true for."""
    prints = Fingerprints(job)
    return [
        *_readings(prints),
        _confirmation(),
        *_walks(prints),
        *_levels(prints),
        *_module_readings(prints),
        _supply_test(prints),
        *_events(prints),
        _note(),
    ]


def _readings(prints: Fingerprints) -> Iterator[Entry]:
    """Every network once at every spot, with the survey modem and its own antenna."""
    lte, gsm = Technology.LTE, Technology.GSM
    rows = [
        ("panel_room", NEAR, lte, "20", "+CESQ: 99,99,255,255,19,37"),
        ("panel_room", ROAMED, lte, "8", "+CESQ: 99,99,255,255,15,30"),
        ("panel_room", FAR, lte, "3", "+CESQ: 99,99,255,255,12,22"),
        ("panel_room", NEAR, gsm, "3", "+CSQ: 13,99"),
        ("landing_window", NEAR, lte, "20", "+CESQ: 99,99,255,255,24,55"),
        ("landing_window", ROAMED, lte, "8", "+CESQ: 99,99,255,255,21,50"),
        ("landing_window", FAR, lte, "3", "+CESQ: 99,99,255,255,15,32"),
        ("office_window", NEAR, lte, "20", "+CESQ: 99,99,255,255,22,50"),
        ("office_window", ROAMED, lte, "8", "+CESQ: 99,99,255,255,18,38"),
        ("office_window", FAR, lte, "3", "+CESQ: 99,99,255,255,16,35"),
        ("cellar_stairs", NEAR, lte, "20", "+CESQ: 99,99,255,255,9,17"),
        ("cellar_stairs", ROAMED, lte, "8", "+CESQ: 99,99,255,255,255,255"),
        ("cellar_stairs", FAR, lte, "3", "+CESQ: 99,99,255,255,255,255"),
    ]
    for n, (spot, network, technology, band, raw) in enumerate(rows):
        yield instruments.entry(
            instruments.read(raw),
            entry_id=f"reading-{n + 1:02d}",
            about=[spot],
            at=_SURVEY + timedelta(minutes=4 * n),
            by=_SURVEYOR,
            instrument="Survey modem on a laptop",
            network=network,
            technology=technology,
            band=band,
            fits={links.spot(spot): prints.of(links.spot(spot))},
        )


def _module_readings(prints: Fingerprints) -> Iterator[Entry]:
    """Both networks of the card watched by the module itself with the antenna that stays."""
    rows = [(NEAR, "20", 53, 23), (ROAMED, "8", 48, 20)]
    for n, (network, band, rsrp, rsrq) in enumerate(rows):
        began = _PROVING + timedelta(minutes=95 + 55 * n)
        first, *later = (
            (began + _PACE * k, instruments.read(f"+CESQ: 99,99,255,255,{rsrq},{rsrp + up}"))
            for k, up in enumerate(_WANDERS)
        )
        yield instruments.entry(
            first[1],
            later=later,
            entry_id=f"module-{n + 1:02d}",
            about=["main"],
            at=began,
            by=_FITTER,
            instrument="Module LTE Cat 1 with 2G",
            conditions=Conditions(
                lid_shut=True, final_antenna=True, minutes_since_registration=20.0, attempt=1
            ),
            network=network,
            technology=Technology.LTE,
            band=band,
            fits={links.mobile("main"): prints.of(links.mobile("main"))},
        )


def _walks(prints: Fingerprints) -> Iterator[Entry]:
    """Five messages each with 6 dB in the way; one count was wrong and is corrected."""
    rows = [
        ("shop_door", PANEL_ID, 5, None),
        ("shop_motion", PANEL_ID, 5, None),
        ("counter_button", PANEL_ID, 5, None),
        ("cellar_motion", PANEL_ID, 5, None),
        ("yard_door", PANEL_ID, 4, None),
        ("yard_door", PANEL_ID, 5, "walk-05"),
        ("shutter_shock", _REPEATER, 5, None),
    ]
    for n, (device, via, received, replaces) in enumerate(rows):
        link = links.radio(device, via)
        yield WalkEntry(
            kind="walk",
            id=f"walk-{n + 1:02d}",
            about=[device],
            at=_PROVING + timedelta(minutes=5 * n),
            by=_FITTER,
            instrument="6 dB pad at the receiver",
            conditions=_IN_PLACE
            if replaces is None
            else _IN_PLACE.model_copy(
                update={"text": "One message was missed in counting; the panel's log shows five."}
            ),
            values=WalkValues(via=via, due=5, received=received, in_hand_db=6.0),
            replaces=replaces,
            fits={link: prints.of(link)},
        )


def _levels(prints: Fingerprints) -> Iterator[Entry]:
    """Devices heard five times: by the panel's own steps, and once in dBm."""
    display, log = "Panel's own display in service mode", "Panel's own log over a service cable"
    shown = [
        ("office_motion", display, LevelValues(steps=["5", "5", "4", "5", "5"])),
        ("landing_smoke", display, LevelValues(steps=["5", "5", "5", "5", "5"])),
        (_REPEATER, display, LevelValues(steps=["5", "5", "5", "5", "4"])),
        ("dairy_motion", log, LevelValues(levels=[_rssi(x) for x in (-58, -61, -57, -60, -59)])),
    ]
    for n, (thing, instrument, values) in enumerate(shown):
        link = links.radio(thing, PANEL_ID)
        yield LevelEntry(
            kind="level",
            id=f"level-{n + 1:02d}",
            about=[thing],
            at=_PROVING + timedelta(minutes=45 + 6 * n),
            by=_FITTER,
            instrument=instrument,
            conditions=_IN_PLACE,
            values=values,
            fits={link: prints.of(link)},
        )


def _rssi(value_dbm: float) -> Level:
    return Level(
        quantity=Quantity.RSSI_DBM, value=value_dbm, low=value_dbm - 0.5, high=value_dbm + 0.5
    )


def _events(prints: Fingerprints) -> Iterator[Entry]:
    """Signals as the centre had them, most from its list, one read back on the phone."""
    alarm, listed = SignalKind.ALARM, EventMeans.LIST
    rows = [
        ("shop_door", alarm, "134", 1, 1, 6.4, listed),
        ("shop_motion", alarm, "132", 3, 1, 5.8, listed),
        ("counter_button", alarm, "122", 10, 1, 6.1, EventMeans.READ_BACK),
        ("cellar_motion", alarm, "132", 7, 2, 7.3, listed),
        ("yard_door", alarm, "130", 6, 2, 6.0, listed),
        (PANEL_ID, SignalKind.MAINS_FAIL, "301", 0, 0, 9.2, listed),
    ]
    for n, (about, kind, code, zone, partition, delay_s, means) in enumerate(rows):
        name = links.signal(about, kind)
        yield EventEntry(
            kind="event",
            id=f"event-{n + 1:02d}",
            about=[about],
            at=_PROVING + timedelta(minutes=120 + 3 * n),
            by=_FITTER,
            values=EventValues(
                signal=kind,
                code=code,
                zone=zone,
                partition=partition,
                delay_s=delay_s,
                means=means,
                reference="Watch room at Ostrain, test log",
                communicator="main",
            ),
            fits={name: prints.of(name, "main")},
        )


def _supply_test(prints: Fingerprints) -> Entry:
    return SupplyTestEntry(
        kind="supply_test",
        id="supply-01",
        about=[PANEL_ID],
        at=_PROVING + timedelta(minutes=110),
        by=_FITTER,
        instrument="Multimeter",
        values=SupplyTestValues(
            standby_current_a=0.131,
            alarm_current_a=0.402,
            loaded_v=12.4,
            loaded_minutes=15.0,
            charger_v=13.7,
            battery_date=FITTED_ON,
        ),
        fits={name: prints.of(name) for name in (links.SUPPLY, links.STANDBY)},
    )


def _confirmation() -> Entry:
    return ConfirmEntry(
        kind="confirm",
        id="confirm-01",
        at=datetime.fromisoformat("2026-09-21T16:30:00+02:00"),
        by=_SURVEYOR,
        values=ConfirmValues(
            profile="house_targets",
            limit=LimitName.PATH_LOSS_NOTICED_S,
            value=1800.0,
            document="The insurer's letter to the owner",
            edition="1 September 2026",
        ),
    )


def _note() -> Entry:
    return NoteEntry(
        kind="note",
        id="note-01",
        about=["cold_store_door"],
        at=_PROVING + timedelta(minutes=150),
        by=_FITTER,
        values=NoteValues(
            text="Not heard with the cold store shut. There is a socket by the shutter; the owner "
            "agrees to a second repeater there, or to the contact outside the panel."
        ),
    )
