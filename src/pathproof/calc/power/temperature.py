"""How much larger a lead-acid battery has to be where it is cold. Scalar code."""

import numpy as np

from pathproof.calc._arrays import require_finite
from pathproof.terms import OutOfRangeError

COLDEST_DEGC = -3.9
WARMEST_DEGC = 51.7
"""The table's span; nothing is stretched beyond it. [degC]"""

# Source: sources.IEEE_485_TEMPERATURE. The table goes by degrees Fahrenheit: temperature, factor.
_FACTORS_BY_DEGF = (
    (25.0, 1.520),
    (30.0, 1.430),
    (35.0, 1.350),
    (40.0, 1.300),
    (45.0, 1.250),
    (50.0, 1.190),
    (55.0, 1.150),
    (60.0, 1.110),
    (65.0, 1.080),
    (70.0, 1.040),
    (75.0, 1.011),
    (77.0, 1.000),  # 25 degC, where batteries are rated
    (80.0, 0.980),
    (85.0, 0.960),
    (90.0, 0.940),
    (95.0, 0.930),
    (100.0, 0.910),
    (105.0, 0.890),
    (110.0, 0.880),
    (115.0, 0.870),
    (120.0, 0.860),
    (125.0, 0.850),
)


def temperature_factor(temperature_degc: float, *, count_warmth: bool = False) -> float:
    """How many times as large a lead-acid battery has to be at a temperature as at 25 degC.

    Parameters
    ----------
    temperature_degc : float
        Lowest usual temperature of the battery, -3.9 to 51.7. [degC]
    count_warmth : bool
        Let a warm battery count as larger than rated; otherwise the factor never goes below 1.

    Returns
    -------
    factor : float
        Multiplies the capacity. [ratio]

    Raises
    ------
    InvalidInputError
        The temperature is not finite.
    OutOfRangeError
        The temperature is outside the table.

    Notes
    -----
    Between two rows of the table the factor is interpolated. Limits: lead-acid only. That warmth
    is not counted is practice: heat costs life.

    Examples
    --------
    >>> temperature_factor(10.0)
    1.19

    References
    ----------
    .. [1] IEEE 485, factors of the cell size by temperature, reference 25 degC; the factors are
       from memory, span, reference and interpolation restated in an engineering note.
    """
    given = float(require_finite(temperature_degc, "temperature_degc"))
    if not COLDEST_DEGC <= given <= WARMEST_DEGC:
        raise OutOfRangeError(
            "temperature_degc",
            given,
            COLDEST_DEGC,
            WARMEST_DEGC,
            "degC",
            "the table of IEEE 485 for lead-acid batteries",
        )
    degf, factors = zip(*_FACTORS_BY_DEGF, strict=True)
    factor = float(np.interp(1.8 * given + 32.0, degf, factors))
    return factor if count_warmth else max(1.0, factor)
