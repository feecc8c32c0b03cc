"""What cannot be on record, and what a reading cannot show."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from pydantic import ValidationError

from pathproof.job import Job, Level, Library, Scale, Site, Source, dump_job, parse_job
from pathproof.job.record import LevelValues, NoteEntry, NoteValues, SupplyTestValues, WalkValues
from pathproof.terms import Evidence, Quantity

Refusal = Callable[[Callable[[dict[str, Any]], object]], str]


def note(entry_id: str, replaces: str | None = None) -> NoteEntry:
    return NoteEntry(
        id=entry_id,
        kind="note",
        at=datetime(2026, 1, 1, tzinfo=UTC),
        by="A",
        values=NoteValues(text="x"),
        replaces=replaces,
    )


def job(*entries: NoteEntry) -> Job:
    return Job(site=Site(name="x"), record=list(entries))


def test_entry_ids_are_given_once() -> None:
    with pytest.raises(
        ValidationError, match=r"record\[2\].id: 'a' is already that of record\[0\]"
    ):
        job(note("a"), note("b"), note("a"))


def test_a_correction_names_an_entry() -> None:
    with pytest.raises(ValidationError, match=r"record\[1\].replaces: there is no entry 'b'"):
        job(note("a"), note("c", replaces="b"))


def test_order_in_the_file_does_not_matter() -> None:
    assert len(job(note("b", replaces="a"), note("a")).record) == 2
    assert len(job(note("c", replaces="b"), note("a"), note("b", replaces="a")).record) == 3


@pytest.mark.parametrize(
    "entries",
    [
        [note("a", replaces="a")],
        [note("a", replaces="b"), note("b", replaces="a")],
        [note("x"), note("a", replaces="c"), note("b", replaces="a"), note("c", replaces="b")],
    ],
)
def test_corrections_do_not_go_in_a_circle(entries: list[NoteEntry]) -> None:
    with pytest.raises(ValidationError, match="goes in a circle") as caught:
        job(*entries)
    assert str(caught.value).count("goes in a circle") == 1


def test_a_correction_is_of_the_same_kind() -> None:
    heard = {
        "id": "b",
        "kind": "level",
        "at": datetime(2026, 1, 1, tzinfo=UTC),
        "by": "A",
        "values": {"steps": ["4"]},
        "replaces": "a",
    }
    site = {"name": "x"}
    with pytest.raises(
        ValidationError, match="'a' is of kind note and this entry of kind level; an entry replaces"
    ):
        Job.model_validate({"site": site, "record": [heard, note("a")]})


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 1, 0), (1, 0, 2)])
def test_an_entry_is_corrected_once(order: tuple[int, ...]) -> None:
    entries = [note("a"), note("b", replaces="a"), note("c", replaces="a")]
    with pytest.raises(ValidationError, match=r"'a' is already replaced by '[bc]'") as caught:
        job(*(entries[i] for i in order))
    assert str(caught.value).count("already replaced") == 1


def test_a_level_holds_something() -> None:
    with pytest.raises(ValidationError, match="holds neither levels nor steps"):
        LevelValues()


# 60 V and 100 A: far above any alarm supply, common practice, no source.
@pytest.mark.parametrize("field", ["loaded_v", "charger_v"])
@pytest.mark.parametrize(("value", "fits"), [(0, True), (60, True), (60.1, False), (-1, False)])
def test_volts_of_a_supply_test(field: str, value: float, fits: bool) -> None:
    _measured(field, value, fits)


@pytest.mark.parametrize("field", ["standby_current_a", "alarm_current_a"])
@pytest.mark.parametrize(("value", "fits"), [(0, True), (100, True), (180, False), (-1, False)])
def test_currents_of_a_supply_test(field: str, value: float, fits: bool) -> None:
    _measured(field, value, fits)


def _measured(field: str, value: float, fits: bool) -> None:
    if fits:
        assert getattr(SupplyTestValues.model_validate({field: value}), field) == value
        return
    with pytest.raises(ValidationError, match="equal to"):
        SupplyTestValues.model_validate({field: value})


def test_a_long_chain_of_corrections_is_read_at_once() -> None:
    chain = [note("e0"), *(note(f"e{i}", replaces=f"e{i - 1}") for i in range(1, 5000))]
    assert len(job(*reversed(chain)).record) == 5000


def test_replaced_in_the_file(refusal: Refusal) -> None:
    message = refusal(lambda data: data["record"][3].update(replaces="r99"))
    assert "  record[3].replaces: there is no entry 'r99'" in message.splitlines()


def test_problems_of_entries_have_their_place(refusal: Refusal) -> None:
    def spoil(data: Any) -> None:
        data["record"][3]["values"]["received"] = 11
        data["record"][0]["values"]["levels"][1]["value"] = -99.0
        data["record"][1]["values"]["levels"][0]["value"] = 45

    assert refusal(spoil).splitlines()[1:] == [
        "  record[0].values.levels[1]: value -99 is outside its bin -101 to -100",
        "  record[1].values.levels[0].value: given 45; allowed: -160 to 20, what instruments show "
        "as rssi_dbm",
        "  record[3].values: received 11 is more than due 10",
    ]


# Common practice, no source: no receiver shows such levels.
@pytest.mark.parametrize(
    ("quantity", "value"),
    [
        (Quantity.RSRP_DBM, 21.0),
        (Quantity.RSRP_DBM, -161.0),
        (Quantity.RSRQ_DB, -51.0),
        (Quantity.SS_SINR_DB, 51.0),
        (Quantity.BER_PERCENT, 101.0),
        (Quantity.BER_PERCENT, -0.1),
        (Quantity.RSSI_DBM, float("nan")),
        (Quantity.RSSI_DBM, float("inf")),
    ],
)
def test_level_no_instrument_can_show(quantity: Quantity, value: float) -> None:
    with pytest.raises(ValidationError, match=r"allowed|finite"):
        Level(quantity=quantity, value=value)


# Ends of the reporting ranges: 3GPP TS 36.133 tables 9.1.4-1 and 9.1.7-1, TS 38.133 tables
# 10.1.6.1-1, 10.1.11.1-1 and 10.1.16.1-1, TS 27.007 clause 8.5.
@pytest.mark.parametrize(
    ("quantity", "low", "high"),
    [
        (Quantity.RSRP_DBM, -156.0, -44.0),
        (Quantity.RSRQ_DB, -34.0, 2.5),
        (Quantity.SS_RSRP_DBM, -156.0, -31.0),
        (Quantity.SS_RSRQ_DB, -43.0, 20.0),
        (Quantity.SS_SINR_DB, -23.0, 40.0),
        (Quantity.RSSI_DBM, -113.0, -51.0),
    ],
)
def test_levels_that_the_standards_report(quantity: Quantity, low: float, high: float) -> None:
    assert Level(quantity=quantity, value=low, high=high).value == low
    assert Level(quantity=quantity, value=high, low=low).value == high


def test_every_quantity_has_a_range() -> None:
    for quantity in Quantity:
        assert Level(quantity=quantity, value=0.0).quantity is quantity


def test_open_edges() -> None:
    assert Level(quantity=Quantity.RSRP_DBM, value=-140, high=-140).low is None
    with pytest.raises(ValidationError, match="outside its bin"):
        Level(quantity=Quantity.RSRP_DBM, value=-139, high=-140)


def test_scale_steps() -> None:
    source = Source(ref="r", evidence=Evidence.PRACTICE)
    with pytest.raises(ValidationError, match=r"low -70 is not below high -80"):
        Scale.model_validate(
            {
                "quantity": "rssi_dbm",
                "tied": True,
                "source": source,
                "steps": [{"name": "1", "low": -70, "high": -80}],
            }
        )
    with pytest.raises(ValidationError, match=r"steps\[1\].low: given -300; allowed: -160 to 20"):
        Scale.model_validate(
            {
                "quantity": "rssi_dbm",
                "tied": True,
                "source": source,
                "steps": [{"name": "1", "high": -80}, {"name": "2", "low": -300}],
            }
        )


def test_more_received_than_due() -> None:
    with pytest.raises(ValidationError, match="received 3 is more than due 2"):
        WalkValues(due=2, received=3)


def test_offset_and_fractions_of_moments_are_kept() -> None:
    for text in ("2026-03-29T02:30:00.123456+13:45", "2026-03-29T02:30:00Z"):
        entry = note("a").model_copy(update={"at": datetime.fromisoformat(text)})
        job_file = parse_job(dump_job(job(entry)), Library(profiles=_profile()))
        assert job_file.record[0].at.isoformat() == datetime.fromisoformat(text).isoformat()


def _profile() -> dict[str, Any]:
    from pathproof.job import Profile

    return {"house_targets": Profile(id="house_targets", title="t", text="")}
