"""`pathproof papers`: the papers of a job as PDF, its lists also as CSV."""

from collections.abc import Mapping
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Final

import typer

from pathproof.assess import Assessment
from pathproof.assess import assess as assess_job
from pathproof.cli._jobs import as_of_moment, naming_the_option, open_job, stored_underlays
from pathproof.cli._options import (
    AsJson,
    AsOf,
    JobPath,
    LeaveOutLater,
    command_app,
    one_of,
    output_file,
    wrong_use,
)
from pathproof.cli._screen import Screen, busy, print_json
from pathproof.job import Job, write_atomically
from pathproof.papers import (
    PartsList,
    ZoneSchedule,
    activation_sheet,
    build,
    coverage_maps,
    parts_list,
    render,
    zone_schedule,
)


class Sheet(StrEnum):
    """Which paper."""

    DESIGN = "design"
    ZONES = "zones"
    PARTS = "parts"
    ACTIVATION = "activation"


_FILE_NAMES: Final = {
    Sheet.DESIGN: "design-assessment",
    Sheet.ZONES: "zone-schedule",
    Sheet.PARTS: "parts-list",
    Sheet.ACTIVATION: "activation-sheet",
}
_LISTS: Final = (Sheet.ZONES, Sheet.PARTS)
"""Those that can be had as CSV too."""

app = command_app()


@app.command()
def papers(
    job_path: JobPath,
    output: Annotated[
        Path,
        typer.Option(
            "--output",
            "-o",
            metavar="FILE|FOLDER",
            help="A file ending in .pdf (.csv with --csv), or a folder that is there; here if not "
            "given.",
            show_default=False,
        ),
    ] = Path(),
    sheet: Annotated[
        Sheet,
        typer.Option(
            parser=one_of(Sheet),
            metavar="NAME",
            help=f"Which paper: {', '.join(Sheet)}.",
        ),
    ] = Sheet.DESIGN,
    as_csv: Annotated[
        bool, typer.Option("--csv", help="The zone schedule or parts list as CSV.")
    ] = False,
    customer: Annotated[
        bool,
        typer.Option("--customer", help="The version for customers: no plan, no positions."),
    ] = False,
    as_of: AsOf = None,
    by: Annotated[str, typer.Option(metavar="NAME", help="Who made the paper.")] = "",
    leave_out_later: LeaveOutLater = False,
    as_json: AsJson = False,
) -> None:
    """Write a paper of a job as PDF: the design assessment, or with --sheet another one.

    The same job, date and name give the same file, byte for byte.
    """
    if customer and sheet is not Sheet.DESIGN:
        raise wrong_use(f"given with --sheet {sheet}; allowed: with design alone.", "--customer")
    if as_csv and sheet not in _LISTS:
        raise wrong_use(
            f"given with --sheet {sheet}; allowed: with {' or '.join(_LISTS)}.", "--csv"
        )
    path = paper_path(output, job_path.stem, for_customer=customer, sheet=sheet, as_csv=as_csv)
    job = open_job(job_path)
    moment = as_of_moment(as_of, job.site)
    with busy("Working out every link"), naming_the_option():
        answer = assess_job(job, moment, leave_out_later=leave_out_later)
    if sheet is Sheet.DESIGN:
        underlays = {} if customer else stored_underlays(job_path, job.site.floors)
        write_paper(path, job, answer, for_customer=customer, by=by, underlays=underlays)
    elif sheet is Sheet.ACTIVATION:
        write_atomically(path, render(activation_sheet(job, answer, who=by)))
    else:
        paper = _list(sheet, job, answer, by)
        write_atomically(path, paper.csv().encode("utf-8-sig") if as_csv else render(paper))
    if as_json:
        print_json({"paper": str(path), "word": str(answer.word)})
    else:
        Screen().paragraph(f"{path}: {answer.word}, {answer.why}.")


def _list(sheet: Sheet, job: Job, answer: Assessment, by: str) -> ZoneSchedule | PartsList:
    make = zone_schedule if sheet is Sheet.ZONES else parts_list
    return make(job, answer, who=by)


def paper_path(
    output: Path,
    stem: str,
    *,
    for_customer: bool,
    sheet: Sheet = Sheet.DESIGN,
    as_csv: bool = False,
) -> Path:
    """A file in that folder where there is one, else the file itself, with the right ending.

    Raises
    ------
    typer.BadParameter
        Neither, or the file's folder is not there.
    """
    suffix = ".csv" if as_csv else ".pdf"
    if output.is_dir():
        return output / f"{stem}-{'customer' if for_customer else _FILE_NAMES[sheet]}{suffix}"
    return output_file(output, suffix, also=", or a folder that is there")


def write_paper(
    path: Path,
    job: Job,
    answer: Assessment,
    *,
    for_customer: bool,
    by: str = "",
    underlays: Mapping[str, bytes] | None = None,
) -> None:
    """Write one paper, whole or not at all."""
    with busy("Writing the paper"):
        maps = {} if for_customer else coverage_maps(job, answer.as_of)
        paper = build(
            job, answer, for_customer=for_customer, maps=maps, underlays=underlays, who=by
        )
        pdf = render(paper)
    write_atomically(path, pdf)
