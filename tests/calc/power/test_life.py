"""When a battery is to be replaced."""

import pytest

from pathproof.calc.power import REPLACEMENT_RULES, replace_after_years, service_life_years
from pathproof.terms import InvalidInputError, OutOfRangeError


# A public handbook's table of AGM batteries, typical: 8, 6 and 4 years at 20, 25 and 30 degC,
# printed in whole years. The rule of thumb (memory) is to fit it.
@pytest.mark.parametrize(("degc", "years"), [(20.0, 8), (25.0, 6), (30.0, 4)])
def test_a_handbook_table(degc: float, years: int) -> None:
    assert service_life_years(8.0, degc) == pytest.approx(years, abs=0.5)


def test_cold_gives_no_more_than_the_maker_states() -> None:
    assert service_life_years(5.0, 5.0) == 5.0
    assert service_life_years(5.0, 35.0, 25.0) == pytest.approx(2.5)


# NFPA 72, two trade articles: not more than 4 years on in the edition of 2022, 5 years before.
def test_a_rule_or_the_life_whichever_comes_first() -> None:
    rule = REPLACEMENT_RULES["nfpa_72_2022"]
    assert replace_after_years(8.0, rule) == 4.0
    assert replace_after_years(3.0, rule) == 3.0
    assert replace_after_years(8.0, REPLACEMENT_RULES["nfpa_72_before_2022"]) == 5.0
    assert replace_after_years(8.0) == 8.0


def test_nonsense_is_refused() -> None:
    for bad in (0.0, -1.0, float("nan"), float("inf")):
        with pytest.raises(InvalidInputError, match="design_life_years"):
            service_life_years(bad, 20.0)
        with pytest.raises(InvalidInputError, match="life_years"):
            replace_after_years(bad)
    with pytest.raises(InvalidInputError, match="finite"):
        service_life_years(5.0, float("nan"))
    with pytest.raises(OutOfRangeError, match="temperature_degc"):
        service_life_years(5.0, 61.0)
    with pytest.raises(OutOfRangeError, match="stated_at_degc"):
        service_life_years(5.0, 20.0, 100.0)
