"""Plans from IFC files (ISO 16739, IFC2X3 and IFC4)."""

from pathproof.plans.ifc._apart import import_ifc_apart
from pathproof.plans.ifc._ids import PREFIX
from pathproof.plans.ifc._importer import import_ifc
from pathproof.plans.ifc._reader import LARGEST_BYTES

__all__ = ["LARGEST_BYTES", "PREFIX", "import_ifc", "import_ifc_apart"]
