"""What to do about a supply: findings, remedies, what to ask for, and the test that proves it."""

from collections.abc import Iterator, Sequence
from typing import Final

from pathproof.assess.context import Context
from pathproof.assess.power.check import CHOOSE_BATTERY, Check, amount, first_causes
from pathproof.assess.power.standby import standby_link
from pathproof.assess.power.supply import work_out_supply
from pathproof.assess.power.supply_tests import charger_range
from pathproof.assess.power.volts import battery_fitted, other_system
from pathproof.assess.types import Link
from pathproof.calc.power import CHARGE_LIMIT_PER_H
from pathproof.calc.power.conductors import COPPER_CLAD_RATIO
from pathproof.job import CablePart, PanelPart, SupplyPart
from pathproof.terms import LimitName, Severity, SupplyKind

__all__ = ["supply_ask", "supply_findings", "supply_proof", "supply_remedy"]


_FREEZES_DEGC: Final = 0.0
_NOT_IN_FROST: Final = frozenset({"lithium_ion", "lithium_iron_phosphate"})
"""Never charged below freezing (from memory)."""

_Draft = tuple[Severity, str, str, str]


def supply_remedy(ctx: Context) -> str:
    """What a technician can do about a supply that lacks, the worst first, and what is open.

    A battery that ends too low for several loads is one order, and the first.
    """
    work = work_out_supply(ctx)
    lacking = sorted(work.lacking, key=lambda c: c.relative)
    first = [c for c in first_causes(lacking) if c.end_above_v is not None]
    then = [c for c in lacking if c.end_above_v is None]
    return _orders(ctx, (*first, *then, *work.open_checks))


def supply_ask(ctx: Context) -> str:
    """What to supply where an input of it is missing."""
    return _orders(ctx, work_out_supply(ctx).open_checks)


def _orders(ctx: Context, checks: Sequence[Check]) -> str:
    """What to do about checks, each order once; which battery to choose as standby has it."""
    orders = dict.fromkeys(c.do for c in checks)
    if ctx.site.battery is None and CHOOSE_BATTERY in orders:
        sized = standby_link(ctx).missing
        return " ".join(sized if order == CHOOSE_BATTERY else order for order in orders)
    return " ".join(orders)


def supply_proof(ctx: Context, link: Link) -> str:
    """The test that proves a supply, for a person on site."""
    limit = ctx.limits.get(LimitName.LOADED_TEST_MIN)
    minutes = "some" if limit is None else f"{limit.value:g}"
    usual = charger_range(ctx)
    charger = (
        ""
        if usual is None
        else ", and with the mains back and the battery full the charger's volts "
        f"({usual.low_v:.2f} to {usual.high_v:.2f} V)"
    )
    missing = f" {link.missing[0].upper()}{link.missing[1:]}." if link.missing else ""
    return (
        "Put the account on test and the mains off at its own switch. With everything in alarm "
        f"for {minutes} minutes or more, read the alarm current and the battery's volts{charger}; "
        "record them as a supply test. Mains back on, nothing left in alarm, and the account off "
        f"test.{missing}"
    )


def supply_findings(ctx: Context) -> Iterator[_Draft]:
    """Severity, what it is about, text and what to do, of each finding."""
    yield from _copper_clad(ctx)
    yield from _charger(ctx)
    yield from _charged_in_frost(ctx)
    yield from _other_system(ctx)


def _copper_clad(ctx: Context) -> Iterator[_Draft]:
    for cable in ctx.site.cables:
        part = ctx.job.part(cable.part)
        if isinstance(part, CablePart) and part.copper_clad:
            yield (
                Severity.ADVICE,
                cable.id,
                f"Cable {cable.id} ({part.name}) is copper-clad aluminium: about "
                f"{COPPER_CLAD_RATIO:g} times the resistance of copper, and it breaks at "
                "terminals.",
                "Reject it on a survey: pull a copper cable in its place.",
            )


def _charger(ctx: Context) -> Iterator[_Draft]:
    """A charger that gives a battery more than it usually may take, or another chemistry."""
    supply, fitted = ctx.site.supply, battery_fitted(ctx)
    if supply is None or fitted is None or supply.kind is not SupplyKind.MAINS_RECHARGED:
        return
    part = ctx.job.part(supply.part)
    assert isinstance(part, SupplyPart)  # a job is refused where parts are of other kinds
    battery, count = fitted
    most_a = CHARGE_LIMIT_PER_H * battery.capacity_ah * count
    if battery.chemistry != "lead_acid":
        yield (
            Severity.ADVICE,
            "battery",
            f"{battery.name} is no lead-acid battery: time to recharge is worked out as for one, "
            "and the charger's volts are not judged.",
            f"Make sure that {part.name} is meant for this chemistry, by its papers and the "
            "battery's.",
        )
    elif part.charge_a > most_a:
        yield (
            Severity.ADVICE,
            "battery",
            f"{part.name} keeps {amount(part.charge_a, 'A')} for charging; a lead-acid battery of "
            f"{amount(battery.capacity_ah * count, 'Ah')} usually takes {amount(most_a, 'A')} at "
            "the most (a quarter of its capacity an hour, from memory).",
            "Look up the charging current that the battery's papers allow; choose a larger battery "
            "or a charger with less current where it is exceeded.",
        )


def _charged_in_frost(ctx: Context) -> Iterator[_Draft]:
    """A lithium battery that is charged where it freezes."""
    supply, battery, fitted = ctx.site.supply, ctx.site.battery, battery_fitted(ctx)
    if supply is None or battery is None or fitted is None:
        return
    if supply.kind is not SupplyKind.MAINS_RECHARGED or battery.temperature_degc >= _FREEZES_DEGC:
        return
    if fitted[0].chemistry in _NOT_IN_FROST:
        yield (
            Severity.SAFETY,
            "battery",
            f"{fitted[0].name} is a lithium battery and is charged where it gets as cold as "
            f"{battery.temperature_degc:g} °C: below 0 °C charging damages it and can set it on "
            "fire (from memory).",
            "Put it where it does not freeze, or choose one whose papers allow charging in that "
            "cold.",
        )


def _other_system(ctx: Context) -> Iterator[_Draft]:
    fitted, panel = battery_fitted(ctx), ctx.site.panel
    part = None if panel is None else ctx.job.part(panel.part)
    if fitted is None or not isinstance(part, PanelPart):
        return
    if other_system(fitted[0], part):
        yield (
            Severity.FAULT,
            "battery",
            f"{fitted[0].name} has {fitted[0].nominal_v:g} V, and {part.name} is made for "
            f"{part.nominal_v:g} V; batteries of a site count as standing in parallel.",
            "Do not connect it. Choose a battery for the panel's volts, or enter blocks in series "
            "as one part.",
        )
