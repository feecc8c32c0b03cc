"""The values that were asked for last, kept for a while; safe to use from several threads."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


class Recent(Generic[K, V]):
    """Keeps as many values as it is told, the ones asked for last."""

    def __init__(self, *, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[K, V] = OrderedDict()
        self._lock = Lock()

    def get(self, key: K, make: Callable[[], V]) -> V:
        """The value of that key; made where it is not kept, by two threads perhaps twice."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        value = make()
        self.put(key, value)
        return value

    def seen(self, key: K) -> V | None:
        """The value of that key where it is kept."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
            return self._kept.get(key)

    def put(self, key: K, value: V) -> None:
        """Keep a value, and let the one go that was not asked for the longest."""
        with self._lock:
            self._kept[key] = value
            self._kept.move_to_end(key)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)

    def drop(self, which: Callable[[K], bool]) -> None:
        """Let go of all values of such keys."""
        with self._lock:
            for key in [k for k in self._kept if which(k)]:
                del self._kept[key]
