"""Places for labels so that they do not cover each other, by the simplest rule that works.

Each label tries eight places near its mark, then eight further out, twice, and takes the one that
covers least of what stands there already.
"""

import numpy as np
from numpy.typing import NDArray

Box = tuple[float, float, float, float]
"""Left, top, right, bottom. [mm]"""

_AROUND = ((1, -1), (1, 1), (-1, -1), (-1, 1), (1, 0), (-1, 0), (0, -1), (0, 1))
_DISTANCES_MM = (1.8, 5.0, 9.0)
_OUTSIDE = 4.0
"""What a label off the sheet costs, beside covering something."""


class LabelPlacer:
    """Remembers what is taken on a sheet of the given size."""

    def __init__(self, width_mm: float, height_mm: float) -> None:
        self._sheet = np.array([[0.0, 0.0, width_mm, height_mm]])
        self._taken = np.empty((0, 4))
        self._cost_of = np.empty(0)

    def take(self, boxes: list[Box], cost: float = 1.0) -> None:
        """Keep labels off these boxes, at what it costs to cover them."""
        self._taken = np.vstack([self._taken, np.array(boxes).reshape(-1, 4)])
        self._cost_of = np.append(self._cost_of, np.full(len(boxes), cost))

    def place(self, x: float, y: float, width_mm: float, height_mm: float) -> Box:
        """The best box of that size near a mark; it is taken from now on."""
        tries = [
            _beside(x, y, dx, dy, distance, width_mm, height_mm)
            for distance in _DISTANCES_MM
            for dx, dy in _AROUND
        ]
        best = min(tries, key=self._cost)  # the first of the cheapest
        self.take([best])
        return best

    def _cost(self, box: Box) -> float:
        area = (box[2] - box[0]) * (box[3] - box[1])
        outside = area - _overlaps(box, self._sheet)[0]
        covered = _overlaps(box, self._taken) @ self._cost_of
        return round(float(covered + _OUTSIDE * outside), 6)


def _beside(
    x: float, y: float, dx: int, dy: int, distance: float, width: float, height: float
) -> Box:
    near = distance * (0.75 if dx and dy else 1.0)
    left = x - width / 2 + dx * (near + width / 2)
    top = y - height / 2 + dy * (near + height / 2)
    return left, top, left + width, top + height


def _overlaps(box: Box, others: NDArray[np.float64]) -> NDArray[np.float64]:
    """Area of the box that each of some others covers."""
    width = np.minimum(box[2], others[:, 2]) - np.maximum(box[0], others[:, 0])
    height = np.minimum(box[3], others[:, 3]) - np.maximum(box[1], others[:, 1])
    area: NDArray[np.float64] = np.maximum(width, 0.0) * np.maximum(height, 0.0)
    return area
