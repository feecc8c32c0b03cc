"""The colours of a map: five steps of cividis, with edges and names for each unit.

The scale of Nunez, Anderton, Renslow (2018) runs evenly from dark to light for normal and
colour-blind eyes alike, and in black and white. Where there is a requirement, two steps miss it and
three meet it.

References
----------
.. [1] J. R. Nunez, C. R. Anderton, R. S. Renslow, "Optimizing colormaps with consideration for
   color vision deficiency to enable accurate interpretation of scientific data", PLoS ONE 13(7),
   e0199239, 2018.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pathproof.papers._text import MINUS

CIVIDIS = ((0, 34, 78), (67, 78, 108), (125, 124, 120), (188, 174, 108), (254, 232, 56))
"""The scale [1] at 0, 1/4, 1/2, 3/4 and 1, as 8-bit red, green and blue."""

TINT = 0.55
"""How much of the colour is printed, so that ink stays legible on it. House choice."""

OVER_DB = (-10.0, 0.0, 10.0, 20.0)
"""Edges of margins and levels, over the requirement. House choice. [dB]"""
LEVELS_DBM = (-115.0, -105.0, -95.0, -85.0)
"""Edges of levels that nothing is required of. House choice. [dBm]"""
ODDS_RATIO = (0.25, 0.5, 0.8, 0.95)
"""Edges of odds that nothing is required of. House choice."""


@dataclass(frozen=True, kw_only=True)
class Steps:
    """Five steps of a map."""

    edges: tuple[float, float, float, float]
    """Values between them, rising. [the map's unit]"""
    names: tuple[str, str, str, str, str]

    def of(self, values: NDArray[np.float64]) -> NDArray[np.int64]:
        """The step, 0 to 4, of each value; -1 where there is none.

        Parameters
        ----------
        values : ndarray, any shape
            Of a map; NaN where nothing is mapped. [the map's unit]

        Returns
        -------
        step : ndarray of int, the same shape
            A value on an edge counts as the better step.
        """
        steps = np.searchsorted(np.array(self.edges), values, side="right").astype(np.int64)
        return np.where(np.isnan(values), -1, steps)


def steps_of(unit: str, required: float | None) -> Steps:
    """The steps of a map, by its unit and requirement; the requirement is their second edge.

    Parameters
    ----------
    unit : str
        `dB` (margins), `dBm` or `ratio`.
    required : float or None
        Value at which the requirement is just met. [unit]
    """
    if unit == "dB":
        return _margins(required or 0.0)
    if unit == "dBm":
        edges = LEVELS_DBM if required is None else _over(required)
        return Steps(edges=edges, names=_between(edges, _level, "dBm"))
    edges = ODDS_RATIO if required is None else _odds(required)
    return Steps(edges=edges, names=_between(edges, lambda x: f"{x * 100:.3g}", "in 100"))


def tint(step: int) -> str:
    """The printed colour of a step, as #rrggbb."""
    return "#" + "".join(f"{c:02x}" for c in tint_rgb(step))


def tint_rgb(step: int) -> tuple[int, int, int]:
    """The printed colour of a step, as 8-bit red, green and blue."""
    red, green, blue = (round(255 - TINT * (255 - c)) for c in CIVIDIS[step])
    return red, green, blue


def _over(required: float) -> tuple[float, float, float, float]:
    a, b, c, d = OVER_DB
    return required + a, required + b, required + c, required + d


def _margins(required_db: float) -> Steps:
    return Steps(
        edges=_over(required_db),
        names=(
            "short by over 10 dB",
            "short by up to 10 dB",
            "0 to 10 dB",
            "10 to 20 dB",
            "over 20 dB",
        ),
    )


def _odds(required_ratio: float) -> tuple[float, float, float, float]:
    """Half of the odds asked for, these, and odds of failing that are 2 and 5 times less."""
    fails = 1.0 - required_ratio
    return required_ratio / 2, required_ratio, 1.0 - fails / 2, 1.0 - fails / 5


def _level(level_dbm: float) -> str:
    return f"{level_dbm:.4g}".replace("-", MINUS)


def _between(
    edges: tuple[float, float, float, float], say: Callable[[float], str], unit: str
) -> tuple[str, str, str, str, str]:
    a, b, c, d = map(say, edges)
    return (
        f"below {a} {unit}",
        f"{a} to {b} {unit}",
        f"{b} to {c} {unit}",
        f"{c} to {d} {unit}",
        f"{d} {unit} or more",
    )
