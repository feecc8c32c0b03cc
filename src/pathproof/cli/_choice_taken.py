"""What a choice that was taken changed, and what to do next, as a person reads it."""

from collections.abc import Sequence

from pathproof.assess.alike import listed
from pathproof.assess.choice import Ranked
from pathproof.assess.taken_told import Told
from pathproof.assess.taking import Change, Taken, as_second
from pathproof.cli._offer_words import number_of, offer_text, short_antenna, spot_text
from pathproof.cli._screen import Screen
from pathproof.cli._summaries import link_words
from pathproof.job import Site


def show_taken(screen: Screen, taken: Taken, told: Told, path: str, revision: int) -> None:
    """What a choice taken into the job changed.

    Parameters
    ----------
    screen : Screen
        Where it is shown.
    taken : Taken
        What was taken.
    told : Told
        What else is said of it.
    path : str
        The job's file as a shell takes it.
    revision : int
        The revision that was saved.
    """
    screen.paragraph((path, "bold"), f": communicator {taken.communicator}; revision {revision}")
    for change in taken.changes:
        _show_change(screen, change)
    considered = len(taken.job.site.considered)
    screen.paragraph(f"It was chosen from {considered} parts, which the job now holds.")
    if told.before is not None:
        first = told.before
        screen.paragraph(
            f"Of all of them, at any spot, it is not the first: that is {offer_text(first.offer)}, "
            f"at {spot_text(taken.job.site, first.spot)} with {short_antenna(first.antenna)}. "
            "Assessment and papers will list that before it."
        )
    if told.power:
        screen.heading("Power, by what the parts state")
    for text in told.power:
        screen.paragraph(text, first="- ")
    if taken.dropped:
        screen.heading("No longer known")
    for change in taken.dropped:
        _show_change(screen, change)
    if taken.voided:
        screen.heading("Evidence that no longer counts")
    for void in taken.voided:
        speaks = listed([link_words(n) for n in void.names])
        kind = void.kind.replace("_", " ")
        screen.paragraph(f"{kind}, for {speaks}", first=(f"{void.entry}  ", "bold"))
    screen.heading("Next, to prove it")
    screen.paragraph(told.proof.text)
    if told.proof.first is not None:
        network, technology = told.proof.first
        screen.paragraph("Put each watch on record, its network and technology named:")
        screen.line(
            f"  pathproof reading --watch LOG --job {path} --about {taken.communicator} "
            f"--network {network} --technology {technology} --final-antenna --lid-shut "
            "--minutes-since-registration MINUTES --by NAME"
        )
    screen.paragraph("Then what is left to prove:")
    screen.line(f"  pathproof assess {path}")


def _show_change(screen: Screen, change: Change) -> None:
    screen.paragraph(f"{change.before} → {change.now}", first=f"  {change.what:<11}")


def show_second(screen: Screen, ranked: Sequence[Ranked], main: Ranked, site: Site) -> None:
    """What to do for the second path beside an offer, where one is asked for and not there yet."""
    if main.second is None or main.second.fitted:
        return
    number = number_of(main.second.offer, ranked)
    screen.line()
    screen.paragraph(
        f"Only the main path is put in by --take. For the second path, number {number}, add this "
        "to communicators under site in the job file:"
    )
    entry = as_second(site, ranked[number - 1]).model_dump_json(exclude_defaults=True, indent=2)
    for line in entry.splitlines():
        screen.line(f"  {line}")
