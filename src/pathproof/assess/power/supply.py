"""Supply link: whether the panel's supply and cables carry what hangs on them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final
from weakref import WeakKeyDictionary

from pathproof.assess.context import Context
from pathproof.assess.power.bursts import burst_check
from pathproof.assess.power.cables import (
    NeedOfLoad,
    battery_start,
    cable_check,
    panel_check,
    panel_start,
    start_of,
)
from pathproof.assess.power.charging import charging_checks
from pathproof.assess.power.check import Check, first_causes, open_check, weakest
from pathproof.assess.power.currents import currents
from pathproof.assess.power.loads import load_schedule
from pathproof.assess.power.runs import FedRun, fed_runs
from pathproof.assess.power.standby_tests import MEASURE_AGAIN
from pathproof.assess.power.supply_tests import fitting_tests, shown_by_tests
from pathproof.assess.power.volts import end_volts
from pathproof.assess.sheet import Sheet
from pathproof.assess.types import Line, Link
from pathproof.job import PANEL_ID, SupplyPart, links
from pathproof.job.record import SupplyTestEntry
from pathproof.terms import LinkKind, Reason, Word

__all__ = ["SupplyWork", "supply_link", "work_out_supply"]

_MOST_NAMED: Final = 3


@dataclass(frozen=True, kw_only=True)
class SupplyWork:
    """The supply as worked out: its checks, and what is missing to prove it."""

    checks: tuple[Check, ...]
    missing: tuple[str, ...]
    """What is missing to prove it, in words."""
    tests: tuple[SupplyTestEntry, ...]
    """Supply tests that fit, oldest first."""
    working: tuple[Line, ...]
    slip: str = ""
    """Which measured current is taken for a slip, in words; empty where none is."""

    @property
    def lacking(self) -> tuple[Check, ...]:
        return tuple(c for c in self.checks if c.word is Word.LACKING)

    @property
    def open_checks(self) -> tuple[Check, ...]:
        """Those that are undecided: a missing input first, the same thing once."""
        found = {c.why: c for c in self.checks if c.word is Word.UNDECIDED}
        return tuple(sorted(found.values(), key=lambda c: c.reason is not Reason.INPUT))


_WORK: WeakKeyDictionary[Context, SupplyWork] = WeakKeyDictionary()


def supply_link(ctx: Context) -> Link:
    """The panel's supply: what it gives, what cables leave, and what bursts leave."""
    return _link(work_out_supply(ctx))


def work_out_supply(ctx: Context) -> SupplyWork:
    """All checks of the supply, each with its margin and its lines of the working, done once."""
    if ctx not in _WORK:
        _WORK[ctx] = _work_out(ctx)
    return _WORK[ctx]


def _work_out(ctx: Context) -> SupplyWork:
    """By the currents that count; nothing lacks for one that looks like a slip of the pen."""
    work = _by_currents(ctx, slips_count=True)
    if not work.slip or not work.lacking:
        return work
    by_parts = _by_currents(ctx, slips_count=False)
    again = open_check(
        f"measured were {work.slip}; by what was measured the supply lacks", MEASURE_AGAIN
    )
    return replace(by_parts, checks=(*by_parts.checks, again))


def _by_currents(ctx: Context, *, slips_count: bool) -> SupplyWork:
    sheet, tests = Sheet(), fitting_tests(ctx)
    supply = ctx.site.supply
    if supply is None or ctx.site.panel is None:
        what = "supply" if supply is None else "panel"
        unsaid = open_check(f"no {what} is given", f"Choose the {what}.")
        return SupplyWork(checks=(unsaid,), missing=(), tests=tests, working=())
    part = ctx.job.part(supply.part)
    assert isinstance(part, SupplyPart)  # a job is refused where parts are of other kinds
    schedule = load_schedule(ctx.job)
    taken = currents(ctx, sheet, schedule, tests, slips_count=slips_count)
    checks = [*charging_checks(ctx, sheet, supply, part, taken)]
    volts, needs = _volts(ctx, sheet, [*fed_runs(ctx, schedule, taken.cable_ratio)])
    shown = shown_by_tests(ctx, sheet, needs, taken.alarm_measured_a)
    return SupplyWork(
        checks=(*checks, *volts, *shown.checks),
        missing=(*taken.missing, *shown.missing),
        tests=tests,
        working=sheet.lines,
        slip=taken.slip,
    )


def _volts(
    ctx: Context, sheet: Sheet, cables: Sequence[FedRun | Check]
) -> tuple[list[Check], list[NeedOfLoad]]:
    """Panel, cables and bursts at the end of discharge, with what all loads ask of the battery."""
    runs = [run for run in cables if isinstance(run, FedRun)]
    checks = [check for check in cables if isinstance(check, Check)]
    end = end_volts(ctx)
    if isinstance(end, Check):
        return [*checks, end], []
    battery = battery_start(sheet, end)
    panel = panel_start(sheet, battery, runs)
    own, need = panel_check(ctx, sheet, panel)
    checks.append(own)
    needs = [] if need is None else [need]
    for run in runs:
        check, of_loads = cable_check(ctx, sheet, run, start_of(run, battery, panel))
        checks.append(check)
        needs += of_loads
    checks += [burst_check(ctx, sheet, c, battery, panel, runs) for c in ctx.site.communicators]
    return checks, needs


def _link(work: SupplyWork) -> Link:
    link = Link(
        id=links.SUPPLY,
        kind=LinkKind.SUPPLY,
        start="mains",
        end=PANEL_ID,
        word=Word.UNDECIDED,
        why="",
        evidence=tuple(e.id for e in work.tests),
        working=work.working,
    )
    if work.lacking:
        worst = weakest(first_causes(work.lacking))
        more = len(work.lacking) - 1
        also = f"; {more} more {'thing lacks' if more == 1 else 'things lack'}" if more else ""
        return _decided(link, Word.LACKING, worst, f"{worst.why}{also}")
    if work.open_checks:
        named = [c.why for c in work.open_checks[:_MOST_NAMED]]
        more = len(work.open_checks) - len(named)
        named += [f"{more} more"] if more else []
        return replace(link, why="; ".join(named), reason=work.open_checks[0].reason)
    least = weakest(work.checks)
    if not work.tests:
        return _decided(link, Word.PREDICTED, least, least.why)
    if work.missing:
        missing = f"not measured yet: {'; '.join(work.missing)}"
        found = _decided(link, Word.PREDICTED, least, f"{least.why}; {missing}")
        return replace(found, missing=missing)
    return _decided(link, Word.PROVEN, least, f"worked out from measured inputs: {least.why}")


def _decided(link: Link, word: Word, by: Check, why: str) -> Link:
    return replace(link, word=word, why=why, margin=by.margin, scale=by.scale)
