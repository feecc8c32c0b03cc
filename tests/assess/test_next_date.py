"""The next date of a job. Days are counted in the tests, by the limits of the house targets:
a reading counts for 365 days, a supply test for 400 (common practice, no source)."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

from pathproof.assess import assess
from pathproof.assess.next_date import DueDate, next_date
from pathproof.job import Job, Site, embed
from pathproof.simulate import AS_OF, demo_job
from pathproof.terms import Word

from ._jobs import NOW, device, entry, make_job


def due(job: Job, at: datetime = NOW) -> DueDate | None:
    return next_date(job, assess(job, at, leave_out_later=True))


def read_at(days_before_now: float, **fields: Any) -> dict[str, Any]:
    values = {
        "levels": [{"quantity": "rsrp_dbm", "value": -80.0}],
        "network": "001-01",
        "technology": "lte",
    }
    at = (NOW - timedelta(days=days_before_now)).isoformat()
    return entry("reading", values, **{"about": ["hall"], "at": at, "conditions": {}, **fields})


def mobile(*record: dict[str, Any]) -> Job:
    main = {"id": "main", "part": "lte", "spot": "hall"}
    return make_job(
        record,
        devices=[{"id": "door", "name": "Door", "part": "wired"}],
        networks=[{"mcc_mnc": "001-01", "label": "Near", "technologies": ["lte"]}],
        spots=[{"id": "hall", "name": "Hall"}, {"id": "loft", "name": "Loft"}],
        communicators=[{**main, "sim": {"kind": "fixed", "networks": ["001-01"]}}],
    )


def test_a_job_with_nothing_that_ends_has_no_date() -> None:
    assert due(embed(Job(site=Site(name="Empty")))) is None
    assert due(mobile()) is None


def test_a_reading_runs_out_after_the_profiles_days() -> None:
    job = mobile(read_at(10))
    assert assess(job, NOW).link("mobile:main").word is Word.PREDICTED
    found = due(job)
    assert found is not None
    assert (found.on, found.overdue) == (date(2027, 11, 15), False)  # 2026-11-15 + 365 days
    assert "Mobile network at communicator main" in found.what


def test_a_reading_that_ran_out_is_overdue_since_its_day() -> None:
    found = due(mobile(read_at(375)))
    assert found is not None
    assert (found.on, found.overdue) == (date(2026, 11, 15), True)


def test_the_day_is_the_one_on_which_the_word_changes() -> None:
    job = mobile(read_at(10))
    last = NOW + timedelta(days=355)
    words = [assess(job, last + timedelta(seconds=s)).link("mobile:main").word for s in (0, 1)]
    assert words == [Word.PREDICTED, Word.UNDECIDED]


def test_an_old_reading_beside_a_young_one_or_elsewhere_does_not_count() -> None:
    both = mobile(read_at(300), read_at(10, id="r2"))
    elsewhere = mobile(read_at(300, about=["loft"]), read_at(10, id="r2"))
    for job in (both, elsewhere):
        found = due(job)
        assert found is not None
        assert found.on == date(2027, 11, 15)


def test_cells_come_before_the_reading_where_their_day_is_sooner() -> None:
    job = demo_job()
    answer = assess(job, AS_OF)
    dated = [r.due for r in answer.replacements if r.due is not None]
    early = job.site.devices[0].model_copy(update={"cells_fitted_on": date(2010, 1, 1)})
    site = job.site.model_copy(update={"devices": [early, *job.site.devices[1:]]})
    changed = job.model_copy(update={"site": site})
    found = due(changed, AS_OF)
    assert found is not None
    assert found.overdue
    assert found.on < min(dated)
    assert "to be replaced" in found.what


def test_the_demo_names_its_first_day() -> None:
    # The module was watched on 2026-10-06, the supply tested on that day, cells last longer.
    found = due(demo_job(), AS_OF)
    assert found is not None
    assert (found.on, found.overdue) == (date(2027, 10, 6), False)


def test_supply_tests_run_out_after_400_days() -> None:
    job = demo_job()
    tests = [e for e in job.record if e.kind == "supply_test"]
    alone = job.model_copy(update={"record": tests})
    assert assess(alone, AS_OF).link("supply").word is Word.PROVEN
    found = due(alone, AS_OF)
    assert found is not None
    assert found.on == (tests[-1].at + timedelta(days=400)).date()


def test_a_platform_that_ends_is_a_date() -> None:
    data = mobile().model_dump(mode="json")
    data["embedded"]["retirements"] = [
        {
            "part": "lte",
            "ends_on": "2028-07-01",
            "source": {"ref": "Letter of the dealer", "evidence": "read"},
        }
    ]
    job = embed(Job.model_validate(data))
    found = due(job)
    assert found is not None
    assert (found.on, found.overdue) == (date(2028, 7, 1), False)
    assert found.what == "Communicator main: service of lte ends on 2028-07-01"
    later = due(job, datetime(2028, 7, 1, 12, tzinfo=UTC))
    assert later is not None
    assert later.overdue


def accepted(until: str, distance_m: float) -> Job:
    values = {"link": "radio:D1>panel", "reason": "the owner agrees", "until": until}
    far = device(between={"distance_m": distance_m})
    return make_job([entry("override", values, about=["D1"])], devices=[far])


def test_an_acceptance_ends_on_its_day_and_is_overdue_only_while_the_link_lacks() -> None:
    coming = due(accepted("2027-01-31", 10.0))
    assert coming is not None
    assert (coming.on, coming.overdue) == (date(2027, 1, 31), False)
    assert "accepted by A. Tester" in coming.what
    lacking = accepted("2026-11-22", 999.0)
    assert assess(lacking, NOW).link("radio:D1>panel").word is Word.LACKING
    past = due(lacking)
    assert past is not None
    assert past.overdue
    assert due(accepted("2026-11-22", 10.0)) is None
