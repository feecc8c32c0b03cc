"""How long a person waits for the design assessment as PDF: the demo, and a site of 300 devices."""

import time
from collections.abc import Callable
from datetime import UTC, datetime
from typing import TypeVar

from pathproof.assess.compose import assess
from pathproof.job import Job
from pathproof.papers import build, coverage_maps, render
from pathproof.simulate.demo import build_demo

TARGET_S = 1.0
AS_OF = datetime(2026, 11, 25, 12, tzinfo=UTC)
MANY = 300
T = TypeVar("T")


def timed(work: Callable[[], T]) -> tuple[T, float]:
    """What the work gives, and its time. [s]"""
    start = time.perf_counter()
    result = work()
    return result, time.perf_counter() - start


def with_devices(job: Job, count: int) -> Job:
    """The job with its devices over and over."""
    devices = [
        job.site.devices[i % len(job.site.devices)].model_copy(update={"id": f"d{i}"})
        for i in range(count)
    ]
    site = job.site.model_copy(update={"devices": devices, "cables": []})
    return job.model_copy(update={"site": site, "record": []})


def show(name: str, job: Job, target_s: float | None) -> None:
    answer = assess(job, AS_OF, leave_out_later=True)  # compiles or loads the kernels too
    maps, map_s = timed(lambda: coverage_maps(job, AS_OF))
    paper, build_s = timed(lambda: build(job, answer, for_customer=False, maps=maps))
    pdf, render_s = timed(lambda: render(paper))
    whole_s = map_s + build_s + render_s
    target = "" if target_s is None else f", target {target_s:g} s"
    print(
        f"{name}, {len(job.site.devices)} devices: {whole_s:.2f} s{target} "
        f"(maps {map_s:.2f}, data {build_s:.2f}, PDF {render_s:.2f}); {len(pdf) / 1e6:.1f} MB"
    )


if __name__ == "__main__":
    demo = build_demo()
    show("demo", demo, TARGET_S)
    show("many", with_devices(demo, MANY), None)
