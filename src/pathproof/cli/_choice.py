"""A choice of communicator as a person reads it: the first, the others, and why not the rest."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any, Final

from pathproof.assess.alike import Block, alike, listed, nearest_first, stopped_by, then_text
from pathproof.assess.choice import (
    Choice,
    Ranked,
    Reason,
    SetAside,
)
from pathproof.assess.offer_cautions import PAPERS_FIRST, offer_cautions
from pathproof.assess.retirements import years_after
from pathproof.assess.wording import yearly_text
from pathproof.cli._choice_taken import show_second
from pathproof.cli._offer_words import (
    antenna_text,
    card_text,
    cost_text,
    decibels_text,
    named_part,
    offer_text,
    second_text,
    sentence,
    short_antenna,
    short_offer,
    spot_name,
    spot_text,
)
from pathproof.cli._screen import Screen
from pathproof.job import Job
from pathproof.job.considering import Differing

_MOST_RANKED: Final = 10
_MOST_BETTER: Final = 3
_MOST_DIFFERING: Final = 8
_MOST_REASONS: Final = 12
_MOST_OF_A_PART: Final = 4
_COST_COLUMNS: Final = 16


def show_choice(
    screen: Screen,
    choice: Choice,
    job: Job,
    differing: Sequence[Differing],
    as_of: datetime,
    path: str,
    *,
    every: bool,
) -> None:
    """The whole choice.

    Parameters
    ----------
    screen : Screen
        Where it is shown.
    choice : Choice
        What came out.
    job : Job
        The job it is for, with everything considered embedded.
    differing : sequence of Differing
        What of that is not as the catalogue has it.
    as_of : datetime
        The moment that it speaks for.
    path : str
        The job's file as a shell takes it, for the command that follows.
    every : bool
        Every offer on its own, nothing folded or left out.
    """
    _show_head(screen, choice, job, as_of)
    first_steps = list(_first_steps(job, choice))
    if not choice.ranked:
        _show_list(screen, "To be done first", first_steps)
    else:
        _show_first(screen, choice.ranked, job)
        _show_better(screen, choice.undecided, job)
        _show_others(screen, choice.ranked, job, every=every)
    _show_aside(screen, "Cannot be told yet", choice.undecided, job, every=every)
    _show_aside(screen, "Does not fit", choice.rejected, job, every=every)
    if choice.ranked:
        _show_list(screen, "What to read or ask first", first_steps)
    _show_differing(screen, differing)
    if choice.ranked and not choice.ranked[0].fitted:
        screen.line()
        screen.paragraph("To take the first into the job:")
        screen.line(f"  pathproof choose {path} --take 1")
    if choice.ranked:
        show_second(screen, choice.ranked, choice.ranked[0], job.site)


def _first_steps(job: Job, choice: Choice) -> Iterator[str]:
    """What to do before more can be told."""
    site = job.site
    if site.panel is None:
        yield "There is no panel yet: choose one, so that it is known which communicators fit it."
    yield from choice.read_first
    if site.spots and not any(entry.kind == "reading" for entry in job.record):
        yield "pathproof reading puts a level that was read at a spot on record."
    if site.panel is None or not site.networks or not site.spots:
        yield (
            "Panel, networks and spots are entries of site in the job file; pathproof schema "
            "prints what they hold, such as a spot's place and cable_m."
        )


def _show_head(screen: Screen, choice: Choice, job: Job, as_of: datetime) -> None:
    until = years_after(as_of.date(), job.site.service_life_years)
    screen.paragraph((job.site.name, "bold"))
    screen.paragraph(
        f"As of {as_of.date()}; to serve {job.site.service_life_years:g} years, until {until}."
    )
    screen.paragraph(
        f"{_counted(choice.ranked)}, {len(choice.undecided)} cannot be told yet, "
        f"{len(choice.rejected)} {'does' if len(choice.rejected) == 1 else 'do'} not fit."
    )


def _counted(ranked: Sequence[Ranked]) -> str:
    if not ranked:
        return "No offer fits"
    return f"{len(ranked)} offer{' fits' if len(ranked) == 1 else 's fit'}"


def _show_first(screen: Screen, ranked: Sequence[Ranked], job: Job) -> None:
    first, offer = ranked[0], ranked[0].offer
    screen.heading(f"First: {offer_text(offer)}")
    rows = [
        ("Part", named_part(job, offer.part)),
        ("Card", card_text(job, offer)),
        ("Spot", spot_text(job.site, first.spot)),
        ("Antenna", antenna_text(job, first.antenna)),
        (
            "Margin",
            f"{decibels_text(first.margin_db)} on {first.network}, the network that decides",
        ),
        ("Cost", yearly_text(first, job.site.currency)),
    ]
    if first.tied:
        rows.append(("Tie", "with others below; nobody can tell which of them is better"))
    if first.fitted:
        rows.append(("Fitted", "this is what the site has"))
    if first.second is not None:
        rows.append(("Second", second_text(ranked, first.second)))
    for head, text in rows:
        screen.paragraph(text, first=(f"{head:<9}", "bold"))
    open_ = {text for reason in first.open for text in reason.text.split("; ")}
    _show_list(screen, "Why", [text for text in first.reasons if text not in open_])
    if first.open:
        screen.heading("Still open")
    for reason in first.open:
        _show_reason(screen, reason, "")
    _show_list(screen, "Mind", _cautions(first, job))


def _cautions(first: Ranked, job: Job) -> Iterator[str]:
    yield from offer_cautions(first, job)
    yield f"{PAPERS_FIRST}; pathproof exposure shows how a distance comes about."


def _show_better(screen: Screen, undecided: Sequence[SetAside], job: Job) -> None:
    """Offers of which it cannot be told yet and that would come before the first, best first."""
    cards: dict[tuple[float, str, str | None], list[SetAside]] = defaultdict(list)
    for one in undecided:
        if one.cheaper_by is not None:
            cards[-one.cheaper_by, one.offer.part, one.offer.service].append(one)
    best_first = [cards[key] for key in sorted(cards)]
    if best_first:
        screen.heading("May be better")
    for offers in best_first[:_MOST_BETTER]:
        for on, needs in _folded(offers, job):
            screen.paragraph((f"{offers[0].offer.part}, {on}", "bold"), f": {offers[0].then}.")
            screen.paragraph(f"Needed: {sentence('; '.join(needs))}", first="  ")
    left = sum(map(len, best_first[_MOST_BETTER:]))
    if left:
        screen.paragraph(f"and {_more(left, 'offer')}.")


def _folded(offers: Sequence[SetAside], job: Job) -> Iterator[tuple[str, list[str]]]:
    """Cards and networks of a part with what is needed, once where that is the same of all."""
    together = _alike(offers, job)[0].said
    for said in together if len(together) == 1 else (_alike([x], job)[0].said[0] for x in offers):
        yield said.on, [reason.would_need for reason in said.reasons]


def _alike(aside: Sequence[SetAside], job: Job) -> list[Block]:
    return alike(aside, {n.mcc_mnc: n.label for n in job.site.networks})


def _show_differing(screen: Screen, differing: Sequence[Differing]) -> None:
    """Parts of which the job has other figures than the catalogue."""
    if not differing:
        return
    screen.heading("Not as in the catalogue")
    for one in differing[:_MOST_DIFFERING]:
        own, there = _value_text(one.job), _value_text(one.library)
        screen.paragraph(f"{one.part}: {one.field} is {own} in the job, {there} in the catalogue.")
    left = len(differing) - _MOST_DIFFERING
    if left > 0:
        screen.paragraph(f"and {left} more; --json has every one.")
    screen.paragraph(
        "What the job has is what was looked at. To take what the catalogue has, delete the part "
        "from catalogue under embedded in the job file, and the file's hash."
    )


def _value_text(value: Any) -> str:
    if isinstance(value, list) and not any(isinstance(x, dict | list) for x in value):
        return ", ".join(map(str, value)) or "not given"
    if isinstance(value, dict | list):
        return "given another way"
    return "not given" if value in (None, "") else str(value)


def _show_others(screen: Screen, ranked: Sequence[Ranked], job: Job, *, every: bool) -> None:
    shown = ranked[1:] if every else ranked[1:_MOST_RANKED]
    if not shown:
        return
    screen.heading("Others that fit")
    for number, other in enumerate(shown, start=2):
        head = f"{number:>3}  "
        room = f"{decibels_text(other.margin_db):>9}  {cost_text(other, job.site):>{_COST_COLUMNS}}"
        screen.ends(f"{head}{short_offer(other.offer)}", room)
        said = [f"{spot_name(job.site, other.spot)}, {short_antenna(other.antenna)}"]
        said += ["a tie with the first"] if other.tied else []
        said += ["fitted"] if other.fitted else []
        if other.second is not None:
            said += [f"beside {second_text(ranked, other.second)}"]
            said += [yearly_text(other, job.site.currency)]
        screen.paragraph("; ".join(said), first=" " * len(head))
        if every:
            for text in other.reasons:
                screen.paragraph(sentence(text), first=f"{' ' * len(head)}- ")
            for reason in other.open:
                _show_reason(screen, reason, " " * len(head))
    left = len(ranked) - 1 - len(shown)
    if left:
        screen.paragraph(f"and {_more(left, 'offer')}.", first="     ")


def _show_aside(
    screen: Screen, title: str, aside: Sequence[SetAside], job: Job, *, every: bool
) -> None:
    if not aside:
        return
    screen.heading(title)
    if not every:
        _show_alike(screen, aside, job)
        return
    for one in nearest_first(aside):
        screen.paragraph((offer_text(one.offer), "bold"))
        for reason in one.reasons:
            _show_reason(screen, reason, "  ")
        if one.then:
            screen.paragraph(f"With all of that: {sentence(one.then)}", first="  ")


def _show_alike(screen: Screen, aside: Sequence[SetAside], job: Job) -> None:
    """What is said alike once, as far as people read on; before that how many each rule stops."""
    if len(aside) > _MOST_REASONS:
        stopped = ", ".join(f"{rule.replace('_', ' ')} {n}" for rule, n in stopped_by(aside))
        screen.paragraph(f"By the first rule that an offer does not meet: {stopped}.")
    left = _MOST_REASONS
    blocks = _alike(aside, job)
    for number, block in enumerate(blocks):
        if left == 0:
            parts = sum(len(rest.parts) for rest in blocks[number:])
            screen.paragraph(f"and {_more(parts, 'part')}.")
            return
        left -= _show_block(screen, block, job, most=min(left, _MOST_OF_A_PART))
        then = then_text([one for one in aside if one.offer.part in block.parts])
        if then:
            screen.paragraph(then, first="  ")


def _show_block(screen: Screen, block: Block, job: Job, *, most: int) -> int:
    """A part, or several, with at most so many reasons; gives how many."""
    name = f"  {job.part(block.parts[0]).name}" if len(block.parts) == 1 else ""
    screen.paragraph((listed(block.parts), "bold"), name)
    shown = 0
    for said in block.said:
        reasons = said.reasons[: most - shown]
        if said.on and reasons:
            screen.paragraph(said.on, first="  ")
        for reason in reasons:
            _show_reason(screen, reason, "    ")
        shown += len(reasons)
    left = sum(len(said.reasons) for said in block.said) - shown
    if left:
        screen.paragraph(f"and {_more(left, 'reason')}.", first="  ")
    return shown


def _more(count: int, what: str) -> str:
    return f"{count} more {what}{'' if count == 1 else 's'}; --all shows every one"


def _show_reason(screen: Screen, reason: Reason, indent: str) -> None:
    screen.paragraph(sentence(reason.text), first=f"{indent}- ")
    if reason.would_need:
        screen.paragraph(f"Needed: {sentence(reason.would_need)}", first=f"{indent}  ")


def _show_list(screen: Screen, title: str, texts: Sequence[str] | Iterator[str]) -> None:
    shown = list(texts)
    if shown:
        screen.heading(title)
    for text in shown:
        screen.paragraph(sentence(text), first="- ")
