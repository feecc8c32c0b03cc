"""Which parts of a job outlive its service life, which end when, and what is left then.

A communicator needs one of its networks, the service behind its part, and its monitoring centre's
platform. Dates are taken at their early end. What is not known is said so: it is never taken to
last. Only what has ended by a source changes a word: that of the mobile link.
"""

from calendar import isleap
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import Any, Final

from pathproof.assess.mobile_levels import allowed_networks
from pathproof.assess.wording import technology_text
from pathproof.job import Communicator, CommunicatorPart, Job, Retirement, Site
from pathproof.job.retirement import centre_key, network_row, part_key
from pathproof.terms import AccountState, Evidence, Technology

DAYS_A_YEAR: Final = 365.25
"""For the part of a service life that is no whole year. [days]"""

NOTHING_KNOWN: Final = "nothing is known of its end, which does not say that it lasts"


class Fate(StrEnum):
    """What becomes of something within the service life, worst first."""

    GONE = "gone"  # its source says that it has ended
    ENDING = "ending"  # it may be gone: its end has begun, or was planned for a day that is past
    ENDS = "ends"  # within the service life
    UNKNOWN = "unknown"  # nothing known, no date, a date from memory, or one that is a latest
    OUTLIVES = "outlives"  # its end is known, and lies after the service life


_ORDER: Final = list(Fate)


@dataclass(frozen=True, kw_only=True)
class Prospect:
    """How long one thing that a communicator needs will be there."""

    name: str
    fate: Fate
    why: str
    counts_from: date | None
    """The day from which it counts as gone."""
    row: Retirement | None
    network: str | None = None
    technology: Technology | None = None

    @property
    def from_memory(self) -> bool:
        """Whether its date is from memory, so that somebody has to ask before relying on it."""
        return self.row is not None and self.row.source.evidence is Evidence.MEMORY

    @property
    def has_ended(self) -> bool:
        """Whether it has ended by a source, not by memory."""
        return self.fate is Fate.GONE and not self.from_memory

    def as_dict(self) -> dict[str, Any]:
        """Its JSON shape."""
        return {
            "name": self.name,
            "network": self.network,
            "technology": self.technology,
            "fate": str(self.fate),
            "counts_from": _iso(self.counts_from),
            "why": self.why,
            "row": None if self.row is None else self.row.model_dump(mode="json"),
        }


@dataclass(frozen=True, kw_only=True)
class Step:
    """A day on which something ends, and what a communicator has left then."""

    on: date
    ended: tuple[str, ...]
    left: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Outlook:
    """How long a communicator will have a network and what stands behind it.

    `exposed_from` is the day from which it counts as cut off; none where that is not known.
    `decides` is what it owes its fate to.
    """

    communicator: str
    fate: Fate
    why: str
    serves_until: date
    exposed_from: date | None
    networks: tuple[Prospect, ...]
    services: tuple[Prospect, ...]
    steps: tuple[Step, ...]
    decides: tuple[Prospect, ...]

    @property
    def from_memory(self) -> bool:
        """Whether what decides rests on memory."""
        return any(p.from_memory for p in self.decides)

    def as_dict(self) -> dict[str, Any]:
        """Its JSON shape."""
        return {
            "communicator": self.communicator,
            "fate": str(self.fate),
            "why": self.why,
            "exposed_from": _iso(self.exposed_from),
            "from_memory": self.from_memory,
            "networks": [p.as_dict() for p in self.networks],
            "services": [p.as_dict() for p in self.services],
            "steps": [
                {"on": s.on.isoformat(), "ended": list(s.ended), "left": list(s.left)}
                for s in self.steps
            ],
        }


class Ahead:
    """How long networks and what stands behind a part will be there, by a job's table.

    Seen on `today`; the service life counts from it until `until`.
    """

    def __init__(self, job: Job, today: date) -> None:
        self._job = job
        self._rows = {row.key: row for row in job.embedded.retirements}
        self._today = today
        self.until = years_after(today, job.site.service_life_years)

    def network(self, network: str, technology: Technology) -> Prospect:
        """How long a technology of a network will be there."""
        row = network_row(self._rows, network, technology)
        name = f"{network} {technology_text(technology)}"
        return self._prospect(name, row, network=network, technology=technology)

    def behind(self, part_id: str, centre: str) -> tuple[Prospect, ...]:
        """The service behind a part, and the centre's platform where the table has its end."""
        service = self._rows.get(part_key(part_id)) or self._promise(part_id)
        prospects = [self._prospect(f"service of {part_id}", service)]
        platform = self._rows.get(centre_key(centre))
        if platform is not None:
            prospects.append(self._prospect(f"platform of {centre}", platform))
        return tuple(prospects)

    def _promise(self, part_id: str) -> Retirement | None:
        """What a part's own papers promise of its platform, as a row."""
        part = self._job.part(part_id)
        if not isinstance(part, CommunicatorPart) or part.platform_ends is None:
            return None
        return Retirement(
            part=part_id,
            ends_from=part.platform_ends,
            source=part.sources.get("platform_ends", part.source),
            note="promised until then",
        )

    def _prospect(self, name: str, row: Retirement | None, **of: Any) -> Prospect:
        fate = Fate.UNKNOWN if row is None else fate_of(row, self._today, self.until)
        return Prospect(
            name=name,
            fate=fate,
            why=NOTHING_KNOWN if row is None else row_text(row, fate, self._today),
            counts_from=None if row is None else row.counts_from,
            row=row,
            **of,
        )


def outlooks(job: Job, as_of: datetime) -> tuple[Outlook, ...]:
    """The outlook of each communicator whose account has not ended.

    The service life counts from `as_of`.
    """
    ahead = Ahead(job, as_of.date())
    return tuple(
        _outlook(job, communicator, ahead)
        for communicator in job.site.communicators
        if communicator.state is not AccountState.ENDED
    )


def site_exposed_from(of: Sequence[Outlook]) -> date | None:
    """The day from which no communicator is left; none where one may last, or there is none."""
    days = [outlook.exposed_from for outlook in of]
    known = [day for day in days if day is not None]
    return max(known) if known and len(known) == len(days) else None


def fate_of(row: Retirement, today: date, until: date) -> Fate:
    """What becomes of what a row speaks for, seen on `today`, before `until` is over."""
    if row.done and row.gone_by is not None and row.gone_by <= today:
        return Fate.GONE
    day = row.counts_from
    if day is None:
        return Fate.UNKNOWN
    if day <= today:
        return Fate.ENDING
    if day <= until:
        return Fate.ENDS
    uncertain = row.open_start or row.source.evidence is Evidence.MEMORY
    return Fate.UNKNOWN if uncertain else Fate.OUTLIVES


def row_text(row: Retirement, fate: Fate, today: date) -> str:
    """What a row says, by its fate, seen on `today`."""
    text = f"{_how_it_ends(row, fate, today)} {row.when}"
    if row.source.evidence is Evidence.MEMORY:
        text += ", but that is from memory"
    if fate is Fate.ENDING:
        text += "; ask whether it is still there"
    return text


def _how_it_ends(row: Retirement, fate: Fate, today: date) -> str:
    match fate:
        case Fate.GONE:
            return "ended"
        case Fate.ENDING if row.gone_by is not None and row.gone_by <= today:
            return "was to end"
        case Fate.ENDING:
            return "may be gone already, ends"
        case Fate.UNKNOWN if row.open_start and not row.announced:
            return "may end any day, ends"
        case _:
            return "ends"


def years_after(day: date, years: float) -> date:
    """The same day so many years later; 29 February becomes 28 where there is none."""
    whole = int(years)
    year = day.year + whole
    if year >= date.max.year:
        return date.max
    no_such_day = (day.month, day.day) == (2, 29) and not isleap(year)
    last = day.replace(year=year, day=28 if no_such_day else day.day)
    return last + timedelta(days=round((years - whole) * DAYS_A_YEAR))


def _outlook(job: Job, communicator: Communicator, ahead: Ahead) -> Outlook:
    networks = _network_prospects(job, communicator, ahead)
    services = ahead.behind(communicator.part, communicator.centre)
    needs = [_networks_together(networks), *map(_alone, services)]
    worst = min(needs, key=lambda need: (_ORDER.index(need.fate), need.counts_from or date.max))
    days = [need.counts_from for need in needs if need.counts_from is not None]
    return Outlook(
        communicator=communicator.id,
        fate=worst.fate,
        why=_why(job, communicator, networks, services, worst),
        serves_until=ahead.until,
        exposed_from=min(days, default=None),
        networks=networks,
        services=services,
        steps=_steps(networks, services),
        decides=worst.made_of,
    )


@dataclass(frozen=True, kw_only=True)
class _Need:
    """One of the things that must all be there: any network, each service."""

    name: str
    fate: Fate
    counts_from: date | None
    made_of: tuple[Prospect, ...]


def _networks_together(networks: tuple[Prospect, ...]) -> _Need:
    """Networks stand in for each other: the best one counts, and the last one's day."""
    days = [p.counts_from for p in networks if p.counts_from is not None]
    all_end = bool(days) and len(days) == len(networks)
    return _Need(
        name="its last network",
        fate=max((p.fate for p in networks), key=_ORDER.index, default=Fate.UNKNOWN),
        counts_from=max(days) if all_end else None,
        made_of=networks,
    )


def _alone(service: Prospect) -> _Need:
    return _Need(
        name=f"the {service.name}",
        fate=service.fate,
        counts_from=service.counts_from,
        made_of=(service,),
    )


def _network_prospects(job: Job, communicator: Communicator, ahead: Ahead) -> tuple[Prospect, ...]:
    """Each technology that the module shares with a network that its card may use."""
    part = job.part(communicator.part)
    own = part.technologies if isinstance(part, CommunicatorPart) else []
    offered = {n.mcc_mnc: n.technologies for n in job.site.networks}
    return tuple(
        ahead.network(network, technology)
        for network in allowed_networks(job.site, communicator)
        for technology in own
        if technology in offered[network] or not offered[network]
    )


def _why(
    job: Job,
    communicator: Communicator,
    networks: tuple[Prospect, ...],
    services: tuple[Prospect, ...],
    worst: _Need,
) -> str:
    match worst.fate:
        case Fate.GONE:
            return f"{worst.name} has ended"
        case Fate.ENDING:
            return f"{worst.name} may be gone already"
        case Fate.ENDS:
            return f"{worst.name} counts as gone from {worst.counts_from}"
        case Fate.OUTLIVES:
            lasting = [p.name for p in (*networks, *services) if p.fate is Fate.OUTLIVES]
            return f"known to outlive the service life: {', '.join(lasting)}"
        case Fate.UNKNOWN:
            open_ = [p.name for p in (*networks, *services) if p.fate is Fate.UNKNOWN]
            missing = [] if networks else [_no_network(job.site, communicator)]
            unknown = [f"nothing certain is known of: {', '.join(open_)}"] if open_ else []
            return "; ".join([*missing, *unknown])


def _no_network(site: Site, communicator: Communicator) -> str:
    """Why there is no network to look at."""
    if communicator.sim is None:
        return "no card (SIM) is chosen, so its networks are not known"
    if not allowed_networks(site, communicator):
        return "it is not said which networks its card (SIM) may use"
    return "the module has no technology of the networks that its card (SIM) may use"


def _steps(networks: tuple[Prospect, ...], services: tuple[Prospect, ...]) -> tuple[Step, ...]:
    """The days on which something ends, oldest first."""
    everything = (*networks, *services)
    days = sorted({p.counts_from for p in everything if p.counts_from is not None})
    return tuple(
        Step(
            on=day,
            ended=tuple(p.name for p in everything if p.counts_from == day),
            left=()
            if any(_over(p, day) for p in services)
            else tuple(p.name for p in networks if not _over(p, day)),
        )
        for day in days
    )


def _over(prospect: Prospect, day: date) -> bool:
    return prospect.counts_from is not None and prospect.counts_from <= day


def _iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
