"""A communicator's state: in the site, with its day on the record."""

from datetime import UTC, datetime

import pytest

from pathproof.job import Job
from pathproof.job.accounts import with_account_state
from pathproof.simulate import demo_job
from pathproof.terms import AccountState, JobError

AT = datetime(2026, 10, 8, 9, tzinfo=UTC)


def test_the_site_holds_the_state_and_the_record_its_day() -> None:
    before = demo_job()
    job = with_account_state(
        before, "main", AccountState.LIVE, at=AT, by="R. Aster", text="by mail"
    )
    assert job.site.communicators[0].state is AccountState.LIVE
    entry = job.record[-1]
    assert (entry.kind, entry.about, entry.at, entry.by) == ("step", ["main"], AT, "R. Aster")
    assert entry.values.model_dump() == {
        "procedure": "activation",
        "step": "live",
        "done": True,
        "text": "by mail",
    }
    assert before.record == job.record[:-1]
    Job.model_validate(job.model_dump())


def test_a_state_voids_no_evidence() -> None:
    job = with_account_state(demo_job(), "main", AccountState.LIVE, at=AT, by="R. Aster")
    assert job.record[-1].fits == {}


def test_an_unknown_communicator_is_refused() -> None:
    with pytest.raises(JobError, match=r"no communicator 'second'; this site has: main\."):
        with_account_state(demo_job(), "second", AccountState.LIVE, at=AT, by="R. Aster")
