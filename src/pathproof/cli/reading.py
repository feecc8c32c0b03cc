"""`pathproof reading`: what mobile readings mean, one or a watch, and putting them on record."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from typing import Annotated, Any

import typer

from pathproof.assess.lte_words import channel_text, doubts, implied
from pathproof.assess.reading_use import will_not_count
from pathproof.assess.reading_words import level_text
from pathproof.assess.watch_report import Judged, judged, link_texts, watch_notes
from pathproof.cli._jobs import as_of_moment, open_job
from pathproof.cli._logs import Every, WatchLog, read_log, refuse_what_is_to_come
from pathproof.cli._lte import BandwidthMhz, Earfcn, channel_values
from pathproof.cli._options import (
    About,
    AsJson,
    At,
    Attempt,
    Band,
    FinalAntenna,
    Instrument,
    LidShut,
    Minutes,
    MinutesSinceRegistration,
    NetworkCode,
    QuantityRead,
    Replaces,
    ScaleOf,
    TechnologyRead,
    command_app,
    given,
    wrong_use,
)
from pathproof.cli._readings import FROM_INPUT, part_scale, read_levels, readings_of
from pathproof.cli._record import save_entries, when
from pathproof.cli._screen import Screen, print_json
from pathproof.cli._watches import show_watch, untold_for_proof, watch_as_dict
from pathproof.instruments import (
    Log,
    Reader,
    Reading,
    TimedReading,
    by_technology,
    entry_values,
    read_scale_step,
    told_of,
)
from pathproof.job import Entry, Job, Site
from pathproof.job.adding import Draft
from pathproof.job.home import user_library
from pathproof.job.record import ReadingEntry, ReadingValues
from pathproof.terms import JobError, Quantity, RecordKind, Technology

app = command_app()


@dataclass(frozen=True, kw_only=True)
class _ForTheRecord:
    """What somebody says of all readings, and the job they go into."""

    path: Path
    job: Job
    about: Sequence[str]
    by: str
    at: str | None
    instrument: str
    conditions: Mapping[str, Any]
    replaces: str | None

    def draft(self, readings: Sequence[TimedReading], told: Mapping[str, Any], raw: str) -> Draft:
        """One entry before it has its id."""
        return Draft(
            kind=RecordKind.READING,
            values=entry_values(readings, told),
            about=self.about,
            at=readings[0][0],
            by=self.by,
            instrument=self.instrument or readings[0][1].instrument,
            conditions=self.conditions,
            raw=raw,
            replaces=self.replaces,
        )

    def save(self, drafts: Sequence[Draft]) -> list[Entry]:
        """The entries on record, all of them or none."""
        if self.replaces is not None and len(drafts) > 1:
            raise wrong_use(f"one entry replaces one; {len(drafts)} were given", "--replaces")
        return save_entries(self.path, self.job, drafts)

    def saved(self) -> Job:
        """The job as saved, with what its instrument is in the catalogue."""
        return open_job(self.path)


@app.command(context_settings={"ignore_unknown_options": True})  # a level starts with a minus
def reading(
    text: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="TEXT",
            help="A module's answer, or levels written out; - reads standard input, one reading "
            "a line.",
            show_default=False,
        ),
    ] = None,
    watch: WatchLog = None,
    every: Every = None,
    quantity: QuantityRead = None,
    scale: ScaleOf = None,
    bandwidth_mhz: BandwidthMhz = None,
    earfcn: Earfcn = None,
    as_json: AsJson = False,
    job: Annotated[
        Path | None, typer.Option(help="Put it on record in this job, with the options below.")
    ] = None,
    about: About = None,
    by: Annotated[str | None, typer.Option(metavar="NAME", help="Who did it.")] = None,
    at: At = None,
    network: NetworkCode = None,
    technology: TechnologyRead = None,
    band: Band = None,
    final_antenna: FinalAntenna = None,
    lid_shut: LidShut = None,
    minutes: Minutes = None,
    minutes_since_registration: MinutesSinceRegistration = None,
    attempt: Attempt = None,
    instrument: Instrument = "",
    replaces: Replaces = None,
) -> None:
    """Say what a mobile reading means, and put it on record.

    A reading stands for a bin of levels, at one moment, at a spot or by a communicator of the job.
    What proves a mobile link is a watch by its own module: 22 readings or more over 30 minutes or
    more, one every ten seconds or so, with the final antenna, the lid shut, and the minutes since
    registration told.
    """
    _refuse_odd_use(text or [], watch, every, minutes)
    channel = channel_values(band, earfcn, bandwidth_mhz)
    told = {**given(network=network, technology=technology), **channel}
    conditions = given(
        final_antenna=final_antenna,
        lid_shut=lid_shut,
        minutes=minutes,
        minutes_since_registration=minutes_since_registration,
        attempt=attempt,
    )
    record = None
    if job is None:
        of_record = given(network=network, technology=technology, band=band)
        others = given(about=about, by=by, at=at, instrument=instrument, replaces=replaces)
        _refuse_without_job({**of_record, **conditions, **others})
    elif by is None:
        raise wrong_use("say who did it, to put it on record", "--by")
    else:
        record = _ForTheRecord(
            path=job,
            job=open_job(job),
            about=about or [],
            by=by,
            at=at,
            instrument=instrument,
            conditions=conditions,
            replaces=replaces,
        )
    said = [] if earfcn is None else [channel_text(earfcn)]
    if watch is None:
        read_now = readings_of(text or [], quantity, scale)
        _answer_readings(
            read_now, told, said, record, many=text == [FROM_INPUT], scale=scale, as_json=as_json
        )
    else:
        site = Site(name="No job") if record is None else record.job.site
        log = read_log(watch, every, at, site, _reader(quantity, scale))
        _answer_watch(log, told, said, record, as_json=as_json)


def _refuse_odd_use(
    text: Sequence[str], watch: str | None, every: timedelta | None, minutes: float | None
) -> None:
    stray = next((x for x in text if x.startswith("--")), None)
    if stray is not None:
        raise typer.BadParameter(f"There is no option {stray}; see pathproof reading --help.")
    if watch is None and not text:
        raise wrong_use(
            "give a reading, as '+CESQ: 99,99,255,255,20,40' or RSRP -97 dBm, or a log with "
            "--watch",
            "TEXT",
        )
    if watch is not None and text:
        raise wrong_use(f"the readings are in the log; leave {' '.join(text)!r} out", "--watch")
    if watch is None and every is not None:
        raise wrong_use("it is the pace of a log: give --watch too", "--every")
    if watch is not None and minutes is not None:
        raise wrong_use("the log says how long it was watched; leave it out", "--minutes")


def _refuse_without_job(options: dict[str, object]) -> None:
    if options:
        name = next(iter(options)).replace("_", "-")
        raise wrong_use("only for the record: give --job too", f"--{name}")


def _reader(quantity: Quantity | None, scale: str | None) -> Reader:
    if scale is None:
        return lambda text: read_levels(text, quantity)
    steps = part_scale(user_library(), scale)
    if not steps.tied:
        raise wrong_use(
            f"the scale of {scale} is not tied to levels, so a watch on it says nothing; watch in "
            "dBm",
            "--scale",
        )
    return lambda text: read_scale_step(steps, text)


def _answer_readings(
    readings: list[Reading],
    told: Mapping[str, Any],
    said: Sequence[str],
    record: _ForTheRecord | None,
    *,
    many: bool,
    scale: str | None,
    as_json: bool,
) -> None:
    """Readings one by one, each an entry of its own."""
    entries: list[Entry] = []
    notes = [[*said, *_lte_notes([r], told)] for r in readings]
    if record is not None:
        at = when(record.at, record.job.site)
        drafts = [record.draft([(at, r)], told, r.raw) for r in readings]
        entries = record.save(drafts)
        for one, draft in zip(notes, drafts, strict=True):
            one += _worthless(draft, record.job)
        if len(readings) > 1:
            notes[-1].append(
                "They are of one moment on record, and count as one reading; for a watch give "
                "their times with --watch."
            )
    readings = [replace(r, notes=(*r.notes, *n)) for r, n in zip(readings, notes, strict=True)]
    if not as_json:
        screen = Screen()
        for one_reading in readings:
            _show(screen, one_reading)
        _show_entries(screen, entries, record)
    elif many:
        print_json({"readings": [r.as_dict() for r in readings]})
    else:
        print_json(readings[0].as_dict())


def _lte_notes(readings: Sequence[Reading], told: Mapping[str, Any]) -> list[str]:
    """What in readings of LTE cannot be, and of a single one what follows from it."""
    if told.get("technology") not in (None, Technology.LTE):
        return []
    bandwidth_hz = told.get("bandwidth_hz")
    lte = [r.levels for r in readings if r.technology in (None, Technology.LTE) and r.levels]
    found = doubts(lte, bandwidth_hz)
    if bandwidth_hz is not None and len(lte) == len(readings) == 1 and not found:
        return [implied(lte[0], bandwidth_hz)]
    return found


def _worthless(draft: Draft, job: Job) -> list[str]:
    final = draft.conditions.get("final_antenna")
    return will_not_count(draft.values, draft.about, final, job)


def _answer_watch(
    log: Log,
    told: Mapping[str, Any],
    said: Sequence[str],
    record: _ForTheRecord | None,
    *,
    as_json: bool,
) -> None:
    """A watch, one entry for each technology in it."""
    apart = by_technology(log.readings, told.get("technology"))
    entries: list[Entry] = []
    notes = [
        *said,
        *watch_notes(log.readings, log.passed_over),
        *_lte_notes([r for _, r in log.readings], told),
    ]
    if record is None:
        values = [
            ReadingValues.model_validate(entry_values(readings, told))
            for readings in apart.values()
        ]
        verdicts: list[Judged | None] = [None for _ in values]
    else:
        refuse_what_is_to_come(log, record.job.site)
        drafts = [
            record.draft(readings, told_of(technology, told), log.raw)
            for technology, readings in apart.items()
        ]
        entries = record.save(drafts)
        saved = [e for e in entries if isinstance(e, ReadingEntry)]
        values = [e.values for e in saved]
        notes += dict.fromkeys(n for d in drafts for n in _worthless(d, record.job))
        notes += untold_for_proof(record.conditions, record.about, record.job)
        verdicts, links = _judged(saved, record)
        notes += links
    if as_json:
        watches = [watch_as_dict(*x) for x in zip(values, verdicts, strict=True)]
        print_json({"watches": watches, "notes": notes, "entries": [e.id for e in entries]})
        return
    screen = Screen()
    for one, verdict in zip(values, verdicts, strict=True):
        show_watch(screen, one, verdict)
    for note in notes:
        screen.paragraph(note)
    _show_entries(screen, entries, record)


def _judged(
    saved: Sequence[ReadingEntry], record: _ForTheRecord
) -> tuple[list[Judged | None], list[str]]:
    """What watches on record say of need and fade margin, and of the links they are about."""
    job = record.saved()
    now = as_of_moment(None, job.site)
    try:
        verdicts = [judged(e, job, now) for e in saved]
        return verdicts, list(link_texts(record.about, job, verdicts, now))
    except JobError as error:  # a profile of one's own may lack limits
        return [None for _ in saved], [f"It cannot be judged yet. {error}"]


def _show(screen: Screen, one: Reading) -> None:
    for level in one.levels:
        screen.paragraph(level_text(level))
    if not one.levels:
        why = "the instrument knew nothing" if one.step is None else "a step is not tied to levels"
        screen.paragraph(f"{one.step or 'No level'}: {why}.")
    for note in one.notes:
        screen.paragraph(note, first="  ")


def _show_entries(screen: Screen, entries: Sequence[Entry], record: _ForTheRecord | None) -> None:
    if record is not None:
        screen.paragraph(f"On record in {record.path} as {', '.join(e.id for e in entries)}.")
