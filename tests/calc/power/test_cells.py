"""How long the cells of wireless parts last."""

from dataclasses import replace

import pytest

from pathproof.calc.power import CELL_TYPES, CellUse, cell_life
from pathproof.terms import Evidence, InvalidInputError

# Computed in two ways: 1500 mAh, 0.9 usable, 5 uA asleep, 200 events a day of 20 mA for 0.1 s, 1 %
# self-discharge a year: 1350 / (43.8 + 40.556 + 15) = 13.5876 years, capped at 10.
USE = CellUse(sleep_current_a=5e-6, message_current_a=0.020, message_s=0.1, events_per_day=200.0)


def test_worked_example_and_its_parts() -> None:
    life = cell_life(1.5, USE, usable_ratio=0.9, self_discharge_per_year=0.01)
    assert life.by_charge_years == pytest.approx(13.5876, abs=5e-5)
    assert life.sleep_ah_per_year * 1e3 == pytest.approx(43.8, abs=0.05)
    assert life.events_ah_per_year * 1e3 == pytest.approx(40.556, abs=5e-4)
    assert life.self_discharge_ah_per_year * 1e3 == pytest.approx(15.0)
    assert life.supervision_ah_per_year == 0.0
    assert life.years == 10.0
    assert cell_life(1.5, USE, shelf_life_years=20.0).years == life.by_charge_years


# Supervision messages are events: one each 432 s is 200 a day, as the events of the example.
def test_supervision_counts_like_events_and_half_the_interval_twice() -> None:
    quiet = replace(USE, events_per_day=0.0, supervision_interval_s=432.0)
    assert cell_life(1.5, quiet).by_charge_years == pytest.approx(13.5876, abs=5e-5)
    often = cell_life(1.5, replace(quiet, supervision_interval_s=216.0))
    assert often.supervision_ah_per_year == pytest.approx(
        2.0 * cell_life(1.5, quiet).supervision_ah_per_year
    )
    assert often.years < cell_life(1.5, quiet).by_charge_years


# Designation rule of public notes: CR2032 is 20 mm by 3.2 mm, lithium-manganese, round. Typical
# capacities from memory, the CR17345 at around 1.5 Ah on a public page.
def test_types_of_cells() -> None:
    assert all(0.0 < t.low_ah < t.high_ah for t in CELL_TYPES.values())
    seen = CELL_TYPES["CR17345"]
    assert seen.low_ah <= 1.5 <= seen.high_ah
    by_evidence = {d for d, t in CELL_TYPES.items() if t.source.evidence is Evidence.RESTATED}
    assert by_evidence == {"CR17345"}


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
def test_nonsense_is_refused(bad: float) -> None:
    for name in ("sleep_current_a", "message_current_a", "message_s", "supervision_interval_s"):
        with pytest.raises(InvalidInputError, match=name):
            replace(USE, **{name: bad})
    with pytest.raises(InvalidInputError, match="capacity_ah"):
        cell_life(bad, USE)
    with pytest.raises(InvalidInputError, match="usable_ratio"):
        cell_life(1.5, USE, usable_ratio=bad)
    with pytest.raises(InvalidInputError, match="shelf_life_years"):
        cell_life(1.5, USE, shelf_life_years=bad)


def test_other_nonsense_is_refused() -> None:
    with pytest.raises(InvalidInputError, match="events_per_day"):
        replace(USE, events_per_day=-1.0)
    with pytest.raises(InvalidInputError, match="longer than a message"):
        replace(USE, supervision_interval_s=0.05)
    with pytest.raises(InvalidInputError, match="self_discharge_per_year"):
        cell_life(1.5, USE, self_discharge_per_year=-0.01)
