"""The sources of the power formulas and constants, each named once."""

from pathproof.calc.sources import Source
from pathproof.terms import Evidence

STANDBY_FORM = Source(
    ref="Standby charge and alarm charge times a margin, as trade and study texts work it out",
    evidence=Evidence.RESTATED,
)
NFPA_72_MARGIN_2010 = Source(
    ref="NFPA 72, 10.6.7.2, 20 % added",
    edition="2010 to 2019",
    evidence=Evidence.RESTATED,
)
NFPA_72_MARGIN_2022 = Source(
    ref="NFPA 72, 10.6.7.2, 25 % added",
    edition="2022",
    evidence=Evidence.RESTATED,
)
EN_54_4_FORM = Source(
    ref="EN 54-4 / BS 5839-1, 1.25 (t1 I1 + t2 I2), as public design guides give it",
    evidence=Evidence.RESTATED,
)
BS_5839_ANNEX = Source(
    ref="BS 5839-1, annex on the capacity of standby batteries",
    evidence=Evidence.MEMORY,
)
IEEE_485_TEMPERATURE = Source(
    ref="IEEE 485, factors of the cell size by temperature",
    evidence=Evidence.MEMORY,
)
IEEE_485_SPAN = Source(
    ref="IEEE 485, span and reference of the temperature factors, interpolated, as an engineering "
    "note gives them",
    evidence=Evidence.RESTATED,
)
NO_CREDIT_FOR_WARMTH = Source(
    ref="A warm battery is not counted as larger: heat costs life",
    evidence=Evidence.PRACTICE,
)
AGEING = Source(
    ref="Lead-acid batteries are replaced at 80 % of their rating, factor 1.25, as a sizing "
    "worksheet gives it",
    evidence=Evidence.RESTATED,
)
DESIGN_MARGIN = Source(
    ref="IEEE 485, design margin of 1.10 to 1.15",
    evidence=Evidence.MEMORY,
)
STANDARD_SIZES = Source(
    ref="Usual sizes of sealed lead-acid blocks",
    evidence=Evidence.PRACTICE,
)
PEUKERT = Source(
    ref="Peukert's law in its form with the hour rate, as battery texts give it",
    evidence=Evidence.RESTATED,
)
PEUKERT_CAP = Source(
    ref="Below the rated current charge is counted as it is, as a battery meter's manual does",
    evidence=Evidence.PRACTICE,
)
