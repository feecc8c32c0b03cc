"""The input checks that all formula functions share."""

import math

import numpy as np
import pytest

from pathproof.calc._arrays import require_finite, require_not_negative, require_positive
from pathproof.terms import InvalidInputError


def test_names_the_place_of_the_bad_value() -> None:
    with pytest.raises(InvalidInputError, match=r"^x_m\[1, 0\] was inf; it must be finite\.$"):
        require_finite([[1.0, 2.0], [math.inf, 3.0]], "x_m")


def test_a_single_number_has_no_place() -> None:
    with pytest.raises(InvalidInputError, match=r"^x_m was -1; it must be above 0\.$"):
        require_positive(-1.0, "x_m")


def test_zero_is_not_positive_but_not_negative_either() -> None:
    assert require_not_negative(0.0, "x_m") == 0.0
    with pytest.raises(InvalidInputError, match="above 0"):
        require_positive(0.0, "x_m")


@pytest.mark.parametrize("value", ["ten", None, [1.0, "x"], [[1.0], [1.0, 2.0]]])
def test_what_is_no_number_is_refused(value: object) -> None:
    with pytest.raises(InvalidInputError, match=r"^x_m was "):
        require_finite(value, "x_m")  # type: ignore[arg-type]


def test_gives_float_arrays() -> None:
    assert require_finite([1, 2], "x_m").dtype == np.float64
