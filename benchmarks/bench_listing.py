"""How long the list of 10,000 jobs takes at the server, against a list of 100: at most 0.2 s."""

import os
import tempfile
import time
from collections.abc import Iterator
from uuid import uuid4

FEW, MANY = 100, 10_000
TARGET_S = 0.2
RUNS = 7
PAGES = {
    "first page": {},
    "by next date": {"order": "next"},
    "searched": {"q": "site 77"},
    "last page": {"page": "9999"},
}


def best_s(client: object, asked: dict[str, str]) -> float:
    """Shortest of some requests; the first one warms templates and database. [s]"""
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        assert client.get("/", asked).status_code == 200  # type: ignore[attr-defined]
        times.append(time.perf_counter() - start)
    return min(times[1:])


def add_jobs(numbers: range) -> None:
    """Jobs as rows, with a site that holds nothing but a name and a standing of today."""
    from django.utils import timezone

    from pathproof.web.jobs.models import Content, Revision, Standing, StoredJob

    now = timezone.now()
    jobs = [
        StoredJob(id=uuid4(), revision=1, name=f"Site {i}", search=f"site {i}\n") for i in numbers
    ]
    contents = [
        Content(job=j, sha256=f"{i:064}", site=f'{{"name": "{j.name}"}}', embedded="{}")
        for i, j in enumerate(jobs)
    ]
    words = ("lacking", "undecided", "predicted", "proven")
    StoredJob.objects.bulk_create(jobs)
    Content.objects.bulk_create(contents)
    Revision.objects.bulk_create(
        Revision(job=c.job, number=1, content=c, hash="", by="", what="") for c in contents
    )
    Standing.objects.bulk_create(
        Standing(
            job=j,
            revision=1,
            as_of=now,
            day=now.date(),
            due_on=now.date(),
            due_what="battery",
            word=words[i % 4],
            why="",
            **{words[i % 4]: 12},
        )
        for i, j in enumerate(jobs)
    )


def signed_in() -> object:
    """A client of the app on a database of its own."""
    from django.core.management import call_command
    from django.test import Client

    from pathproof.web.people.models import Person, Role

    call_command("migrate", verbosity=0)
    call_command("collectstatic", verbosity=0, interactive=False)
    person = Person.objects.create_user("x", "X", Role.OFFICE, "long enough pw")
    client = Client(SERVER_NAME="localhost")
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    return client


def figures(client: object) -> Iterator[tuple[str, float, float]]:
    """Every page of the list with few and with many jobs."""
    add_jobs(range(FEW))
    few = {name: best_s(client, asked) for name, asked in PAGES.items()}
    add_jobs(range(FEW, MANY))
    for name, asked in PAGES.items():
        yield name, few[name], best_s(client, asked)


def main() -> None:
    """Print both times and their ratio."""
    with tempfile.TemporaryDirectory() as home:
        os.environ["PATHPROOF_HOME"] = home
        os.environ["DJANGO_SETTINGS_MODULE"] = "pathproof.web.settings"
        import django

        django.setup()
        for name, few_s, many_s in figures(signed_in()):
            print(
                f"{name:<14} {FEW} jobs {few_s:6.3f} s   {MANY} jobs {many_s:6.3f} s   "
                f"{many_s / few_s:5.1f} times, target {TARGET_S} s"
            )
        django.db.connections.close_all()


if __name__ == "__main__":
    main()
