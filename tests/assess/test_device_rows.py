"""Signals in rows, those to see to first on top."""

from datetime import UTC, datetime

import pytest

from pathproof.assess import Assessment, assess
from pathproof.assess.device_rows import chosen, device_rows
from pathproof.assess.judge import WORST_FIRST
from pathproof.job import Job, Site, embed
from pathproof.simulate import build_demo
from pathproof.terms import SignalKind, Word

AS_OF = datetime(2026, 11, 25, 12, tzinfo=UTC)
DEMO = build_demo()


@pytest.fixture(scope="module")
def assessment() -> Assessment:
    return assess(DEMO, AS_OF, leave_out_later=True)


def test_every_signal_is_in_one_row(assessment: Assessment) -> None:
    rows = device_rows(assessment, DEMO.site)
    shown = [s.id for r in rows for s in r.signals]
    assert sorted(shown) == sorted(s.id for s in assessment.signals)
    assert all(len({s.path for s in r.signals}) == 1 for r in rows)


def test_the_worst_word_is_first_then_the_least_margin(assessment: Assessment) -> None:
    rows = device_rows(assessment, DEMO.site)
    order = [(WORST_FIRST.index(r.word), r.ranks) for r in rows]
    assert order == sorted(order)
    assert rows[0].about == "cold_store_door"
    assert rows[0].word is Word.LACKING
    assert rows[0].lead.word is Word.LACKING


def test_a_row_has_the_next_action_of_its_signals(assessment: Assessment) -> None:
    for row in device_rows(assessment, DEMO.site):
        assert row.next is None or {s.id for s in row.signals} & set(row.next.signals)


def test_the_panel_tells_of_a_lost_path_by_another_way(assessment: Assessment) -> None:
    panel = [r for r in device_rows(assessment, DEMO.site) if r.about == "panel"]
    kinds = [{s.kind for s in r.signals} for r in panel]
    assert {SignalKind.PATH_FAIL} in kinds
    assert len(kinds) == 2


def test_rows_are_chosen_by_zone_partition_word_and_name(assessment: Assessment) -> None:
    rows = device_rows(assessment, DEMO.site)
    assert {r.about for r in chosen(rows, zone=1)} == {"shop_door"}
    assert {r.partition for r in chosen(rows, partition=2)} == {2}
    assert {r.word for r in chosen(rows, word=Word.LACKING)} == {Word.LACKING}
    assert {r.about for r in chosen(rows, name=" LOFT ")} == {"loft_motion"}
    assert chosen(rows) == list(rows)


def test_a_job_with_nothing_in_it_has_no_rows() -> None:
    job = embed(Job(site=Site(name="Empty")))
    assert device_rows(assess(job, AS_OF), job.site) == ()
