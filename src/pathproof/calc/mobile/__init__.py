"""Statistics of mobile levels: bins, percentiles, time, comparisons, consistency."""

from pathproof.calc.mobile.bins import BinnedLevels, Interval, binned_levels
from pathproof.calc.mobile.carrying import CarryOver, Doubt, carry_over
from pathproof.calc.mobile.comparing import (
    TIE_ODDS_RATIO,
    Better,
    Comparison,
    Side,
    compare_levels,
)
from pathproof.calc.mobile.consistency import (
    LTE_RESOURCE_BLOCKS,
    RSRQ_MOST_DB,
    Contradiction,
    LteReading,
    Rule,
    contradictions,
    implied_level,
    sinr_from_rsrq,
)
from pathproof.calc.mobile.normal import (
    normal_bound_of_tenth_percentile,
    normal_certainty,
    spread_over_time_db,
    tolerance_factor,
)
from pathproof.calc.mobile.percentiles import (
    LowerBound,
    certainty_of_tenth_percentile,
    least_readings,
    median_bounds,
    tenth_percentile,
    tenth_percentile_bounds,
    tolerance_of_tenth_percentile,
)
from pathproof.calc.mobile.watching import (
    LEAST_CORRELATION_TIME_S,
    LEAST_INDEPENDENT_NORMAL,
    SerialCorrelation,
    Theory,
    Watch,
    serial_correlation,
    watch,
)

__all__ = [
    "LEAST_CORRELATION_TIME_S",
    "LEAST_INDEPENDENT_NORMAL",
    "LTE_RESOURCE_BLOCKS",
    "RSRQ_MOST_DB",
    "TIE_ODDS_RATIO",
    "Better",
    "BinnedLevels",
    "CarryOver",
    "Comparison",
    "Contradiction",
    "Doubt",
    "Interval",
    "LowerBound",
    "LteReading",
    "Rule",
    "SerialCorrelation",
    "Side",
    "Theory",
    "Watch",
    "binned_levels",
    "carry_over",
    "certainty_of_tenth_percentile",
    "compare_levels",
    "contradictions",
    "implied_level",
    "least_readings",
    "median_bounds",
    "normal_bound_of_tenth_percentile",
    "normal_certainty",
    "serial_correlation",
    "sinr_from_rsrq",
    "spread_over_time_db",
    "tenth_percentile",
    "tenth_percentile_bounds",
    "tolerance_factor",
    "tolerance_of_tenth_percentile",
    "watch",
]
