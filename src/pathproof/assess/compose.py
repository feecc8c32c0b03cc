"""`assess`: site, record, profile and as-of moment in, one Assessment out."""

from collections import Counter
from collections.abc import Mapping
from datetime import datetime

from pathproof.assess.actions import next_actions
from pathproof.assess.choosing import choice_in
from pathproof.assess.context import Context
from pathproof.assess.findings import all_findings
from pathproof.assess.judge import judge, worst
from pathproof.assess.later import reporting_link
from pathproof.assess.mobile import mobile_link, no_communicator
from pathproof.assess.power import replacements
from pathproof.assess.power.standby import standby_link
from pathproof.assess.power.supply import supply_link
from pathproof.assess.radio import RadioLink, radio_link
from pathproof.assess.signals import all_signals, radio_links_needed, radio_path
from pathproof.assess.spots import SpotSurvey
from pathproof.assess.types import Assessment, Link, Signal, Summary
from pathproof.assess.way import WallLosses, Way
from pathproof.calc.radio import joint_odds
from pathproof.job import Job, Profile, content_hash
from pathproof.terms import LimitName, Word


def assess(
    job: Job,
    as_of: datetime,
    profile: Profile | None = None,
    *,
    leave_out_later: bool = False,
) -> Assessment:
    """What is known of every signal of a site.

    Parameters
    ----------
    job : Job
        Site and record, with catalogue entries, constructions and profile embedded.
    as_of : datetime
        The moment to judge at, with offset.
    profile : Profile, optional
        Limits to judge by; the job's own unless given.
    leave_out_later : bool
        Leave out entries dated after `as_of` instead of refusing them.

    Returns
    -------
    assessment : Assessment
        The same for any order of the record.

    Raises
    ------
    JobError
        Entries are dated after `as_of`, or the profile lacks a limit that is needed.
    """
    ctx = Context(job, as_of, profile, leave_out_later=leave_out_later)
    losses = WallLosses()
    radio = [radio_link(ctx, losses, a, b) for a, b in radio_links_needed(ctx)]
    links = {x.id: x for x in [*(r.link for r in radio), *_shared_links(ctx)]}
    signals = all_signals(ctx, links)
    word = worst([s.word for s in signals])
    survey = SpotSurvey(ctx)
    calendar = replacements(ctx)
    return Assessment(
        site=ctx.site.name,
        as_of=as_of,
        revision=job.revision,
        hash=content_hash(job),
        profile=ctx.profile.id,
        word=word,
        why=_why(signals, word),
        links=tuple(links.values()),
        signals=tuple(signals),
        findings=all_findings(ctx, links, _ways(radio), signals, survey, calendar),
        next=next_actions(ctx, signals, links),
        summary=_summary(ctx, links, signals),
        spots=survey.spots,
        choice=choice_in(ctx) if ctx.site.considered else None,
        networks=survey.networks,
        replacements=calendar,
    )


def _shared_links(ctx: Context) -> list[Link]:
    """Links that many signals share, each worked out once."""
    if ctx.site.communicators:
        paths = [
            link
            for c in ctx.site.communicators
            for link in (mobile_link(ctx, c), reporting_link(ctx, c))
        ]
    else:
        paths = [no_communicator()]
    return [supply_link(ctx), standby_link(ctx), *paths]


def _ways(radio: list[RadioLink]) -> dict[str, Way]:
    return {r.link.id: r.way for r in radio if r.way is not None}


def _why(signals: list[Signal], word: Word) -> str:
    if not signals:
        return "the site has no devices"
    count = sum(s.word is word for s in signals)
    return f"{count} of {len(signals)} signals {'is' if count == 1 else 'are'} {word}"


def _summary(ctx: Context, links: Mapping[str, Link], signals: list[Signal]) -> Summary:
    heard, lacking = 0, 0
    odds: list[float | None] = []
    for device in ctx.site.devices:
        path = radio_path(ctx, device.id, links)
        if path is None:  # wired
            heard += ctx.site.panel is not None
            continue
        judgement = judge(path, links)
        heard += judgement.word in (Word.PROVEN, Word.PREDICTED)
        lacking += judgement.word is Word.LACKING
        odds.append(judgement.odds)
    known = [x for x in odds if x is not None]
    return Summary(
        devices=len(ctx.site.devices),
        devices_heard=heard,
        devices_lacking=lacking,
        signals=len(signals),
        signals_by_word=dict(Counter(s.word for s in signals)),
        odds_all=joint_odds(known) if known and len(known) == len(odds) else None,
        odds_target=ctx.value(LimitName.RADIO_ODDS_RATIO),
    )
