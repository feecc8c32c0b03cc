"""Limits of a profile in words: where each comes from, and what a person's word for it does."""

from collections.abc import Iterator

from pathproof.job import Limit, Profile
from pathproof.terms import Evidence


def count_text(profile: Profile) -> str:
    """How many limits a profile has, and how many of them wait for a person's word."""
    open_ones = sum(not x.usable for x in profile.limits.values())
    text = f"{len(profile.limits)} limits"
    return f"{text}, {open_ones} to be confirmed from your own copy." if open_ones else f"{text}."


def source_text(limit: Limit) -> str:
    """Where a limit comes from and how sure we are of it."""
    source = limit.source
    cited = ", ".join(x for x in (source.ref, source.edition, source.clause) if x)
    if source.evidence is Evidence.MEMORY and not limit.usable:
        return f"Source: {cited} (from memory: check your own copy, then confirm it)."
    return f"Source: {cited} ({source.evidence})."


def figure_text(limit: Limit) -> str:
    """The figure of a limit with its unit."""
    return f"{limit.value:g} {limit.unit}".rstrip()


def waits_for_nothing(
    name: str, limit: Limit, held_by: Profile, judged_by: Profile
) -> Iterator[str]:
    """Why a confirmation changes nothing.

    Parameters
    ----------
    name : str
        Name of the limit.
    limit : Limit
        The limit.
    held_by, judged_by : Profile
        The profile that holds it, and that which the job is judged by.
    """
    if limit.source.evidence is not Evidence.MEMORY:
        yield (
            f"Nothing waits for this confirmation: {name} of {held_by.id} is not from memory "
            f"({limit.source.evidence}), so it counts without it. It is on record all the same."
        )
    if held_by.id != judged_by.id:
        yield (
            f"This job is judged by {judged_by.id}, not by {held_by.id}; the confirmation counts "
            f'once "profile" in its "site" is "{held_by.id}".'
        )


def other_value_text(limit: Limit) -> str:
    """What it means that somebody's copy says another value."""
    return (
        f"the profile says {figure_text(limit)}. The limit stays unconfirmed: correct the profile, "
        "or look again."
    )
