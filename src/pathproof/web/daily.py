"""Words change by the calendar: what lists show of a job is worked out anew every day.

A job is due when the answer that lists show is not of today at its site or of what the library
says now, or not of its present revision and no page has worked that out within a minute. While the
app is served this goes on in a process of its own, so that pages stay quick; `reassess` does it
once.
"""

import logging
import multiprocessing
import os
import signal
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from multiprocessing.connection import wait
from pathlib import Path
from threading import Event, Thread
from typing import Any, Final
from uuid import UUID
from zoneinfo import ZoneInfo

from pathproof.terms import PathproofError

PAGES_FIRST: Final = timedelta(minutes=1)
"""How long a page that somebody has open may take before the job is worked out here."""
EVERY_S: Final = 20.0
"""How often it is looked for jobs that are due. [s]"""
AGAIN_AFTER_S: Final = 5.0
"""How long a process that died is left before another one is started. [s]"""
_EARLIEST_ZONE: Final = timedelta(hours=14)
"""No place on Earth has its midnight earlier than UTC+14."""
_LOG: Final = logging.getLogger("pathproof.daily")

Progress = Callable[[int, int, str], None]
"""Told how many jobs are done, of how many, and which is next."""


@dataclass
class _Zones:
    """The time zone of every job at its present revision, read once."""

    known: dict[UUID, tuple[int, ZoneInfo]] = field(default_factory=dict)

    def of(self, jobs: Mapping[UUID, int]) -> dict[UUID, ZoneInfo]:
        """The zones of jobs, given with their revisions; none of one that was erased meanwhile."""
        from pathproof.web.jobs.zones import zones_of

        new = [pk for pk, revision in jobs.items() if self.known.get(pk, (None,))[0] != revision]
        found = zones_of(new)
        self.known |= {pk: (jobs[pk], zone) for pk, zone in found.items()}
        return {pk: self.known[pk][1] for pk in jobs if pk in self.known}


_ZONES: Final = _Zones()


def due(now: datetime) -> list[UUID]:
    """Jobs whose standing is not of today, revision and library of now, the oldest first."""
    from django.db.models import F, Q

    from pathproof.job.home import library_stamp
    from pathproof.web.jobs.models import StoredJob

    left_by_pages = Q(saved_at__lte=now - PAGES_FIRST)
    moved_on = Q(standing=None) | ~Q(standing__revision=F("revision"))
    perhaps_of_before = Q(
        standing__revision=F("revision"), standing__day__lt=(now + _EARLIEST_ZONE).date()
    )
    library = library_stamp()
    of_another = Q(standing__isnull=False) & ~Q(standing__library=library)
    rows = list(
        StoredJob.objects.filter((left_by_pages & moved_on) | perhaps_of_before | of_another)
        .order_by(F("standing__as_of").asc(nulls_first=True), "saved_at", "pk")
        .values_list("pk", "revision", "standing__revision", "standing__day", "standing__library")
    )
    zones = _ZONES.of({pk: revision for pk, revision, *_ in rows})
    return [
        pk
        for pk, revision, known, day, of in rows
        if pk in zones
        and ((known, of) != (revision, library) or day < now.astimezone(zones[pk]).date())
    ]


def reassess(now: Callable[[], datetime], progress: Progress = lambda done, of, what: None) -> int:
    """How many jobs were worked out: all that are due; one that cannot be says why.

    A job at which a run before died is told so in its standing, and left until tomorrow.
    """
    from pathproof.web.jobs.models import StoredJob

    mark = _Mark.of_settings()
    mark.settle(now())
    jobs = due(now())
    for number, job_id in enumerate(jobs):
        stored = StoredJob.objects.filter(pk=job_id).first()
        if stored is None:  # erased meanwhile
            continue
        progress(number, len(jobs), stored.name)
        with mark.at(job_id):
            _reassess_one(stored, now())
    return len(jobs)


def _reassess_one(stored: Any, now: datetime) -> None:
    from pathproof.assess import assess
    from pathproof.web.jobs.answers import note_standing
    from pathproof.web.jobs.store import load

    try:
        job = load(stored.pk, stored.revision)
        at_site = now.astimezone(ZoneInfo(job.site.time_zone))
        assessment = assess(job, at_site, leave_out_later=True)
    except PathproofError as error:
        _note_broken(stored, now, str(error))
    else:
        note_standing(stored, assessment)


def _note_broken(stored: Any, now: datetime, why: str) -> None:
    from pathproof.job.home import library_stamp
    from pathproof.terms import Word
    from pathproof.web.jobs.models import Standing
    from pathproof.web.jobs.zones import zones_of

    _LOG.warning("%s (%s) could not be worked out: %s", stored.name, stored.pk, why)
    Standing.objects.update_or_create(
        job=stored,
        defaults={
            "revision": stored.revision,
            "as_of": now,
            "day": now.astimezone(zones_of([stored.pk])[stored.pk]).date(),
            "library": library_stamp(),
            "word": "",
            "why": f"It could not be worked out. {why}",
            **{str(word): 0 for word in Word},
        },
    )


@dataclass(frozen=True)
class _Mark:
    """A file that names the job being worked on, so that one that kills its process is known."""

    path: Path

    @classmethod
    def of_settings(cls) -> "_Mark":
        from django.conf import settings

        return cls(Path(settings.DATA) / "working_on")

    @contextmanager
    def at(self, job_id: UUID) -> Iterator[None]:
        """While this holds, that job is being worked on; being told to stop is no fault of it."""
        self.path.write_text(str(job_id))
        try:
            yield
        except (KeyboardInterrupt, SystemExit):
            self.path.unlink()
            raise
        self.path.unlink()

    def settle(self, now: datetime) -> None:
        """Say of a job that is still named that the program failed at it."""
        from pathproof.web.jobs.models import StoredJob

        if not self.path.exists():
            return
        try:
            stored = StoredJob.objects.filter(pk=UUID(self.path.read_text())).first()
        except ValueError:  # cut off while it was written
            stored = None
        if stored is not None:
            why = "The program failed at it; the server's messages say more. Tell whoever keeps it."
            _note_broken(stored, now, why)
        self.path.unlink()


@contextmanager
def kept_up() -> Iterator[None]:
    """While this holds, a process keeps standings up to date; one that dies is followed by another.

    The settings are found through the environment (`serving.setup`).
    """
    stopping = Event()
    keeper = Thread(target=_keep_one_running, args=(stopping,), daemon=True)
    keeper.start()
    try:
        yield
    finally:
        stopping.set()
        keeper.join()


def _keep_one_running(stopping: Event) -> None:
    context = multiprocessing.get_context("spawn")
    while not stopping.is_set():
        process = context.Process(target=keep_up, name="pathproof-daily", daemon=True)
        process.start()
        while process.is_alive() and not stopping.wait(0.2):
            pass
        if stopping.is_set():
            process.terminate()
            process.join()
        else:
            _LOG.warning("The process that works jobs out anew ended; another one follows.")
            stopping.wait(AGAIN_AFTER_S)


def keep_up() -> None:
    """Work out what is due, again and again, until the process that started this one ends."""
    import django
    from django.db import DatabaseError, close_old_connections
    from django.utils import timezone

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the server, which ends this one
    signal.signal(signal.SIGTERM, lambda *given: sys.exit(0))
    if hasattr(os, "nice"):
        os.nice(10)
    django.setup()
    from pathproof.web.erasing import tidy
    from pathproof.web.jobs.store import forget_all

    parent = multiprocessing.parent_process()
    sentinels = [parent.sentinel] if parent is not None else []
    while True:
        try:
            reassess(timezone.now)
            tidy()
        except DatabaseError as error:  # busy or restarting; what was due is due again later
            _LOG.warning("The database could not be used: %s", error)
        forget_all()  # a job that is erased stays in no memory
        close_old_connections()
        if wait(sentinels, EVERY_S):
            return
