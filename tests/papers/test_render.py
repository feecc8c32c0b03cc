"""The PDF: that it opens, says what the dataclass says, and is the same every time."""

import hashlib
import os
import re
import subprocess
import sys

import pymupdf
import pytest

from pathproof.job import Job
from pathproof.papers import DesignAssessment, build, render

from ._jobs import AS_OF, Judge, with_names


def read(pdf: bytes) -> list[str]:
    """The text of each page, blanks and breaks made plain."""
    pages = pymupdf.open(stream=pdf, filetype="pdf")
    return [" ".join(page.get_text().replace("\u200b", "").split()) for page in pages]


@pytest.fixture(scope="module")
def demo_pdf(demo_paper: DesignAssessment) -> bytes:
    return render(demo_paper)


def test_the_key_figures_are_on_paper(demo_pdf: bytes, demo_paper: DesignAssessment):
    pages = read(demo_pdf)
    assert demo_paper.summary.headline in pages[0]
    assert demo_paper.summary.odds in pages[0]
    whole = " ".join(pages)
    assert demo_paper.working is not None
    for sheet in demo_paper.working.calculations:
        assert f"Calculation {sheet.number} {sheet.title}" in whole
        result = next(r for r in reversed(sheet.rows) if r.whole)
        assert f"{result.whole}{result.fraction} {result.unit}".strip() in whole
    for caution in demo_paper.cautions:
        assert caution.text in whole


def test_the_weakest_link_of_the_lacking_signal_is_drawn_with_its_shortfall(demo_pdf: bytes):
    assert re.search(r"lacks \d+ dB", read(demo_pdf)[1])


def test_every_page_has_the_title_block(demo_pdf: bytes, demo_paper: DesignAssessment):
    pages = read(demo_pdf)
    for number, page in enumerate(pages, start=1):
        assert f"sheet {number} of {len(pages)}" in page
        assert f"hash {demo_paper.block.hash}" in page
        assert f"as of {demo_paper.block.date}" in page
        assert "by R. Aster" in page


def test_nothing_stands_outside_the_page_or_on_the_title_block(demo_pdf: bytes):
    assert_in_bounds(demo_pdf)


def assert_in_bounds(pdf: bytes) -> None:
    for page in pymupdf.open(stream=pdf, filetype="pdf"):
        blocks = [b for b in page.get_text("blocks") if b[4].strip()]
        top = min(b[1] for b in blocks if b[4].startswith("job"))
        for x0, y0, x1, y1, text, *_ in blocks:
            assert x0 >= 0.0, text
            assert x1 <= page.rect.width, text
            assert 0.0 <= y0 <= y1 <= page.rect.height, text
            assert y1 <= top + 1.0 or y0 >= top - 1.0, text


def test_the_pdf_is_tagged_and_dated_by_the_assessment(demo_pdf: bytes):
    document = pymupdf.open(stream=demo_pdf, filetype="pdf")
    assert document.xref_get_key(document.pdf_catalog(), "MarkInfo")[1] == (
        "<</Marked true/Suspects false>>"
    )
    metadata = document.metadata or {}
    assert metadata["creationDate"].startswith(f"D:{AS_OF:%Y%m%d%H%M%S}")
    assert metadata["title"].startswith("Design assessment: ")
    assert document.get_toc()


def test_the_same_paper_gives_the_same_bytes(demo_pdf: bytes, demo_paper: DesignAssessment):
    assert render(demo_paper) == demo_pdf


IN_ANOTHER_PROCESS = f"""
import hashlib
from datetime import datetime
from pathproof.assess.compose import assess
from pathproof.papers import build, render
from pathproof.simulate.demo import build_demo
job = build_demo()
as_of = datetime.fromisoformat("{AS_OF.isoformat()}")
paper = build(job, assess(job, as_of, leave_out_later=True), for_customer=False)
print(hashlib.sha256(render(paper)).hexdigest())
"""


def test_the_same_bytes_in_another_process_locale_and_time_zone(demo: Job, judge: Judge):
    pdf = render(build(demo, judge(demo), for_customer=False))
    elsewhere = {
        "TZ": "Pacific/Auckland",
        "LC_ALL": "C",
        "PYTHONHASHSEED": "7",
        "SOURCE_DATE_EPOCH": "86400",
    }
    done = subprocess.run(
        [sys.executable, "-c", IN_ANOTHER_PROCESS],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path), **elsewhere},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == hashlib.sha256(pdf).hexdigest()


def test_the_customers_pdf_holds_no_plan_and_no_name(customer_paper: DesignAssessment, demo: Job):
    pages = read(render(customer_paper))
    whole = " ".join(pages)
    assert "left out of this version on purpose" in pages[0]
    for word in ("Plan:", "zone", "1 : ", *(d.name for d in demo.site.devices)):
        assert word not in whole


HOSTILE = [
    '#import "x": * #panic("y")',
    "$x^2$ \\ \\alpha @ref <label>",
    "*bold* _it_ `raw` // no comment /* nor this */",
    "= heading\n- list\n+ enum",
    "{ [ ( ] } ) \" ' ~ -- ---",
]


@pytest.mark.parametrize("name", HOSTILE)
def test_what_people_typed_is_shown_as_typed(demo: Job, judge: Judge, name: str):
    job = with_names(demo, name)
    paper = build(job, judge(job), for_customer=False)
    pages = read(render(paper))
    assert " ".join(name.split()) in pages[0]
    assert " ".join(name.split()) in pages[1]


def test_other_scripts_and_pictures_do_not_stop_the_paper(demo: Job, judge: Judge):
    job = with_names(demo, "שלום \u202eabc\u202c \N{FIRE} 中文")
    whole = " ".join(read(render(build(job, judge(job), for_customer=False))))
    assert "שלום" in whole
    assert "[fire]" in whole


@pytest.mark.parametrize("name", ["W" * 200, ("Very long name of a detector " * 10)[:200]])
def test_very_long_names_stay_on_the_page(demo: Job, judge: Judge, name: str):
    job = with_names(demo, name)
    assert_in_bounds(render(build(job, judge(job), for_customer=False, who=name)))


def test_three_hundred_devices_come_out_whole(demo: Job, judge: Judge):
    job = with_names(demo, "Door", devices=300)
    pdf = render(build(job, judge(job), for_customer=False))
    assert_in_bounds(pdf)
    pages = read(pdf)
    assert "300 Door" in " ".join(pages)
    assert len(pages) < 45


def test_a_long_reference_shows_in_the_title_block(demo: Job, judge: Judge):
    site = demo.site.model_copy(update={"reference": "W" * 300})
    job = demo.model_copy(update={"site": site})
    pdf = render(build(job, judge(job), for_customer=True))
    (page, *_) = pymupdf.open(stream=pdf, filetype="pdf")
    label = page.search_for("reference")[-1]
    beside = page.get_text("words", clip=(label.x1, label.y0, page.rect.x1, label.y1))
    assert any(word[4].startswith("WWW") for word in beside)
    assert "W" * 300 in read(pdf)[0].replace(" ", "")


@pytest.mark.parametrize("who", ["Planned by (dealer)", "Tested by", "signature"])
def test_there_is_room_to_sign(demo_pdf: bytes, who: str):
    assert who in read(demo_pdf)[0]


def test_an_empty_site_gives_a_paper(empty_job: Job, judge: Judge):
    pages = read(render(build(empty_job, judge(empty_job), for_customer=False)))
    assert "There are no devices in this job yet" in pages[0]
    assert "There are no signals yet." in pages[1]


def test_a_job_where_nothing_is_known_gives_a_paper(unplaced_job: Job, judge: Judge):
    pdf = render(build(unplaced_job, judge(unplaced_job), for_customer=False))
    assert_in_bounds(pdf)
    assert "This job has no plan." in " ".join(read(pdf))
