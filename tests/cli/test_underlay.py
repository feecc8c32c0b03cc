"""`pathproof underlay`: grid first, then the scale; new storeys and jobs; what is refused."""

import hashlib
import io
import json
from pathlib import Path
from typing import Any

import pymupdf
import pytest
from PIL import Image, ImageDraw

from pathproof.job import Job, Library, parse_job

SCALE = ("--point", "100,500", "--point", "900,500", "--distance-m", "16")
NEW = ("--new-floor", "Ground floor", "--elevation-m", "0", "--height-m", "2.8")

ATTIC = ("--new-floor", "Attic", "--elevation-m")


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    """A room of 800 x 400 pixels on a sheet of 1000 x 600, named after a person."""
    image = Image.new("RGB", (1000, 600), "white")
    ImageDraw.Draw(image).rectangle((100, 100, 900, 500), outline="black", width=3)
    exif = Image.Exif()
    exif[0x013B] = "Petronella Probst"  # artist
    path = tmp_path / "Haus Probst.png"
    image.save(path, exif=exif)
    return path


@pytest.fixture
def two_pages(tmp_path: Path) -> Path:
    path = tmp_path / "plan.pdf"
    pages = [Image.new("RGB", (842, 595), shade) for shade in ("white", "grey")]
    pages[0].save(path, save_all=True, append_images=pages[1:], author="Petronella Probst")
    return path


def size_of(png: Path | bytes) -> tuple[int, int]:
    with Image.open(io.BytesIO(png) if isinstance(png, bytes) else png) as image:
        return image.size


def job_in(path: Path) -> Job:
    return parse_job(path.read_bytes(), Library())


def test_first_step_writes_a_grid_and_says_how_to_go_on(
    run: Any, plan: Path, job_path: Path, tmp_path: Path
) -> None:
    before = job_path.read_bytes()
    said = run("underlay", job_path, plan).stdout
    grid = tmp_path / "Haus Probst-grid.png"
    assert size_of(grid) == (1000, 600)
    assert "1000 x 600 pixels, with a grid" in said
    assert "'" + str(plan) + "' --floor ID --point X,Y --point X,Y --distance-m M" in said
    assert job_path.read_bytes() == before
    assert not (tmp_path / "job.underlays").exists()


def test_first_step_json_contract(run: Any, two_pages: Path, tmp_path: Path) -> None:
    told = json.loads(
        run("underlay", "new.json", two_pages, "--page", 2, "-o", "page.png", "--json").stdout
    )
    assert (told.pop("width_px"), told.pop("height_px")) == size_of(tmp_path / "page.png")
    assert told == {"picture": "page.png", "kind": "pdf_page", "page": 2, "notes": []}
    assert not (tmp_path / "new.json").exists()


def test_second_step_json_contract_and_what_is_in_the_job(
    run: Any, plan: Path, job_path: Path
) -> None:
    """800 pixels are 16 m: 0.02 m a pixel, 20 x 12 m; the first point is 2 m right, 2 m up."""
    was = job_in(job_path)
    storey = was.site.floors[0].id
    told = json.loads(
        run("underlay", job_path, plan, "--floor", storey, *SCALE, "--at", "-1,3", "--json").stdout
    )
    assert list(told) == ["job", "revision", "floor", "underlay", "size_m", "notes"]
    assert told["size_m"] == pytest.approx([20.0, 12.0])
    assert (told["floor"], told["revision"]) == (storey, was.revision + 1)
    job = job_in(job_path)
    under = job.site.floors[0].underlay
    assert under is not None
    assert told["underlay"] == under.model_dump(mode="json")
    assert under.m_per_px == pytest.approx(0.02)
    assert under.origin == pytest.approx((-3.0, 1.0))
    floors = [f.model_copy(update={"underlay": None}) for f in job.site.floors]
    assert floors == was.site.floors
    png = (job_path.parent / "job.underlays" / f"{under.sha256}.png").read_bytes()
    assert hashlib.sha256(png).hexdigest() == under.sha256
    assert size_of(png) == (1000, 600)


def test_the_storeys_name_will_do(run: Any, plan: Path, job_path: Path) -> None:
    told = json.loads(
        run("underlay", job_path, plan, "--floor", "Ground floor", *SCALE, "--json").stdout
    )
    assert told["floor"] == "ground"


def test_a_map_shows_it_or_says_that_it_is_gone(run: Any, plan: Path, job_path: Path) -> None:
    ask = ("map", job_path, "--floor", "ground", "--cell-m", "1", "-o")
    run(*ask, "before.png")
    run("underlay", job_path, plan, "--floor", "ground", *SCALE, "--at", "2,2")
    assert run(*ask, "with.png").stderr == ""
    for stored in (job_path.parent / "job.underlays").iterdir():
        stored.unlink()
    assert "Warning: " in run(*ask, "gone.png").stderr
    pictures = [Path(f"{name}.png").read_bytes() for name in ("before", "with", "gone")]
    assert len(set(pictures)) == 3


def test_no_name_of_the_file_or_its_people_goes_into_the_job(
    run: Any, plan: Path, two_pages: Path, tmp_path: Path
) -> None:
    run("underlay", "new.json", plan, *NEW, *SCALE)
    run("underlay", "new.json", two_pages, "--page", 1, "--floor", "ground_floor", *SCALE)
    kept = [p for p in tmp_path.rglob("*") if p.is_file() and p.name.startswith("new.")]
    kept += [*(tmp_path / "new.underlays").iterdir()]
    assert len(kept) == 4  # job, its first revision and two pictures
    assert not [p for p in kept if b"Probst" in p.read_bytes() or "Probst" in p.name]


def test_a_new_job_with_a_new_storey(run: Any, plan: Path, tmp_path: Path) -> None:
    said = run("underlay", "new.json", plan, *NEW, *SCALE, "--direction-deg", 90).stdout
    assert "Ground floor (ground_floor) has an underlay; revision 1" in said
    assert "20.00 x 12.00 m" in said
    assert "turned by 90.00" in said
    site = job_in(tmp_path / "new.json").site
    assert site.name == "New site"
    (floor,) = site.floors
    assert (floor.id, floor.elevation_m, floor.height_m) == ("ground_floor", 0.0, 2.8)
    run("assess", "new.json", code=4)


def test_a_second_storey_and_ids_made_from_names(run: Any, plan: Path, tmp_path: Path) -> None:
    for name, elevation in (("Erdgeschoß", 0), ("1. OG", 3), ("地下", -3), ("地面", 6)):
        new = ("--new-floor", name, "--elevation-m", elevation, "--height-m", 2.8)
        run("underlay", "new.json", plan, *new, *SCALE)
    floors = job_in(tmp_path / "new.json").site.floors
    assert [f.id for f in floors] == ["erdgeschoss", "1_og", "floor", "floor_2"]
    assert len({f.underlay.sha256 for f in floors if f.underlay}) == 1
    assert len([*(tmp_path / "new.underlays").iterdir()]) == 1


def test_another_picture_replaces_the_first_and_the_revision_keeps_it(
    run: Any, plan: Path, two_pages: Path, tmp_path: Path
) -> None:
    run("underlay", "new.json", plan, *NEW, *SCALE)
    old = (tmp_path / "new.json").read_bytes()
    run("underlay", "new.json", two_pages, "--page", 1, "--floor", "ground_floor", *SCALE)
    (floor,) = job_in(tmp_path / "new.json").site.floors
    assert floor.underlay is not None
    assert floor.underlay.kind == "pdf_page"
    assert (tmp_path / "new.revisions" / "new.r0001.json").read_bytes() == old
    assert len([*(tmp_path / "new.underlays").iterdir()]) == 2


def test_points_close_together_are_told(run: Any, plan: Path) -> None:
    near = ("--point", "100,500", "--point", "130,500", "--distance-m", "1")
    assert "a slip of 2 pixels" in run("underlay", "new.json", plan, *NEW, *near).stdout


@pytest.mark.parametrize(
    ("options", "code", "said"),
    [
        (
            ("--floor", "attic", *SCALE),
            2,
            "there is no storey 'attic'; there are: cellar (Cellar), ground (",
        ),
        (SCALE, 2, "say which storey; there are: cellar (Cellar), ground ("),
        ((*NEW, "--floor", "ground", *SCALE), 2, "one of --floor and --new-floor"),
        (("--new-floor", "Attic", *SCALE), 2, "a new storey needs --elevation-m"),
        (("--floor", "ground", "--height-m", "3", *SCALE), 2, "only with --new-floor"),
        ((*ATTIC, "6", "--height-m", "-3", *SCALE), 2, "height_m: given -3"),
        ((*ATTIC, "nan", "--height-m", "3", *SCALE), 2, "elevation_m: given NaN"),
        ((*ATTIC, "0.2", "--height-m", "3", *SCALE), 2, "ground (Ground floor) is at 0 m already"),
        (("--floor", "ground", *SCALE[:4]), 2, "2 points and no distance were given"),
        (("--floor", "ground", *SCALE[2:]), 2, "1 points and a distance were given"),
        (("--floor", "ground", "--distance-m", "3"), 2, "0 points and a distance"),
        (("--point", "12", *SCALE), 2, "allowed: two numbers with a comma"),
        (("--point", "1,nan", *SCALE), 2, "allowed: two numbers with a comma"),
        (("-o", "x.png", *SCALE), 2, "only without points"),
        (("-o", "x.jpg"), 2, "a file whose name ends in .png. Write 'x.jpg.png'"),
        (("-o", "nowhere/x.png"), 2, "there is no folder 'nowhere'. Make it first"),
        (("-o", "folder.png"), 2, "'folder.png' is a folder"),
        (("-o", "Haus Probst.png"), 2, "the picture itself"),
        (("--page", "two"), 2, "allowed: a whole number"),
        (("--page", "2"), 1, "has no pages"),
        (("--floor", "ground", *SCALE[:5], "0"), 1, "distance given is 0 m"),
        (("--floor", "ground", *SCALE[:5], "9000"), 1, "allowed: 1 to 1000 m"),
        (("--floor", "ground", "--point", "5000,1", *SCALE[2:]), 1, "outside the picture of"),
        (("--floor", "ground", *SCALE, "--at", "900,0"), 1, "within 512 m"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_written(
    run: Any, plan: Path, job_path: Path, options: tuple[str, ...], code: int, said: str
) -> None:
    (job_path.parent / "folder.png").mkdir()
    before = {p: p.read_bytes() for p in job_path.parent.iterdir() if p.is_file()}
    stderr = run("underlay", "job.json", plan, *options, code=code).stderr
    assert said in " ".join(stderr.split())
    assert {p: p.read_bytes() for p in job_path.parent.iterdir() if p.is_file()} == before
    assert not (job_path.parent / "job.underlays").exists()


def test_no_job_says_how_to_make_one(run: Any, plan: Path, tmp_path: Path) -> None:
    stderr = run("underlay", "new.json", plan, "--floor", "ground", *SCALE, code=1).stderr
    assert '--new-floor "Ground floor" --elevation-m 0 --height-m 2.8' in stderr
    assert not (tmp_path / "new.json").exists()


def test_a_storey_of_that_name_is_there_already(run: Any, plan: Path) -> None:
    run("underlay", "new.json", plan, *NEW, *SCALE)
    stderr = run("underlay", "new.json", plan, *NEW, *SCALE, code=2).stderr
    assert "use --floor ground_floor" in " ".join(stderr.split())


def test_a_pdf_of_two_pages_asks_which(run: Any, two_pages: Path) -> None:
    stderr = run("underlay", "new.json", two_pages, code=1).stderr
    assert "has 2 pages. Say which one shows the storey: --page 1 to 2." in stderr


def test_a_text_file_called_png(run: Any, tmp_path: Path) -> None:
    (tmp_path / "plan.png").write_text("no picture")
    assert "is not a picture" in run("underlay", "new.json", "plan.png", code=1).stderr


def test_papers_show_it_and_do_without_when_it_is_gone(
    run: Any, plan: Path, tmp_path: Path
) -> None:
    run("underlay", "new.json", plan, *NEW, *SCALE)
    assert run("papers", "new.json", "-o", "with.pdf").stderr == ""
    (picture,) = (tmp_path / "new.underlays").iterdir()
    picture.unlink()
    assert f"{picture.name} is missing" in run("papers", "new.json", "-o", "gone.pdf").stderr
    assert run("papers", "new.json", "-o", "customer.pdf", "--customer").stderr == ""
    assert images(tmp_path / "with.pdf") == 1
    assert images(tmp_path / "gone.pdf") == images(tmp_path / "customer.pdf") == 0


def images(pdf: Path) -> int:
    with pymupdf.open(pdf) as document:
        return sum(len(page.get_images()) for page in document)
