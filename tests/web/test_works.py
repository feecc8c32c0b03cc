"""Work that goes on behind a page: shared, fetched late, failed, never fetched, cut short."""

import gc
import multiprocessing
import time
import weakref
from concurrent.futures import ThreadPoolExecutor, wait
from threading import Barrier, Event
from uuid import uuid4

import pytest

from pathproof.web import works
from pathproof.web.works import MOST_UNFETCHED, Progress, StillWorkingError, result_of

PATIENCE_S = 30.0


class Gated:
    """Work that ends when it is told to, and counts how often it was begun."""

    def __init__(self, result: object = "done") -> None:
        self.go, self.begun, self.result = Event(), 0, result

    def __call__(self, progress: Progress) -> object:
        self.begun += 1
        progress.say("waiting", 1, 2)
        assert self.go.wait(PATIENCE_S)
        if isinstance(self.result, Exception):
            raise self.result
        return self.result


def begun_and_left(key: object, work: Gated) -> None:
    """As a page does that is closed while it shows how far the work is."""
    with pytest.raises(StillWorkingError):
        result_of(key, "work", work, wait_s=0)


def ended(key: object) -> None:
    """Waits until the work of that key is done, without fetching it."""
    with works._WORKS.lock:
        future, _ = works._WORKS.begun[key]
    wait([future], timeout=PATIENCE_S)


def test_quick_work_is_given_at_once():
    assert result_of(uuid4(), "adding", lambda progress: 2) == 2


def test_work_that_goes_on_says_how_far_it_is():
    key, work = uuid4(), Gated()
    with pytest.raises(StillWorkingError) as raised:
        result_of(key, "work", work, wait_s=0.5)
    said = raised.value.progress
    assert (said.what, said.step, said.done, said.of) == ("work", "waiting", 1, 2)
    work.go.set()
    assert result_of(key, "work", work) == "done"


def test_a_result_fetched_late_is_not_worked_out_again():
    key, work = uuid4(), Gated()
    begun_and_left(key, work)
    work.go.set()
    ended(key)
    assert result_of(key, "work", work, wait_s=0) == "done"
    assert work.begun == 1


def test_all_who_ask_while_it_runs_share_it(monkeypatch):
    key, work, all_wait = uuid4(), Gated(), Barrier(9)

    def waiting(*given, **options):
        all_wait.wait(PATIENCE_S)
        return wait(*given, **options)

    monkeypatch.setattr(works, "wait", waiting)
    with ThreadPoolExecutor(8) as askers:
        asked = [askers.submit(result_of, key, "w", work, wait_s=PATIENCE_S) for _ in range(8)]
        all_wait.wait(PATIENCE_S)
        work.go.set()
        assert {a.result(PATIENCE_S) for a in asked} == {"done"}
    assert work.begun == 1


@pytest.mark.parametrize("error", [ValueError("broken"), TimeoutError("of its own")])
def test_what_the_work_raises_comes_out_and_the_next_who_asks_tries_anew(error):
    key, work = uuid4(), Gated(error)
    begun_and_left(key, work)
    work.go.set()
    ended(key)
    with pytest.raises(type(error), match=str(error)):
        result_of(key, "work", work)
    assert result_of(key, "work", lambda progress: "mended") == "mended"


def test_results_that_nobody_fetches_are_let_go():
    class Large:
        pass

    left = []
    for _ in range(MOST_UNFETCHED + 5):
        large, key = Large(), uuid4()
        work = Gated(large)
        begun_and_left(key, work)
        work.go.set()
        ended(key)
        left.append(weakref.ref(large))
        del large, work
    result_of(uuid4(), "something else", lambda progress: None)
    gc.collect()
    assert sum(ref() is not None for ref in left) <= MOST_UNFETCHED
    assert left[-1]() is not None


def _with_much_to_do() -> None:
    """What a server's process does that is told to stop while a lot waits to be worked out."""
    for number in range(40):
        try:
            result_of(number, "sleeping", lambda progress: time.sleep(0.5), wait_s=0)
        except StillWorkingError:
            continue


def test_a_process_that_ends_begins_nothing_more():
    process = multiprocessing.get_context("spawn").Process(target=_with_much_to_do)
    process.start()
    process.join(8)  # all of it would take 10 s
    assert process.exitcode == 0
