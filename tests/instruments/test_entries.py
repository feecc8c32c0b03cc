"""Record entries from readings."""

from datetime import UTC, datetime, timedelta

import pytest

from pathproof.calc.mobile import Interval
from pathproof.instruments import TimedReading, by_technology, entry, read, watched
from pathproof.job import Conditions
from pathproof.job.record import ReadingEntry, ReadingValues
from pathproof.terms import JobError, Quantity, Technology

AT = datetime(2026, 3, 4, 10, 15, tzinfo=UTC)


def test_a_reading_goes_on_record_with_its_bins_and_raw_text() -> None:
    reading = read("AT+CESQ\r\n+CESQ: 99,99,255,255,20,40\r\nOK")
    made = entry(
        reading,
        entry_id="r1",
        about=["hall"],
        at=AT,
        by="A. Fitter",
        network="001-01",
        technology=Technology.LTE_M,
        band="B20",
        bandwidth_hz=10e6,
        conditions=Conditions(final_place=True),
        fits={"spot:hall": "0123456789abcdef"},
    )
    assert made.kind == "reading"
    assert [level.model_dump(mode="json") for level in made.values.levels] == reading.as_dict()[
        "levels"
    ]
    assert made.values.technology is Technology.LTE_M
    assert (made.values.network, made.values.band) == ("001-01", "B20")
    assert made.values.bandwidth_hz == 10e6
    assert (made.at, made.values.series) == (AT, [])
    assert made.raw == reading.raw
    assert made.instrument == "module answer +CESQ"
    assert made.conditions.final_place
    assert made.fits == {"spot:hall": "0123456789abcdef"}


def test_technology_of_the_reading_is_kept_unless_named() -> None:
    reading = read("+CESQ: 99,99,40,24,255,255")
    made = entry(reading, entry_id="r2", about=["hall"], at=AT, by="A", instrument="Survey modem 2")
    assert made.values.technology is Technology.UMTS
    assert made.instrument == "Survey modem 2"


def test_not_known_goes_on_record_too() -> None:
    made = entry(read("+CSQ: 99,99"), entry_id="r3", about=["hall"], at=AT, by="A")
    assert made.values.levels == []
    assert made.raw == "+CSQ: 99,99"


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"entry_id": "no blanks"}, "id: "),
        ({"network": "00101"}, "values.network: "),
        ({"at": datetime(2026, 3, 4, 10, 15)}, "at: "),  # noqa: DTZ001 - the error looked for
        ({"by": ""}, "by: "),
        ({"fits": {"spot:hall": "x"}}, "fits.spot:hall: "),
    ],
)
def test_what_a_record_cannot_hold_is_refused_by_its_place(
    change: dict[str, object], place: str
) -> None:
    given: dict[str, object] = {"entry_id": "r4", "about": ["hall"], "at": AT, "by": "A"}
    with pytest.raises(JobError, match=f"cannot go on record. {place}"):
        entry(read("RSRP -97"), **(given | change))  # type: ignore[arg-type]


def watch_of(*texts: str, every_s: float = 60.0) -> list[TimedReading]:
    return [(AT + timedelta(seconds=i * every_s), read(text)) for i, text in enumerate(texts)]


def entry_of(readings: list[TimedReading], raw: str | None = None) -> ReadingEntry:
    (at, first), *later = readings
    return entry(first, entry_id="r6", about=["main"], at=at, by="A", later=later, raw=raw)


def test_a_watch_is_one_entry_of_its_first_moment() -> None:
    readings = watch_of("RSRP -97", "+CSQ: 99,99", "RSRP -98 RSRQ -11")
    made = entry_of(readings, raw="the log as it stood")
    assert made.at == AT
    assert [x.value for x in made.values.levels] == [-97]
    assert [x.after_s for x in made.values.series] == [60, 120]
    assert [[y.value for y in x.levels] for x in made.values.series] == [[], [-98, -11]]
    assert made.raw == "the log as it stood"
    assert entry_of(readings).raw == "RSRP -97\n+CSQ: 99,99\nRSRP -98 RSRQ -11"


def test_two_readings_of_one_moment_are_refused() -> None:
    with pytest.raises(JobError, match="series"):
        entry_of(watch_of("RSRP -97", "RSRP -98", every_s=0.0))


# +CESQ: rscp 40 (UMTS only) and rsrp 40 (LTE, LTE-M or NB-IoT), TS 27.007 clause 8.69, restated.
UMTS, LTE, NOTHING = (
    "+CESQ: 99,99,40,24,255,255",
    "+CESQ: 99,99,255,255,20,40",
    "+CESQ: 99,99,255,255,255,255",
)


def test_a_watch_in_two_technologies_is_taken_apart() -> None:
    readings = watch_of(NOTHING, LTE, UMTS, NOTHING, LTE)
    apart = by_technology(readings, Technology.LTE_M)
    assert {t: [readings.index(x) for x in found] for t, found in apart.items()} == {
        Technology.LTE_M: [0, 1, 4],
        Technology.UMTS: [2, 3],
    }
    assert list(by_technology(watch_of(NOTHING), None)) == [None]


def test_what_a_watch_on_record_holds() -> None:
    readings = watch_of(LTE, NOTHING, "RSRP -96", "RSRP -100")
    values = entry_of(readings).values
    rsrq, rsrp = watched(values)
    assert (rsrq.quantity, rsrq.at_s, rsrq.shown) == (Quantity.RSRQ_DB, (0.0,), (-9.75,))
    assert (rsrp.quantity, rsrp.at_s) == (Quantity.RSRP_DBM, (0.0, 120.0, 180.0))
    # By hand: bins -101 to -100, -96.5 to -95.5 and -100.5 to -99.5, and one moment below them all.
    assert rsrp.median == Interval(-100.75, -99.75)
    assert rsrp.tenth_percentile is None  # the least of four, and that is no level


def test_few_moments_without_a_level_count_as_below_the_others() -> None:
    values = entry_of(watch_of(NOTHING, *(f"RSRP {-100 + i}" for i in range(11)))).values
    (rsrp,) = watched(values)
    # Rank 2 of 12 from below: after the moment without a level the least that was read, -100.
    assert (rsrp.lost, rsrp.tenth_percentile) == (1, Interval(-100.5, -99.5))


def test_a_level_on_record_without_edges_is_known_exactly() -> None:
    level = {"quantity": "rsrp_dbm", "value": -97.0}
    (rsrp,) = watched(ReadingValues.model_validate({"levels": [level]}))
    assert rsrp.median == Interval(-97.0, -97.0)
