"""The cast of the app's tests, and jobs in the store."""

from collections.abc import Callable

import pytest
from django.test import Client

from pathproof.job import Job
from pathproof.simulate import build_demo
from pathproof.web.jobs import answers, store
from pathproof.web.jobs.models import StoredJob
from pathproof.web.people.models import Person, Role

DEMO = build_demo()


@pytest.fixture(autouse=True)
def _nothing_kept():
    """What one test worked out is not known in the next."""
    yield
    store.forget_all()
    answers.forget_all()


@pytest.fixture(autouse=True)
def patient(monkeypatch):
    """Pages wait for their answer, however busy the machine is; a test may set it otherwise."""
    monkeypatch.setattr(answers, "WAIT_S", 120.0)


@pytest.fixture
def office(db) -> Person:
    return Person.objects.create_user("office", "Olga Office", Role.OFFICE, "long enough pw")


@pytest.fixture
def technician(db) -> Person:
    return Person.objects.create_user("tech", "Tom Technician", Role.TECHNICIAN, "long enough pw")


@pytest.fixture
def as_(db) -> Callable[[Person | None], Client]:
    """A browser in which that person is signed in."""

    def browser(person: Person | None) -> Client:
        client = Client()
        if person is not None:
            client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
        return client

    return browser


@pytest.fixture
def stored(technician) -> StoredJob:
    """The demo's job, in the store."""
    return store.add_job(DEMO, by=technician, what="imported")


@pytest.fixture
def plain_job() -> Job:
    """A job with nothing in it but a name."""
    return Job.model_validate({"site": {"name": "Plain site"}})
