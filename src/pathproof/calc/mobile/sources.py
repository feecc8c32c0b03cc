"""The sources of the statistics of mobile levels, each named once."""

from pathproof.calc.sources import Source
from pathproof.terms import Evidence

ORDER_STATISTICS = Source(
    ref="Order statistics: binomial confidence bound of a percentile, free of any distribution",
    evidence=Evidence.COMPUTED,
)
TOLERANCE_FACTOR = Source(
    ref="One-sided tolerance factor of a normal distribution",
    evidence=Evidence.COMPUTED,
)
SERIAL_CORRELATION = Source(
    ref="House method: exponential correlation and noise, weighed by restricted likelihood",
    evidence=Evidence.PRACTICE,
)
COMPARISON = Source(
    ref="Normally distributed difference of two medians; the odds that count as a tie are a "
    "house value",
    evidence=Evidence.PRACTICE,
)
RSRQ_IDENTITY = Source(
    ref="3GPP TS 36.214, RSRQ = N x RSRP / RSSI",
    clause="5.1.3",
    evidence=Evidence.RESTATED,
)
RSRQ_LIMITS = Source(
    ref="RSRQ of a single cell by its load: 12, 4 and 2 of 12 elements in use",
    evidence=Evidence.COMPUTED,
)
THERMAL_NOISE = Source(
    ref="Thermal noise at 290 K in one resource element of 15 kHz",
    evidence=Evidence.COMPUTED,
)
CARRY_OVER = Source(
    ref="House values: what an LTE reading leaves open about LTE-M and NB-IoT",
    evidence=Evidence.PRACTICE,
)
REPEATED_TRIES = Source(
    ref="Bonferroni: of k tries each may be wrong as seldom as one part in k of what one may",
    evidence=Evidence.COMPUTED,
)
