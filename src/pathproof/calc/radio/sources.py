"""The sources of the radio formulas and constants, each named once."""

from pathproof.calc.sources import Source
from pathproof.terms import Evidence

FREE_SPACE = Source(
    ref="Rec. ITU-R P.525, Calculation of free-space attenuation",
    edition="P.525-4",
    evidence=Evidence.COMPUTED,
)
P2040_TABLE = Source(
    ref="Rec. ITU-R P.2040, electrical properties of building materials",
    edition="P.2040-3/-4",
    clause="Table 3",
    evidence=Evidence.RESTATED,
)
P2040_STACK = Source(
    ref="Rec. ITU-R P.2040, transmission through layers",
    edition="P.2040-3/-4",
    evidence=Evidence.COMPUTED,
)
LINK_RULE = Source(
    ref="House rule for a wall in an indoor link: angle, frequency band, conductivity, floor",
    evidence=Evidence.PRACTICE,
)
COST_231 = Source(
    ref="COST 231 Final Report, multi-wall model (values for 1.8 GHz)",
    clause="chapter 4",
    evidence=Evidence.RESTATED,
)
FIELD_STRENGTH = Source(
    ref="Field strength and radiated power in free space, E d = sqrt(30 EIRP)",
    evidence=Evidence.COMPUTED,
)
OPEN_AIR_RANGE = Source(
    ref="House method: link budget from a stated open-air range",
    evidence=Evidence.PRACTICE,
)
LOG_NORMAL = Source(
    ref="Normally distributed margin in decibels (log-normal fading)",
    evidence=Evidence.COMPUTED,
)
FEEDER = Source(
    ref="MIL-C-17, form of the attenuation tables of coaxial cable",
    evidence=Evidence.RESTATED,
)
