"""The frame of a plan: metres of the site on the sheet, axes with ticks, scale bar."""

import math
from collections.abc import Iterator

from pathproof.papers.drawing import HAIR_MM, Label, Lines, PointMm, Shape
from pathproof.papers.labels import Box

SCALES = (
    *(20, 25, 30, 40, 50, 60, 70, 75, 80, 90, 100, 110, 125, 140, 150, 160, 180, 200, 225, 250),
    *(300, 350, 400, 450, 500, 600, 700, 800, 1000, 1250, 1500, 2000, 2500, 3000, 4000, 5000),
    *(7500, 10_000, 15_000, 20_000, 30_000, 50_000, 100_000, 200_000, 500_000),
)
"""Scales a plan may have, one to so many."""

_LEFT_MM, _RIGHT_MM, _TOP_MM = 10.0, 2.0, 2.0
_BOTTOM_MM = 15.0
"""Room for the figures of the axis and the scale bar. [mm]"""
_INSIDE_MM = 4.0
"""From the axes to the outermost point. [mm]"""
_TICK_MM = 1.2
_LEAST_MM = {1: 4.0, 2: 8.0}
"""The least from tick to tick, and from figure to figure. [mm]"""
_STEPS_M = (*(1, 2, 5, 10, 20, 50, 100, 200, 500), *(1000, 2000, 5000, 10_000, 20_000, 50_000))


class Frame:
    """Turns places on the site into places on the sheet."""

    def __init__(self, points: list[tuple[float, float]], room_mm: tuple[float, float]) -> None:
        xs, ys = [x for x, _ in points], [y for _, y in points]
        wide_m, high_m = max(xs) - min(xs), max(ys) - min(ys)
        wide_mm = room_mm[0] - _LEFT_MM - _RIGHT_MM - 2 * _INSIDE_MM
        high_mm = room_mm[1] - _TOP_MM - _BOTTOM_MM - 2 * _INSIDE_MM
        fits = (s for s in SCALES if max(wide_m / wide_mm, high_m / high_mm) * 1000 <= s)
        self.scale = next(fits, SCALES[-1])
        self.mm_per_m = 1000 / self.scale
        self.width_mm = room_mm[0]
        self.height_mm = high_m * self.mm_per_m + _TOP_MM + _BOTTOM_MM + 2 * _INSIDE_MM
        spare_mm = max(wide_mm - wide_m * self.mm_per_m, 0.0)
        self._x0 = min(xs) - (_INSIDE_MM + spare_mm / 2) / self.mm_per_m
        self._y0 = max(ys) + _INSIDE_MM / self.mm_per_m
        self._box = (
            _LEFT_MM,
            _TOP_MM,
            max(self.width_mm - _RIGHT_MM, _LEFT_MM + wide_m * self.mm_per_m + 2 * _INSIDE_MM),
            self.height_mm - _BOTTOM_MM,
        )

    def __call__(self, point: tuple[float, float]) -> PointMm:
        return (
            round(_LEFT_MM + (point[0] - self._x0) * self.mm_per_m, 3),
            round(_TOP_MM + (self._y0 - point[1]) * self.mm_per_m, 3),
        )

    @property
    def box(self) -> Box:
        """Left, top, right and bottom of the axes."""
        return self._box

    def on_site(self, at: PointMm) -> tuple[float, float]:
        """The place on the site that lies there on the sheet. [m]"""
        return (
            self._x0 + (at[0] - _LEFT_MM) / self.mm_per_m,
            self._y0 - (at[1] - _TOP_MM) / self.mm_per_m,
        )

    def outside(self) -> list[Box]:
        """What lies on and beyond the axes, where no label is to stand."""
        left, top, right, bottom = self._box
        wide, high = self.width_mm, self.height_mm
        return [
            (0.0, 0.0, left, high),
            (0.0, 0.0, wide, top),
            (right, 0.0, wide, high),
            (0.0, bottom, wide, high),
        ]

    def axes(self) -> Iterator[Shape]:
        """The box around the plan with ticks in metres from the site's origin on all sides."""
        left, top, right, bottom = self._box
        box = ((left, top), (right, top), (right, bottom), (left, bottom), (left, top))
        ticks: list[tuple[PointMm, ...]] = []
        for metres in self._ticks(left, right, 0, 1):
            x = self((metres, 0.0))[0]
            ticks += [((x, top), (x, top + _TICK_MM)), ((x, bottom), (x, bottom - _TICK_MM))]
        for metres in self._ticks(top, bottom, 1, 1):
            y = self((0.0, metres))[1]
            ticks += [((left, y), (left + _TICK_MM, y)), ((right, y), (right - _TICK_MM, y))]
        yield Lines(lines=(box, *ticks), width_mm=HAIR_MM)
        for metres in self._ticks(left, right, 0, 2):
            yield Label(at=(self((metres, 0.0))[0], bottom + 1.0), text=_said(metres), anchor="top")
        for metres in self._ticks(top, bottom, 1, 2):
            at = (left - 5.0, self((0.0, metres))[1])
            yield Label(at=at, text=_said(metres), anchor="center")

    def origin(self) -> Iterator[Shape]:
        """A cross with a ring's room around it where the site's origin is, if it is in the box."""
        x, y = self((0.0, 0.0))
        left, top, right, bottom = self._box
        if left <= x <= right and top <= y <= bottom:
            reach = 2.5
            cross = (((x - reach, y), (x + reach, y)), ((x, y - reach), (x, y + reach)))
            yield Lines(lines=cross, width_mm=HAIR_MM)

    def scale_bar(self, *, printed: bool) -> Iterator[Shape]:
        """A bar of round metres, about a third of the sheet long at most; printed, the scale."""
        metres = next(
            (m for m in reversed(_STEPS_M) if m * self.mm_per_m <= self.width_mm / 3), _STEPS_M[0]
        )
        left, y, step = _LEFT_MM, self.height_mm - 5.0, metres * self.mm_per_m / 2
        ticks = [((left + i * step, y - 0.8), (left + i * step, y + 0.8)) for i in range(3)]
        bar = ((left, y), (left + 2 * step, y))
        yield Lines(lines=(bar, *ticks), width_mm=HAIR_MM)
        yield Lines(lines=(((left, y), (left + step, y)),), width_mm=0.8)
        yield Label(at=(left, y + 1.0), text="0", anchor="top")
        yield Label(at=(left + 2 * step, y + 1.0), text=f"{metres} m", anchor="top")
        yield Label(
            at=(left + 2 * step + 8.0, y),
            text=(f"1 : {self.scale}; " if printed else "")
            + "axes in metres from the site's origin, x to the right, y up",
            anchor="left",
        )

    def _ticks(self, low_mm: float, high_mm: float, axis: int, kind: int) -> list[int]:
        """Round metres along an axis; kind 1 has a tick, kind 2 a figure too."""
        step = next((s for s in _STEPS_M if s * self.mm_per_m >= _LEAST_MM[kind]), _STEPS_M[-1])
        if axis == 0:
            low = self._x0 + (low_mm - _LEFT_MM) / self.mm_per_m
            high = self._x0 + (high_mm - _LEFT_MM) / self.mm_per_m
        else:
            low = self._y0 - (high_mm - _TOP_MM) / self.mm_per_m
            high = self._y0 - (low_mm - _TOP_MM) / self.mm_per_m
        return [k * step for k in range(math.ceil(low / step), math.floor(high / step) + 1)]


def _said(metres: int) -> str:
    return str(metres).replace("-", "\N{MINUS SIGN}")
