"""`pathproof choose`: which communicator, on which network, with which antenna."""

from collections.abc import Sequence
from difflib import get_close_matches
from functools import partial
from pathlib import Path
from shlex import quote
from typing import Annotated, Final

import typer

from pathproof.assess.choice import BUILT_IN, Choice, Ranked
from pathproof.assess.choosing import choose as choose_communicator
from pathproof.assess.taken_told import Told, tell
from pathproof.assess.taking import Taken, take
from pathproof.cli._choice import show_choice
from pathproof.cli._choice_taken import show_second, show_taken
from pathproof.cli._jobs import as_of_moment, naming_the_option, open_job
from pathproof.cli._options import (
    AsciiOnly,
    AsJson,
    AsOf,
    JobPath,
    LeaveOutLater,
    as_whole_number,
    command_app,
    wrong_use,
)
from pathproof.cli._screen import Screen, busy, print_json
from pathproof.job import Job, write_job
from pathproof.job.considering import considering, differing
from pathproof.job.home import user_library
from pathproof.terms import JobError

EXIT_NOTHING_FITS: Final = 3
EXIT_UNDECIDED: Final = 4

_MOST_NAMED: Final = 8

app = command_app()


@app.command()
def choose(
    job_path: JobPath,
    as_of: AsOf = None,
    spot: Annotated[
        list[str] | None,
        typer.Option(
            metavar="ID",
            help="Hang the antenna at this spot of the job only; may be repeated.",
        ),
    ] = None,
    antenna: Annotated[
        list[str] | None,
        typer.Option(
            metavar="ID",
            help=f"Only with this antenna of the catalogue, or {BUILT_IN} for the part's own; may "
            "be repeated.",
        ),
    ] = None,
    number: Annotated[
        int | None,
        typer.Option(
            "--take",
            parser=as_whole_number,
            metavar="N",
            help="Put the N-th of those that fit into the job as its main communicator, and what "
            "it was chosen from.",
        ),
    ] = None,
    every: Annotated[
        bool, typer.Option("--all", help="Show every offer, with all of its reasons.")
    ] = False,
    leave_out_later: LeaveOutLater = False,
    ascii_only: AsciiOnly = False,
    as_json: AsJson = False,
) -> None:
    """Choose communicator, card, network and antenna, with a reason for each one left out.

    Out of everything that the catalogue and the job hold: first what must be met, then the lower
    yearly cost, then the larger margin. Exit code 3 when nothing fits, 4 when nothing fits yet but
    some cannot be told.
    """
    before = open_job(job_path)
    judged_at = as_of_moment(as_of, before.site)
    _check_named("--spot", "this job has no spot", spot, [s.id for s in before.site.spots])
    job = considering(before, user_library())
    antennas = [i for i in job.site.considered if job.part(i).kind == "antenna"]
    _check_named("--antenna", "there is no antenna", antenna, [BUILT_IN, *antennas])
    weigh = partial(choose_communicator, job, judged_at, leave_out_later=leave_out_later)
    with busy("Weighing every offer"), naming_the_option():
        choice = weigh(spots=spot or None, antennas=antenna or None)
    if number is not None:
        nth = _nth(choice, number)
        taken = take(job, nth)
        of_all = weigh() if spot or antenna else choice
        told = tell(before, taken, nth, of_all, judged_at, leave_out_later=leave_out_later)
        screen = None if as_json else Screen(ascii_only=ascii_only)
        _answer_taken(screen, job_path, before, choice, nth, taken, told)
        return
    others = differing(job, user_library())
    if as_json:
        print_json({**choice.as_dict(), "differs": [x.as_dict() for x in others]})
    else:
        path = quote(str(job_path))
        screen = Screen(ascii_only=ascii_only)
        show_choice(screen, choice, job, others, judged_at, path, every=every)
    raise typer.Exit(_exit_code(choice))


def _exit_code(choice: Choice) -> int:
    if choice.ranked:
        return 0
    return EXIT_UNDECIDED if choice.undecided or not choice.rejected else EXIT_NOTHING_FITS


def _check_named(option: str, why: str, wanted: list[str] | None, known: Sequence[str]) -> None:
    for name in wanted or ():
        if name not in known:
            near = get_close_matches(name, known, n=3, cutoff=0.4) or known[:_MOST_NAMED]
            raise wrong_use(f"{why} {name!r}; nearest: {', '.join(near) or 'none'}.", option)


def _nth(choice: Choice, number: int) -> Ranked:
    """The offer of that number.

    Raises
    ------
    JobError
        Nothing fits.
    typer.BadParameter
        There is no such number.
    """
    if not choice.ranked:
        raise JobError(
            "Nothing fits, so there is nothing to take; the command without --take says why. "
            "Nothing was saved."
        )
    if not 1 <= number <= len(choice.ranked):
        raise wrong_use(
            f"given {number}; allowed: 1 to {len(choice.ranked)}, as the offers that fit are "
            "numbered. Nothing was saved.",
            "--take",
        )
    return choice.ranked[number - 1]


def _answer_taken(
    screen: Screen | None,
    path: Path,
    before: Job,
    choice: Choice,
    nth: Ranked,
    taken: Taken,
    told: Told,
) -> None:
    """Save what was taken, where that changes anything, and say so; as JSON without a screen."""
    changed = taken.job.site != before.site
    saved = write_job(path, taken.job, user_library()) if changed else before
    if screen is None:
        as_saved = {"job": str(path), "revision": saved.revision, "saved": changed}
        after = {
            "first": told.before is None,
            "power": list(told.power),
            "next": told.proof.text,
        }
        print_json({**choice.as_dict(), "taken": {**as_saved, **taken.as_dict(), **after}})
        return
    if changed:
        show_taken(screen, taken, told, quote(str(path)), saved.revision)
        show_second(screen, choice.ranked, nth, taken.job.site)
    else:
        screen.paragraph(
            f"{path} says just this already; nothing was saved. Revision {saved.revision}."
        )
