"""Plans from DXF files: double lines to walls, one file per storey."""

from pathproof.plans.dxf._apart import import_dxf_apart
from pathproof.plans.dxf._ids import PREFIX
from pathproof.plans.dxf._importer import import_dxf
from pathproof.plans.dxf._notes import DrawingNotes, StoreyNote, load_drawing_notes
from pathproof.plans.dxf._reader import LARGEST_BYTES
from pathproof.plans.dxf._units import Unit

__all__ = [
    "LARGEST_BYTES",
    "PREFIX",
    "DrawingNotes",
    "StoreyNote",
    "Unit",
    "import_dxf",
    "import_dxf_apart",
    "load_drawing_notes",
]
