"""What stands between a device and the panel, as people write it."""

import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from pathproof.job import Between, Construction
from pathproof.job.site import UNKNOWN_FLOOR
from pathproof.plans.listed._distance import is_distance
from pathproof.plans.listed._words import named, nearest, plain, words
from pathproof.plans.materials import Rule, by_keyword
from pathproof.terms import Material, PlanError

_MOST: Final = 50  # what a job file can hold
_ITEM: Final = re.compile(r"(?P<count>[0-9]{1,9}) ?(?:[x×*] ?)?(?P<what>\D.*)?")
_NUMBERS: Final = {"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4}
_UNITS: Final = ("mm", "cm", "m", "in", "inch", "ft")
_NOTHING: Final = ("", "nothing", "none", "no wall", "no walls", "open")
_FLOOR: Final = words("floor storey slab")
_FILLER: Final = words("wall of the mm")
_UNSAID: Final = "unknown_heavy_wall"

# What a bare word means in a building, by the shipped constructions; common practice, no source.
_USUAL_MATERIAL: Final = {
    (Material.BRICK, Rule.PLAIN): "brick_plastered_145",
    (Material.CONCRETE, Rule.PLAIN): "concrete_150",
    (Material.CONCRETE, Rule.HOLLOW): "block_plastered_100",
    (Material.PLASTERBOARD, Rule.PLAIN): "stud_partition_100",
    (Material.AIR, Rule.STUDS): "stud_partition_100",
    (Material.WOOD, Rule.PLAIN): "timber_partition",
    (Material.MARBLE, Rule.GUESSED): "stone_wall_450",
    (Material.GLASS, Rule.GLAZING): "unknown_window",
    (Material.GLASS, Rule.COATED): "low_emissivity_glass",
    (Material.METAL, Rule.SHEET): "profiled_steel_sheet",
    (Material.METAL, Rule.FOIL): "foil_board_partition",
}
_USUAL_WORD: Final = {
    "block": "block_plastered_100",
    "blockwork": "block_plastered_100",
    "partition": "stud_partition_100",
    "door": "unknown_door",
    "window": "unknown_window",
}

Told = Callable[[str, str, str], None]
"""Is told what was written, what it was taken for, and why that is a guess, or nothing."""


@dataclass(frozen=True, slots=True)
class _Found:
    construction: str
    guess: str


def between_of(
    distance_m: float,
    items: Sequence[str],
    constructions: Mapping[str, Construction],
    told: Told,
) -> Between:
    """What stands between, from items such as `2 brick`, `1 concrete floor` or an id.

    Raises
    ------
    PlanError
        Words that name no construction, too many of one, or floors of two build-ups.
    """
    walls: Counter[str] = Counter()
    floors: Counter[str] = Counter()
    for item in items:
        count, what = _counted(item)
        if count == 0 or plain(what) in _NOTHING:
            continue
        if is_distance(item):
            raise PlanError(
                f"what stands between: given {item!r}, a second distance; write fractions of a "
                "metre with a point, as 12.5 m, or put semicolons between the parts of the line"
            )
        is_floor = bool(words(what) & _FLOOR)
        found = (_floor if is_floor else _wall)(what, constructions)
        (floors if is_floor else walls)[found.construction] += count
        told(what, f"{constructions[found.construction].name} ({found.construction})", found.guess)
    for construction, count in (*walls.items(), *floors.items()):
        if count > _MOST:
            raise PlanError(f"{construction}: given {count} of them; allowed: up to {_MOST}")
    if len(floors) > 1:
        raise PlanError(
            f"floors of {len(floors)} build-ups: {', '.join(floors)}; a device has one for all its "
            "floors. Name the one that takes most for each"
        )
    return Between(
        distance_m=distance_m,
        walls=dict(walls),
        floors=floors.total(),
        floor_construction=next(iter(floors), UNKNOWN_FLOOR),
    )


def _counted(item: str) -> tuple[int, str]:
    """How many, and of what; a thickness in front is no count."""
    match = _ITEM.fullmatch(item)
    first, _, rest = item.partition(" ")
    if match is None:
        count = _NUMBERS.get(first.casefold())
        return (1, item) if count is None or not rest else (count, rest)
    what = (match["what"] or "").strip()
    if plain(what).partition(" ")[0] in _UNITS:
        return 1, item
    return int(match["count"]), what or ("" if int(match["count"]) == 0 else item)


def _floor(what: str, constructions: Mapping[str, Construction]) -> _Found:
    if not words(what) - _FLOOR - _FILLER and UNKNOWN_FLOOR in constructions:
        return _Found(UNKNOWN_FLOOR, "nobody said what it is built of")
    floors = {i: c for i, c in constructions.items() if words(i, c.name) & _FLOOR}
    return _named_or_first(what, floors, None)


def _wall(what: str, constructions: Mapping[str, Construction]) -> _Found:
    if not words(what) - _FILLER and _UNSAID in constructions:
        return _Found(_UNSAID, "nobody said what it is built of; taken as heavy")
    walls = {i: c for i, c in constructions.items() if not words(i, c.name) & _FLOOR}
    return _named_or_first(what, walls, _usual(what, walls))


def _usual(what: str, walls: Mapping[str, Construction]) -> str | None:
    """The construction that a word commonly means."""
    by_word = next((i for word, i in _USUAL_WORD.items() if word in words(what)), None)
    keyword = by_keyword(what)
    by_material = keyword.material and _USUAL_MATERIAL.get((keyword.material, keyword.rule))
    return next((i for i in (by_word, by_material) if i in walls), None)


def _named_or_first(
    what: str, constructions: Mapping[str, Construction], usual: str | None
) -> _Found:
    exact = named(what, {i: c.name for i, c in constructions.items()})
    if exact is not None:
        return _Found(exact, "")
    said = words(what) - _FILLER
    fitting = [i for i, c in constructions.items() if said <= words(i, c.name)]
    if len(fitting) == 1:
        return _Found(fitting[0], "")
    if usual is not None and (usual in fitting or not fitting or len(said) == 1):
        return _Found(usual, "what is usually meant; write another by its id")
    if fitting:
        return _Found(fitting[0], f"the first of {len(fitting)} that the words fit; write its id")
    near = nearest(what, {i: c.name for i, c in constructions.items()})
    raise PlanError(
        f"what stands between: {what!r} is no wall or floor; allowed: a construction by its id or "
        f"name{near}, or a material such as brick, concrete or plasterboard"
    )
