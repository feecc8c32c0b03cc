"""Papers: a plain dataclass for each, built from a job and its assessment, and its template."""

from pathproof.papers.design_assessment import DesignAssessment, build, coverage_maps
from pathproof.papers.map_drawing import raster_png
from pathproof.papers.map_picture import map_picture_png
from pathproof.papers.render import render

__all__ = ["DesignAssessment", "build", "coverage_maps", "map_picture_png", "raster_png", "render"]
