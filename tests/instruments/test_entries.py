"""Record entries from readings."""

from datetime import UTC, datetime

import pytest

from pathproof.instruments import entry, read
from pathproof.job import Conditions
from pathproof.terms import JobError, Technology

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
        conditions=Conditions(final_place=True),
        fits={"spot:hall": "0123456789abcdef"},
    )
    assert made.kind == "reading"
    assert [level.model_dump(mode="json") for level in made.values.levels] == reading.as_dict()[
        "levels"
    ]
    assert made.values.technology is Technology.LTE_M
    assert (made.values.network, made.values.band) == ("001-01", "B20")
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
