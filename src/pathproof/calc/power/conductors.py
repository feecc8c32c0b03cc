"""Resistance of conductors by gauge or by area, from rows of tables that it names. Scalar code."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from pathproof.calc._arrays import require_finite
from pathproof.calc.power.sources import (
    AWG_10_SOLID_20_DEGC,
    AWG_SOLID_20_DEGC,
    COPPER_CLAD,
    COPPER_TEMPERATURE,
    IEC_60228,
    NEC_TABLE_8,
    SEVEN_STRANDS,
    VDE_0295,
)
from pathproof.calc.sources import Source
from pathproof.terms import InvalidInputError, OutOfRangeError

KFT_M = 304.8
"""A thousand feet. [m]"""
KM_M = 1000.0
"""A kilometre. [m]"""

# Source: sources.COPPER_TEMPERATURE.
COPPER_ZERO_DEGC = -234.5
"""Where the straight line of copper's resistance over temperature meets 0. [degC]"""
COLDEST_DEGC = -40.0
HOTTEST_DEGC = 105.0
"""No resistance is carried further than this: usual insulation, house rule, no source. [degC]"""

# Source: sources.SEVEN_STRANDS: 1.98 / 1.93 of gauge 12, the largest of the five rows.
SEVEN_STRANDS_RATIO = 1.026
"""Resistance of 7 strands over a solid wire, for gauges without a row of their own. [ratio]"""
# Source: sources.COPPER_CLAD.
COPPER_CLAD_RATIO = 1.6
"""Resistance of copper-clad aluminium over copper of the same size. [ratio]"""


class Stranding(StrEnum):
    """How a conductor is made up: the first two go with a gauge, the classes with an area."""

    SOLID = "solid"
    SEVEN = "7"
    CLASS_1 = "class_1"
    CLASS_2 = "class_2"
    CLASS_5 = "class_5"


@dataclass(frozen=True, kw_only=True)
class ResistanceRow:
    """What a table says of a conductor."""

    printed_ohm: float
    """Resistance of the length below, as printed. [ohm]"""
    per_m: float
    """``KFT_M`` or ``KM_M``. [m]"""
    at_degc: float
    """Temperature that the row is for. [degC]"""
    source: Source

    @property
    def ohm_per_m(self) -> float:
        """The same for a metre. [ohm/m]"""
        return self.printed_ohm / self.per_m


@dataclass(frozen=True, kw_only=True)
class Conductor:
    """One wire of a cable."""

    name: str
    """Size and stranding as people say them."""
    area_mm2: float
    """Nominal. [mm2]"""
    awg: int | None = None
    """Gauge, where it is known by that."""
    stranding: Stranding
    rows: tuple[ResistanceRow, ...]
    """One row, or two at different temperatures, the colder first."""
    strand_ratio: float = 1.0
    """Resistance over that of the rows, where they are for another stranding. [ratio]"""
    note: str = ""
    """What else to know of its row."""
    copper_clad: bool = False
    """Copper-clad aluminium: to be found on a survey and rejected, not to be fitted."""

    @property
    def sources(self) -> tuple[Source, ...]:
        """What its resistance stands on."""
        found = [row.source for row in self.rows]
        if len(found) == 1:
            found.append(COPPER_TEMPERATURE)
        if self.strand_ratio != 1.0:
            found.append(SEVEN_STRANDS)
        if self.copper_clad:
            found.append(COPPER_CLAD)
        return tuple(found)


# Ohms per 1000 ft: solid at 20 degC (sources.AWG_SOLID_20_DEGC, gauge 10 from memory); solid and
# 7 strands at 75 degC (sources.NEC_TABLE_8, which begins at gauge 18).
_BY_GAUGE: Mapping[int, tuple[float, float | None, float | None]] = MappingProxyType(
    {
        24: (25.67, None, None),
        22: (16.14, None, None),
        20: (10.15, None, None),
        18: (6.385, 7.77, 7.95),
        16: (4.016, 4.89, 4.99),
        14: (2.525, 3.07, 3.14),
        12: (1.588, 1.93, 1.98),
        10: (0.9989, 1.21, 1.24),
    }
)
# Greatest ohms per km at 20 degC: classes 1 and 2, class 5 (sources.IEC_60228).
_BY_AREA: Mapping[float, tuple[float, float]] = MappingProxyType(
    {
        0.5: (36.0, 39.0),
        0.75: (24.5, 26.0),
        1.0: (18.1, 19.5),
        1.5: (12.1, 13.3),
        2.5: (7.41, 7.98),
        4.0: (4.61, 4.95),
        6.0: (3.08, 3.30),
    }
)
# Greatest ohms per km at 20 degC of fine strands (sources.VDE_0295).
_BY_SMALL_AREA: Mapping[float, float] = MappingProxyType(
    {0.14: 134.0, 0.22: 96.0, 0.25: 76.0, 0.34: 53.0}
)
# 7 strands of 0.20 mm of pure copper would have 78.4 ohm/km.
_LOOKS_HIGH = {0.22: "The row looks high by a fifth, which is on the safe side."}

AWG_SIZES = tuple(_BY_GAUGE)
"""Gauges that the tables here have, the thinnest first."""
MM2_SIZES = (*_BY_SMALL_AREA, *_BY_AREA)
"""Areas that the tables here have, the thinnest first. [mm2]"""


def awg_area_mm2(awg: int) -> float:
    r"""Area of a solid wire of American wire gauge.

    .. math:: d = 0.127 \cdot 92^{(36 - n) / 39} \text{ mm}, \quad A = \pi d^2 / 4

    Parameters
    ----------
    awg : int
        n, 0 to 40.

    Returns
    -------
    area_mm2 : float
        [mm2]

    Raises
    ------
    InvalidInputError
        No gauge, or outside 0 to 40.

    Examples
    --------
    >>> f"{awg_area_mm2(18):.4f}"
    '0.8230'

    References
    ----------
    .. [1] Steps of ASTM B258, from memory; computed against tables of diameters and resistances.
    """
    if not 0 <= awg <= 40:
        raise InvalidInputError(f"awg was {awg}; it must be 0 to 40.")
    diameter_mm = 0.127 * math.pow(92.0, (36 - awg) / 39)
    return math.pi * diameter_mm * diameter_mm / 4.0


def awg_conductor(awg: int, stranding: Stranding = Stranding.SEVEN) -> Conductor:
    """A copper conductor of American wire gauge, with the rows of the tables that speak of it.

    Parameters
    ----------
    awg : int
        One of ``AWG_SIZES``.
    stranding : Stranding
        Solid or 7 strands.

    Returns
    -------
    conductor : Conductor
        Uncoated copper.

    Raises
    ------
    InvalidInputError
        The tables have no such gauge, or the stranding is a class.

    Notes
    -----
    NEC chapter 9 table 8 begins at gauge 18; 7 strands of a thinner one count 1.026 times a solid
    wire, the largest ratio of the rows that it has: practice.

    Examples
    --------
    >>> awg_conductor(16).rows[0].printed_ohm
    4.99

    References
    ----------
    .. [1] NEC, chapter 9, table 8, at 75 degC, restated.
    .. [2] NBS Handbook 100, copper wire tables, at 20 degC, as a public table gives them; gauge 10
       from memory.
    """
    if awg not in _BY_GAUGE:
        raise InvalidInputError(
            f"awg was {awg}; the tables have {_listed(AWG_SIZES)}. Take the next thinner of "
            "these, with the larger number, to be on the safe side; still thinner ones have no row."
        )
    solid_cold, solid_hot, seven_hot = _BY_GAUGE[awg]
    cold = ResistanceRow(
        printed_ohm=solid_cold,
        per_m=KFT_M,
        at_degc=20.0,
        source=AWG_10_SOLID_20_DEGC if awg == 10 else AWG_SOLID_20_DEGC,
    )
    ratio = 1.0
    if stranding is Stranding.SOLID:
        made, rows = "solid", (cold, *_of_table_8(solid_hot))
    elif stranding is Stranding.SEVEN:
        made, rows = "7 strands", _of_table_8(seven_hot)
        if not rows:
            rows, ratio = (cold,), SEVEN_STRANDS_RATIO
    else:
        raise InvalidInputError(f"stranding was {stranding}; with a gauge it must be solid or 7.")
    return Conductor(
        name=f"{awg} AWG, {made}",
        area_mm2=awg_area_mm2(awg),
        awg=awg,
        stranding=stranding,
        rows=rows,
        strand_ratio=ratio,
    )


def mm2_conductor(area_mm2: float, stranding: Stranding = Stranding.CLASS_5) -> Conductor:
    """A copper conductor of metric size, with the row of the table that speaks of it.

    Parameters
    ----------
    area_mm2 : float
        One of ``MM2_SIZES``. [mm2]
    stranding : Stranding
        Class 1, 2 or 5; below 0.5 mm2 only class 5.

    Returns
    -------
    conductor : Conductor
        Plain annealed copper, at the greatest resistance that the standard allows.

    Raises
    ------
    InvalidInputError
        The tables have no such size, or not in this class, or the stranding is none of a class.

    Notes
    -----
    Limits: the sizes below 0.5 mm2 are fine strands; their row for 0.22 mm2 looks high by a fifth,
    which is on the safe side.

    Examples
    --------
    >>> mm2_conductor(0.5).rows[0].printed_ohm
    39.0

    References
    ----------
    .. [1] IEC 60228, tables 1 to 3, at 20 degC, restated.
    .. [2] DIN VDE 0295 / HD 383, small bunched conductors, at 20 degC, restated.
    """
    if area_mm2 not in MM2_SIZES:
        raise InvalidInputError(
            f"area_mm2 was {area_mm2:g}; the tables have {_listed(MM2_SIZES)}. Take the next "
            "thinner of these to be on the safe side; still thinner ones have no row."
        )
    if stranding not in (Stranding.CLASS_1, Stranding.CLASS_2, Stranding.CLASS_5):
        raise InvalidInputError(
            f"stranding was {stranding}; with an area it must be class_1, class_2 or class_5."
        )
    fine = stranding is Stranding.CLASS_5
    if area_mm2 in _BY_SMALL_AREA:
        if not fine:
            raise InvalidInputError(
                f"area_mm2 was {area_mm2:g}; classes 1 and 2 begin at 0.5 here. Take class 5."
            )
        ohm, source = _BY_SMALL_AREA[area_mm2], VDE_0295
    else:
        ohm, source = _BY_AREA[area_mm2][fine], IEC_60228
    return Conductor(
        name=f"{area_mm2:g} mm², {stranding.replace('_', ' ')}",
        area_mm2=area_mm2,
        stranding=stranding,
        rows=(ResistanceRow(printed_ohm=ohm, per_m=KM_M, at_degc=20.0, source=source),),
        note=_LOOKS_HIGH.get(area_mm2, ""),
    )


def conductors(stranding: Stranding) -> tuple[Conductor, ...]:
    """All copper conductors of a stranding that the tables have, the thinnest first.

    Parameters
    ----------
    stranding : Stranding
        Solid or 7 strands: gauges; a class: areas.

    Returns
    -------
    conductors : tuple of Conductor

    Notes
    -----
    Classes 1 and 2 begin at 0.5 mm2.

    Examples
    --------
    >>> [c.area_mm2 for c in conductors(Stranding.CLASS_1)][:3]
    [0.5, 0.75, 1.0]
    """
    if stranding in (Stranding.SOLID, Stranding.SEVEN):
        return tuple(awg_conductor(awg, stranding) for awg in AWG_SIZES)
    sizes = MM2_SIZES if stranding is Stranding.CLASS_5 else tuple(_BY_AREA)
    return tuple(mm2_conductor(area_mm2, stranding) for area_mm2 in sizes)


def resistance_ohm_per_m(conductor: Conductor, temperature_degc: float = 20.0) -> float:
    r"""Resistance of a metre of a conductor at a temperature.

    .. math:: R = R_{row} \, \frac{234.5 + T}{234.5 + T_{row}}

    Parameters
    ----------
    conductor : Conductor
        One wire.
    temperature_degc : float
        T, of the copper, -40 to 105. [degC]

    Returns
    -------
    resistance : float
        Of one wire: a pair has twice that. [ohm/m]

    Raises
    ------
    InvalidInputError
        The temperature is not finite.
    OutOfRangeError
        The temperature is outside -40 to 105 degC.

    Notes
    -----
    Where the tables have two rows, at 20 and 75 degC, the straight line through both is taken, so
    that each comes out as printed. Rows by area are the greatest that the standard allows, rows by
    gauge nominal. Limits: direct current; copper-clad aluminium is taken to warm up like copper.

    Examples
    --------
    >>> f"{1000 * resistance_ohm_per_m(mm2_conductor(1.5), 70.0):.2f}"
    '15.91'

    References
    ----------
    .. [1] Annealed copper, 0.00393 per K at 20 degC and 0.00323 per K at 75 degC; one line,
       computed, and within 0.4 % of the corrections of IEC 60228.
    """
    temperature = float(require_finite(temperature_degc, "temperature_degc"))
    if not COLDEST_DEGC <= temperature <= HOTTEST_DEGC:
        raise OutOfRangeError(
            "temperature_degc", temperature, COLDEST_DEGC, HOTTEST_DEGC, "degC", "copper's line"
        )
    cold, hot = conductor.rows[0], conductor.rows[-1]
    if cold is hot:
        table = cold.ohm_per_m * (
            (temperature - COPPER_ZERO_DEGC) / (cold.at_degc - COPPER_ZERO_DEGC)
        )
    else:
        share = (temperature - cold.at_degc) / (hot.at_degc - cold.at_degc)
        table = cold.ohm_per_m + (hot.ohm_per_m - cold.ohm_per_m) * share
    clad = COPPER_CLAD_RATIO if conductor.copper_clad else 1.0
    return table * conductor.strand_ratio * clad


def _of_table_8(ohm: float | None) -> tuple[ResistanceRow, ...]:
    """The row of NEC chapter 9 table 8, where it has one."""
    if ohm is None:
        return ()
    return (ResistanceRow(printed_ohm=ohm, per_m=KFT_M, at_degc=75.0, source=NEC_TABLE_8),)


def _listed(sizes: tuple[float, ...]) -> str:
    return ", ".join(f"{size:g}" for size in sizes)
