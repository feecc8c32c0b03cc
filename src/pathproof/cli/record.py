"""`pathproof record`: put on record what happened on site, and list it."""

import json
from collections.abc import Mapping
from datetime import datetime
from types import MappingProxyType
from typing import Annotated, Any, Final

import typer

from pathproof.assess.reading_use import reading_doubts
from pathproof.cli._jobs import open_job
from pathproof.cli._lte import BandwidthMhz, Earfcn, channel_values
from pathproof.cli._messages import complain
from pathproof.cli._options import (
    About,
    AsJson,
    At,
    Attempt,
    Band,
    By,
    FinalAntenna,
    FinalPlace,
    Instrument,
    JobPath,
    LidShut,
    Minutes,
    MinutesSinceRegistration,
    NetworkCode,
    QuantityRead,
    Replaces,
    ScaleOf,
    TechnologyRead,
    as_number,
    as_whole_number,
    command_app,
    given,
    one_of,
    wrong_use,
)
from pathproof.cli._readings import level_of, readings_of
from pathproof.cli._record import save_entries, when
from pathproof.cli._screen import Screen, print_json
from pathproof.cli._summaries import link_words, struck_out, summary
from pathproof.instruments import entry_values, read_scale_step
from pathproof.job import PANEL_ID, Job, PanelPart
from pathproof.job.adding import Draft
from pathproof.job.fingerprint import Fingerprints
from pathproof.job.record import Entry, ReadingEntry
from pathproof.terms import EventMeans, JobError, RecordKind, SignalKind

app = command_app(help="Put on record what happened on site, and list it.", no_args_is_help=True)

OWN_OPTIONS: Final[Mapping[RecordKind, tuple[str, ...]]] = MappingProxyType(
    {
        RecordKind.READING: (
            "text",
            "quantity",
            "scale",
            "network",
            "technology",
            "band",
            "earfcn",
            "bandwidth_mhz",
        ),
        RecordKind.LEVEL: ("via", "level_dbm", "step"),
        RecordKind.WALK: ("via", "due", "received", "in_hand_db"),
        RecordKind.EVENT: (
            "signal",
            "not_arrived",
            "code",
            "zone",
            "partition",
            "delay_s",
            "means",
            "reference",
            "communicator",
        ),
        RecordKind.SUPPLY_TEST: (
            "standby_current_a",
            "alarm_current_a",
            "loaded_v",
            "loaded_minutes",
            "charger_v",
            "battery_date",
        ),
        RecordKind.OVERRIDE: ("link", "reason", "until"),
        RecordKind.NOTE: ("text",),
    }
)
"""Options of `record add` that only some kinds take; all kinds take --values."""

_OF_ONE_KIND: Final = frozenset(name for names in OWN_OPTIONS.values() for name in names)


@app.command()
def add(
    context: typer.Context,
    job_path: JobPath,
    kind: Annotated[
        RecordKind,
        typer.Argument(
            parser=one_of(RecordKind), metavar="KIND", help="What happened.", show_default=False
        ),
    ],
    by: By,
    about: About = None,
    at: At = None,
    instrument: Instrument = "",
    lid_shut: LidShut = None,
    final_place: FinalPlace = None,
    final_antenna: FinalAntenna = None,
    minutes: Minutes = None,
    minutes_since_registration: MinutesSinceRegistration = None,
    attempt: Attempt = None,
    condition: Annotated[
        str, typer.Option(metavar="TEXT", help="Anything else about how it was done.")
    ] = "",
    replaces: Replaces = None,
    values: Annotated[
        str | None,
        typer.Option(metavar="JSON", help="Any kind: its values as the schema names them."),
    ] = None,
    text: Annotated[
        str | None,
        typer.Option(metavar="TEXT", help="note: the note. reading: what the instrument said."),
    ] = None,
    quantity: QuantityRead = None,
    scale: ScaleOf = None,
    network: NetworkCode = None,
    technology: TechnologyRead = None,
    band: Band = None,
    earfcn: Earfcn = None,
    bandwidth_mhz: BandwidthMhz = None,
    via: Annotated[
        str | None,
        typer.Option(metavar="ID", help="walk, level: who heard it; the panel if not given."),
    ] = None,
    due: Annotated[
        int | None,
        typer.Option(parser=as_whole_number, metavar="N", help="walk: messages that were due."),
    ] = None,
    received: Annotated[
        int | None,
        typer.Option(parser=as_whole_number, metavar="N", help="walk: messages received."),
    ] = None,
    in_hand_db: Annotated[
        float | None,
        typer.Option(
            parser=as_number, metavar="DB", help="walk: attenuation in the way meanwhile. [dB]"
        ),
    ] = None,
    level_dbm: Annotated[
        list[str] | None,
        typer.Option(metavar="LEVEL", help="level: one level; several times for several. [dBm]"),
    ] = None,
    step: Annotated[
        list[str] | None,
        typer.Option(
            metavar="STEP", help="level: one step as the panel shows it; several times for several."
        ),
    ] = None,
    signal: Annotated[
        SignalKind | None,
        typer.Option(
            parser=one_of(SignalKind),
            metavar="NAME",
            help=f"event: which signal: {', '.join(SignalKind)}.",
        ),
    ] = None,
    not_arrived: Annotated[
        bool, typer.Option("--not-arrived", help="event: sent, and the centre has nothing.")
    ] = False,
    code: Annotated[
        str | None, typer.Option(metavar="CODE", help="event: code the centre received.")
    ] = None,
    zone: Annotated[
        int | None,
        typer.Option(parser=as_whole_number, metavar="N", help="event: zone the centre received."),
    ] = None,
    partition: Annotated[
        int | None,
        typer.Option(
            parser=as_whole_number, metavar="N", help="event: partition the centre received."
        ),
    ] = None,
    delay_s: Annotated[
        float | None,
        typer.Option(parser=as_number, metavar="S", help="event: from trip to the centre. [s]"),
    ] = None,
    means: Annotated[
        EventMeans | None,
        typer.Option(
            parser=one_of(EventMeans),
            metavar="HOW",
            help=f"event: how it is known: {', '.join(EventMeans)}.",
        ),
    ] = None,
    reference: Annotated[
        str | None, typer.Option(metavar="TEXT", help="event: the centre's reference or operator.")
    ] = None,
    communicator: Annotated[
        str | None, typer.Option(metavar="ID", help="event: which communicator carried it.")
    ] = None,
    standby_current_a: Annotated[
        float | None,
        typer.Option(parser=as_number, metavar="A", help="supply_test: nothing in alarm. [A]"),
    ] = None,
    alarm_current_a: Annotated[
        float | None, typer.Option(parser=as_number, metavar="A", help="supply_test: in alarm. [A]")
    ] = None,
    loaded_v: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="V",
            help="supply_test: battery under alarm load, mains off. [V]",
        ),
    ] = None,
    loaded_minutes: Annotated[
        float | None,
        typer.Option(parser=as_number, metavar="MIN", help="supply_test: after so long. [min]"),
    ] = None,
    charger_v: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="V",
            help="supply_test: charger with the battery connected. [V]",
        ),
    ] = None,
    battery_date: Annotated[
        str | None, typer.Option(metavar="DATE", help="supply_test: date on the battery.")
    ] = None,
    link: Annotated[
        str | None, typer.Option(metavar="LINK", help="override: the link accepted as it is.")
    ] = None,
    reason: Annotated[str | None, typer.Option(metavar="TEXT", help="override: why.")] = None,
    until: Annotated[str | None, typer.Option(metavar="DATE", help="override: until when.")] = None,
    as_json: AsJson = False,
) -> None:
    """Add an entry to the record of a job.

    The entry holds a fingerprint of exactly what it speaks for, so that a later change of the site
    voids it where it must and nowhere else. Entries are never changed: a correction is a new one
    that names the one it replaces.
    """
    own = _own_options(kind, context.params)
    json_values = _values(values)
    _refuse_half_said(kind, {**json_values, **own})
    job = open_job(job_path)
    moment = when(at, job.site)
    own, raw, read_with = _measured(kind, own, moment, job)
    draft = Draft(
        kind=kind,
        values={**json_values, **own},
        about=about or [],
        at=moment,
        by=by,
        instrument=instrument or read_with,
        conditions=given(
            lid_shut=lid_shut,
            final_place=final_place,
            final_antenna=final_antenna,
            minutes=minutes,
            minutes_since_registration=minutes_since_registration,
            attempt=attempt,
            text=condition,
        ),
        raw=raw,
        replaces=replaces,
    )
    entry = save_entries(job_path, job, [draft])[0]
    if isinstance(entry, ReadingEntry):
        for note in reading_doubts(entry, job):
            complain(f"Warning: {note}")
    if as_json:
        print_json(entry.model_dump(mode="json", exclude_defaults=True))
    else:
        _show_added(entry, job)


@app.command("list")
def list_entries(job_path: JobPath, as_json: AsJson = False) -> None:
    """List the record, oldest first, and what no longer fits."""
    job = open_job(job_path)
    voided = _voided(job)
    replaced = {e.replaces: e.id for e in job.record if e.replaces is not None}
    if as_json:
        print_json(
            [
                {
                    **e.model_dump(mode="json", exclude_defaults=True),
                    "replaced_by": replaced.get(e.id),
                    "no_longer_fits": voided[e.id],
                }
                for e in job.record
            ]
        )
        return
    screen = Screen()
    if not job.record:
        screen.paragraph("The record is empty. Next: pathproof record add, with what was tested.")
    for entry in sorted(job.record, key=lambda e: (e.at, e.id)):
        _show_entry(screen, entry)
        if entry.id in replaced:
            screen.paragraph(f"replaced by {replaced[entry.id]}", first="    ")
        for name in voided[entry.id]:
            text = f"no longer fits {link_words(name)}: the site has changed"
            screen.paragraph(text, first="    ")


def _own_options(kind: RecordKind, params: Mapping[str, Any]) -> dict[str, Any]:
    """The options given that this kind takes.

    Raises
    ------
    typer.BadParameter
        One was given that belongs to other kinds.
    """
    own = OWN_OPTIONS.get(kind, ())
    some = {n: v for n, v in given(**params).items() if n in _OF_ONE_KIND and v is not False}
    for name in some:
        if name not in own:
            takes = ", ".join(_option(n) for n in own) or "--values"
            raise wrong_use(f"a {kind} does not take it; it takes {takes}", _option(name))
    return some


def _refuse_half_said(kind: RecordKind, said: Mapping[str, Any]) -> None:
    """An event has to say how it is known, and a level what was heard."""
    if kind is RecordKind.EVENT and "means" not in said:
        raise wrong_use(
            "say how it is known what the centre has: list (its list of signals), read_back (read "
            "back on the phone) or receiver (our own receiver)",
            "--means",
        )
    if kind is RecordKind.LEVEL and not {"level_dbm", "step", "levels", "steps"} & set(said):
        raise wrong_use(
            "say how strongly the device was heard: --level-dbm with levels, or --step with steps "
            "of the panel's own scale",
            "--level-dbm",
        )


def _option(name: str) -> str:
    return f"--{name.replace('_', '-')}"


def _values(text: str | None) -> dict[str, Any]:
    if text is None:
        return {}
    try:
        values = json.loads(text)
    except ValueError as error:
        raise wrong_use(f"not JSON: {error}", "--values") from error
    if not isinstance(values, dict):
        raise wrong_use('give a JSON object, as \'{"due": 5, "received": 5}\'', "--values")
    return values


def _measured(
    kind: RecordKind, own: dict[str, Any], at: datetime, job: Job
) -> tuple[dict[str, Any], str | None, str]:
    """Values of an entry from its options, what the instrument said, and what instrument it was."""
    if kind is RecordKind.READING:
        channel = (own.pop(x, None) for x in ("band", "earfcn", "bandwidth_mhz"))
        own |= channel_values(*channel)
    if kind is RecordKind.READING and "text" in own:
        read = readings_of([own.pop("text")], own.pop("quantity", None), own.pop("scale", None))
        if len(read) != 1:
            raise wrong_use(
                "one entry is one reading; for a watch use pathproof reading --watch", "--text"
            )
        values = entry_values([(at, read[0])], own)
        return values, read[0].raw, read[0].instrument
    if kind is RecordKind.LEVEL:
        return _levels(own, job), None, ""
    if kind is RecordKind.EVENT:
        return {"arrived": not own.pop("not_arrived", False), **own}, None, ""
    return own, None, ""


def _levels(own: dict[str, Any], job: Job) -> dict[str, Any]:
    """Values of a device heard: levels in dBm, or steps of the panel's own scale."""
    levels, steps = own.pop("level_dbm", []), own.pop("step", [])
    if levels:
        own["levels"] = [level_of(x).as_dict() for x in levels]
    if steps:
        receiver = own.get("via", PANEL_ID)
        part = job.part(job.site.panel.part) if job.site.panel and receiver == PANEL_ID else None
        if not isinstance(part, PanelPart) or part.scale is None:
            raise JobError(f"{receiver!r} has no scale in the catalogue; give --level-dbm instead.")
        for step in steps:
            read_scale_step(part.scale, step)  # refuses what it cannot show
        own["steps"] = steps
    return own


def _voided(job: Job) -> dict[str, list[str]]:
    """For each entry the links and signals that it no longer fits."""
    fingerprints = Fingerprints(job)

    def holds(entry: Entry, name: str) -> bool:
        communicator = entry.values.communicator if entry.kind == "event" else None
        return fingerprints.holds(name, entry.fits[name], communicator)

    return {e.id: [name for name in e.fits if not holds(e, name)] for e in job.record}


def _show_added(entry: Entry, before: Job) -> None:
    screen = Screen()
    _show_entry(screen, entry)
    if entry.fits:
        screen.paragraph(f"It speaks for {', '.join(map(link_words, entry.fits))}.", first="    ")
    if entry.replaces is not None:
        screen.paragraph(struck_out(entry, before), first="    ")


def _show_entry(screen: Screen, entry: Entry) -> None:
    about = f" {', '.join(entry.about)}" if entry.about else ""
    screen.paragraph(
        f"{entry.at:%Y-%m-%d %H:%M}  {entry.kind}{about}, {entry.by}",
        first=(f"{entry.id}  ", "bold"),
    )
    screen.paragraph(summary(entry), first="    ")
