"""Papers: a plain dataclass for each, built from a job and its assessment, and its template."""

from pathproof.papers._text import with_dates
from pathproof.papers.activation_sheet import ActivationSheet, activation_sheet
from pathproof.papers.design_assessment import DesignAssessment, build, coverage_maps
from pathproof.papers.map_drawing import raster_png
from pathproof.papers.map_picture import map_picture_png
from pathproof.papers.parts_list import PartsList, parts_list
from pathproof.papers.render import Paper, render
from pathproof.papers.zone_schedule import ZoneSchedule, zone_schedule

__all__ = [
    "ActivationSheet",
    "DesignAssessment",
    "Paper",
    "PartsList",
    "ZoneSchedule",
    "activation_sheet",
    "build",
    "coverage_maps",
    "map_picture_png",
    "parts_list",
    "raster_png",
    "render",
    "with_dates",
    "zone_schedule",
]
