"""Work that may take longer than somebody should stare at a blank page.

It goes on in a thread while the page that wants it says how far it is and asks again. Nothing in
here touches the database: what is worked out is pure, and whoever asked for it stores it.
"""

from collections.abc import Callable, Hashable
from concurrent.futures import Future, ThreadPoolExecutor
from concurrent.futures import TimeoutError as StillRunning
from dataclasses import dataclass, field
from threading import Lock
from typing import Any, Final, TypeVar

T = TypeVar("T")

WAIT_S: Final = 0.8
"""How long a page waits before it shows how far the work is. [s]"""
_POOL: Final = ThreadPoolExecutor(max_workers=2, thread_name_prefix="work")


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
    running: dict[Hashable, tuple[Future[Any], Progress]] = field(default_factory=dict)


_WORKS: Final = _Works()


def result_of(
    key: Hashable, what: str, work: Callable[[Progress], T], *, wait_s: float = WAIT_S
) -> T:
    """What the work gives, once: a second caller of the same key shares it while it runs.

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
        if key not in _WORKS.running:
            progress = Progress(what)
            _WORKS.running[key] = (_POOL.submit(work, progress), progress)
        future, progress = _WORKS.running[key]
    try:
        result: T = future.result(timeout=wait_s)
    except StillRunning:
        if future.done():  # the work itself timed out
            _forget(key, future)
            raise
        raise StillWorkingError(progress) from None
    except BaseException:
        _forget(key, future)
        raise
    _forget(key, future)
    return result


def _forget(key: Hashable, future: Future[Any]) -> None:
    with _WORKS.lock:
        if _WORKS.running.get(key, (None,))[0] is future:
            del _WORKS.running[key]
