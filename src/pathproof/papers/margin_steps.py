"""The colours of a margin map: five steps of cividis.

The scale of Nunez, Anderton, Renslow (2018) runs evenly from dark to light for normal and
colour-blind eyes alike, and in black and white.

References
----------
.. [1] J. R. Nunez, C. R. Anderton, R. S. Renslow, "Optimizing colormaps with consideration for
   color vision deficiency to enable accurate interpretation of scientific data", PLoS ONE 13(7),
   e0199239, 2018.
"""

import numpy as np
from numpy.typing import NDArray

CIVIDIS = ((0, 34, 78), (67, 78, 108), (125, 124, 120), (188, 174, 108), (254, 232, 56))
"""The scale [1] at 0, 1/4, 1/2, 3/4 and 1, as 8-bit red, green and blue."""

STEP_EDGES_DB = (-10.0, 0.0, 10.0, 20.0)
"""Margins between the five steps, over the requirement. House choice. [dB]"""

STEP_NAMES = (
    "short by over 10 dB",
    "short by up to 10 dB",
    "0 to 10 dB",
    "10 to 20 dB",
    "over 20 dB",
)

TINT = 0.55
"""How much of the colour is printed, so that ink stays legible on it. House choice."""


def step_of(margin_db: NDArray[np.float64]) -> NDArray[np.int64]:
    """The step, 0 to 4, of each margin; -1 where there is none.

    Parameters
    ----------
    margin_db : ndarray, any shape
        Margin over the requirement; NaN where nothing is mapped. [dB]

    Returns
    -------
    step : ndarray of int, the same shape
        A margin on an edge counts as the better step.
    """
    steps = np.searchsorted(np.array(STEP_EDGES_DB), margin_db, side="right").astype(np.int64)
    return np.where(np.isnan(margin_db), -1, steps)


def tint(step: int) -> str:
    """The printed colour of a step, as #rrggbb."""
    return "#" + "".join(f"{round(255 - TINT * (255 - c)):02x}" for c in CIVIDIS[step])
