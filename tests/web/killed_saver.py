"""Processes that save in a loop and are killed; `test_store_crash.py` runs it in its own folder.

Prints how many saves were made and how many processes were killed once all held after each of them.
"""

import os
import random
import signal
import sys
import time
from datetime import UTC, datetime
from itertools import count

LOOPS_FOR_S = 30.0


def save_in_a_loop(job_id, person, told: int) -> None:
    """Saves notes and names in turn, and tells the number of each revision that was saved."""
    from pathproof.job.adding import Draft, add_entries
    from pathproof.terms import RecordKind
    from pathproof.web.jobs import store

    def noting(job):
        draft = Draft(
            kind=RecordKind.NOTE, values={"text": "x"}, at=datetime.now(UTC), by="Somebody"
        )
        return add_entries(job, [draft] * 5)[0]

    def renaming(job):
        site = job.site.model_copy(update={"name": f"Revision {job.revision}"})
        return job.model_copy(update={"site": site})

    until = time.monotonic() + LOOPS_FOR_S
    base = store.load(job_id).revision
    for number in count():
        change = (noting, renaming)[number % 2]
        base = store.save(job_id, change, based_on=base, by=person, what="x").revision
        os.write(told, f"{base}\n".encode())
        assert time.monotonic() < until, "nobody killed it"


def killed_at_some_moment(job_id, person, chance: random.Random) -> int:
    """The last revision that a process told of before it was killed."""
    from django.db import connections

    connections.close_all()
    reads, told = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            save_in_a_loop(job_id, person, told)
        finally:
            os._exit(1)
    os.close(told)
    with os.fdopen(reads) as lines:
        first = lines.readline()  # it has begun
        time.sleep(chance.uniform(0.0, 0.2))
        os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        assert os.WIFSIGNALED(status), "it ended by itself"
        rest = lines.read().split()
    return int(rest[-1] if rest else first)


def all_is_whole(job_id, told: int) -> int:
    """The newest revision, once everything that is kept of the job was looked at."""
    from django.db import connection

    from pathproof.job import content_hash, dump_job, parse_job
    from pathproof.web.jobs import store
    from pathproof.web.jobs.models import Revision, StoredEntry, StoredJob

    with connection.cursor() as cursor:
        cursor.execute("PRAGMA integrity_check")
        assert cursor.fetchall() == [("ok",)]
        cursor.execute("PRAGMA foreign_key_check")
        assert cursor.fetchall() == []
    newest = StoredJob.objects.get(pk=job_id).revision
    assert newest >= told, "a save that was told of is gone"
    numbers = (
        Revision.objects.filter(job=job_id).order_by("number").values_list("number", flat=True)
    )
    assert list(numbers) == list(range(1, newest + 1))
    entries = StoredEntry.objects.filter(job=job_id)
    assert [e.place for e in entries] == list(range(len(entries)))
    assert all(e.revision <= newest for e in entries)
    store.forget_all()
    for number in (newest, newest - 1):
        job = store.load(job_id, number)
        assert len(job.record) == sum(e.revision <= number for e in entries)
        assert job.hash == content_hash(job)
        assert not job.changed_outside
        assert parse_job(dump_job(job)) == job
    return newest


def main() -> None:
    import django
    from django.core.management import call_command

    django.setup()
    call_command("migrate", verbosity=0)

    from pathproof.simulate import build_demo
    from pathproof.web.jobs import store
    from pathproof.web.people.models import Person, Role

    person = Person.objects.create_user("tech", "Tom", Role.TECHNICIAN, "long enough pw")
    job_id = store.add_job(build_demo(), by=person, what="imported").pk
    chance = random.Random(1)
    killed, newest = 12, 1
    for _ in range(killed):
        told = killed_at_some_moment(job_id, person, chance)
        before, newest = newest, all_is_whole(job_id, told)
        assert newest > before, "nothing was saved before it was killed"
    sys.stdout.write(f"{newest} revisions, {killed} killed\n")


if __name__ == "__main__":
    main()
