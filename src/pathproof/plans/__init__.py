"""Plan files in, parts of a site out, with a report of what was mapped, guessed and left out."""

from pathproof.plans.dxf import DrawingNotes, Unit, import_dxf, import_dxf_apart, load_drawing_notes
from pathproof.plans.ifc import import_ifc, import_ifc_apart
from pathproof.plans.material_map import load_material_map
from pathproof.plans.materials import MaterialMap
from pathproof.plans.merge import merge_plan, moved_storeys
from pathproof.plans.report import GuessedLine, LeftOutLine, MappedLine, Report
from pathproof.plans.result import PlanImport

__all__ = [
    "DrawingNotes",
    "GuessedLine",
    "LeftOutLine",
    "MappedLine",
    "MaterialMap",
    "PlanImport",
    "Report",
    "Unit",
    "import_dxf",
    "import_dxf_apart",
    "import_ifc",
    "import_ifc_apart",
    "load_drawing_notes",
    "load_material_map",
    "merge_plan",
    "moved_storeys",
]
