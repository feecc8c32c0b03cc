"""Checks that several modules of this room share."""

import math

from pathproof.calc._arrays import require_finite
from pathproof.terms import InvalidInputError


def require_confidence(confidence_ratio: float, least: float = 0.0) -> float:
    """The confidence, between 0 and 1 and not below the least."""
    value = float(require_finite(confidence_ratio, "confidence_ratio"))
    if not (0.0 < value < 1.0 and value >= least):
        allowed = f"{least:g} or above" if least else "above 0"
        raise InvalidInputError(
            f"confidence_ratio was {value:g}; it must be {allowed} and below 1 (90 % is 0.9)."
        )
    return value


def require_independent(independent: float | None, count: float, least: float) -> float:
    """The number of independent readings; as many as there are where it is not given."""
    value = float(require_finite(count if independent is None else independent, "independent"))
    if not least <= value <= count:
        allowed = f"{least:g} to {count:g}" if math.isfinite(count) else f"{least:g} or more"
        raise InvalidInputError(
            f"independent was {value:g}; it must be {allowed}: no more than "
            "there are, and enough to say anything."
        )
    return value
