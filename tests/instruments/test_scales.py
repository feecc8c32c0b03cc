"""Steps of a panel's or phone's own scale."""

from datetime import UTC, datetime

import pytest

from pathproof.instruments import entry_values, read_scale_step
from pathproof.job import Scale, ScaleStep, Source
from pathproof.terms import Evidence, InvalidInputError, Quantity

AT = datetime(2026, 3, 4, 10, 15, tzinfo=UTC)
# Ours: an invented scale.
SOURCE = Source(ref="Maker's sheet", edition="2", clause="p. 4", evidence=Evidence.RESTATED)
BARS = Scale(
    quantity=Quantity.RSSI_DBM,
    tied=True,
    steps=[
        ScaleStep(name="1 bar", high=-95),
        ScaleStep(name="2 bars", low=-95, high=-80),
        ScaleStep(name="3 bars", low=-80),
    ],
    source=SOURCE,
)
WORDS = Scale(
    quantity=Quantity.RSSI_DBM,
    tied=False,
    steps=[ScaleStep(name="Weak"), ScaleStep(name="Good", low=-90, high=-60)],
    source=SOURCE,
)


@pytest.mark.parametrize(
    ("shows", "value", "low", "high"),
    [
        ("1 bar", -95, None, -95),
        ("2 bars", -87.5, -95, -80),
        ("3 bars", -80, -80, None),
        (" 2  BARS ", -87.5, -95, -80),
        ("2bars", -87.5, -95, -80),
    ],
)
def test_a_tied_step_is_its_bin(
    shows: str, value: float, low: float | None, high: float | None
) -> None:
    (level,) = read_scale_step(BARS, shows).levels
    assert (level.quantity, level.value, level.low, level.high) == (
        Quantity.RSSI_DBM,
        value,
        low,
        high,
    )


def test_a_tied_step_says_who_tied_it() -> None:
    reading = read_scale_step(BARS, "2 bars")
    assert reading.notes == (
        "'2 bars' is step 2 of 3, weakest first; "
        "its levels are by Maker's sheet 2 p. 4 (restated).",
    )
    assert reading.raw == "2 bars"


@pytest.mark.parametrize("shows", ["weak", "Good"])
def test_a_scale_that_is_not_tied_gives_its_step_and_no_level(shows: str) -> None:
    reading = read_scale_step(WORDS, shows)
    assert reading.levels == ()
    assert "of 2, weakest first" in reading.notes[0]
    assert "counts for nothing" in reading.notes[0]
    assert reading.step == shows.capitalize()
    assert reading.as_dict()["step"] == shows.capitalize()
    assert entry_values([(AT, reading)], {}) == {"levels": [], "step": shows.capitalize()}


def test_a_step_without_bounds_gives_no_level_on_a_tied_scale() -> None:
    scale = BARS.model_copy(update={"steps": [ScaleStep(name="on")]})
    assert read_scale_step(scale, "on").levels == ()


@pytest.mark.parametrize("shows", ["4 bars", "", "bars\x00"])
def test_an_unknown_step_is_refused_with_the_allowed_ones(shows: str) -> None:
    with pytest.raises(InvalidInputError, match="allowed are '1 bar', '2 bars', '3 bars'"):
        read_scale_step(BARS, shows)
