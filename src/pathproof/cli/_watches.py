"""What a watch says, in the terminal."""

import math
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Any, Final

from pathproof.assess import watch_report
from pathproof.assess.reading_words import (
    count_text,
    read_of,
    watched_s,
    watched_text,
    without_level,
)
from pathproof.assess.watch_report import Judged, verdict_sentences
from pathproof.calc.mobile import Interval
from pathproof.cli._screen import Screen
from pathproof.instruments import watched
from pathproof.job import Job
from pathproof.job.record import ReadingValues

_HOW_TOLD: Final = MappingProxyType(
    {
        "about": "--about the communicator, read by its own module",
        "final_antenna": "--final-antenna",
        "lid_shut": "--lid-shut",
        "minutes_since_registration": "--minutes-since-registration",
    }
)


def untold_for_proof(
    conditions: Mapping[str, Any], about: Sequence[str], job: Job
) -> Iterator[str]:
    """What a watch on record lacks before it can prove a link; nothing where it lacks nothing."""
    lacking = [_HOW_TOLD[x] for x in watch_report.untold_for_proof(conditions, about, job)]
    if lacking:
        yield f"To prove a link a watch also needs: {', '.join(lacking)}."


def show_watch(screen: Screen, values: ReadingValues, verdict: Judged | None) -> None:
    """What a watch says, as people read it."""
    of = read_of(values)
    screen.paragraph((f"{of}: {count_text(values)}" if of else count_text(values), "bold"))
    for one in watched(values):
        screen.paragraph(watched_text(one), first="  ")
    if verdict is not None:
        for text in verdict_sentences(verdict):
            screen.paragraph(text, first="  ")
        if verdict.unconfirmed is not None:
            limit = (
                f"The limit {verdict.unconfirmed} is from memory: see pathproof profile confirm."
            )
            screen.paragraph(limit, first="  ")


def watch_as_dict(values: ReadingValues, verdict: Judged | None) -> dict[str, Any]:
    """What a watch says, as plain JSON values."""
    return {
        "network": values.network,
        "technology": None if values.technology is None else str(values.technology),
        "band": values.band,
        "readings": 1 + len(values.series),
        "without_level": without_level(values),
        "minutes": watched_s(values) / 60.0,
        "quantities": [
            {
                "quantity": str(w.quantity),
                "readings": w.levels.count,
                "least": min(w.shown),
                "most": max(w.shown),
                "median": _ends(w.median),
                "tenth_percentile": _ends(w.tenth_percentile),
            }
            for w in watched(values)
        ],
        "requirement": None if verdict is None else verdict.as_dict(),
    }


def _ends(interval: Interval | None) -> dict[str, float | None]:
    if interval is None:
        return {"low": None, "high": None}
    return {
        name: None if math.isinf(end) else end
        for name, end in (("low", interval.low), ("high", interval.high))
    }
