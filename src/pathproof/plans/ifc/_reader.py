"""Opens an IFC file, or says in one sentence why not."""

from pathlib import Path
from typing import Any

from pathproof.terms import PlanError

LARGEST_BYTES = 150_000_000
"""Above this an import needs more memory than an ordinary machine has: about ten times the file."""

SCHEMAS = ("IFC2X3", "IFC4", "IFC4X3")
BROKEN = (AssertionError, AttributeError, LookupError, RuntimeError, TypeError, ValueError)
"""What reading one thing of a broken file raises: a reference to the wrong kind of thing or to
nothing, a figure that is none. Caught element by element."""

_START = b"ISO-10303-21"
_END = b"END-ISO-10303-21"


def open_ifc(path: Path, largest_bytes: int = LARGEST_BYTES) -> tuple[Any, int]:
    """The open file and the number of faults its parser met.

    Raises
    ------
    PlanError
        Not a file, too large, not IFC, cut short, broken, or of a schema that is not read.
    """
    import ifcopenshell

    _check_before_reading(path, largest_bytes)
    ifcopenshell.get_log()  # forget what an earlier file left there
    try:
        file = ifcopenshell.open(str(path))
    except ifcopenshell.SchemaError as error:
        raise PlanError(
            f"{path.name} is of an IFC schema that is not read; allowed are "
            f"{', '.join(SCHEMAS)}. Export it again as IFC4 or IFC2X3."
        ) from error
    except (ifcopenshell.Error, OSError, RuntimeError) as error:
        raise PlanError(
            f"{path.name} starts like an IFC file but is broken inside; export it again."
        ) from error
    if file.schema not in SCHEMAS:
        raise PlanError(
            f"{path.name} is of schema {file.schema}; allowed are {', '.join(SCHEMAS)}. "
            "Export it again as IFC4 or IFC2X3."
        )
    if not file.by_type("IfcProject"):
        raise PlanError(
            f"{path.name} holds no IfcProject, which every IFC plan has: it is empty or damaged. "
            "Export it again."
        )
    faults = ifcopenshell.get_log().count("[error]")
    _name_an_angle_unit(file, path.name)
    return file, faults


def parts_within(element: Any) -> list[Any]:
    """All that a thing is said to hold, by number; also where a damaged file goes in a circle."""
    import ifcopenshell.util.element

    found: dict[int, Any] = {element.id(): element}
    waiting = [element]
    while waiting:
        below = ifcopenshell.util.element.get_decomposition(waiting.pop(), is_recursive=False)
        new = [part for part in below if part is not None and part.id() not in found]
        found |= {part.id(): part for part in new}
        waiting += new
    del found[element.id()]
    return [found[i] for i in sorted(found)]


def _name_an_angle_unit(file: Any, name: str) -> None:
    """Adds radians to the open file where it names no plane angle unit.

    Without one the geometry engine turns arcs the wrong way.

    Raises
    ------
    PlanError
        The units are none.
    """
    for project in file.by_type("IfcProject"):
        units = project.UnitsInContext
        if units is not None and not units.is_a("IfcUnitAssignment"):
            raise PlanError(
                f"{name} is damaged: its units lead to the wrong kind of thing, so nobody can tell "
                "its lengths. Export it again from the program it came from."
            )
        named = () if units is None else units.Units
        if any(getattr(unit, "UnitType", None) == "PLANEANGLEUNIT" for unit in named):
            continue
        radian = file.create_entity("IfcSIUnit", UnitType="PLANEANGLEUNIT", Name="RADIAN")
        if units is None:
            project.UnitsInContext = file.create_entity("IfcUnitAssignment", Units=[radian])
        else:
            units.Units = [*named, radian]


def _check_before_reading(path: Path, largest_bytes: int) -> None:
    if path.is_dir():
        raise PlanError(f"{path.name} is a folder; give the path of one .ifc file.")
    try:
        size = path.stat().st_size
        if size > largest_bytes:
            raise PlanError(
                f"{path.name} has {size / 1e6:.0f} MB; {largest_bytes / 1e6:.0f} MB is the limit. "
                "Export the architecture alone, without furniture, services and terrain."
            )
        with path.open("rb") as stream:
            start = stream.read(512)
            stream.seek(max(0, size - 4096))
            end = stream.read()
    except OSError as error:
        raise PlanError(
            f"{path.name} cannot be read ({error.strerror}); give the path of an .ifc file."
        ) from error
    _check_ends(path.name, start, end)


def _check_ends(name: str, start: bytes, end: bytes) -> None:
    if not start:
        raise PlanError(f"{name} is empty; give an .ifc file.")
    if start.startswith(b"PK"):
        raise PlanError(f"{name} is a zip archive; unpack it and give the .ifc file inside.")
    if start.lstrip(b"\xef\xbb\xbf \r\n\t").startswith(b"<"):
        raise PlanError(f"{name} is XML; export the plan as .ifc (the STEP text form).")
    if not start.lstrip(b"\xef\xbb\xbf \r\n\t").startswith(_START):
        raise PlanError(
            f"{name} is not an IFC file: it does not begin with {_START.decode()}. "
            "Export the plan as IFC4 or IFC2X3."
        )
    if _END not in end:
        raise PlanError(
            f"{name} is cut short: {_END.decode()} is missing at its end. "
            "Copy or download it again."
        )
