"""Papers: a plain dataclass for each, built from a job and its assessment, and its template."""

from pathproof.papers.design_assessment import DesignAssessment, build
from pathproof.papers.render import render

__all__ = ["DesignAssessment", "build", "render"]
