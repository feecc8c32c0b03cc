"""Things that stand in for a real job: so far the demo."""

from pathproof.simulate.demo import AS_OF, build_demo, demo_job, demo_json

__all__ = ["AS_OF", "build_demo", "demo_job", "demo_json"]
