"""Small IFC files written for the tests, so that what has to come out is known."""

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.guid
import pytest

Point = tuple[float, float]
Layers = Sequence[tuple[str | None, float]]

FOOT_M = 0.3048


class PlanFile:
    """An IFC file under construction; lengths are given in metres whatever the file's unit."""

    PERSON = "Petronella Probst"
    FIRM = "Musterbau Beispiel GmbH"
    STREET = "Erfundene Gasse 17"

    def __init__(
        self,
        schema: str = "IFC4",
        unit: str = "m",
        *,
        site_at: tuple[float, float, float] = (0.0, 0.0, 0.0),
        turned_deg: float = 0.0,
        angle_unit: str | None = "radian",
    ) -> None:
        self.file = ifcopenshell.file(schema=schema)
        self.scale = {"m": 1.0, "mm": 0.001, "foot": FOOT_M}[unit]
        self.history = self._history()
        project = self._root("IfcProject", Name="Project of " + self.PERSON)
        project.UnitsInContext = self._units(unit, angle_unit)
        self.context = self.make(
            "IfcGeometricRepresentationContext",
            ContextType="Model",
            CoordinateSpaceDimension=3,
            Precision=1e-5,
            WorldCoordinateSystem=self.frame(),
        )
        project.RepresentationContexts = [self.context]
        site = self._root("IfcSite", ObjectPlacement=self.placement(None, site_at, turned_deg))
        self.building = self._root(
            "IfcBuilding", ObjectPlacement=self.placement(site.ObjectPlacement)
        )
        self.building.BuildingAddress = self.make("IfcPostalAddress", AddressLines=[self.STREET])
        self._aggregate(project, [site])
        self._aggregate(site, [self.building])

    # parts of a building

    def storey(
        self, name: str = "Ground", elevation: float = 0.0, *, told: float | None = None
    ) -> Any:
        """A storey; `told` is what its Elevation says where that differs from its placement."""
        storey = self._root(
            "IfcBuildingStorey",
            Name=name,
            Elevation=self.length(elevation if told is None else told),
            ObjectPlacement=self.placement(self.building.ObjectPlacement, (0.0, 0.0, elevation)),
        )
        self._aggregate(self.building, [storey])
        return storey

    def space(self, storey: Any) -> None:
        """A room without a shape."""
        self._aggregate(storey, [self._root("IfcSpace", Name="Room")])

    def wall(
        self,
        storey: Any,
        start: Point,
        end: Point,
        *,
        thickness: float = 0.2,
        height: float = 2.5,
        base: float = 0.0,
        layers: Layers | None = None,
        axis: tuple[float, float] | None = (0.0, 0.0),
        axis_at: float = 0.0,
        sense: str = "NEGATIVE",
        offset: float | None = None,
        kind: str | None = None,
        name: str = "Wall",
        body: Any = None,
    ) -> Any:
        """A straight wall whose middle goes from start to end.

        `axis` is how far the axis goes past the body's ends (before, after), or none for no axis;
        `axis_at` is where it lies beside the middle, left positive.
        """
        length = math.dist(start, end)
        angle = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
        shift = (-axis_at * math.sin(math.radians(angle)), axis_at * math.cos(math.radians(angle)))
        at = (start[0] + shift[0], start[1] + shift[1], base)
        shapes = []
        if axis is not None:
            shapes.append(self.axis(self.polyline([(-axis[0], 0.0), (length + axis[1], 0.0)])))
        if body is None:
            ring = self.rectangle(length, thickness, (0.0, -axis_at))
            body = self.extrusion(ring, height)
        shapes.append(self.body([body]))
        wall = self.element(kind or self.wall_kind, storey, at, angle, shapes, name)
        if layers is not None:
            half = sum(t for _, t in layers) / 2.0
            if offset is None:
                offset = (half if sense == "NEGATIVE" else -half) - axis_at
            self.layer_usage(wall, layers, "AXIS2", sense, offset)
        return wall

    @property
    def wall_kind(self) -> str:
        """What ordinary walls are called in this schema."""
        return "IfcWallStandardCase" if self.file.schema == "IFC2X3" else "IfcWall"

    def room(
        self,
        storey: Any,
        size: Point = (6.0, 4.0),
        at: Point = (0.0, 0.0),
        **wall: Any,
    ) -> list[Any]:
        """Four walls, middles on a rectangle, counter-clockwise: their left side is inside."""
        (x, y), (w, d) = at, size
        corners = [(x, y), (x + w, y), (x + w, y + d), (x, y + d), (x, y)]
        return [self.wall(storey, a, b, **wall) for a, b in pairwise(corners)]

    def opening(
        self,
        wall: Any,
        offset: float,
        width: float,
        sill: float,
        head: float,
        *,
        filling: str | None = None,
        depth: float = 0.6,
        depth_at: float = 0.0,
        name: str = "",
    ) -> Any:
        """A hole from the wall's start, with a door or window (bigger than the hole) in it."""
        ring = self.rectangle(width, depth, (offset, depth_at))
        hole = self._root(
            "IfcOpeningElement",
            ObjectPlacement=self.placement(wall.ObjectPlacement, (0.0, 0.0, sill)),
            Representation=self.shape([self.body([self.extrusion(ring, head - sill)])]),
        )
        self._relate("IfcRelVoidsElement", RelatingBuildingElement=wall, RelatedOpeningElement=hole)
        if filling is None:
            return hole
        frame = self.rectangle(width + 0.15, 0.1, (offset - 0.075, 0.0))
        filled = self._root(
            filling,
            Name=name,
            ObjectPlacement=self.placement(wall.ObjectPlacement, (0.0, 0.0, sill)),
            Representation=self.shape([self.body([self.extrusion(frame, head - sill + 0.08)])]),
        )
        self._relate(
            "IfcRelFillsElement", RelatingOpeningElement=hole, RelatedBuildingElement=filled
        )
        return filled

    def slab(
        self,
        storey: Any,
        ring: Sequence[Point],
        bottom: float,
        thickness: float,
        *,
        layers: Layers | None = None,
        holes: Sequence[Sequence[Point]] = (),
        kind: str = "IfcSlab",
        predefined: str = "FLOOR",
        name: str = "Floor",
    ) -> Any:
        """A level slab or ceiling; `bottom` is above the storey."""
        solid = self.extrusion([self.point(*p) for p in ring], thickness)
        slab = self.element(kind, storey, (0.0, 0.0, bottom), 0.0, [self.body([solid])], name)
        slab.PredefinedType = predefined
        if layers is not None:
            self.layer_usage(slab, layers, "AXIS3", "POSITIVE", 0.0)
        for hole in holes:
            cut = self._root(
                "IfcOpeningElement",
                ObjectPlacement=self.placement(slab.ObjectPlacement, (0.0, 0.0, -0.5)),
                Representation=self.shape(
                    [self.body([self.extrusion([self.point(*p) for p in hole], 1.0 + thickness)])]
                ),
            )
            self._relate(
                "IfcRelVoidsElement", RelatingBuildingElement=slab, RelatedOpeningElement=cut
            )
        return slab

    def element(
        self,
        kind: str,
        storey: Any,
        at: Sequence[float],
        angle: float,
        shapes: list[Any],
        name: str,
    ) -> Any:
        """Anything with a shape, filed under a storey."""
        element = self._root(
            kind,
            Name=name,
            ObjectPlacement=self.placement(storey.ObjectPlacement, at, angle),
            Representation=self.shape(shapes),
        )
        self._relate(
            "IfcRelContainedInSpatialStructure",
            RelatingStructure=storey,
            RelatedElements=[element],
        )
        return element

    # materials

    def layer_usage(
        self, element: Any, layers: Layers, direction: str, sense: str, offset: float
    ) -> None:
        """Layers with where they lie."""
        usage = self.make(
            "IfcMaterialLayerSetUsage",
            ForLayerSet=self.layer_set(layers),
            LayerSetDirection=direction,
            DirectionSense=sense,
            OffsetFromReferenceLine=self.length(offset),
        )
        self.material(element, usage)

    def layer_set(self, layers: Layers, name: str | None = None) -> Any:
        """Layers; no name is an air gap."""
        made = [
            self.make(
                "IfcMaterialLayer",
                Material=None if n is None else self.make("IfcMaterial", Name=n),
                LayerThickness=self.length(t),
            )
            for n, t in layers
        ]
        return self.make("IfcMaterialLayerSet", MaterialLayers=made, LayerSetName=name)

    def material(self, element: Any, material: Any) -> None:
        """Says what an element or type is made of."""
        self._relate(
            "IfcRelAssociatesMaterial", RelatedObjects=[element], RelatingMaterial=material
        )

    def typed(self, kind: str, name: str, elements: Sequence[Any]) -> Any:
        """A type for elements."""
        type_ = self._root(kind, Name=name)
        self._relate("IfcRelDefinesByType", RelatedObjects=list(elements), RelatingType=type_)
        return type_

    # shapes

    def length(self, metres: float) -> float:
        """Metres in the file's unit."""
        return metres / self.scale

    def point(self, *metres: float) -> Any:
        """A point."""
        return self.make("IfcCartesianPoint", Coordinates=[self.length(v) for v in metres])

    def polyline(self, points: Sequence[Point]) -> Any:
        """A line of corners."""
        return self.make("IfcPolyline", Points=[self.point(*p) for p in points])

    def rectangle(self, width: float, depth: float, at: Point) -> list[Any]:
        """Corners of a rectangle whose left edge has its middle at a point."""
        x, y = at
        return [
            self.point(x, y - depth / 2),
            self.point(x + width, y - depth / 2),
            self.point(x + width, y + depth / 2),
            self.point(x, y + depth / 2),
        ]

    def extrusion(self, ring: list[Any], height: float) -> Any:
        """A profile pulled straight up."""
        curve = self.make("IfcPolyline", Points=[*ring, ring[0]])
        return self.extruded(curve, height)

    def extruded(self, curve: Any, height: float) -> Any:
        """A closed curve pulled straight up."""
        profile = self.make("IfcArbitraryClosedProfileDef", ProfileType="AREA", OuterCurve=curve)
        return self.make(
            "IfcExtrudedAreaSolid",
            SweptArea=profile,
            Position=self.frame(),
            ExtrudedDirection=self.make("IfcDirection", DirectionRatios=(0.0, 0.0, 1.0)),
            Depth=self.length(height),
        )

    def body(self, items: list[Any], kind: str = "SweptSolid") -> Any:
        """A body representation."""
        return self.make(
            "IfcShapeRepresentation",
            ContextOfItems=self.context,
            RepresentationIdentifier="Body",
            RepresentationType=kind,
            Items=items,
        )

    def axis(self, curve: Any) -> Any:
        """An axis representation."""
        return self.make(
            "IfcShapeRepresentation",
            ContextOfItems=self.context,
            RepresentationIdentifier="Axis",
            RepresentationType="Curve2D",
            Items=[curve],
        )

    def shape(self, representations: list[Any]) -> Any:
        """The shape of an element."""
        return self.make("IfcProductDefinitionShape", Representations=representations)

    def frame(self, at: Sequence[float] = (0.0, 0.0, 0.0), turned_deg: float = 0.0) -> Any:
        """A place and direction in space."""
        angle = math.radians(turned_deg)
        return self.make(
            "IfcAxis2Placement3D",
            Location=self.point(*at),
            Axis=self.make("IfcDirection", DirectionRatios=(0.0, 0.0, 1.0)),
            RefDirection=self.make(
                "IfcDirection", DirectionRatios=(math.cos(angle), math.sin(angle), 0.0)
            ),
        )

    def placement(
        self,
        parent: Any,
        at: Sequence[float] = (0.0, 0.0, 0.0),
        turned_deg: float = 0.0,
    ) -> Any:
        """A place relative to another."""
        return self.make(
            "IfcLocalPlacement",
            PlacementRelTo=parent,
            RelativePlacement=self.frame(at, turned_deg),
        )

    # the file

    def make(self, kind: str, **attributes: Any) -> Any:
        """Any entity."""
        return self.file.create_entity(kind, **attributes)

    def _root(self, kind: str, **attributes: Any) -> Any:
        return self.make(
            kind, GlobalId=ifcopenshell.guid.new(), OwnerHistory=self.history, **attributes
        )

    def _relate(self, kind: str, **attributes: Any) -> Any:
        return self._root(kind, **attributes)

    def _aggregate(self, whole: Any, parts: list[Any]) -> None:
        self._relate("IfcRelAggregates", RelatingObject=whole, RelatedObjects=parts)

    def aggregate(self, whole: Any, parts: list[Any]) -> None:
        """Says that an element is made of others."""
        self._aggregate(whole, parts)

    def _history(self) -> Any:
        person = self.make(
            "IfcPerson", FamilyName=self.PERSON.split()[1], GivenName=self.PERSON.split()[0]
        )
        firm = self.make("IfcOrganization", Name=self.FIRM)
        both = self.make("IfcPersonAndOrganization", ThePerson=person, TheOrganization=firm)
        program = self.make(
            "IfcApplication",
            ApplicationDeveloper=firm,
            Version="1",
            ApplicationFullName="Drawn by hand",
            ApplicationIdentifier="hand",
        )
        return self.make(
            "IfcOwnerHistory",
            OwningUser=both,
            OwningApplication=program,
            ChangeAction="ADDED",
            CreationDate=1,
        )

    def _units(self, unit: str, angle_unit: str | None) -> Any:
        prefix = "MILLI" if unit == "mm" else None
        metre = self.make("IfcSIUnit", UnitType="LENGTHUNIT", Prefix=prefix, Name="METRE")
        units = [self._named("LENGTHUNIT", "FOOT", FOOT_M, metre) if unit == "foot" else metre]
        if angle_unit is not None:
            radian = self.make("IfcSIUnit", UnitType="PLANEANGLEUNIT", Name="RADIAN")
            degree = angle_unit == "degree"
            units.append(
                self._named("PLANEANGLEUNIT", "DEGREE", math.pi / 180, radian) if degree else radian
            )
        return self.make("IfcUnitAssignment", Units=units)

    def _named(self, unit_type: str, name: str, factor: float, base: Any) -> Any:
        length = unit_type == "LENGTHUNIT"
        value = self.make(
            "IfcLengthMeasure" if length else "IfcPlaneAngleMeasure", **{"wrappedValue": factor}
        )
        return self.make(
            "IfcConversionBasedUnit",
            Dimensions=self.make(
                "IfcDimensionalExponents",
                LengthExponent=int(length),
                MassExponent=0,
                TimeExponent=0,
                ElectricCurrentExponent=0,
                ThermodynamicTemperatureExponent=0,
                AmountOfSubstanceExponent=0,
                LuminousIntensityExponent=0,
            ),
            UnitType=unit_type,
            Name=name,
            ConversionFactor=self.make(
                "IfcMeasureWithUnit", ValueComponent=value, UnitComponent=base
            ),
        )


def id_of(element: Any) -> str:
    """The id that an element of a plan has in a site."""
    return "ifc-" + str(element.GlobalId).replace("$", "-")


@pytest.fixture
def plan_file() -> type[PlanFile]:
    """The class that writes a small IFC file."""
    return PlanFile


@pytest.fixture
def save(tmp_path: Path) -> Callable[[PlanFile], Path]:
    """Writes a plan file and gives its path."""

    def write(plan: PlanFile) -> Path:
        path = tmp_path / "plan.ifc"
        plan.file.write(str(path))
        return path

    return write


@pytest.fixture
def imported(save: Callable[[PlanFile], Path]) -> Callable[..., Any]:
    """Writes a plan file and imports it."""
    from pathproof.plans import import_ifc

    def run(plan: PlanFile, **options: Any) -> Any:
        return import_ifc(save(plan), **options)

    return run
