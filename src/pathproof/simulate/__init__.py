"""Things that stand in for a real job: the demo, and buildings made up by rule."""

from pathproof.simulate.buildings import BuildingKind, generated_job, generated_site
from pathproof.simulate.demo import AS_OF, build_demo, demo_job, demo_json

__all__ = [
    "AS_OF",
    "BuildingKind",
    "build_demo",
    "demo_job",
    "demo_json",
    "generated_job",
    "generated_site",
]
