"""`pathproof papers`: PDFs where they are wanted, whole, and the same bytes every time."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pymupdf
import pytest

AS_OF = ("--as-of", "2026-10-07", "--by", "A. Fitter")


def text_of(path: Path) -> str:
    with pymupdf.open(path) as paper:
        return "\n".join(page.get_text() for page in paper)


def test_full_paper_in_a_folder(run: Any, job_path: Path) -> None:
    Path("out/papers").mkdir(parents=True)
    said = run("papers", job_path, *AS_OF, "-o", "out/papers").stdout
    path = Path("out/papers/job-design-assessment.pdf")
    assert str(path) in said
    text = text_of(path)
    assert "Quellrain dairy and shop" in text
    assert "A. Fitter" in text
    assert "Cold store door" in text


def test_customers_paper_leaves_devices_out(run: Any, job_path: Path) -> None:
    run("papers", job_path, *AS_OF, "--customer", "-o", "for-you.pdf")
    text = text_of(Path("for-you.pdf"))
    assert "Quellrain dairy and shop" in text
    assert "Cold store door" not in text


def test_same_bytes_for_the_same_job_date_and_name(run: Any, job_path: Path) -> None:
    for name in ("one.pdf", "two.pdf"):
        run("papers", job_path, *AS_OF, "--customer", "-o", name)
    assert Path("one.pdf").read_bytes() == Path("two.pdf").read_bytes()


def test_here_if_nothing_else_is_said(run: Any, job_path: Path) -> None:
    answer = json.loads(run("papers", job_path, *AS_OF, "--customer", "--json").stdout)
    assert answer == {"paper": "job-customer.pdf", "word": "lacking"}
    assert Path("job-customer.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("output", "said"),
    [
        ("nowhere/paper.pdf", "there is no folder 'nowhere'. Make it first"),
        (
            "nowhere",
            "a file whose name ends in .pdf, or a folder that is there. Write 'nowhere.pdf'",
        ),
        ("taken", "given 'taken'"),
        ("taken/paper.pdf", "there is no folder 'taken'"),
    ],
)
def test_a_place_that_is_none(run: Any, job_path: Path, output: str, said: str) -> None:
    Path("taken").write_text("a file, not a folder")
    before = sorted(Path().rglob("*"))
    error = " ".join(run("papers", job_path, *AS_OF, "-o", output, code=2).stderr.split())
    assert said in error
    assert sorted(Path().rglob("*")) == before


def test_a_folder_that_is_named_like_a_paper(run: Any, job_path: Path) -> None:
    Path("for.pdf").mkdir()
    run("papers", job_path, *AS_OF, "--customer", "-o", "for.pdf")
    assert [p.name for p in Path("for.pdf").iterdir()] == ["job-customer.pdf"]


def test_later_entries_name_the_option(run: Any, job_path: Path) -> None:
    error = run("papers", job_path, "--as-of", "2026-10-01", "-o", "x.pdf", code=1).stderr
    assert "--leave-out-later" in error


@pytest.mark.parametrize("args", [("--as-of", "2026-10-01"), ()])
def test_nothing_is_written_where_nothing_can_be_said(
    run: Any, job_path: Path, edit: Callable[..., None], args: tuple[str, ...]
) -> None:
    if not args:
        edit(job_path, lambda data: data["site"].update(profile="grade_9"))
    run("papers", job_path, *args, "-o", "paper.pdf", code=1)
    assert not Path("paper.pdf").exists()


@pytest.mark.parametrize(
    ("sheet", "name", "said"),
    [
        ("zones", "job-zone-schedule.pdf", "Cold store door"),
        ("parts", "job-parts-list.pdf", "Lark door contact 868"),
        ("activation", "job-activation-sheet.pdf", "0010 1700 0042 013"),
    ],
)
def test_other_sheets(run: Any, job_path: Path, sheet: str, name: str, said: str) -> None:
    run("papers", job_path, *AS_OF, "--sheet", sheet)
    text = text_of(Path(name))
    assert said in text
    assert "A. Fitter" in text


@pytest.mark.parametrize(
    ("sheet", "name", "head"),
    [
        ("zones", "job-zone-schedule.csv", "zone,zone name,"),
        ("parts", "job-parts-list.csv", "kind,part,"),
    ],
)
def test_lists_as_csv(run: Any, job_path: Path, sheet: str, name: str, head: str) -> None:
    answer = json.loads(run("papers", job_path, *AS_OF, "--sheet", sheet, "--csv", "--json").stdout)
    assert answer["paper"] == name
    written = Path(name).read_bytes()
    assert written.startswith(b"\xef\xbb\xbf" + head.encode())
    assert written.count(b"\n") == written.count(b"\r\n") > 20


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--csv",), "given with --sheet design; allowed: with zones or parts"),
        (("--sheet", "activation", "--csv"), "given with --sheet activation"),
        (("--sheet", "zones", "--customer"), "given with --sheet zones; allowed: with design"),
        (("--sheet", "zone"), "Did you mean zones?"),
        (("--sheet", "zones", "--csv", "-o", "zones.pdf"), "ends in .csv"),
    ],
)
def test_options_that_do_not_go_together(
    run: Any, job_path: Path, options: tuple[str, ...], said: str
) -> None:
    error = " ".join(run("papers", job_path, *AS_OF, *options, code=2).stderr.split())
    assert said in error
    assert not list(Path().glob("*.pdf"))
