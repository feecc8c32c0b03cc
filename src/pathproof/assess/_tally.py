"""All devices together at each place: the worst of them and which it is, or the odds of all."""

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from pathproof.assess._loss_field import Levels

_MOST_NAMED = 3


class Tally:
    """Devices taken together one by one, on a raster.

    Parameters
    ----------
    shape : (int, int)
        Of the raster.
    odds : bool
        Whether figures are odds, which are multiplied, or margins, of which the worst counts.
    """

    def __init__(self, shape: tuple[int, ...], *, odds: bool) -> None:
        self.values: Levels = np.ones(shape) if odds else np.full(shape, np.inf, dtype=np.float32)
        self.worst: NDArray[np.int32] | None = None if odds else np.zeros(shape, np.int32)
        """Number of the worst device; the first among equals."""
        self.repeaters: set[str] = set()
        """Those that some device's best way goes by, somewhere."""

    def take(self, number: int, values: Levels, repeaters: Iterable[str] = ()) -> None:
        """One more device; lower numbers first."""
        self.repeaters.update(repeaters)
        if self.worst is None:
            np.multiply(self.values, values, out=self.values)
            return
        lower = values < self.values
        np.copyto(self.values, values, where=lower)
        np.copyto(self.worst, number, where=lower)

    def add(self, other: "Tally") -> None:
        """Further devices, in whatever order."""
        self.repeaters |= other.repeaters
        if self.worst is None or other.worst is None:
            np.multiply(self.values, other.values, out=self.values)
            return
        first = (other.values == self.values) & (other.worst < self.worst)
        lower = (other.values < self.values) | first
        np.copyto(self.values, other.values, where=lower)
        np.copyto(self.worst, other.worst, where=lower)

    def held_down_by(
        self, ids: Sequence[str], inside: NDArray[np.bool_]
    ) -> tuple[tuple[str, float], ...]:
        """The devices that are the worst at most places, and the share of places of each."""
        if self.worst is None:
            return ()
        counts = np.bincount(self.worst[inside], minlength=len(ids))
        most = np.argsort(-counts, kind="stable")[:_MOST_NAMED]
        return tuple((ids[i], float(counts[i] / counts.sum())) for i in most if counts[i])
