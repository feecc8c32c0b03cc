"""`pathproof reading`: what a mobile reading means, and putting it on record."""

from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from pathproof.cli._jobs import open_job
from pathproof.cli._options import (
    About,
    AsJson,
    At,
    Band,
    FinalAntenna,
    Instrument,
    LidShut,
    Minutes,
    NetworkCode,
    QuantityRead,
    Replaces,
    ScaleOf,
    TechnologyRead,
    command_app,
    given,
    wrong_use,
)
from pathproof.cli._readings import (
    FROM_INPUT,
    grades_nothing,
    level_text,
    reading_values,
    readings_of,
)
from pathproof.cli._record import save_entries, when
from pathproof.cli._screen import Screen, print_json
from pathproof.instruments import Reading
from pathproof.job import Entry
from pathproof.job.adding import Draft
from pathproof.terms import RecordKind

app = command_app()


@app.command(context_settings={"ignore_unknown_options": True})  # a level starts with a minus
def reading(
    text: Annotated[
        list[str],
        typer.Argument(
            metavar="TEXT",
            help="A module's answer, or levels written out; - reads standard input, one reading "
            "a line.",
            show_default=False,
        ),
    ],
    quantity: QuantityRead = None,
    scale: ScaleOf = None,
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
    instrument: Instrument = "",
    replaces: Replaces = None,
) -> None:
    """Say what a mobile reading means, and put it on record.

    A reading stands for a bin of levels. It is about a spot or a communicator of the job; only
    with the final antenna, the lid shut and often enough does it prove anything.
    """
    stray = next((x for x in text if x.startswith("--")), None)
    if stray is not None:
        raise typer.BadParameter(f"There is no option {stray}; see pathproof reading --help.")
    read = readings_of(text, quantity, scale)
    seen = given(network=network, technology=technology, band=band)
    conditions = given(final_antenna=final_antenna, lid_shut=lid_shut, minutes=minutes)
    entries: list[Entry] = []
    if job is None:
        _refuse_without_job({**seen, **conditions, **given(about=about, by=by, at=at)})
    else:
        if by is None:
            raise wrong_use("say who did it, to put it on record", "--by")
        if replaces is not None and len(read) > 1:
            raise wrong_use(f"one reading replaces one entry; {len(read)} were given", "--replaces")
        opened = open_job(job)
        drafts = [
            Draft(
                kind=RecordKind.READING,
                values=reading_values(r, seen),
                about=about or [],
                at=when(at, opened.site),
                by=by,
                instrument=instrument or r.instrument,
                conditions=conditions,
                raw=r.raw,
                replaces=replaces,
            )
            for r in read
        ]
        entries = save_entries(job, opened, drafts)
        notes = (grades_nothing(d.values, opened.site) for d in drafts)
        read = [
            r if n is None else replace(r, notes=(*r.notes, n))
            for r, n in zip(read, notes, strict=True)
        ]
    if not as_json:
        _show(read, entries, job, by_scale=scale is not None)
    elif text == [FROM_INPUT]:
        print_json({"readings": [r.as_dict() for r in read]})
    else:
        print_json(read[0].as_dict())


def _refuse_without_job(options: dict[str, object]) -> None:
    if options:
        name = next(iter(options)).replace("_", "-")
        raise wrong_use("only for the record: give --job too", f"--{name}")


def _show(read: list[Reading], entries: list[Entry], job: Path | None, *, by_scale: bool) -> None:
    screen = Screen()
    for one in read:
        for level in one.levels:
            screen.paragraph(level_text(level))
        if not one.levels:
            why = "this scale is not tied to levels" if by_scale else "the instrument knew nothing"
            screen.paragraph(f"No level: {why}.")
        for note in one.notes:
            screen.paragraph(note, first="  ")
    if entries:
        screen.paragraph(f"On record in {job} as {', '.join(e.id for e in entries)}.")
