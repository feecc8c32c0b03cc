"""Whether a module keeps its volts in a burst, on the battery at the end of its discharge."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pathproof.assess.context import Context, cite
from pathproof.assess.power.cables import Start, start_of
from pathproof.assess.power.check import (
    Check,
    allowed_drop_v,
    amount,
    open_check,
    told_check,
    unless_ends_low,
)
from pathproof.assess.power.currents import burst_unknown
from pathproof.assess.power.loads import Draws, draws_of
from pathproof.assess.power.runs import FedRun, RunLoad
from pathproof.assess.power.volts import Volts, battery_fitted, needed_volts
from pathproof.assess.sheet import Sheet
from pathproof.assess.types import Margin
from pathproof.calc.power import buffer_capacitance_f, burst_droop
from pathproof.calc.power.sources import BUFFER, CABLE_DROP
from pathproof.calc.sources import Source
from pathproof.job import Communicator, CommunicatorPart
from pathproof.terms import Word

__all__ = ["burst_check"]


def burst_check(
    ctx: Context,
    sheet: Sheet,
    communicator: Communicator,
    battery: Start,
    panel: Start,
    runs: Sequence[FedRun],
) -> Check:
    """One communicator in a burst, over the battery's resistance and its cable if it has one."""
    draws = draws_of(ctx.job, communicator.id)
    if draws.peak_a is None:
        return open_check(
            burst_unknown(draws),
            f"Enter peak_current_a, or peak_a of its draws, of {draws.part} in the catalogue, from "
            "its papers.",
        )
    battery_ohm = _battery_ohm(ctx)
    if isinstance(battery_ohm, Check):
        return battery_ohm
    needed = needed_volts(ctx, draws)
    if isinstance(needed, Check):
        return needed
    fed = _fed(runs, communicator)
    start = panel if fed is None else start_of(fed[0], battery, panel)
    source = _source(start, battery_ohm, fed)
    check = _in_burst(ctx, sheet, draws, source, needed)
    return unless_ends_low(check, battery.value_v, needed.value_v)


@dataclass(frozen=True, kw_only=True)
class _Source:
    """What a module draws its burst from."""

    start_v: float
    """Where its cable starts. [V]"""
    others_v: float
    """What the other loads of its cable take on the way to it, in alarm. [V]"""
    battery_ohm: float
    cable_ohm: float
    line: str

    @property
    def value_v(self) -> float:
        """At the module without its burst. [V]"""
        return self.start_v - self.others_v

    @property
    def ohm(self) -> float:
        return self.battery_ohm + self.cable_ohm


def _source(start: Start, battery_ohm: float, fed: tuple[FedRun, RunLoad] | None) -> _Source:
    others_v, run_ohm = 0.0, 0.0
    if fed is not None:
        run, load = fed
        others_v, run_ohm = run.drop_of_others_v(load), run.loop_ohm(load)
    return _Source(
        start_v=start.value_v,
        others_v=others_v,
        battery_ohm=battery_ohm,
        cable_ohm=start.loop_ohm + run_ohm,
        line=start.line,
    )


def _in_burst(ctx: Context, sheet: Sheet, draws: Draws, source: _Source, needed: Volts) -> Check:
    peak_a = draws.peak_a
    assert peak_a is not None
    left_v = _left_v(source, peak_a, needed)
    line = sheet.add(
        f"{draws.label}: volts in a burst, at the end of the battery's discharge",
        left_v,
        "V",
        formula="start - other loads of its cable - peak * (battery, as new + cable)",
        inputs={
            "start": (source.start_v, "V"),
            "other loads of its cable": (source.others_v, "V"),
            "peak": (peak_a, "A"),
            "battery, as new": (source.battery_ohm, "ohm"),
            "cable": (source.cable_ohm, "ohm"),
        },
        sources=(CABLE_DROP, *draws.sources, *_battery_source(ctx)),
        needs=(source.line,),
    )
    sheet.add(
        f"Margin of {draws.label} in a burst",
        left_v - needed.value_v,
        "V",
        formula=f"volts - {needed.said_by}",
        inputs={"volts": (left_v, "V"), needed.said_by: (needed.value_v, "V")},
        sources=needed.sources,
        needs=(line,),
    )
    check = told_check(
        f"{draws.label} has {amount(left_v, 'V')} in a burst at the end of the battery's "
        f"discharge and needs {amount(needed.value_v, 'V')}",
        Margin(value=left_v - needed.value_v, unit="V"),
        allowed_drop_v(source.value_v, needed.value_v),
        "",
    )
    if check.word is not Word.LACKING:
        return check
    return replace(check, do=_remedy(ctx, sheet, draws, source, needed, line))


def _left_v(source: _Source, peak_a: float, needed: Volts) -> float:
    """What a burst leaves; below 0 where the other loads leave nothing. [V]"""
    positive_v = source.value_v if source.value_v > 0.0 else needed.value_v  # no part of the droop
    droop = burst_droop(positive_v, peak_a, source.battery_ohm, source.cable_ohm, needed.value_v)
    return source.value_v - droop.droop_v


def _remedy(
    ctx: Context, sheet: Sheet, draws: Draws, source: _Source, needed: Volts, line: str
) -> str:
    """A buffer where one would do, else a thicker cable or another battery."""
    stiffer = (
        "a thicker or shorter cable to it, or a battery of less internal resistance"
        if source.cable_ohm
        else "a battery of less internal resistance"
    )
    module = ctx.job.part(draws.part)
    assert isinstance(module, CommunicatorPart)
    average_a, peak_a = draws.alarm_a or 0.0, draws.peak_a or 0.0
    allowed_v = source.value_v - average_a * source.ohm - needed.value_v
    if allowed_v <= 0.0 or peak_a <= average_a:
        return f"Choose {stiffer}: no buffer helps here."
    if module.burst_s is None:
        return (
            f"Choose {stiffer}, or ask the module's maker for the buffer that it allows; enter "
            f"burst_s of {draws.part} in the catalogue to have it worked out."
        )
    capacitance_f = buffer_capacitance_f(peak_a - average_a, module.burst_s, allowed_v)
    sheet.add(
        f"{draws.label}: buffer that would carry the burst",
        1e6 * capacitance_f,
        "uF",
        formula="(peak - average) * length of a burst / (volts at the average - needed)",
        inputs={
            "peak": (peak_a, "A"),
            "average": (average_a, "A"),
            "length of a burst": (module.burst_s, "s"),
            "volts at the average": (allowed_v + needed.value_v, "V"),
            "needed": (needed.value_v, "V"),
        },
        sources=(BUFFER,),
        needs=(line,),
    )
    return (
        f"Choose {stiffer}, or a buffer of {amount(1e6 * capacitance_f, 'uF')} or more at the "
        "module, if its maker allows one; it loses with age and cold, so fit more."
    )


def _battery_source(ctx: Context) -> tuple[Source, ...]:
    fitted = battery_fitted(ctx)
    if fitted is None:
        return ()
    part, _ = fitted
    return (cite(part.sources.get("internal_resistance_ohm", part.source)),)


def _battery_ohm(ctx: Context) -> float | Check:
    fitted = battery_fitted(ctx)
    assert fitted is not None  # without one there is no start of the cables
    part, count = fitted
    if part.internal_resistance_ohm is None:
        return open_check(
            f"the internal resistance of {part.name} ({part.id}) is not known",
            f"Enter internal_resistance_ohm of {part.id} in the catalogue, from its papers.",
        )
    return part.internal_resistance_ohm / count


def _fed(runs: Sequence[FedRun], communicator: Communicator) -> tuple[FedRun, RunLoad] | None:
    """The cable to a communicator; of several the one that takes most."""
    fed = [(run, load) for run in runs for load in run.loads if load.thing == communicator.id]
    return max(fed, key=lambda found: found[0].loop_ohm(found[1]), default=None)
