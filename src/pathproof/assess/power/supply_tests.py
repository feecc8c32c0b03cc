"""What supply tests on record have shown of the supply: volts under alarm load, and charging."""

from collections.abc import Sequence
from dataclasses import dataclass

from pathproof.assess.context import Context, cite
from pathproof.assess.power.battery_life import battery_life
from pathproof.assess.power.cables import NeedOfLoad
from pathproof.assess.power.check import Check, allowed_drop_v, amount, told_check
from pathproof.assess.power.standby_tests import same_battery, telling_v, too_old, untold_volts
from pathproof.assess.power.volts import battery_fitted, lead_acid_cells
from pathproof.assess.sheet import Sheet
from pathproof.assess.types import Margin
from pathproof.calc.power import FloatVoltage, float_voltage
from pathproof.calc.power.charging import FLOAT_REFERENCE_DEGC
from pathproof.calc.power.sources import CABLE_DROP, FLOAT
from pathproof.job import links
from pathproof.job.record import SupplyTestEntry
from pathproof.terms import LimitName, OutOfRangeError, SupplyKind, Word

__all__ = ["Shown", "charger_range", "fitting_tests", "shown_by_tests"]


@dataclass(frozen=True, kw_only=True)
class Shown:
    """What tests add to the calculation."""

    checks: tuple[Check, ...]
    """What was measured, against what is needed."""
    missing: tuple[str, ...]
    """What is missing to prove the supply, in words."""


def fitting_tests(ctx: Context) -> tuple[SupplyTestEntry, ...]:
    """Supply tests that fit supply, cables and loads as they are now, oldest first."""
    return tuple(
        e for e in ctx.fitting(ctx.entries, links.SUPPLY) if isinstance(e, SupplyTestEntry)
    )


def shown_by_tests(
    ctx: Context, sheet: Sheet, needs: Sequence[NeedOfLoad], alarm_a: float | None
) -> Shown:
    """Volts under load and volts of the charger, each by the newest test that tells.

    Parameters
    ----------
    ctx : Context
        Record and limits.
    sheet : Sheet
        Gets the lines.
    needs : sequence of NeedOfLoad
        What the panel and all loads on cables ask of the battery.
    alarm_a : float or None
        Alarm current as measured; none where it was not. [A]
    """
    life = battery_life(ctx)
    dated = None if life is None else life.dated
    with_this_battery = [
        e for e in fitting_tests(ctx) if ctx.fitting([e], links.STANDBY) and same_battery(e, dated)
    ]
    checks: list[Check] = []
    missing: list[str] = []
    past = life is not None and life.past(ctx.as_of.date())
    for found in (
        _past_its_date(_loaded(ctx, sheet, with_this_battery, needs, alarm_a), past=past),
        _charger(ctx, sheet, with_this_battery),
    ):
        if isinstance(found, Check):
            checks.append(found)
        elif found:
            missing.append(found)
    return Shown(checks=tuple(checks), missing=tuple(missing))


def _loaded(
    ctx: Context,
    sheet: Sheet,
    tests: Sequence[SupplyTestEntry],
    needs: Sequence[NeedOfLoad],
    alarm_a: float | None,
) -> Check | str:
    """The newest volts under load that tell: too low at any time, or held for long enough."""
    if not needs:
        return "volts that the panel needs, to hold a measurement against"
    most = max(needs, key=lambda need: need.at_battery_v)
    limit = ctx.limits.get(LimitName.LOADED_TEST_MIN)
    if limit is None or not limit.usable:
        return f"a limit {LimitName.LOADED_TEST_MIN} that is given and confirmed"
    for entry in reversed(tests):
        volts = telling_v(ctx, entry, most.at_battery_v, limit.value, alarm_a)
        if volts is not None:
            return _loaded_check(ctx, sheet, entry, volts, most)
    return (
        f"battery volts under alarm load after {limit.value:g} min or more with the mains off, "
        f"{amount(most.at_battery_v, 'V')} or more{untold_volts(ctx, tests)}"
    )


def _past_its_date(loaded: Check | str, *, past: bool) -> Check | str:
    """The same, but of a battery past its date no volts prove anything; a miss stays one."""
    if past and isinstance(loaded, Check) and loaded.word is not Word.LACKING:
        return "battery volts under alarm load of a battery that is not past its date"
    return loaded


def _loaded_check(
    ctx: Context, sheet: Sheet, entry: SupplyTestEntry, volts: float, need: NeedOfLoad
) -> Check:
    limit = ctx.limit(LimitName.LOADED_TEST_MIN)
    fitted = battery_fitted(ctx)
    assert fitted is not None  # what a load asks of the battery is known by its end of discharge
    margin_v = volts - need.at_battery_v
    sheet.add(
        f"Margin of the battery's volts under alarm load, measured (entry {entry.id})",
        margin_v,
        "V",
        formula=f"measured - (least volts of {need.what} + drop on the way to it)",
        inputs={
            "measured": (volts, "V"),
            f"least volts of {need.what}": (need.value_v, "V"),
            "drop on the way to it": (need.drop_v, "V"),
            "after": (entry.values.loaded_minutes or 0.0, "min"),
            "asked": (limit.value, "min"),
        },
        sources=(cite(limit.source), CABLE_DROP),
    )
    return told_check(
        f"the battery had {amount(volts, 'V')} under alarm load (entry {entry.id}), and "
        f"{need.what} asks {amount(need.at_battery_v, 'V')} of it",
        Margin(value=margin_v, unit="V"),
        allowed_drop_v(fitted[0].nominal_v, need.at_battery_v),
        "Charge the battery and test again; replace it if it does no better. Look at the cables "
        "and terminals too.",
    )


def charger_range(ctx: Context) -> FloatVoltage | None:
    """Between which volts a charger holds the site's lead-acid battery; none without a rule.

    From the battery's lowest usual temperature to 25 degC, since nobody tells the temperature on
    the day of a test.
    """
    fitted, supply = battery_fitted(ctx), ctx.site.supply
    if fitted is None or ctx.site.battery is None or fitted[0].chemistry != "lead_acid":
        return None
    if supply is None or supply.kind is not SupplyKind.MAINS_RECHARGED:
        return None
    cells = lead_acid_cells(fitted[0])
    try:
        found = [
            float_voltage(cells, degc)
            for degc in (ctx.site.battery.temperature_degc, FLOAT_REFERENCE_DEGC)
        ]
    except OutOfRangeError:
        return None
    return FloatVoltage(
        low_v=min(volts.low_v for volts in found), high_v=max(volts.high_v for volts in found)
    )


def _charger(ctx: Context, sheet: Sheet, tests: Sequence[SupplyTestEntry]) -> Check | str:
    """The newest volts of the charger: a check where outside their range, empty where inside."""
    usual = charger_range(ctx)
    if usual is None:
        return ""
    span = f"{usual.low_v:.2f} to {usual.high_v:.2f} V"
    measured = [e for e in tests if e.values.charger_v is not None]
    if not measured:
        return f"charger volts with the battery connected and full, {span}"
    entry = measured[-1]
    volts = entry.values.charger_v or 0.0
    margin_v = min(volts - usual.low_v, usual.high_v - volts)
    sheet.add(
        f"Margin of the charger's volts, measured (entry {entry.id})",
        margin_v,
        "V",
        formula="smaller of measured - low and high - measured",
        inputs={
            "measured": (volts, "V"),
            "low, at 25 °C or warmer": (usual.low_v, "V"),
            "high, at the battery's lowest usual temperature or 25 °C": (usual.high_v, "V"),
        },
        sources=(FLOAT,),
    )
    found = told_check(
        f"the charger had {amount(volts, 'V')} (entry {entry.id}), where {span} hold a full "
        "battery",
        Margin(value=margin_v, unit="V"),
        usual.high_v - usual.low_v,
        "Measure again with the battery full and its terminals clean; have the charger set by its "
        "papers, or replaced. The battery's papers come first.",
        short="outside",
    )
    if found.word is Word.LACKING:
        return found
    old = too_old(ctx, entry)
    return f"charger volts with the battery connected and full, {span} ({old})" if old else ""
