"""`pathproof demo`: the whole job on the shipped scenario."""

from pathlib import Path
from typing import Annotated

import typer

from pathproof.assess import assess
from pathproof.cli._answer import show_answer
from pathproof.cli._options import AsciiOnly, AsJson, command_app
from pathproof.cli._screen import Screen, busy, print_json
from pathproof.cli.papers import paper_path, write_paper
from pathproof.job import write_atomically
from pathproof.simulate import AS_OF, demo_job, demo_json
from pathproof.terms import JobError, Word

JOB_NAME = "demo.json"

app = command_app()


@app.command()
def demo(
    output: Annotated[
        Path,
        typer.Option("--output", "-o", metavar="FOLDER", help="Where job and papers go."),
    ] = Path("demo-out"),
    ascii_only: AsciiOnly = False,
    as_json: AsJson = False,
) -> None:
    """Run the whole job on the shipped scenario and write its papers.

    An invented dairy with its shop. One signal is lacking on purpose; the working says why.
    """
    job = demo_job()
    job_path = output / JOB_NAME
    _write(job_path)
    with busy("Working out every link"):
        answer = assess(job, AS_OF)
    written = []
    for for_customer in (False, True):
        path = paper_path(output, job_path.stem, for_customer=for_customer)
        write_paper(path, job, answer, for_customer=for_customer)
        written.append(path)
    if as_json:
        papers = [str(p) for p in written]
        print_json({"job": str(job_path), "papers": papers, "assessment": answer.as_dict()})
        return
    screen = Screen(ascii_only=ascii_only)
    show_answer(screen, answer)
    screen.heading("Written")
    screen.paragraph(f"{job_path}: the job file")
    for path in written:
        screen.paragraph(f"{path}: the paper" + (" for the customer" * (path == written[-1])))
    if answer.word is Word.LACKING:
        screen.line()
        screen.paragraph("A signal lacks on purpose. Its working:")
        lacking = next(s.weakest for s in answer.signals if s.word is Word.LACKING)
        at = f"--as-of {AS_OF.isoformat(timespec='minutes')}"
        screen.line(f"  pathproof assess {job_path} {at} --working '{lacking}'")


def _write(path: Path) -> None:
    """The demo's job file, unless the one that is there is another."""
    content = demo_json().encode()
    if not path.exists():
        path.parent.mkdir(exist_ok=True)
        write_atomically(path, content)
    elif path.read_bytes() != content:
        raise JobError(
            f"{path} is not as this demo writes it: it was worked on, or is of another version. It "
            "stays as it is. Give another folder: pathproof demo -o FOLDER."
        )
