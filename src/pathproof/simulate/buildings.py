"""Buildings made up by rule, for benchmarks and for load: the same for the same seed.

Their outer walls close, corners meet exactly, some walls end where others meet them and some run
on; places lie on decimetres in some parts and anywhere, at odd angles, in others.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from pathproof.job import Device, Floor, Job, Panel, Partition, Site, Zone, embed
from pathproof.simulate._building_drawing import Drawing, Room
from pathproof.simulate._building_house import house
from pathproof.simulate._building_warehouse import warehouse
from pathproof.simulate._building_winged import clinic, school
from pathproof.terms import Mounting, ZoneKind

_FROM_WALLS_M = 0.3


class BuildingKind(StrEnum):
    """What a generated building is, and how large."""

    HOUSE = "house"
    """About 40 walls on two storeys."""
    CLINIC = "clinic"
    """About 300 walls on two storeys."""
    SCHOOL = "school"
    """About 5,000 walls on three storeys."""
    WAREHOUSE = "warehouse"
    """A hall of steel with racks and an office block, about 100 walls."""


_DRAWN: dict[BuildingKind, Callable[[np.random.Generator], Drawing]] = {
    BuildingKind.HOUSE: house,
    BuildingKind.CLINIC: clinic,
    BuildingKind.SCHOOL: school,
    BuildingKind.WAREHOUSE: warehouse,
}


@dataclass(frozen=True)
class _Hung:
    """What kinds of device hang in turn, where, and what they report."""

    name: str
    part: str
    zone_kind: ZoneKind
    event: str
    height_m: float
    mounting: Mounting


_HUNG = (
    _Hung("Motion", "lark_motion", ZoneKind.IMMEDIATE, "132", 2.3, Mounting.MASONRY),
    _Hung("Contact", "lark_contact", ZoneKind.IMMEDIATE, "131", 2.0, Mounting.WOOD),
    _Hung("Smoke", "lark_smoke", ZoneKind.FIRE, "111", 2.4, Mounting.PLASTERBOARD),
    _Hung("Shock", "lark_shock", ZoneKind.IMMEDIATE, "131", 1.2, Mounting.MASONRY),
)


def generated_site(kind: BuildingKind, *, devices: int = 0, seed: int = 1) -> Site:
    """A building with a panel and so many wireless devices, spread over its rooms.

    Parameters
    ----------
    kind : BuildingKind
        Which building.
    devices : int
        How many; the first ones are the same however many there are.
    seed : int
        Another seed, another building of the kind.

    Returns
    -------
    site : Site
        The same for the same arguments.
    """
    drawing = _DRAWN[kind](np.random.default_rng([seed, 0]))
    chance = np.random.default_rng([seed, 1])
    panel_room, *rooms = [drawing.rooms[i] for i in chance.permutation(len(drawing.rooms))]
    panel_at = _somewhere(panel_room, chance)
    hung = [_device(n, rooms[n % len(rooms)], chance) for n in range(devices)]
    used = {d.zone for d in hung}
    return Site(
        name=f"Generated {kind.value}",
        reference=f"{kind.value}, seed {seed}",
        floors=drawing.floors,
        walls=drawing.walls,
        partitions=[Partition(id="all", name="Whole building", number=1)],
        zones=[zone for zone in _zones(drawing.floors) if zone.id in used],
        devices=hung,
        panel=Panel(
            part="lark_panel",
            floor=panel_room.floor,
            at=panel_at,
            height_m=1.7,
            mounting=Mounting.MASONRY,
        ),
    )


def generated_job(kind: BuildingKind, *, devices: int = 0, seed: int = 1) -> Job:
    """The job of `generated_site`, with all that it refers to embedded."""
    return embed(Job(site=generated_site(kind, devices=devices, seed=seed)))


def _device(number: int, room: Room, chance: np.random.Generator) -> Device:
    hung = _HUNG[number % len(_HUNG)]
    return Device(
        id=f"device_{number + 1:04d}",
        name=f"{hung.name} {number + 1}",
        part=hung.part,
        zone=_zone_id(room.floor, hung),
        floor=room.floor,
        at=_somewhere(room, chance),
        height_m=hung.height_m,
        mounting=hung.mounting,
    )


def _zones(floors: list[Floor]) -> list[Zone]:
    """One for each kind of device on each storey."""
    both = [(floor, hung) for floor in floors for hung in _HUNG]
    return [
        Zone(
            id=_zone_id(floor.id, hung),
            number=number,
            name=f"{floor.name}, {hung.name.lower()}",
            kind=hung.zone_kind,
            partition="all",
            event=hung.event,
        )
        for number, (floor, hung) in enumerate(both, start=1)
    ]


def _zone_id(floor_id: str, hung: _Hung) -> str:
    return f"{floor_id}_{hung.name.lower()}"


def _somewhere(room: Room, chance: np.random.Generator) -> tuple[float, float]:
    """A place in a room, off its walls. [m]"""
    (u0, v0), (u1, v1) = room.low_m, room.high_m
    u = chance.uniform(u0 + _FROM_WALLS_M, u1 - _FROM_WALLS_M)
    v = chance.uniform(v0 + _FROM_WALLS_M, v1 - _FROM_WALLS_M)
    return room.frame.at((u, v))
