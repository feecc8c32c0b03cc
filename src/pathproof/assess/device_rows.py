"""Signals that start at one thing and travel one path as one row, those to see to first on top."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from pathproof.assess.judge import WORST_FIRST, in_use, rank, worst
from pathproof.assess.types import Action, Assessment, Path, Signal
from pathproof.job import PANEL_ID, Site
from pathproof.terms import Word

MOST_WAYS: Final = 2
"""Ways drawn at a fork; more would bury the strip that matters."""


@dataclass(frozen=True, kw_only=True)
class DeviceRow:
    """The signals of one device, or of the panel, that share a path."""

    about: str
    name: str
    zone: int | None
    partition: int | None
    word: Word
    """The worst of its signals."""
    signals: tuple[Signal, ...]
    ranks: tuple[tuple[int, int, float], ...]
    """Ranks of the links on its way, as `judge.rank`, the weakest first."""
    next: Action | None
    """The one next action."""

    @property
    def lead(self) -> Signal:
        """The signal whose strip stands for all: the first with the row's word."""
        return next(s for s in self.signals if s.word is self.word)


def device_rows(assessment: Assessment, site: Site) -> tuple[DeviceRow, ...]:
    """Every signal, in rows: lacking, undecided, predicted, proven; then the least margin first."""
    links = {x.id: x for x in assessment.links}
    names = {d.id: d.name for d in site.devices} | {PANEL_ID: "Panel"}
    actions = _first_actions(assessment)
    together: dict[tuple[str, Path], list[Signal]] = defaultdict(list)
    for signal in assessment.signals:
        together[signal.about, signal.path].append(signal)
    rows = [
        DeviceRow(
            about=about,
            name=names[about],
            zone=signals[0].zone,
            partition=signals[0].partition,
            word=worst([s.word for s in signals]),
            signals=tuple(signals),
            ranks=tuple(sorted(rank(links[i]) for i in in_use(path, links))),
            next=next((actions[s.id] for s in signals if s.id in actions), None),
        )
        for (about, path), signals in together.items()
    ]
    return tuple(sorted(rows, key=lambda r: (WORST_FIRST.index(r.word), r.ranks, r.zone or 0)))


def chosen(
    rows: Sequence[DeviceRow],
    *,
    zone: int | None = None,
    partition: int | None = None,
    word: Word | None = None,
    name: str = "",
) -> list[DeviceRow]:
    """The rows of a zone, of a partition, with a word, with a name that holds a text."""
    text = name.casefold().strip()
    return [
        r
        for r in rows
        if zone in (None, r.zone)
        and partition in (None, r.partition)
        and word in (None, r.word)
        and text in r.name.casefold()
    ]


def _first_actions(assessment: Assessment) -> dict[str, Action]:
    """The action for each signal that has one."""
    found: dict[str, Action] = {}
    for action in assessment.next:
        for signal in action.signals:
            found.setdefault(signal, action)
    return found
