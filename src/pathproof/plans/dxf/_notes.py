"""A hand-written TOML file that says what the layers and files of a drawing are.

thickest_wall_m = 0.7

[layers]
"A-WALL 102 mm" = "plasterboard:0.0125,air:0.075,plasterboard:0.0125"
"A-WALL*" = "timber_frame_outer_wall"

[single_lines]
"PARTITION" = 0.1

[storeys]
"ground.dxf" = { name = "Ground floor", elevation_m = 0.0, height_m = 2.8 }
"first.dxf" = { name = "First floor", move_m = [12.0, 0.0] }
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

from pathproof.job import Construction
from pathproof.plans._toml import read_toml
from pathproof.plans.dxf._strips import THICKEST_M, THINNEST_M
from pathproof.plans.material_map import construction_of
from pathproof.terms import PlanError

_TABLES = ("layers", "single_lines", "storeys")
_THICKEST = "thickest_wall_m"
LARGEST_THICKNESS_M = 1.5


@dataclass(frozen=True, kw_only=True, slots=True)
class StoreyNote:
    """What a person says of one file; nothing where they do not."""

    name: str | None = None
    elevation_m: float | None = None
    height_m: float | None = None
    move_m: tuple[float, float] = (0.0, 0.0)
    """How far its drawing has to be moved to lie on the others. [m]"""


@dataclass(frozen=True, kw_only=True, slots=True)
class DrawingNotes:
    """What a person says of a drawing's layers and files."""

    layers: Mapping[str, Construction] = field(default_factory=lambda: MappingProxyType({}))
    """Constructions by pattern of layer or of layer and thickness; the first that fits counts."""
    single_lines: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    """Thickness of walls drawn as one line, by pattern of layer. [m]"""
    storeys: Mapping[str, StoreyNote] = field(default_factory=lambda: MappingProxyType({}))
    """By name of file, without its folder."""
    thickest_wall_m: float = THICKEST_M
    """Up to this far apart two lines are a wall. [m]"""


def load_drawing_notes(path: str | Path) -> DrawingNotes:
    """The notes in a TOML file.

    Raises
    ------
    PlanError
        The file cannot be read or holds something that is not allowed; the message names the
        entry, what was given and what is allowed.
    """
    path = Path(path)
    example = 'lines such as "A-WALL*" = "brick_solid_225" under [layers]'
    data = read_toml(path, "file of notes", example)
    thickest = data.pop(_THICKEST, THICKEST_M)
    for table in data:
        if table not in _TABLES or not isinstance(data[table], dict):
            raise PlanError(
                f"{path.name}: there is no table {table!r}; notes on a drawing have "
                f"[layers], [single_lines] and [storeys], and {_THICKEST} above them."
            )
    layers, single, storeys = (data.get(table, {}) for table in _TABLES)
    return DrawingNotes(
        layers={p: construction_of(f"{path.name}: layers.{p!r}", p, v) for p, v in layers.items()},
        single_lines={
            p: _number(f"{path.name}: single_lines.{p!r}", v, 0.005, LARGEST_THICKNESS_M)
            for p, v in single.items()
        },
        storeys={n: _storey(f"{path.name}: storeys.{n!r}", v) for n, v in storeys.items()},
        thickest_wall_m=_number(
            f"{path.name}: {_THICKEST}", thickest, THINNEST_M, LARGEST_THICKNESS_M
        ),
    )


def _storey(where: str, value: object) -> StoreyNote:
    allowed = ("name", "elevation_m", "height_m", "move_m")
    if not isinstance(value, dict) or set(value) - set(allowed):
        raise PlanError(f"{where} was {value!r}; it is a table of {', '.join(allowed)}.")
    name, elevation, height = (value.get(k) for k in allowed[:3])
    if name is not None and not (isinstance(name, str) and 0 < len(name.strip()) <= 200):
        raise PlanError(f"{where}: name was {name!r}; it is a text of 1 to 200 letters.")
    move = value.get("move_m", [0.0, 0.0])
    if not isinstance(move, list) or len(move) != 2:
        raise PlanError(f"{where}: move_m was {move!r}; it is two numbers, [x, y].")
    x, y = (_number(f"{where}: move_m", m, -1e7, 1e7) for m in move)
    return StoreyNote(
        name=None if name is None else name.strip(),
        elevation_m=None
        if elevation is None
        else _number(f"{where}: elevation_m", elevation, -100, 1000),
        height_m=None if height is None else _number(f"{where}: height_m", height, 1.8, 100.0),
        move_m=(x, y),
    )


def _number(where: str, value: object, low: float, high: float) -> float:
    if (
        isinstance(value, bool)
        or not isinstance(value, int | float)
        or not (math.isfinite(value) and low <= value <= high)
    ):
        raise PlanError(
            f"{where} was {value!r}; it is a number of metres from {low:g} to {high:g}."
        )
    return float(value)
