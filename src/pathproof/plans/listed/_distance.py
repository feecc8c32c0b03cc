"""Distances as people write them: metres, or feet and inches."""

import re
from typing import Final

from pathproof.terms import PlanError

_LONGEST_M: Final = 1000.0  # what a job file can hold
_FOOT_M: Final = 0.3048  # exact, by the international yard and pound agreement of 1959
_NUMBER: Final = r"[0-9]{1,9}(?:[.,][0-9]{1,9})?"
_METRES: Final = re.compile(rf"({_NUMBER}) ?(?:m|met(?:er|re)s?)?", re.IGNORECASE)
_FEET: Final = re.compile(
    rf"({_NUMBER}) ?(?:ft\.?|feet|foot|['′’]) ?(?:({_NUMBER}) ?(?:in\.?|inch(?:es)?|[\"″”])?)?",
    re.IGNORECASE,
)


def distance_m(text: str) -> float:
    """The distance in a text such as `12 m`, `12`, `40 ft` or `40' 6"`, to the millimetre. [m]

    Raises
    ------
    PlanError
        No distance, or one that a job cannot hold.
    """
    metres, feet = _METRES.fullmatch(text), _FEET.fullmatch(text)
    if metres is not None:
        found = _number(metres[1])
    elif feet is not None:
        found = (_number(feet[1]) + _number(feet[2] or "0") / 12.0) * _FOOT_M
    else:
        given = f"given {text!r}" if text else "nothing was given"
        raise PlanError(
            f"how far it is from the panel: {given}; allowed: metres or feet, such as 12 m, 12.5 m "
            "or 40 ft. Write it after the place"
        )
    if not 0.001 <= found <= _LONGEST_M:
        raise PlanError(
            f"how far it is from the panel: given {text!r}; allowed: above 0 and up to "
            f"{_LONGEST_M:g} m"
        )
    return round(found, 3)


def is_distance(text: str) -> bool:
    """Whether a text is written as a distance."""
    return bool(_METRES.fullmatch(text) or _FEET.fullmatch(text))


def _number(text: str) -> float:
    return float(text.replace(",", "."))
