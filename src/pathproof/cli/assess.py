"""`pathproof assess`: will every signal reach the monitoring centre?"""

from difflib import get_close_matches
from typing import Annotated, Final

import typer

from pathproof.assess import assess as assess_job
from pathproof.assess.types import Assessment, Link, Replacement, Signal
from pathproof.cli._answer import show_answer, show_signals, show_working, show_years
from pathproof.cli._jobs import as_of_moment, naming_the_option, open_job
from pathproof.cli._options import (
    AsciiOnly,
    AsJson,
    AsOf,
    JobPath,
    LeaveOutLater,
    command_app,
    wrong_use,
)
from pathproof.cli._screen import Screen, busy, print_json
from pathproof.job.home import user_library
from pathproof.terms import Word

EXIT_CODES: Final = {Word.LACKING: 3, Word.UNDECIDED: 4}

app = command_app()


@app.command()
def assess(
    job_path: JobPath,
    as_of: AsOf = None,
    profile: Annotated[
        str | None, typer.Option(metavar="ID", help="Judge by this profile, not by the job's own.")
    ] = None,
    signal: Annotated[
        list[str] | None,
        typer.Option(
            metavar="ID",
            help="Only this signal, or those of this device or zone number; may be repeated.",
        ),
    ] = None,
    working: Annotated[
        str | None,
        typer.Option(
            metavar="LINK",
            help="Only this link, or row of what is to be replaced, with its whole working.",
        ),
    ] = None,
    leave_out_later: LeaveOutLater = False,
    ascii_only: AsciiOnly = False,
    as_json: AsJson = False,
) -> None:
    """Say of every signal whether it will reach the monitoring centre.

    Exit code 3 when something is lacking, 4 when nothing is lacking but something is undecided.
    """
    job = open_job(job_path)
    judged_at = as_of_moment(as_of, job.site)
    by = user_library().profile(profile) if profile is not None else None
    with busy("Working out every link"), naming_the_option():
        answer = assess_job(job, judged_at, by, leave_out_later=leave_out_later)
    signals = _chosen_signals(answer, signal)
    shown = None if working is None else _chosen(answer, working)
    screen = Screen(ascii_only=ascii_only)
    if as_json:
        print_json(_as_json(answer, signals, shown))
    elif isinstance(shown, Link):
        show_working(screen, answer, shown, job)
    elif shown is not None:
        show_years(screen, shown)
    elif signals is not None:
        show_signals(screen, answer, signals)
    else:
        show_answer(screen, answer)
    raise typer.Exit(EXIT_CODES.get(answer.word, 0))


def _chosen_signals(answer: Assessment, wanted: list[str] | None) -> list[Signal] | None:
    if not wanted:
        return None
    found: list[Signal] = []
    for name in wanted:
        these = [s for s in answer.signals if name in (s.id, s.about, str(s.zone))]
        if not these:
            ids = [s.about for s in answer.signals]
            near = ", ".join(dict.fromkeys(get_close_matches(name, ids, n=9, cutoff=0.4)))
            raise wrong_use(
                f"there is no signal, device or zone {name!r}; nearest: {near or 'none'}",
                "--signal",
            )
        found += [s for s in these if s not in found]
    return found


def _chosen(answer: Assessment, wanted: str) -> Link | Replacement:
    """The link of that id, or the row of what is to be replaced."""
    known: dict[str, Link | Replacement] = {x.id: x for x in answer.links}
    known |= {x.id: x for x in answer.replacements}
    if wanted not in known:
        near = get_close_matches(wanted, known, n=3, cutoff=0.3) or list(known)[:3]
        raise wrong_use(f"there is no link {wanted!r}; nearest: {', '.join(near)}", "--working")
    return known[wanted]


def _as_json(
    answer: Assessment, signals: list[Signal] | None, shown: Link | Replacement | None
) -> dict[str, object]:
    """The assessment, limited to the signals, the link or the row that were asked for."""
    data = answer.as_dict()
    if signals is not None:
        ids = {s.id for s in signals}
        data["signals"] = [s for s in data["signals"] if s["id"] in ids]
    if shown is not None:
        rows = "links" if isinstance(shown, Link) else "replacements"
        data[rows] = [x for x in data[rows] if x["id"] == shown.id]
    return data
