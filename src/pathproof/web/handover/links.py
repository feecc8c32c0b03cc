"""Customers' links: a secret that is shown once, of which only the hash is kept."""

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from django.db import IntegrityError, transaction
from django.utils import timezone

from pathproof.job import Site
from pathproof.web.jobs.models import CustomerLink, Sent, StoredJob
from pathproof.web.jobs.store import Typed
from pathproof.web.people.models import Person

DAYS: Final = 14
MOST_DAYS: Final = 90
_SECRET_BYTES: Final = 32
_SECRET_CHARACTERS: Final = 43


@dataclass(frozen=True, kw_only=True)
class NewLink:
    """A link that was just made, with the secret that nobody can read again."""

    link: CustomerLink
    secret: str


def make_link(
    stored: StoredJob, site: Site, *, days: int, note: str, by: Person, typed: Typed | None
) -> NewLink | None:
    """A link to a job's plain answer; none where the same form made one before.

    Parameters
    ----------
    stored : StoredJob
        The job.
    site : Site
        Its site, by whose calendar the link ends.
    days : int
        It counts until the end of the day that is so many days from now.
    note : str
        For whom it is.
    by : Person
        Who makes it.
    typed : Typed, optional
        What was sent; sent a second time it makes no second link.
    """
    secret = secrets.token_urlsafe(_SECRET_BYTES)
    try:
        with transaction.atomic():
            if typed is not None:
                Sent.objects.create(
                    job=stored,
                    person=by,
                    key=typed.key,
                    digest=typed.digest,
                    revision=stored.revision,
                )
            link = CustomerLink.objects.create(
                job=stored,
                digest=_digest(secret),
                note=note,
                made_by=by.name,
                expires_at=_end_of_day(timezone.now(), ZoneInfo(site.time_zone), days),
            )
    except IntegrityError:
        return None
    return NewLink(link=link, secret=secret)


def withdraw(stored: StoredJob, link_id: int, *, by: Person) -> bool:
    """Whether the job has such a link; it counts no more, and the first to withdraw it is kept."""
    mine = CustomerLink.objects.filter(pk=link_id, job=stored)
    mine.filter(withdrawn_at=None).update(withdrawn_at=timezone.now(), withdrawn_by=by.name)
    return mine.exists()


def link_of(secret: str) -> CustomerLink | None:
    """The link of a secret while it counts.

    It is looked up by its hash, so how long that takes tells nothing of the secrets there are.
    """
    if len(secret) != _SECRET_CHARACTERS:
        return None
    return CustomerLink.objects.filter(
        digest=_digest(secret), withdrawn_at=None, expires_at__gt=timezone.now()
    ).first()


def seen(link: CustomerLink) -> None:
    """Note that somebody opened it."""
    CustomerLink.objects.filter(pk=link.pk).update(seen_at=timezone.now())


def last_day(link: CustomerLink, zone: ZoneInfo) -> datetime:
    """A moment of the last day on which it counts."""
    return link.expires_at.astimezone(zone) - timedelta(minutes=1)


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def _end_of_day(now: datetime, zone: ZoneInfo, days: int) -> datetime:
    after = now.astimezone(zone).date() + timedelta(days=days + 1)
    return datetime.combine(after, time.min, tzinfo=zone)
