"""Checks that several modules of this room share."""

from pathproof.calc._arrays import require_finite
from pathproof.terms import InvalidInputError


def require_share(value: float, name: str) -> float:
    """A share of a whole: above 0, at most 1."""
    share = float(require_finite(value, name))
    if not 0.0 < share <= 1.0:
        raise InvalidInputError(f"{name} was {share:g}; it must be above 0 and at most 1.")
    return share


def require_at_least_one(value: float, name: str) -> float:
    """A factor that never takes anything away: 1 or above."""
    factor = float(require_finite(value, name))
    if factor < 1.0:
        raise InvalidInputError(f"{name} was {factor:g}; it must be 1 or above (20 % more is 1.2).")
    return factor
