"""What a change does to the power of a site, and to what was measured before it."""

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Final

from pathproof.assess.context import Context
from pathproof.assess.power.check import amount
from pathproof.assess.power.loads import load_schedule
from pathproof.assess.power.standby import standby_link
from pathproof.assess.power.supply import supply_link
from pathproof.assess.types import Line, Link
from pathproof.job import Job, links
from pathproof.job.record import Entry, SupplyTestEntry
from pathproof.terms import Word

__all__ = ["currents_now", "power_changes"]

_OF_STANDBY: Final = (
    "Standby current: what all take",
    "Alarm current: what all take",
    "Capacity asked for",
    "Next usual size",
    "Hours it lasts",
    "Hours over",
)
_OF_SUPPLY: Final = ("What the supply has to give", "Volts at the panel", "Cable ", "Module ")
_NOT_KNOWN: Final = "not known"

_Figures = Mapping[str, str]


def power_changes(before: Job, after: Job, as_of: datetime) -> tuple[str, ...]:
    """Each figure and word of power that is another one after a change, as it was and as it is.

    By what the parts state on both sides, since no supply test speaks for both.

    Parameters
    ----------
    before, after : Job
        With everything embedded that they refer to.
    as_of : datetime
        The moment to judge at, with offset; later entries are left out.
    """
    was, now = _untested(before, as_of), _untested(after, as_of)
    figures = _differing(_figures(was), _figures(now))
    words = [
        text
        for of_link in (standby_link, supply_link)
        for text in _word_changed(of_link(was), of_link(now))
    ]
    return (*figures, *words)


def currents_now(ctx: Context, entry: Entry, name: str) -> str:
    """What a supply test measured for standby beside what the parts state now; else empty.

    Empty too where it measured no current, or where nobody states them.
    """
    if not isinstance(entry, SupplyTestEntry) or name != links.STANDBY:
        return ""
    schedule = load_schedule(ctx.job)
    if schedule.unknown:
        return ""
    idle_a, alarm_a = entry.values.standby_current_a, entry.values.alarm_current_a
    told = [
        f"{amount(measured_a, 'A')} {when}, where the parts state {amount(stated_a, 'A')} now"
        for measured_a, when, stated_a in (
            (idle_a, "with nothing in alarm", schedule.standby_a),
            (alarm_a, "in alarm", schedule.alarm_a),
        )
        if measured_a is not None
    ]
    return f" It measured {'; '.join(told)}." if told else ""


def _untested(job: Job, as_of: datetime) -> Context:
    record = [e for e in job.record if e.kind != "supply_test"]
    return Context(job.model_copy(update={"record": record}), as_of, None, leave_out_later=True)


def _figures(ctx: Context) -> _Figures:
    of_standby = _shown(standby_link(ctx), _OF_STANDBY)
    return dict([*of_standby, *_shown(supply_link(ctx), _OF_SUPPLY)])


def _shown(link: Link, labels: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    for line in link.working:
        if line.label.startswith(labels):
            yield line.label, _text(line)


def _text(line: Line) -> str:
    if isinstance(line.value, str):
        return line.value
    complete = all(value != _NOT_KNOWN for value, _ in line.inputs.values())
    return f"{line.value:.4g} {line.unit}{'' if complete else ', as far as known'}"


def _differing(was: _Figures, now: _Figures) -> Iterator[str]:
    """Figures that differ, those of a part that is new without an arrow, none of one that went."""
    for what, text in now.items():
        if what not in was and not what.startswith(_OF_STANDBY):
            yield f"{what}: {text}"
        elif was.get(what) != text:
            yield f"{what}: {was.get(what, _NOT_KNOWN)} → {text}"
    for what, text in was.items():
        if what not in now and what.startswith(_OF_STANDBY):
            yield f"{what}: {text} → {_NOT_KNOWN}"


def _word_changed(was: Link, now: Link) -> Iterator[str]:
    """The word of a link, where it is another one or the link does not hold."""
    told = "" if now.word is Word.PREDICTED else f": {now.why}"
    if was.word is not now.word:
        yield f"{now.id.capitalize()} by what the parts state: {was.word} → {now.word}{told}"
    elif told and was.why != now.why:
        yield f"{now.id.capitalize()} by what the parts state: still {now.word}{told}"
