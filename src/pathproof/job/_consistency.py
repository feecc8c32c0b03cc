"""What no part of a site can tell by itself: ids given twice, references to nothing, heights."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from pathproof.job._model import PANEL_ID, SMALLEST_M

if TYPE_CHECKING:
    from pathproof.job.site import Place, Site, _Placed


def problems_in(site: "Site") -> Iterator[tuple[str, str]]:
    """Paths inside the site, each with what is wrong there."""
    yield from _repeated(site)
    yield from _dangling(site)
    yield from _fed_twice(site)
    yield from _walls_without_height(site)
    yield from _outside_storeys(site)


def _repeated(site: "Site") -> Iterator[tuple[str, str]]:
    """Ids and numbers that are given twice."""
    storeys, walls = list(enumerate(site.floors)), list(enumerate(site.walls))
    groups: list[list[tuple[str, str | int]]] = [
        [(f"floors[{i}].id", f.id) for i, f in storeys],
        [(f"floors[{i}].slabs[{j}].id", s.id) for i, f in storeys for j, s in enumerate(f.slabs)],
        [(f"walls[{i}].id", w.id) for i, w in walls],
        [
            (f"walls[{i}].openings[{j}].id", o.id)
            for i, w in walls
            for j, o in enumerate(w.openings)
        ],
        [(f"partitions[{i}].id", p.id) for i, p in enumerate(site.partitions)],
        [(f"partitions[{i}].number", p.number) for i, p in enumerate(site.partitions)],
        [(f"zones[{i}].id", z.id) for i, z in enumerate(site.zones)],
        [(f"zones[{i}].number", z.number) for i, z in enumerate(site.zones)],
        [(f"networks[{i}].mcc_mnc", n.mcc_mnc) for i, n in enumerate(site.networks)],
        [(f"cables[{i}].id", c.id) for i, c in enumerate(site.cables)],
        [(f"considered[{i}]", part) for i, part in enumerate(site.considered)],
        [  # one name space: links and record entries speak of these by id alone
            ("panel", PANEL_ID),
            *((f"devices[{i}].id", d.id) for i, d in enumerate(site.devices)),
            *((f"repeaters[{i}].id", r.id) for i, r in enumerate(site.repeaters)),
            *((f"communicators[{i}].id", c.id) for i, c in enumerate(site.communicators)),
            *((f"spots[{i}].id", s.id) for i, s in enumerate(site.spots)),
        ],
    ]
    for group in groups:
        first: dict[str | int, str] = {}
        for path, given in group:
            if given in first:
                yield (
                    path,
                    f"{given!r} is already that of {first[given].split('.')[0]}; choose another",
                )
            first.setdefault(given, path)


def _dangling(site: "Site") -> Iterator[tuple[str, str]]:
    """References to what is not there."""
    floors = {f.id for f in site.floors}
    partitions = {p.id for p in site.partitions}
    zones = {z.id for z in site.zones}
    spots = {s.id for s in site.spots}
    networks = {n.mcc_mnc for n in site.networks}
    repeaters = {r.id for r in site.repeaters}
    communicators = {c.id for c in site.communicators}
    fed = {PANEL_ID, *(d.id for d in site.devices), *repeaters, *communicators}
    candidates = site.panel.candidates if site.panel else []
    wanted: list[tuple[str, str | None, set[str], str]] = [
        *((f"walls[{i}].floor", w.floor, floors, "floor") for i, w in enumerate(site.walls)),
        *((f"zones[{i}].partition", z.partition, partitions, "partition")
          for i, z in enumerate(site.zones)),
        *((f"devices[{i}].zone", d.zone, zones, "zone") for i, d in enumerate(site.devices)),
        *((f"devices[{i}].floor", d.floor, floors, "floor") for i, d in enumerate(site.devices)),
        *((f"devices[{i}].between_repeaters", r, repeaters, "repeater")
          for i, d in enumerate(site.devices) for r in d.between_repeaters),
        ("panel.floor", site.panel.floor if site.panel else None, floors, "floor"),
        *((f"panel.candidates[{i}].floor", c.floor, floors, "floor")
          for i, c in enumerate(candidates)),
        *((f"repeaters[{i}].floor", r.floor, floors, "floor")
          for i, r in enumerate(site.repeaters)),
        *((f"spots[{i}].floor", s.floor, floors, "floor") for i, s in enumerate(site.spots)),
        *((f"communicators[{i}].spot", c.spot, spots, "spot")
          for i, c in enumerate(site.communicators)),
        *((f"communicators[{i}].sim.networks[{j}]", n, networks, "network")
          for i, c in enumerate(site.communicators) if c.sim for j, n in enumerate(c.sim.networks)),
        *((f"cables[{i}].to", c.to, fed, "device, repeater, communicator or panel")
          for i, c in enumerate(site.cables)),
        *((f"cables[{i}].on_the_way[{j}].to", t.to, fed, "device, repeater, communicator or panel")
          for i, c in enumerate(site.cables) for j, t in enumerate(c.on_the_way)),
    ]  # fmt: skip
    for path, given, allowed, what in wanted:
        if given is not None and given not in allowed:
            known = ", ".join(sorted(allowed)[:12]) or "none"
            more = ", ..." if len(allowed) > 12 else ""
            yield path, f"there is no {what} {given!r}; this site has: {known}{more}"


def _fed_twice(site: "Site") -> Iterator[tuple[str, str]]:
    """Things that several cables, or several places of one, feed."""
    feeds = [
        (f"cables[{i}]{at}", thing)
        for i, cable in enumerate(site.cables)
        for at, thing in (
            *((f".on_the_way[{j}]", tap.to) for j, tap in enumerate(cable.on_the_way)),
            ("", cable.to),
        )
    ]
    first: dict[str, str] = {}
    for path, thing in feeds:
        if thing in first:
            yield (
                f"{path}.to",
                f"{thing!r} is already fed by {first[thing]}; a thing is fed by one run only, at "
                "one place of it; take it off one of them (wires in parallel are one run of a part "
                "with their area together)",
            )
        first.setdefault(thing, path)


def _walls_without_height(site: "Site") -> Iterator[tuple[str, str]]:
    heights = {f.id: f.height_m for f in site.floors}
    for i, wall in enumerate(site.walls):
        base_m = wall.base_m or 0.0
        top_m = heights.get(wall.floor) if wall.top_m is None else wall.top_m
        if top_m is not None and top_m - base_m < SMALLEST_M:
            yield (
                f"walls[{i}]",
                f"base_m {base_m:g} is not below top_m {top_m:g}; where they are not given, base_m "
                "is 0 and top_m the height of the storey",
            )


def _outside_storeys(site: "Site") -> Iterator[tuple[str, str]]:
    heights = {f.id: f.height_m for f in site.floors}
    candidates = site.panel.candidates if site.panel else []
    placed: list[tuple[str, _Placed | Place | None]] = [
        *((f"devices[{i}]", d) for i, d in enumerate(site.devices)),
        *((f"repeaters[{i}]", r) for i, r in enumerate(site.repeaters)),
        ("panel", site.panel),
        *((f"panel.candidates[{i}]", c) for i, c in enumerate(candidates)),
    ]
    for path, place in placed:
        if place is None or place.floor not in heights:
            continue
        height_m = heights[place.floor]
        if place.height_m > height_m:
            yield (
                f"{path}.height_m",
                f"{place.height_m:g} m is outside the storey {place.floor!r}, which is "
                f"{height_m:g} m high; lower it or name the storey above",
            )
