"""When card and account reached each state, by the record."""

from typing import Any

from pathproof.assess.account_states import states_reached
from pathproof.assess.context import Context
from pathproof.job import Job
from pathproof.terms import AccountState

from ._jobs import NOW, entry, make_job


def step(number: int, day: int, state: str, **fields: Any) -> dict[str, Any]:
    values = {"procedure": "activation", "step": state, "done": True}
    at = f"2026-11-{day:02}T10:00:00+00:00"
    return entry("step", values, **{"id": f"s{number}", "about": ["main"], "at": at, **fields})


def days(*record: dict[str, Any]) -> dict[AccountState, int]:
    job: Job = make_job(record, communicators=[{"id": "main", "part": "lte"}])
    ctx = Context(job, NOW, None, leave_out_later=True)
    return {state: e.at.day for state, e in states_reached(ctx, "main").items()}


def test_the_newest_entry_of_each_state_counts_in_any_order() -> None:
    found = days(step(1, 20, "on_test"), step(2, 3, "on_test"), step(3, 2, "active"))
    assert found == {AccountState.ACTIVE: 2, AccountState.ON_TEST: 20}


def test_what_was_corrected_is_of_another_or_comes_later_does_not_count() -> None:
    found = days(
        step(1, 2, "active"),
        step(2, 4, "active", replaces="s1"),
        step(3, 5, "live", about=[]),
        step(4, 28, "live"),  # the day of the assessment is the 25th
    )
    assert found == {AccountState.ACTIVE: 4}


def test_steps_of_other_procedures_not_done_or_unknown_do_not_count() -> None:
    other = step(1, 2, "active")
    other["values"] = {**other["values"], "procedure": "hang_panel"}
    undone = step(2, 3, "active")
    undone["values"] = {**undone["values"], "done": False}
    assert days(other, undone, step(3, 4, "polished")) == {}


def test_a_new_order_is_another_account() -> None:
    found = days(step(1, 2, "live"), step(2, 3, "ended"), step(3, 4, "registered"))
    assert found == {AccountState.REGISTERED: 4}
    assert days(step(1, 2, "live"), step(2, 3, "ordered")) == {AccountState.ORDERED: 3}
