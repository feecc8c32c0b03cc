"""`pathproof papers`: the design assessment as PDF."""

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated

import typer

from pathproof.assess import Assessment
from pathproof.assess import assess as assess_job
from pathproof.cli._jobs import as_of_moment, naming_the_option, open_job, stored_underlays
from pathproof.cli._options import AsJson, AsOf, JobPath, LeaveOutLater, command_app, output_file
from pathproof.cli._screen import Screen, busy, print_json
from pathproof.job import Job, write_atomically
from pathproof.papers import build, coverage_maps, render

app = command_app()


@app.command()
def papers(
    job_path: JobPath,
    output: Annotated[
        Path,
        typer.Option(
            "--output",
            "-o",
            metavar="PDF|FOLDER",
            help="A file ending in .pdf, or a folder that is there; here if not given.",
            show_default=False,
        ),
    ] = Path(),
    customer: Annotated[
        bool,
        typer.Option("--customer", help="The version for customers: no plan, no positions."),
    ] = False,
    as_of: AsOf = None,
    by: Annotated[str, typer.Option(metavar="NAME", help="Who made the paper.")] = "",
    leave_out_later: LeaveOutLater = False,
    as_json: AsJson = False,
) -> None:
    """Write the design assessment of a job as PDF.

    The same job, date and name give the same file, byte for byte.
    """
    path = paper_path(output, job_path.stem, for_customer=customer)
    job = open_job(job_path)
    moment = as_of_moment(as_of, job.site)
    with busy("Working out every link"), naming_the_option():
        answer = assess_job(job, moment, leave_out_later=leave_out_later)
    underlays = {} if customer else stored_underlays(job_path, job.site.floors)
    write_paper(path, job, answer, for_customer=customer, by=by, underlays=underlays)
    if as_json:
        print_json({"paper": str(path), "word": str(answer.word)})
    else:
        Screen().paragraph(f"{path}: {answer.word}, {answer.why}.")


def paper_path(output: Path, stem: str, *, for_customer: bool) -> Path:
    """A file in that folder where there is one, else the file itself, which ends in .pdf.

    Raises
    ------
    typer.BadParameter
        Neither, or the file's folder is not there.
    """
    if output.is_dir():
        return output / f"{stem}-{'customer' if for_customer else 'design-assessment'}.pdf"
    return output_file(output, ".pdf", also=", or a folder that is there")


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
