"""What lies between two ends of a radio link: distance, walls and floors, and what they take."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from pathproof.assess.context import Context, cite
from pathproof.assess.sheet import Sheet
from pathproof.calc.radio import (
    Layer,
    LinkLoss,
    cost231_floor_loss_db,
    free_space_path_loss_db,
    link_loss,
)
from pathproof.calc.radio.sources import COST_231, FREE_SPACE, LINK_RULE, P2040_STACK, P2040_TABLE
from pathproof.calc.sources import Source
from pathproof.job import Construction
from pathproof.job.fingerprint import between_of
from pathproof.job.geometry import things
from pathproof.job.site import Between

NEAREST_M = 0.5
"""Nearer than this the far-field formulas say nothing; the distance is taken as this much. [m]"""


_SAID = {"wall": "wall", "opening": "door or window", "floor": "floor layer"}


@dataclass(frozen=True, kw_only=True)
class Hit:
    """One wall, opening or floor on the way and what it takes."""

    label: str
    kind: str
    count: int
    construction: Construction
    loss_db: float
    extrapolated: bool


@dataclass(frozen=True, kw_only=True)
class Way:
    """The way between two ends: its loss without antennas and allowances."""

    distance_m: float
    loss_db: float
    hits: tuple[Hit, ...]
    has_plan: bool
    on_bare_storey: bool
    """Whether an end stands on a storey without walls."""
    line: str

    @property
    def build_ups_known(self) -> bool:
        """Whether every wall and floor on the way is known by its layers."""
        known = self.has_plan and not self.on_bare_storey
        return known and all(h.construction.known for h in self.hits)

    @property
    def through(self) -> str:
        """What stands in the way, counted in words."""
        counts = {k: sum(h.count for h in self.hits if h.kind == k) for k in _SAID}
        parts = [_counted(n, _SAID[k]) for k, n in counts.items() if n]
        if not parts:
            return f"with nothing {'drawn ' if self.on_bare_storey else ''}in the way"
        return "through " + (" and ".join([", ".join(parts[:-1]), parts[-1]][len(parts) == 1 :]))

    @property
    def worst(self) -> Hit | None:
        """What takes most."""
        return max(self.hits, key=lambda h: h.loss_db, default=None)


@dataclass
class WallLosses:
    """Losses of constructions by the link rule, each worked out once."""

    _known: dict[tuple[str, float, float], LinkLoss] = field(default_factory=dict)

    def of(
        self, construction_id: str, layers: Sequence[Layer], frequency_hz: float, angle_deg: float
    ) -> LinkLoss:
        """Loss of a construction at an angle."""
        angle_deg = round(angle_deg, 1)  # a tenth of a degree moves no loss by more than 0.02 dB
        key = (construction_id, frequency_hz, angle_deg)
        if key not in self._known:
            self._known[key] = link_loss(layers, frequency_hz, angle_deg)
        return self._known[key]


def layers_of(construction: Construction) -> list[Layer]:
    """The layers of a construction as the calculation takes them."""
    return [Layer(x.material, x.thickness_m) for x in construction.layers]


def find_way(
    ctx: Context,
    losses: WallLosses,
    sheet: Sheet,
    sender_id: str,
    receiver_id: str,
    frequency_hz: float,
) -> Way | None:
    """The way from sender to receiver, its lines added to the sheet; none if it is not known."""
    ends = things(ctx.site)
    sender, receiver = ends[sender_id], ends[receiver_id]
    start, end = ctx.geometry.position(sender), ctx.geometry.position(receiver)
    between = between_of(sender, receiver_id)
    if start is not None and end is not None:
        length_m = math.dist(start, end)
        writer = _WayWriter(ctx, losses, sheet, frequency_hz, length_m)
        for crossed in ctx.geometry.crossed(start, end):
            if crossed.construction is not None:
                writer.hit(crossed.thing, crossed.kind, crossed.construction, crossed.incidence_deg)
        on_bare = not ctx.storeys_without_walls.isdisjoint({sender.floor, receiver.floor})
        return writer.finish(has_plan=True, on_bare_storey=on_bare)
    if between is not None:
        writer = _WayWriter(ctx, losses, sheet, frequency_hz, between.distance_m)
        writer.between(between)
        return writer.finish(has_plan=False)
    return None


class _WayWriter:
    def __init__(
        self,
        ctx: Context,
        losses: WallLosses,
        sheet: Sheet,
        frequency_hz: float,
        distance_m: float,
    ) -> None:
        self._ctx, self._losses, self._sheet = ctx, losses, sheet
        self._frequency_hz, self._distance_m = frequency_hz, distance_m
        self._free_space_db, line = self._free_space()
        self._hits: list[Hit] = []
        self._lines = [line]
        self._unknown_floors: Counter[str] = Counter()

    def hit(
        self, thing: str, kind: str, construction_id: str, angle_deg: float, count: int = 1
    ) -> None:
        """A wall, opening or floor on the way, `count` times over."""
        construction = self._ctx.job.construction(construction_id)
        if construction.layers:
            self._by_layers(thing, kind, construction_id, angle_deg, count)
        elif construction.is_floor:
            self._unknown_floors[construction_id] += count
        else:
            self._fixed(thing, kind, construction, count)

    def between(self, between: Between) -> None:
        """What a job without a plan says stands in the way; taken at right angles."""
        for construction_id, count in sorted(between.walls.items()):
            self.hit(_counted(count, "wall"), "wall", construction_id, 0.0, count)
        if between.floors:
            label = _counted(between.floors, "floor")
            self.hit(label, "floor", between.floor_construction, 0.0, between.floors)

    def finish(self, *, has_plan: bool, on_bare_storey: bool = False) -> Way:
        for construction_id, count in sorted(self._unknown_floors.items()):
            self._floors_together(self._ctx.job.construction(construction_id), count)
        total_db = self._free_space_db + sum(h.loss_db for h in self._hits)
        total = self._sheet.add(
            "Loss on the way",
            total_db,
            "dB",
            formula="free space + walls and floors",
            inputs={
                "free space": (self._free_space_db, "dB"),
                "walls and floors": (total_db - self._free_space_db, "dB"),
            },
            needs=self._lines,
        )
        return Way(
            distance_m=self._distance_m,
            loss_db=total_db,
            hits=tuple(self._hits),
            has_plan=has_plan,
            on_bare_storey=on_bare_storey,
            line=total,
        )

    def _free_space(self) -> tuple[float, str]:
        used_m = max(self._distance_m, NEAREST_M)
        loss_db = float(free_space_path_loss_db(self._frequency_hz, used_m))
        label = "Free space"
        if used_m > self._distance_m:
            label = f"Free space (nearer than {NEAREST_M} m, taken as that)"
        line = self._sheet.add(
            label,
            loss_db,
            "dB",
            formula="20 log10(4 pi d f / c)",
            inputs={"d": (used_m, "m"), "f": (self._frequency_hz / 1e6, "MHz")},
            sources=(FREE_SPACE,),
        )
        return loss_db, line

    def _by_layers(self, thing: str, kind: str, key: str, angle_deg: float, count: int) -> None:
        construction = self._ctx.job.construction(key)
        layers = layers_of(construction)
        loss = self._losses.of(key, layers, self._frequency_hz, angle_deg)
        self._add(
            Hit(
                label=f"{construction.name} ({thing})",
                kind=kind,
                count=count,
                construction=construction,
                loss_db=count * loss.loss_db,
                extrapolated=loss.extrapolated,
            ),
            formula=("n x " if count > 1 else "") + "max(extrapolated, held, least)",
            inputs={
                **({"n": (float(count), "")} if count > 1 else {}),
                "layers": (_in_mm(construction), ""),
                "angle": (loss.angle_used_deg, "deg"),
                "extrapolated": (loss.extrapolated_db, "dB"),
                "held": (loss.held_db, "dB"),
                "least": (loss.floor_db, "dB"),
            },
            sources=(P2040_STACK, P2040_TABLE, LINK_RULE, cite(construction.source)),
        )

    def _fixed(self, thing: str, kind: str, construction: Construction, count: int) -> None:
        each_db = construction.fixed_loss_db or 0.0
        self._add(
            Hit(
                label=f"{construction.name} ({thing})",
                kind=kind,
                count=count,
                construction=construction,
                loss_db=count * each_db,
                extrapolated=False,
            ),
            formula="n x fixed loss" if count > 1 else "fixed loss",
            inputs={
                **({"n": (float(count), "")} if count > 1 else {}),
                "fixed loss": (each_db, "dB"),
            },
            sources=(cite(construction.source),),
        )

    def _floors_together(self, construction: Construction, count: int) -> None:
        each_db = construction.fixed_loss_db or 0.0
        self._add(
            Hit(
                label=f"{construction.name} ({_counted(count, 'floor')})",
                kind="floor",
                count=count,
                construction=construction,
                loss_db=cost231_floor_loss_db(count, each_db),
                extrapolated=False,
            ),
            formula="k^((k+2)/(k+1) - 0.46) x loss of one",
            inputs={"k": (float(count), ""), "loss of one": (each_db, "dB")},
            sources=(COST_231, cite(construction.source)),
        )

    def _add(
        self,
        hit: Hit,
        *,
        formula: str,
        inputs: dict[str, tuple[float | str, str]],
        sources: tuple[Source, ...],
    ) -> None:
        self._hits.append(hit)
        self._lines.append(
            self._sheet.add(
                hit.label, hit.loss_db, "dB", formula=formula, inputs=inputs, sources=sources
            )
        )


def _in_mm(construction: Construction) -> str:
    return ", ".join(f"{x.material} {x.thickness_m * 1000:g} mm" for x in construction.layers)


def _counted(count: int, what: str) -> str:
    if count == 1:
        return f"{count} {what}"
    return f"{count} doors or windows" if what == _SAID["opening"] else f"{count} {what}s"
