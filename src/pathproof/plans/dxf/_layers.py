"""Which layers hold walls, doors and windows, by their names in several languages."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fnmatch import fnmatchcase

import numpy as np

from pathproof.plans.dxf._drawn import Drawn
from pathproof.plans.materials import normalised
from pathproof.terms import PlanError


class Kind(StrEnum):
    """What fills a hole in a wall, as far as a name tells."""

    DOOR = "door"
    WINDOW = "window"
    EITHER = "opening"


def _named(whole: str, part: str) -> re.Pattern[str]:
    """Words that are one of `whole`, or that begin or end with one of `part`."""
    return re.compile(rf"(?:{whole})|(?:{part})\w*|\w*(?:{part})")


_WALLS = _named(
    "murs?|muros?|muri", "wall|wand|waende|mauer|muur|muren|pared|tabique|vaegg|cloisons?"
)
_NO_WALLS = _named(
    "patt|foot|dims?|dimension|notes?|text|txt|anno|iden|tags?|symb|head|elev|cntr|cent(er|re)|axis"
    "|lights|lighting|lamps?",
    "pattern|hatch|schraffur|stem|footer|footing|foundation|fndn|fdn|fundament|header|defpoints|paper"
    "|sockets?|steckdosen?|leuchten?|schrank|schraenke|hydrant|hydranten",
)
_DOUBTFUL = _named(
    "low|half|prht|sites?|proj|above|over|below|demo|demol",
    "garden|garten|jardin|jardim|parapet|retain|fence|projection|demolition|abbruch",
)
_KINDS = {
    Kind.DOOR: _named(
        "tur|deur|portes?|portas?|doe?rr?|drzwi", "doors?(?!bell)|tuer(?:en)?|puertas?|deuren"
    ),
    Kind.WINDOW: _named(
        "raam|ramen|okno|okna",
        "windows?|vindue|fenster|fenetre|ventana|finestr|janela|glaz|glass|foenster",
    ),
    Kind.EITHER: _named("ouvertures?", "opening|oeffnung"),
}
_MOST_LISTED = 40


@dataclass(frozen=True, slots=True)
class LayerSum:
    """How much stands on a layer."""

    name: str
    count: int
    length: float
    """Of lines and curves together, in drawing units."""


def bare(name: str) -> str:
    """The layer's name without the drawing it was bound or attached from."""
    return re.split(r"\$\d+\$|\|", name)[-1]


def kind_by_name(name: str) -> Kind | None:
    """Whether a layer or block is named after doors, windows or openings."""
    words = _words(name)
    if _any(words, _NO_WALLS):
        return None
    return next((kind for kind, known in _KINDS.items() if _any(words, known)), None)


def matches(name: str, patterns: Sequence[str]) -> bool:
    """Whether one of the patterns (with * and ?) fits the layer, with or without what is bound."""
    forms = (name.lower(), bare(name).lower())
    return any(fnmatchcase(form, p.lower()) for p in patterns for form in forms)


def sums(drawn: Drawn) -> list[LayerSum]:
    """How much stands on each layer that shows and holds lines."""
    pieces, number = drawn.pieces, len(drawn.layers)
    line = np.hypot(*(pieces.lines[:, 1] - pieces.lines[:, 0]).T)
    curve = np.hypot(*pieces.curves[:, 1].T) * pieces.sweep
    layer = np.concatenate([pieces.line_layer, pieces.curve_layer])
    length = np.bincount(layer, np.concatenate([line, curve]), minlength=number)
    count = np.bincount(layer, minlength=number)
    return [
        LayerSum(name, int(n), float(x))
        for name, n, x in zip(drawn.layers, count, length, strict=True)
        if n
    ]


def wall_layers(
    file: str,
    found: Sequence[LayerSum],
    hidden: Mapping[str, str],
    walls: Sequence[str],
    without: Sequence[str],
) -> tuple[list[LayerSum], list[LayerSum]]:
    """The layers that hold walls, and those that perhaps do and were not taken.

    Raises
    ------
    PlanError
        No layer is clearly one of walls, or a pattern fits none; the message lists all layers.
    """
    _check_patterns(file, found, hidden, [*walls, *without])
    left = [x for x in found if not matches(x.name, without)]
    if walls:
        taken = [x for x in left if matches(x.name, walls)]
        if not taken:
            raise PlanError(f"{file}: what is left out leaves no layer of walls.{_listed(found)}")
        return taken, []
    named = [x for x in left if _has_wall_word(x.name)]
    clear = [x for x in named if not _is_doubtful(x.name)]
    if clear:
        return clear, [x for x in named if _is_doubtful(x.name)]
    what = "more than one layer may hold them" if len(named) > 1 else "no layer is named after them"
    if len(named) == 1:
        what = f"{named[0].name!r} may be walls or something else"
    raise PlanError(
        f"{file}: it is not clear which layers hold the walls: {what}. Pick them with --walls, "
        f"such as --walls 'A-WALL*'; several are allowed.{_listed(found)}"
    )


def _check_patterns(
    file: str, found: Sequence[LayerSum], hidden: Mapping[str, str], patterns: Sequence[str]
) -> None:
    for pattern in patterns:
        if any(matches(x.name, [pattern]) for x in found):
            continue
        for name, state in hidden.items():
            if matches(name, [pattern]):
                raise PlanError(
                    f"{file}: layer {name!r} is {state}; switch it on in the drawing, then save "
                    f"it again.{_listed(found)}"
                )
        raise PlanError(f"{file}: no layer with lines fits {pattern!r}.{_listed(found)}")


def _listed(found: Sequence[LayerSum]) -> str:
    ordered = sorted(found, key=lambda x: (not _has_wall_word(x.name), -x.length, x.name))
    rows = [
        f"\n  {x.name}: {x.count} lines, {x.length:.0f} drawing units"
        for x in ordered[:_MOST_LISTED]
    ]
    more = len(ordered) - _MOST_LISTED
    rows += [f"\n  and {more} more"] if more > 0 else []
    return "\nLayers with lines:" + "".join(rows) if rows else " It has no layers with lines."


def _has_wall_word(name: str) -> bool:
    words = _words(name)
    return _any(words, _WALLS) and not _any(words, _NO_WALLS)


def _is_doubtful(name: str) -> bool:
    return _any(_words(name), _DOUBTFUL)


def _words(name: str) -> list[str]:
    return re.findall(r"[a-z]+", normalised(bare(name)))


def _any(words: Sequence[str], known: re.Pattern[str]) -> bool:
    return any(known.fullmatch(word) for word in words)
