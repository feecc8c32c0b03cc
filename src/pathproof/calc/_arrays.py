"""Numbers in, numbers out: the array types of `calc` and its input checks.

Formula functions take a float or an array of any shape, broadcast, and give a float back when
every input was a single number.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pathproof.terms import InvalidInputError

FloatArray = float | NDArray[np.float64]
ComplexArray = complex | NDArray[np.complex128]


def require_finite(value: ArrayLike, name: str) -> NDArray[np.float64]:
    """The value as an array of finite numbers.

    ``name`` is the parameter's name; its suffix tells the reader the unit.
    """
    try:
        array = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError) as exc:
        raise InvalidInputError(f"{name} was {value!r}; it must be a number.") from exc
    return _require(array, np.isfinite(array), name, "finite")


def require_positive(value: ArrayLike, name: str) -> NDArray[np.float64]:
    """The value as an array of finite numbers above 0."""
    array = require_finite(value, name)
    return _require(array, array > 0.0, name, "above 0")


def require_not_negative(value: ArrayLike, name: str) -> NDArray[np.float64]:
    """The value as an array of finite numbers, 0 or above."""
    array = require_finite(value, name)
    return _require(array, array >= 0.0, name, "0 or above")


def as_given(result: NDArray[np.float64]) -> FloatArray:
    """The result as a plain float where it is a single number."""
    return float(result) if np.ndim(result) == 0 else result


def _require(
    array: NDArray[np.float64], allowed: NDArray[np.bool_], name: str, rule: str
) -> NDArray[np.float64]:
    if not np.all(allowed):
        where = tuple(int(i) for i in np.argwhere(~allowed)[0])
        at = f"[{', '.join(map(str, where))}]" if where else ""
        raise InvalidInputError(f"{name}{at} was {array[where]:g}; it must be {rule}.")
    return array
