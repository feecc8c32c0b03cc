"""The demo's papers, built once, and jobs made hard on purpose."""

import pytest

from pathproof.assess.compose import assess
from pathproof.job import Job, Site, embed
from pathproof.papers import DesignAssessment, build, coverage_maps
from pathproof.simulate.demo import build_demo

from ._jobs import AS_OF, Judge


@pytest.fixture(scope="session")
def judge() -> Judge:
    """Assess a job as of a fixed moment."""
    return lambda job: assess(job, AS_OF, leave_out_later=True)


@pytest.fixture(scope="session")
def demo() -> Job:
    return build_demo()


@pytest.fixture(scope="session")
def demo_paper(demo: Job, judge: Judge) -> DesignAssessment:
    """The full paper with maps."""
    maps = coverage_maps(demo, AS_OF)
    return build(demo, judge(demo), for_customer=False, maps=maps, who="R. Aster")


@pytest.fixture(scope="session")
def customer_paper(demo: Job, judge: Judge) -> DesignAssessment:
    return build(demo, judge(demo), for_customer=True)


@pytest.fixture(scope="session")
def empty_job() -> Job:
    return embed(Job(site=Site(name="Empty site")))


@pytest.fixture(scope="session")
def unplaced_job(demo: Job) -> Job:
    """The demo with no plan, no place for anything, no communicator and no record."""
    nowhere = {"floor": None, "at": None}
    site = demo.site
    assert site.panel is not None
    update = {
        "devices": [d.model_copy(update=nowhere) for d in site.devices],
        "panel": site.panel.model_copy(update={**nowhere, "candidates": []}),
        "floors": [],
        "walls": [],
        "repeaters": [],
        "spots": [],
        "communicators": [],
        "cables": [],
    }
    return demo.model_copy(update={"site": site.model_copy(update=update), "record": []})
