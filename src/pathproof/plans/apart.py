"""Work on a plan in a process of its own, so that a file that crashes or blocks it harms nothing.

A damaged or hostile file can take a whole process down, take all memory, or never end. What starts
the work should live on and say so in a sentence.
"""

import multiprocessing
import os
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any, Final, NoReturn, TypeVar

from pathproof.terms import PlanError

if sys.platform != "win32":
    import resource

__all__ = ["Engine", "Progress", "run_apart"]

T = TypeVar("T")
Progress = Callable[[int, int, str], None]

_STOPPED_BY_ITSELF: Final = 1
"""Exit code after an error in Python. A crash has another, on POSIX the signal's, below 0."""
_STARTED, _AT, _FOUND, _REFUSED, _NO_MEMORY = range(5)
"""What a message from the process says."""


@dataclass(frozen=True, kw_only=True)
class Engine:
    """What reads a kind of file: what it may take, and what people do where it ends badly."""

    name: str
    """Such as "the decoder"."""
    longest_s: float
    """From its start; then it is ended. [s]"""
    most_memory_bytes: int | None = None
    """Address space, libraries included; not limited on Windows. [byte]"""
    if_damaged: str
    """What to do about a file that crashed it, as a sentence."""
    if_too_much: str
    """What to do about one that takes too long or too much memory, as a sentence."""


def run_apart(
    work: Callable[..., T],
    *args: object,
    name: str,
    engine: Engine,
    progress: Progress | None = None,
) -> T:
    """What `work(*args)` gives, from a process of its own that ends with this one.

    Parameters
    ----------
    work : callable
        A module's function, or `functools.partial` of one. Where there is a `progress`, it is given
        one too, by that name.
    *args : object
        What it is called with; these and what it gives can be pickled.
    name : str
        The file, as error messages call it.
    engine : Engine
        Limits and advice.
    progress : callable, optional
        Called here with what `work` tells.

    Raises
    ------
    PlanError
        `work` raised it; or it crashed, reached a limit, met an error of Pathproof's own, or its
        process did not start.
    """
    # "spawn": a fork of a process with running threads may hang
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(
        target=_child, args=(theirs, work, args, engine, progress is not None), daemon=True
    )
    process.start()
    theirs.close()
    try:
        found: T = _Listener(ours, process, name, engine).found(progress)
        return found
    finally:
        process.terminate()
        process.join()
        ours.close()


class _Listener:
    """Hears what the process says until it has an end."""

    def __init__(self, ours: Connection, process: BaseProcess, name: str, engine: Engine) -> None:
        self._ours, self._process, self._name, self._engine = ours, process, name, engine
        self._until_s = time.monotonic() + engine.longest_s

    def found(self, progress: Progress | None) -> Any:
        started = False
        while True:
            kind, said = self._next(started=started)
            if kind == _FOUND:
                return said
            if kind == _REFUSED:
                raise said
            if kind == _NO_MEMORY:
                raise PlanError(
                    f"{self._name} needs more memory than it may take. {self._engine.if_too_much}"
                )
            started = True
            if kind == _AT and progress is not None:
                progress(*said)

    def _next(self, *, started: bool) -> tuple[int, Any]:
        try:
            if self._ours.poll(max(self._until_s - time.monotonic(), 0.0)):
                message: tuple[int, Any] = self._ours.recv()
                return message
        except (EOFError, OSError) as error:  # OSError: in the middle of a message
            self._process.join()
            self._ended(error, started=started)
        raise PlanError(
            f"{self._name} takes longer than {_said(self._engine.longest_s)} to read. "
            f"{self._engine.if_too_much}"
        )

    def _ended(self, error: Exception, *, started: bool) -> NoReturn:
        code, engine = self._process.exitcode, self._engine
        if not started:
            raise PlanError(
                f"{self._name} was not read: the process to read it in did not start (exit code "
                f"{code}). In a Python script of your own, put what calls it under "
                'if __name__ == "__main__": (that process loads the script too).'
            ) from error
        if code == _STOPPED_BY_ITSELF:
            raise PlanError(
                f"{self._name} could not be read: Pathproof met an error of its own, shown above. "
                "Please report it with those lines. Until it is mended, this may help: "
                f"{engine.if_too_much}"
            ) from error
        raise PlanError(
            f"{self._name} crashed {engine.name} (exit code {code}): it is damaged, or needs more "
            f"memory than it may take. {engine.if_damaged}"
        ) from error


def _said(limit_s: float) -> str:
    return f"{limit_s:g} s" if limit_s < 120.0 else f"{limit_s / 60.0:g} minutes"


def _child(
    theirs: Connection,
    work: Callable[..., object],
    args: tuple[object, ...],
    engine: Engine,
    tells: bool,
) -> None:
    threading.Thread(target=_end_with_parent, daemon=True).start()
    _limit_memory(engine.most_memory_bytes)

    def tell(done: int, total: int, what: str) -> None:
        theirs.send((_AT, (done, total, what)))

    try:
        theirs.send((_STARTED, None))
        try:
            theirs.send((_FOUND, work(*args, progress=tell) if tells else work(*args)))
        except PlanError as error:
            theirs.send((_REFUSED, error))
        except MemoryError:
            theirs.send((_NO_MEMORY, None))
    except (BrokenPipeError, KeyboardInterrupt):
        return  # nobody waits for the answer any more


def _end_with_parent() -> None:
    """Ends this process at once when the one that started it is gone, whatever it is doing."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(0)


def _limit_memory(most_bytes: int | None) -> None:
    if sys.platform != "win32" and most_bytes is not None:
        hard = resource.getrlimit(resource.RLIMIT_AS)[1]
        limit = most_bytes if hard < 0 else min(most_bytes, hard)
        resource.setrlimit(resource.RLIMIT_AS, (limit, hard))
