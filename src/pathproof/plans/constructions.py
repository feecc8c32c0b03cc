"""Constructions of a site from named layers, bare material names, or nothing but a thickness.

What the plan does not say is guessed and reported: an unknown layer between known ones becomes
plasterboard (thin) or brick; a wall or floor that nobody knows anything about takes the shipped
construction for unknown ones of its kind and keeps the wider spread.
"""

import hashlib
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from pathproof.job import Construction, LayerSpec, Source, shipped
from pathproof.plans.materials import Mapped, MaterialMap, Rule, normalised
from pathproof.plans.report import ReportBuilder
from pathproof.terms import Evidence, Material

Named = tuple[str, float]
"""A material name, empty for an air gap, and a thickness. [m]"""


class Ready(StrEnum):
    """Shipped constructions that stand in for what a plan does not say, by their ids."""

    LIGHT_WALL = "unknown_light_wall"
    HEAVY_WALL = "unknown_heavy_wall"
    FLOOR = "unknown_floor"
    DOOR = "unknown_door"
    TIMBER_DOOR = "timber_door"
    INNER_DOOR = "timber_door_hollow"
    STEEL_DOOR = "steel_door"
    PANE = "single_glass_4"
    DOUBLE_GLAZING = "double_glazing_4_16_4"
    COATED_GLAZING = "low_emissivity_glass"


_FOIL_M = 0.00005  # aluminium foil, common practice
_COATING_M = 1e-8  # metal film on glass; with P.2040's metal it blocks like the 20-30 dB class
_BOARD_M = 0.0125
_THIN_M = 0.03
_FRAMING_M = 0.005  # metal thicker than this between two boards is studs
_LIGHT_M = 0.10  # COST 231: light walls are thinner, heavy ones thicker
_SMALLEST_M = 1e-9
_SILENT_NAMES = "the names of its materials tell nothing"
_BOARDS = {
    Material.PLASTERBOARD,
    Material.CHIPBOARD,
    Material.PLYWOOD,
    Material.WOOD,
    Material.CEILING_BOARD,
}
_SOLID = {Material.CONCRETE, Material.BRICK, Material.MARBLE, Material.WOOD, Material.GLASS}
_STRONGEST_FIRST = (
    Material.CONCRETE,
    Material.BRICK,
    Material.MARBLE,
    Material.WOOD,
    Material.GLASS,
    Material.CHIPBOARD,
    Material.PLYWOOD,
    Material.PLASTERBOARD,
    Material.CEILING_BOARD,
    Material.METAL,
    Material.AIR,
)
_LEAVES = {
    Material.METAL: Ready.STEEL_DOOR,
    Material.GLASS: Ready.DOUBLE_GLAZING,
    Material.WOOD: Ready.TIMBER_DOOR,
    Material.PLYWOOD: Ready.TIMBER_DOOR,
    Material.CHIPBOARD: Ready.INNER_DOOR,
}
_FRAME = re.compile(r"frame|handle|rahmen|zarge|griff|cadre|poign|telaio", re.IGNORECASE)
_PLAN = Source(ref="Plan file; materials by name, house table", evidence=Evidence.PRACTICE)


@dataclass(slots=True)
class ConstructionBook:
    """Makes each construction once and gives its id, the same on every import of the plan."""

    materials: MaterialMap
    report: ReportBuilder
    prefix: str
    """Start of every id."""
    made: dict[str, Construction] = field(default_factory=dict)
    layers_met: set[str] = field(default_factory=set)
    """Names of layers and materials in the plan, normalised."""
    labels_met: set[str] = field(default_factory=set)
    """Names of walls, floors, doors and windows in the plan, normalised."""

    def of_layers(self, label: str, layers: Sequence[Named], *, floor: bool = False) -> str:
        """A build-up of named layers, outside to inside or top to bottom."""
        self.layers_met.update(normalised(name) for name, _ in layers)
        own = self._own(label, floor)
        if own is not None:
            return own
        mapped = [(n, self._mapped(n), t) for n, t in layers]
        self._count(mapped)
        if not any(m.material not in (None, Material.AIR) for _, m, _ in mapped):
            total = sum(t for _, _, t in mapped)
            return self._unknown(label, total, floor, _SILENT_NAMES)
        specs: list[LayerSpec] = []
        for i, (name, material, thickness) in enumerate(mapped):
            boards = i > 0 and _is_board(mapped[i - 1][1]) and _is_board(_at(mapped, i + 1))
            specs += self._specs(name, material, material.thickness_m or thickness, boards)
        if not specs:
            return self._unknown(label, 0.0, floor, _SILENT_NAMES)
        guessed = any(m.material is None for _, m, _ in mapped)
        return self._add(label, specs, guessed=guessed, note=_note(mapped))

    def of_names(
        self, label: str, names: Sequence[str], thickness_m: float, *, floor: bool = False
    ) -> str:
        """A build-up of which only material names, or just its own name, are told."""
        self.layers_met.update(map(normalised, names))
        own = self._own(label, floor)
        if own is not None:
            return own
        if len(names) == 1 and self._mapped(names[0]).material in _SOLID:
            return self.of_layers(label, [(names[0], thickness_m)], floor=floor)
        known = [(n, m) for n in names if (m := self._mapped(n)).material is not None]
        if known:
            name, mapped = min(known, key=lambda k: _rank(k[1]))
            for other, m in known:
                if m.material is not None:
                    self.report.mapped(other, m.material)
            why = "the plan names materials without thicknesses"
        else:
            name, mapped, why = label, self._mapped(label), "no layers; taken from the name"
        if mapped.material is None:
            why = "no layers and a name that tells nothing"
            return self._unknown(label, thickness_m, floor, why)
        specs = _core(mapped.material, thickness_m)
        text = ", ".join(f"{s.material} {s.thickness_m * 1000:.4g} mm" for s in specs)
        self.report.guessed(label, text, why)
        return self._add(label, specs, guessed=True, note=f"{name!r}: {why}")

    def of_kind(
        self, label: str, ready: Ready, why: str, *, what: str = "", first: bool = False
    ) -> str:
        """A thing that is guessed by its kind; `what` says which, where the label does not."""
        whole = f"{what} {label}".strip()
        own = self._own(label, ready is Ready.FLOOR, whole)
        if own is not None:
            return own
        stand_in = shipped().constructions[ready.value]
        self.report.guessed(whole, stand_in.name, why, first=first)
        note = f"Guessed, the plan does not say. {stand_in.note}".strip()[:2000]
        return self._keep(stand_in.model_copy(update={"guessed": True, "note": note}))

    def door_or_window(self, names: Iterable[str]) -> Ready | None:
        """What the first telling name of a door's or window's materials stands for.

        Frames and handles do not count.
        """
        for name in names:
            if _FRAME.search(name):
                continue
            mapped = self._mapped(name)
            if mapped.rule is Rule.COATED:
                return Ready.COATED_GLAZING
            if mapped.material in _LEAVES:
                return _LEAVES[mapped.material]
        return None

    def warn_of_names_met_nowhere(self) -> None:
        """Warn of names in the person's map that nothing in the plan has."""
        for sentence in self.materials.matching_nothing(self.layers_met, self.labels_met):
            self.report.warn(sentence)

    def _unknown(self, label: str, thickness_m: float, floor: bool, what: str) -> str:
        wall = Ready.LIGHT_WALL if thickness_m < _LIGHT_M + 0.001 else Ready.HEAVY_WALL
        why = f"{what}; name it in a material map"
        return self.of_kind(label, Ready.FLOOR if floor else wall, why)

    def _own(self, label: str, floor: bool, whole: str | None = None) -> str | None:
        names = (whole or label, label)
        self.labels_met.update(map(normalised, names))
        own = self.materials.construction(*names)
        if own is None:
            return None
        if floor and own.fixed_loss_db is not None:
            own = own.model_copy(update={"is_floor": True})
        return self._keep(own)

    def _mapped(self, name: str) -> Mapped:
        self.layers_met.add(normalised(name))
        return Mapped(Material.AIR, Rule.PLAIN) if name == "" else self.materials.material(name)

    def _count(self, mapped: Iterable[tuple[str, Mapped, float]]) -> None:
        for name, material in {n: m for n, m, _ in mapped}.items():
            if name and material.material is not None:
                self.report.mapped(name, material.material)

    def _specs(
        self, name: str, mapped: Mapped, thickness_m: float, boards: bool
    ) -> list[LayerSpec]:
        """One named layer as layers of P.2040; none for a membrane of no thickness."""
        material, rule = mapped.material, mapped.rule
        if thickness_m <= _SMALLEST_M:
            return [_layer(Material.METAL, _FOIL_M)] if material is Material.METAL else []
        if material is None:
            material = Material.PLASTERBOARD if thickness_m <= _THIN_M else Material.BRICK
            why = "its name tells no material; name it in a material map"
            self.report.guessed(name or "layer", material, why)
        elif rule is Rule.SHEET and boards and thickness_m > _FRAMING_M:
            material, why = Material.AIR, "metal between two boards is framing; studs not modelled"
            self.report.guessed(name, material, why)
        elif rule not in (Rule.PLAIN, Rule.FILM, Rule.SHEET, Rule.USER):
            self.report.guessed(name, *_said(mapped))
        if rule is Rule.FOIL and thickness_m > _FOIL_M:
            return [_layer(Material.METAL, _FOIL_M), _layer(Material.AIR, thickness_m - _FOIL_M)]
        if rule is Rule.COATED:
            return [_layer(material, thickness_m), _layer(Material.METAL, _COATING_M)]
        return [_layer(material, thickness_m)]

    def _add(self, name: str, specs: list[LayerSpec], *, guessed: bool, note: str) -> str:
        return self._keep(
            Construction(
                name=name[:200] or "Build-up",
                layers=specs[:40],
                guessed=guessed,
                source=_PLAN,
                note=note[:2000],
            )
        )

    def _keep(self, construction: Construction) -> str:
        digest = hashlib.sha256(construction.model_dump_json().encode()).hexdigest()[:8]
        slug = re.sub(r"[^a-z0-9]+", "-", construction.name.lower()).strip("-")[:32].strip("-")
        made = f"{self.prefix}-{slug or 'build-up'}-{digest}"
        self.made[made] = construction
        return made


def _said(mapped: Mapped) -> tuple[str, str]:
    """What a guessed mapping is taken as, and why."""
    material = str(mapped.material)
    if mapped.rule is Rule.STUDS:
        return material, "studs or battens every 400-625 mm are not modelled"
    if mapped.rule is Rule.FOIL:
        return "metal foil of 0.05 mm and air", "thin foil blocks; the rest is not metal"
    if mapped.rule is Rule.COATED:
        return "glass with a metal film", "the coating dominates; its film is a guess"
    if mapped.rule is Rule.GLAZING:
        return material, "a coating is never in the plan; coated glass is in the 20-30 dB class"
    if mapped.rule is Rule.HOLLOW:
        return f"{material}, full thickness", "hollow blocks: an upper bound"
    if mapped.rule is Rule.FACING:
        return material, "boards of this foam are often faced with foil, which blocks"
    return material, mapped.note


def _core(material: Material, thickness_m: float) -> list[LayerSpec]:
    """A whole wall or floor of which only the material that counts is known."""
    boards = material in (Material.AIR, Material.PLASTERBOARD, Material.CEILING_BOARD)
    if boards and thickness_m > 3 * _BOARD_M:
        board = _layer(Material.PLASTERBOARD, _BOARD_M)
        return [board, _layer(Material.AIR, thickness_m - 2 * _BOARD_M), board]
    if boards:
        return [_layer(Material.PLASTERBOARD, min(thickness_m, _BOARD_M))]
    if material is Material.METAL and thickness_m > _FRAMING_M:
        return [_layer(Material.METAL, 0.001), _layer(Material.AIR, thickness_m - 0.001)]
    return [_layer(material, thickness_m)]


def _layer(material: Material, thickness_m: float) -> LayerSpec:
    return LayerSpec(material=material, thickness_m=min(round(thickness_m, 9), 5.0))


def _rank(mapped: Mapped) -> int:
    order = _STRONGEST_FIRST
    return order.index(mapped.material) if mapped.material in order else len(order)


def _at(mapped: Sequence[tuple[str, Mapped, float]], index: int) -> Mapped | None:
    return mapped[index][1] if index < len(mapped) else None


def _is_board(mapped: Mapped | None) -> bool:
    return mapped is not None and mapped.material in _BOARDS


def _note(mapped: Iterable[tuple[str, Mapped, float]]) -> str:
    parts = [
        f"{name or 'air gap'} {thickness * 1000:.4g} mm: {m.material or 'unknown'}"
        for name, m, thickness in mapped
    ]
    return "Plan file: " + "; ".join(parts)
