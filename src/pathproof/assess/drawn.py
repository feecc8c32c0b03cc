"""Storeys without a wall: what stands there is not known to any calculation."""

from collections.abc import Collection

from pathproof.job import Floor, Site


def storeys_without_walls(site: Site) -> frozenset[str]:
    """Storeys on which no wall is drawn, by id."""
    return frozenset(f.id for f in site.floors) - {w.floor for w in site.walls}


def said_of_bare(site: Site, floor_ids: Collection[str | None]) -> tuple[str, ...]:
    """A sentence on those of some storeys that have no wall; none where all have."""
    bare = storeys_without_walls(site).intersection(i for i in floor_ids if i is not None)
    if not bare:
        return ()
    names = ", ".join(storey_named(f) for f in site.floors if f.id in bare)
    return (
        f"No walls are drawn on storey{'s' if len(bare) > 1 else ''} {names}: what stands there is "
        "not in the calculation, and ways from and to things there have the wide spread.",
    )


def storey_named(floor: Floor) -> str:
    """A storey as people speak of it, with its id."""
    return floor.id if floor.id == floor.name else f"{floor.name} ({floor.id})"
