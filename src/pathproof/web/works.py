"""Work that may take longer than somebody should stare at a blank page.

It goes on in a thread while the page that wants it says how far it is and asks again. Nothing in
here touches the database: what is worked out is pure, and whoever asked for it stores it.
"""

from collections.abc import Callable, Hashable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field
from multiprocessing.util import Finalize
from threading import Lock
from typing import Any, Final, TypeVar

T = TypeVar("T")

WAIT_S: Final = 0.8
"""How long a page waits before it shows how far the work is. [s]"""
MOST_UNFETCHED: Final = 16
"""How many results wait for pages that may have been closed meanwhile."""
_POOL: Final = ThreadPoolExecutor(max_workers=2, thread_name_prefix="work")
Finalize(None, _POOL.shutdown, kwargs={"wait": False, "cancel_futures": True}, exitpriority=0)
"""A server's process that is told to stop ends what it is at, and begins nothing more."""


@dataclass
class Progress:
    """How far a piece of work is; `say` is called by the work itself."""

    what: str
    step: str = ""
    done: int = 0
    of: int = 0

    def say(self, step: str, done: int = 0, of: int = 0) -> None:
        """Tell what is being done now, as the how manieth of how many steps."""
        self.step, self.done, self.of = step, done, of


class StillWorkingError(Exception):
    """The work goes on; the page that was asked for shows `progress` and asks again."""

    def __init__(self, progress: Progress) -> None:
        super().__init__(progress.what)
        self.progress = progress


@dataclass
class _Works:
    lock: Lock = field(default_factory=Lock)
    begun: dict[Hashable, tuple[Future[Any], Progress]] = field(default_factory=dict)
    """What runs, waits to run, or was not fetched yet, in the order in which it was asked for."""


_WORKS: Final = _Works()


def result_of(
    key: Hashable, what: str, work: Callable[[Progress], T], *, wait_s: float = WAIT_S
) -> T:
    """What the work gives: a second caller of the same key shares it until it is fetched.

    What is not fetched is let go once so many later results wait too, and worked out anew when it
    is asked for again; so is work that failed.

    Parameters
    ----------
    key : hashable
        Names the work; the same key is not worked on twice at a time.
    what : str
        What is being done, for the page that waits.
    work : callable
        Gives the result; takes the `Progress` to say how far it is.
    wait_s : float
        How long to wait for it. [s]

    Raises
    ------
    StillWorkingError
        It takes longer; ask again.
    """
    with _WORKS.lock:
        if key not in _WORKS.begun:
            progress = Progress(what)
            _WORKS.begun[key] = (_POOL.submit(work, progress), progress)
            _let_go()
        future, progress = _WORKS.begun[key]
    if not wait([future], timeout=wait_s).done:
        raise StillWorkingError(progress)
    with _WORKS.lock:
        if _WORKS.begun.get(key, (None,))[0] is future:
            del _WORKS.begun[key]
    result: T = future.result()
    return result


def forget(which: Callable[[Hashable], bool]) -> None:
    """Keep no result of such keys for whoever may ask."""
    with _WORKS.lock:
        for key in [k for k in _WORKS.begun if which(k)]:
            del _WORKS.begun[key]


def _let_go() -> None:
    """Keeps the latest of the results that nobody fetched."""
    unfetched = [key for key, (future, _) in _WORKS.begun.items() if future.done()]
    for key in unfetched[:-MOST_UNFETCHED]:
        del _WORKS.begun[key]
