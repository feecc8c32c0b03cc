"""The volts that there are at the end of discharge, and those that a load needs."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from pathproof.assess.context import Context, cite
from pathproof.assess.power.check import CHOOSE_BATTERY, Check, limit_in_force, open_check
from pathproof.assess.power.loads import Draws
from pathproof.calc.power import END_OF_DISCHARGE_V
from pathproof.calc.power.sources import END_OF_DISCHARGE
from pathproof.calc.sources import Source
from pathproof.job import BatteryPart, PanelPart
from pathproof.terms import LimitName

__all__ = [
    "Volts",
    "battery_fitted",
    "end_volts",
    "full_v",
    "lead_acid_cells",
    "needed_volts",
    "other_system",
]

_CELL_V = 2.0
"""Nominal, of a lead-acid cell. [V]"""
_CELLS: Final[Mapping[str, tuple[float, float]]] = MappingProxyType(
    {
        "lead_acid": (_CELL_V, 2.15),  # at rest; common practice, no source
        "lithium_ion": (3.6, 4.20),  # this and the next ones from memory
        "lithium_iron_phosphate": (3.2, 3.65),
        "nickel_metal_hydride": (1.2, 1.45),
    }
)
"""Volts of a cell by chemistry: nominal, and of a full one. [V]"""
_OTHER_SYSTEM_RATIO: Final = 1.25
"""Nominal volts further apart than this are of different systems. House value. [ratio]"""
_LIMIT_IS_FOR_V = 12.0
"""System that the limit for loads without a figure of their own speaks of. [V]"""


@dataclass(frozen=True, kw_only=True)
class Volts:
    """Volts with where they come from."""

    value_v: float
    said_by: str
    """In words."""
    sources: tuple[Source, ...]


def battery_fitted(ctx: Context) -> tuple[BatteryPart, int] | None:
    """The battery of the site and how many stand in parallel."""
    fitted = ctx.site.battery
    if fitted is None:
        return None
    part = ctx.job.part(fitted.part)
    assert isinstance(part, BatteryPart)  # a job is refused where parts are of other kinds
    return part, fitted.count


def other_system(battery: BatteryPart, panel: PanelPart) -> bool:
    """Whether a battery is for other nominal volts than a panel."""
    ratio = battery.nominal_v / panel.nominal_v
    return max(ratio, 1.0 / ratio) > _OTHER_SYSTEM_RATIO


def lead_acid_cells(part: BatteryPart) -> int:
    """How many cells stand in series in a lead-acid battery."""
    return max(1, round(part.nominal_v / _CELL_V))


def full_v(part: BatteryPart) -> float:
    """The most volts that a full battery has while nothing charges it. [V]"""
    nominal_v, most_v = _CELLS[part.chemistry]
    return most_v * max(1, round(part.nominal_v / nominal_v))


def end_volts(ctx: Context) -> Volts | Check:
    """Volts of the battery at the end of its discharge, or what is missing to know them."""
    fitted = battery_fitted(ctx)
    if fitted is None:
        return open_check("no battery is given", CHOOSE_BATTERY)
    part, _ = fitted
    if part.end_v is not None:
        source = cite(part.sources.get("end_v", part.source))
        return Volts(value_v=part.end_v, said_by=f"end of discharge of {part.name}",
                     sources=(source,))  # fmt: skip
    if part.chemistry == "lead_acid" and part.nominal_v in END_OF_DISCHARGE_V:
        return Volts(
            value_v=END_OF_DISCHARGE_V[part.nominal_v],
            said_by=f"end of discharge of a lead-acid battery of {part.nominal_v:g} V",
            sources=(END_OF_DISCHARGE,),
        )
    return open_check(
        f"the volts of {part.name} ({part.id}) at the end of its discharge are not known",
        f"Enter end_v of {part.id} in the catalogue, from the battery's papers.",
    )


def needed_volts(ctx: Context, draws: Draws) -> Volts | Check:
    """Least volts of a load: its own, else those of the profile, or what is missing."""
    if draws.minimum_v is not None:
        return Volts(
            value_v=draws.minimum_v,
            said_by=f"least volts of {draws.name}",
            sources=draws.sources,
        )
    enter = f"Enter minimum_v of {draws.part} in the catalogue, from its papers"
    panel = ctx.site.panel
    system = None if panel is None else ctx.job.part(panel.part)
    if isinstance(system, PanelPart) and system.nominal_v != _LIMIT_IS_FOR_V:
        return open_check(
            f"the least volts of {draws.label} are not known, and the profile has a figure for "
            f"systems of {_LIMIT_IS_FOR_V:g} V only",
            f"{enter}.",
        )
    limit = limit_in_force(ctx, LimitName.SUPPLY_MIN_V)
    if isinstance(limit, Check):
        return limit
    return Volts(
        value_v=limit.value, said_by="least volts by the profile", sources=(cite(limit.source),)
    )
