"""What a record entry says, in one line."""

from pathproof.assess.reading_words import count_text, level_text, read_of, watched_text
from pathproof.instruments import watched
from pathproof.job import Job
from pathproof.job.record import (
    ConfirmEntry,
    Entry,
    EventEntry,
    EventValues,
    LevelEntry,
    NoteEntry,
    OverrideEntry,
    PhotoEntry,
    ReadingEntry,
    SignatureEntry,
    StepEntry,
    SupplyTestEntry,
    SupplyTestValues,
    WalkEntry,
)


def summary(entry: Entry) -> str:
    """What an entry says, in one line."""
    match entry:
        case ReadingEntry(values=v) if v.series:
            of = read_of(v)
            levels = "; ".join(map(watched_text, watched(v))) or "no level"
            return f"{count_text(v)}{f' on {of}' if of else ''}: {levels}"
        case ReadingEntry(values=v):
            levels = ", ".join(level_text(x) for x in v.levels) or "no level"
            of = read_of(v)
            return f"{levels} on {of}" if of else levels
        case LevelEntry(values=v):
            return f"heard by {v.via}: {', '.join([*map(level_text, v.levels), *v.steps])}"
        case WalkEntry(values=v):
            in_hand = f"{v.in_hand_db:g} dB in hand"
            return f"{v.received} of {v.due} messages with {in_hand}, heard by {v.via}"
        case EventEntry(values=v):
            return _event(v)
        case SupplyTestEntry(values=v):
            return _supply_test(v)
        case StepEntry(values=v):
            return f"{v.procedure}, {v.step}: {'done' if v.done else 'left out'} {v.text}".strip()
        case PhotoEntry(values=v):
            return f"photograph {v.sha256[:12]} {v.caption}".strip()
        case SignatureEntry(values=v):
            return f"{v.name}, {v.role}, signed {v.paper}"
        case ConfirmEntry(values=v):
            return f"{v.profile}: {v.limit} = {v.value:g} by {v.document}, {v.edition}"
        case OverrideEntry(values=v):
            until = f" until {v.until}" if v.until else ""
            return f"{link_words(v.link)} accepted as it is{until}: {v.reason}"
        case NoteEntry(values=v):
            return v.text


def struck_out(entry: Entry, before: Job) -> str:
    """What an entry strikes out, and whether that was about something else."""
    replaced = next(e for e in before.record if e.id == entry.replaces)
    text = f"{replaced.id}, {replaced.kind}{_about(replaced)}, no longer counts."
    if set(replaced.about) != set(entry.about):
        text += f" It was{_about(replaced)}, this one is{_about(entry)}."
    return text


def _about(entry: Entry) -> str:
    return f" about {', '.join(entry.about) or 'nothing in particular'}"


def link_words(name: str) -> str:
    """The name of a link or signal in words, such as "the radio link from door to panel"."""
    kind, _, rest = name.partition(":")
    match kind:
        case "radio":
            return f"the radio link from {rest.replace('>', ' to ')}"
        case "signal":
            about, _, signal = rest.rpartition(":")
            return f"the signal {signal} of {about}"
        case "mobile" | "reporting":
            return f"the {kind} link of {rest}"
        case "spot":
            return f"the spot {rest}"
        case _:
            return name


def _event(v: EventValues) -> str:
    if not v.arrived:
        return f"{v.signal}: sent, and the centre has nothing"
    seen = [
        f"{name} {value}"
        for name, value in (("code", v.code), ("zone", v.zone), ("partition", v.partition))
        if value is not None
    ]
    after = f" after {v.delay_s:g} s" if v.delay_s is not None else ""
    return ", ".join([f"{v.signal} at the centre{after}", *seen, f"by {v.means}"])


def _supply_test(v: SupplyTestValues) -> str:
    after = f" after {v.loaded_minutes:g} min" if v.loaded_minutes is not None else ""
    measured = [
        text
        for value, text in (
            (v.standby_current_a, f"standby {v.standby_current_a} A"),
            (v.alarm_current_a, f"alarm {v.alarm_current_a} A"),
            (v.loaded_v, f"loaded {v.loaded_v} V{after}"),
            (v.charger_v, f"charger {v.charger_v} V"),
            (v.battery_date, f"battery of {v.battery_date}"),
        )
        if value is not None
    ]
    return ", ".join(measured) or "nothing measured"
