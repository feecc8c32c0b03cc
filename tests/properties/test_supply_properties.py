"""What must hold for the supply of any site: nothing that makes things worse ever helps."""

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from pathproof.assess.judge import WORST_FIRST
from pathproof.assess.power.loads import load_schedule
from pathproof.assess.types import Link

from ..assess.power._supply_jobs import (
    cable,
    changed,
    line_of,
    link_of,
    module,
    siren,
    supply_job,
    with_test,
)

few = settings(max_examples=25)
AREAS_MM2 = (0.14, 0.22, 0.25, 0.34, 0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0)
lengths_m = st.floats(0.1, 300.0)
areas_mm2 = st.sampled_from(AREAS_MM2)
temperatures_degc = st.floats(-40.0, 90.0)
currents_a = st.floats(0.0, 3.0)
ROUNDING = 1e-9


def _fed(
    length_m: float = 10.0, area_mm2: float = 0.5, degc: float = 20.0, current_a: float = 0.3
) -> Link:
    """A siren at the end of a cable, a second one half-way, and a module beside it."""
    job = supply_job(
        changed("thin", area_mm2=area_mm2),
        changed("siren", alarm_current_a=current_a),
        devices=[siren("S1"), siren("S2")],
        communicators=[module()],
        cables=[
            cable(
                "main",
                length_m,
                temperature_degc=degc,
                on_the_way=[
                    {"to": "S2", "at_m": length_m / 2.0},
                    {"to": "S1", "at_m": length_m},
                ],
            )
        ],
    )
    return link_of(job)


def _never_helps(worse: Link, better: Link) -> None:
    assert WORST_FIRST.index(worse.word) <= WORST_FIRST.index(better.word)
    for label in ("volts at S1", "volts at S2", "volts at main", "volts in a burst"):
        low, high = line_of(worse, label).value, line_of(better, label).value
        assert isinstance(low, float)
        assert isinstance(high, float)
        assert low <= high + ROUNDING


@few
@given(lengths_m, lengths_m)
def test_a_longer_cable_never_helps(one_m: float, other_m: float) -> None:
    _never_helps(_fed(length_m=max(one_m, other_m)), _fed(length_m=min(one_m, other_m)))


@few
@given(areas_mm2, areas_mm2)
def test_a_thinner_cable_never_helps(one_mm2: float, other_mm2: float) -> None:
    _never_helps(_fed(area_mm2=min(one_mm2, other_mm2)), _fed(area_mm2=max(one_mm2, other_mm2)))


@few
@given(temperatures_degc, temperatures_degc)
def test_a_hotter_cable_never_helps(one: float, other: float) -> None:
    _never_helps(_fed(degc=max(one, other)), _fed(degc=min(one, other)))


@few
@given(currents_a, currents_a)
def test_more_current_never_helps(one_a: float, other_a: float) -> None:
    _never_helps(_fed(current_a=max(one_a, other_a)), _fed(current_a=min(one_a, other_a)))


@few
@given(lengths_m, currents_a)
def test_loads_along_a_cable_have_no_less_than_all_at_its_end(
    length_m: float, current_a: float
) -> None:
    link = _fed(length_m=length_m, current_a=current_a)
    end, lumped = line_of(link, "volts at main").value, line_of(link, "the safe case").value
    assert isinstance(end, float)
    assert isinstance(lumped, float)
    assert end >= 10.5 - lumped - ROUNDING


@few
@given(lengths_m, areas_mm2, currents_a)
def test_the_suggested_size_holds(length_m: float, area_mm2: float, current_a: float) -> None:
    size = line_of(_fed(length_m, area_mm2, current_a=current_a), "smallest conductor").value
    assert isinstance(size, str)
    if size == "none":
        fitted = _fed(length_m, AREAS_MM2[-1], current_a=current_a)
        assert min(_margins(fitted)) < 0.0
        return
    fitted = _fed(length_m, float(size.split()[0]), current_a=current_a)
    assert all(margin >= -ROUNDING for margin in _margins(fitted))


def _margins(link: Link) -> list[float]:
    lines = [line for line in link.working if "on cable" in line.label]
    return [line.value for line in lines if isinstance(line.value, float)]


@few
@given(st.floats(0.55, 1.95), st.floats(0.55, 1.95))
def test_more_measured_in_alarm_never_helps(one: float, other: float) -> None:
    """Within what does not look like a slip: half to twice what the parts state."""
    job = supply_job(devices=[siren()], cables=[cable(length_m=10.0)])
    stated_a = load_schedule(job).alarm_a
    worse, better = (
        link_of(with_test(job, alarm_current_a=x * stated_a))
        for x in sorted((one, other), reverse=True)
    )
    assert WORST_FIRST.index(worse.word) <= WORST_FIRST.index(better.word)


def _supply(**figures: Any) -> Link:
    return link_of(supply_job(changed("psu", **figures), communicators=[module()]))


@few
@given(st.floats(0.1, 5.0), st.floats(0.1, 5.0))
def test_a_smaller_supply_never_helps(one_a: float, other_a: float) -> None:
    for rating in ("average_a", "peak_a"):
        worse, better = (_supply(**{rating: a}) for a in sorted((one_a, other_a)))
        assert WORST_FIRST.index(worse.word) <= WORST_FIRST.index(better.word)
