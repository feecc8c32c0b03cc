"""What a communicator is chosen from: the job's own parts first, the library's beside them."""

import json
from datetime import date
from typing import Any

import pytest

from pathproof.job import Job, Library, Retirement, Source, dump_job, parse_job, shipped
from pathproof.job.considering import considering
from pathproof.job.retirement import network_key, part_key
from pathproof.simulate import demo_json
from pathproof.terms import Evidence, JobError, Technology

KINDS = ("communicator", "service", "antenna", "feeder")


@pytest.fixture
def demo() -> Job:
    return parse_job(demo_json())


def changed(change: Any, library: Library | None = None) -> Job:
    data = json.loads(demo_json())
    change(data)
    return parse_job(json.dumps(data), library)


def test_everything_of_the_library_that_a_choice_is_made_from(demo: Job) -> None:
    found = considering(demo, shipped())
    wanted = {i for i, part in shipped().parts.items() if part.kind in KINDS}
    assert len(wanted) > 8
    assert set(found.site.considered) == wanted
    assert wanted <= set(found.embedded.catalogue)
    assert {found.part(i).kind for i in found.site.considered} == set(KINDS)


def test_the_job_itself_stays_as_it_is(demo: Job) -> None:
    before = dump_job(demo)
    considering(demo, shipped())
    assert dump_job(demo) == before


def test_nothing_else_of_the_job_changes(demo: Job) -> None:
    found = considering(demo, shipped())
    back = found.site.model_copy(update={"considered": demo.site.considered})
    assert back == demo.site
    assert (found.record, found.revision) == (demo.record, demo.revision)


def test_a_second_time_changes_nothing(demo: Job) -> None:
    once = considering(demo, shipped())
    assert considering(once, shipped()) == once


def test_what_the_job_considers_comes_first_in_its_order() -> None:
    def change(data: Any) -> None:
        data["site"]["considered"] = ["whip_antenna", "lte_m_module", "roaming_card"]

    considered = considering(changed(change), shipped()).site.considered
    assert considered[:3] == ["whip_antenna", "lte_m_module", "roaming_card"]
    assert considered[3:] == sorted(considered[3:])
    assert len(considered) == len(set(considered))


def test_the_job_s_own_entry_wins_over_the_library_s(demo: Job) -> None:
    own = demo.part("lte_cat1_module").model_copy(update={"yearly_cost": 1.0})
    catalogue = {**demo.embedded.catalogue, own.id: own}
    embedded = demo.embedded.model_copy(update={"catalogue": catalogue})
    found = considering(demo.model_copy(update={"embedded": embedded}), shipped())
    assert found.part("lte_cat1_module") == own
    assert shipped().parts["lte_cat1_module"] != own


def test_a_fitted_part_that_the_library_has_not_is_considered_too(demo: Job) -> None:
    fitted = [demo.site.communicators[0].part, demo.site.communicators[0].antenna]
    poorer = Library(
        parts={i: p for i, p in shipped().parts.items() if i not in fitted},
        constructions=shipped().constructions,
        profiles=shipped().profiles,
    )
    assert set(fitted) <= set(considering(demo, poorer).site.considered)


def test_what_is_known_of_the_ends_of_considered_parts_comes_along(demo: Job) -> None:
    source = Source(ref="Letter of the maker", evidence=Evidence.READ)
    rows = [
        Retirement(part="nb_iot_module", ends_on=date(2030, 1, 1), source=source),
        Retirement(part="no_such_part", ends_on=date(2030, 1, 1), source=source),
        Retirement(
            network="001-02", technology=Technology.LTE, ends_on=date(2030, 1, 1), source=source
        ),
    ]
    library = Library(
        parts=shipped().parts,
        constructions=shipped().constructions,
        profiles=shipped().profiles,
        retirements={row.key: row for row in rows},
    )
    own = {row.key for row in demo.embedded.retirements}
    assert network_key("001-02", Technology.LTE) not in own
    keys = {row.key for row in considering(demo, library).embedded.retirements}
    assert keys == own | {part_key("nb_iot_module"), network_key("001-02", Technology.LTE)}


def test_a_considered_part_that_nobody_has_is_refused(demo: Job) -> None:
    site = demo.site.model_copy(update={"considered": ["lte_m_modul"]})
    with pytest.raises(JobError, match="lte_m_module"):
        considering(demo.model_copy(update={"site": site}), shipped())
