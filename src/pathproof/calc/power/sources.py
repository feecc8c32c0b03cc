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
AWG_GEOMETRY = Source(
    ref="Diameters of American wire gauge, 0.127 mm times 92 to the power of (36 - n) / 39",
    evidence=Evidence.COMPUTED,
)
AWG_SOLID_20_DEGC = Source(
    ref="NBS Handbook 100, copper wire tables, solid annealed copper at 20 degC, as a public wire "
    "table gives them",
    evidence=Evidence.RESTATED,
)
AWG_10_SOLID_20_DEGC = Source(
    ref="NBS Handbook 100, copper wire tables, solid annealed copper at 20 degC, gauge 10",
    evidence=Evidence.MEMORY,
)
NEC_TABLE_8 = Source(
    ref="NEC, conductor properties, uncoated copper at 75 degC",
    clause="chapter 9, table 8",
    evidence=Evidence.RESTATED,
)
SEVEN_STRANDS = Source(
    ref="Largest ratio of 7 strands to solid in NEC chapter 9 table 8, carried over to gauges that "
    "it has no row for",
    evidence=Evidence.PRACTICE,
)
IEC_60228 = Source(
    ref="IEC 60228, greatest resistance of plain annealed copper at 20 degC",
    clause="tables 1 to 3",
    evidence=Evidence.RESTATED,
)
VDE_0295 = Source(
    ref="DIN VDE 0295 / HD 383, greatest resistance of small bunched conductors at 20 degC",
    evidence=Evidence.RESTATED,
)
COPPER_TEMPERATURE = Source(
    ref="Resistance of annealed copper as a straight line that meets 0 at -234.5 degC",
    evidence=Evidence.COMPUTED,
)
COPPER_CLAD = Source(
    ref="Copper-clad aluminium has about 1.6 times the resistance of copper, as public notes say",
    evidence=Evidence.RESTATED,
)
CABLE_DROP = Source(
    ref="Ohm's law over both wires, each current on the length that it flows through",
    evidence=Evidence.COMPUTED,
)
BUFFER = Source(
    ref="Charge of a capacitor that carries a burst, and Ohm's law",
    evidence=Evidence.COMPUTED,
)
END_OF_DISCHARGE = Source(
    ref="Volts at the end of discharge in equipment manuals: 10.5 V of 12 V, 20.4 V of 24 V",
    evidence=Evidence.RESTATED,
)
ALLOWED_DROP = Source(
    ref="A drop of 10 % of the supply's volts to plan with",
    evidence=Evidence.PRACTICE,
)
LIFE_BY_TEMPERATURE = Source(
    ref="Life of a lead-acid battery halves for each 10 K above the temperature it is stated for",
    evidence=Evidence.MEMORY,
)
REPLACEMENT_2022 = Source(
    ref="NFPA 72, replacement date not more than 4 years on, as two trade articles give it",
    edition="2022",
    evidence=Evidence.RESTATED,
)
REPLACEMENT_BEFORE_2022 = Source(
    ref="NFPA 72, replacement after 5 years, then by the maker, as two trade articles give it",
    edition="before 2022",
    evidence=Evidence.RESTATED,
)
RECHARGE = Source(
    ref="Charge put back at 85 to 90 % efficiency, charging current at most 0.25 to 0.30 of the "
    "capacity an hour; typical of sealed lead-acid batteries",
    evidence=Evidence.MEMORY,
)
SUPPLY_RATING = Source(
    ref="A supply carries load and charging current at once, in alarm and in a module's burst too",
    evidence=Evidence.PRACTICE,
)
FLOAT = Source(
    ref="Float voltage of 2.25 to 2.30 V a cell at 25 degC, less 3 mV for each K, as a battery "
    "text gives it",
    evidence=Evidence.RESTATED,
)
CELL_LIFE = Source(
    ref="Charge of a cell over what sleep, messages and self-discharge take in a year",
    evidence=Evidence.COMPUTED,
)
SHELF_LIFE = Source(
    ref="No cell is counted on past its shelf life, 10 years where its maker states none",
    evidence=Evidence.PRACTICE,
)
CELL_USABLE = Source(
    ref="90 % of a cell's capacity is used before its part reports it low",
    evidence=Evidence.PRACTICE,
)
CELL_SELF_DISCHARGE = Source(
    ref="A cell loses 1 % of its capacity a year by itself, typical of lithium",
    evidence=Evidence.PRACTICE,
)
CELL_CAPACITY_SEEN = Source(
    ref="Typical capacity of a cell type, as a public page gives it",
    evidence=Evidence.RESTATED,
)
CELL_CAPACITIES = Source(
    ref="Typical capacity of a cell type, designation by IEC 60086",
    evidence=Evidence.MEMORY,
)
NEC_CLASS_2 = Source(
    ref="NEC chapter 9, power source limits of Class 2 circuits",
    clause="Tables 11(A) and 11(B)",
    evidence=Evidence.MEMORY,
)
IEC_62368_1 = Source(
    ref="IEC/EN 62368-1, classes ES1 and ES2 of electrical energy sources",
    evidence=Evidence.MEMORY,
)
IEC_60950_1 = Source(
    ref="IEC/EN 60950-1, safety extra-low voltage (SELV)",
    evidence=Evidence.MEMORY,
)
