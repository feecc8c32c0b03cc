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
COAX_FACTORS = Source(
    ref="Fitted to nominal handbook points at 100 and 1000 MHz, form of MIL-C-17",
    evidence=Evidence.MEMORY,
)
COAX_SPREAD = Source(
    ref="Public tables of coaxial cables, compared with each other",
    evidence=Evidence.RESTATED,
)
CONNECTORS = Source(
    ref="House allowance for a mated pair of connectors; radio system training guides plan alike",
    evidence=Evidence.PRACTICE,
)
MISMATCH = Source(
    ref="Transmission lines: reflection, return loss and mismatch loss from standing wave ratios",
    evidence=Evidence.COMPUTED,
)
P2109 = Source(
    ref="Rec. ITU-R P.2109, Prediction of building entry loss",
    edition="P.2109-2",
    clause="Annex 1, section 3",
    evidence=Evidence.RESTATED,
)
CFR_1_1310 = Source(
    ref="47 CFR 1.1310, radiofrequency radiation exposure limits",
    evidence=Evidence.RESTATED,
)
ICNIRP_WHOLE_BODY = Source(
    ref="ICNIRP guidelines for limiting exposure to electromagnetic fields, whole-body levels",
    edition="2020",
    evidence=Evidence.MEMORY,
)
ICNIRP_LOCAL = Source(
    ref="ICNIRP guidelines for limiting exposure to electromagnetic fields, local levels",
    edition="2020",
    evidence=Evidence.RESTATED,
)
GROUND_REFLECTION = Source(
    ref="OET Bulletin 65, factor 2.56 of the power density for full ground reflection",
    evidence=Evidence.MEMORY,
)
FAR_FIELD = Source(
    ref="Power density over a sphere in free space, S = EIRP / (4 pi R^2)",
    evidence=Evidence.COMPUTED,
)
NEAR_FIELD = Source(
    ref="Edge of the reactive near field of a small antenna, about a wavelength over 2 pi",
    evidence=Evidence.PRACTICE,
)
OPERATING_BANDS = Source(
    ref="3GPP TS 36.101, operating bands",
    clause="Table 5.5-1",
    evidence=Evidence.RESTATED,
)
EARFCN = Source(
    ref="3GPP TS 36.101, channel numbers (EARFCN)",
    clause="clause 5.7.3",
    evidence=Evidence.RESTATED,
)
EARFCN_FROM_MEMORY = Source(
    ref="3GPP TS 36.101, channel numbers (EARFCN) of bands 72 and 85",
    clause="clause 5.7.3",
    evidence=Evidence.MEMORY,
)
REFSENS_LTE = Source(
    ref="3GPP TS 36.101, reference sensitivity, QPSK, as a national rule reproduces it",
    clause="Table 7.3.1-1",
    evidence=Evidence.RESTATED,
)
REFSENS_LTE_M = Source(
    ref="3GPP TS 36.101, reference sensitivity of category M1",
    clause="clause 7.3.1E",
    evidence=Evidence.READ,
)
REFSENS_NB_IOT = Source(
    ref="3GPP TS 36.101, reference sensitivity of categories NB1 and NB2 without repetitions",
    clause="clause 7.3.1F.1",
    evidence=Evidence.READ,
)
