"""`pathproof underlay`: a picture or a page of a PDF under a storey, with its scale."""

import math
from pathlib import Path
from shlex import quote
from typing import Annotated, Any

import typer

from pathproof.cli._jobs import chosen_floor, open_job
from pathproof.cli._options import (
    AsJson,
    as_number,
    as_whole_number,
    command_app,
    output_file,
    wrong_use,
)
from pathproof.cli._screen import Screen, busy, print_json
from pathproof.cli.plan import NEUTRAL_NAME
from pathproof.job import (
    Floor,
    Job,
    Site,
    Underlay,
    store_underlay,
    write_atomically,
    write_job,
)
from pathproof.job.home import user_library
from pathproof.job.storeys import SAME_HEIGHT_M, new_storey, with_underlay
from pathproof.plans.picture import Picture, Scaling, read_picture_apart, scaled, with_ruler
from pathproof.terms import JobError

Point = tuple[float, float]

app = command_app()


def as_point(text: str) -> Point:
    """The two numbers of an option such as 120,85.

    Raises
    ------
    typer.BadParameter
        Not two numbers.
    """
    try:
        x, y = (float(number) for number in text.split(","))
    except ValueError:
        x = y = math.nan
    if not (math.isfinite(x) and math.isfinite(y)):
        raise typer.BadParameter(
            f"given {text!r}; allowed: two numbers with a comma and no blank between, such as "
            "120,85 or 2.5,-3."
        )
    return x, y


@app.command()
def underlay(
    job_path: Annotated[
        Path,
        typer.Argument(
            metavar="JOB",
            help="A job file; with --new-floor it may be a new one.",
            show_default=False,
        ),
    ],
    plan: Annotated[
        Path,
        typer.Argument(
            metavar="PICTURE",
            help="A picture (PNG, JPEG, TIFF, BMP, GIF, WebP) or a PDF.",
            show_default=False,
        ),
    ],
    page: Annotated[
        int | None,
        typer.Option(parser=as_whole_number, metavar="N", help="Page of the PDF, from 1."),
    ] = None,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="PNG",
            help="First step: where to write the picture with a grid to read points off.",
        ),
    ] = None,
    point: Annotated[
        list[Any] | None,
        typer.Option(
            parser=as_point,
            metavar="X,Y",
            help="Second step, twice: the ends of a length you know, in pixels from the upper "
            "left corner to the right and down.",
        ),
    ] = None,
    distance_m: Annotated[
        float | None,
        typer.Option(parser=as_number, metavar="M", help="That length in the building. [m]"),
    ] = None,
    floor: Annotated[
        str | None,
        typer.Option(metavar="ID", help="The storey that the picture shows, by id or name."),
    ] = None,
    new_floor: Annotated[
        str | None,
        typer.Option(metavar="NAME", help="Or: a storey to be made, with the two figures below."),
    ] = None,
    elevation_m: Annotated[
        float | None,
        typer.Option(
            parser=as_number, metavar="M", help="Its floor above the site's zero, as 0 or 2.8. [m]"
        ),
    ] = None,
    height_m: Annotated[
        float | None,
        typer.Option(parser=as_number, metavar="M", help="From its floor to the next, as 2.8. [m]"),
    ] = None,
    at: Annotated[
        Any,
        typer.Option(
            parser=as_point,
            metavar="X,Y",
            help="Where the first point is on the site; the same corner on every storey lines "
            "them up. If not given, the picture's lower left corner is at 0,0. [m]",
        ),
    ] = None,
    direction_deg: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="DEG",
            help="Turn the picture: direction from the first point to the second on the site, 0 "
            "is along x, 90 along y. [deg]",
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Put a picture or a page of a PDF under a storey, to scale.

    Walls can then be drawn over it. Two steps: without points, the picture is written with a grid;
    read two points off it whose distance you know, and give both with that distance.
    """
    points: list[Point] = point or []
    if not points and distance_m is None:
        path = _grid_path(plan, output)
        picture = _read(plan, page)
        write_atomically(path, with_ruler(picture))
        _show_grid(path, picture, _next_command(job_path, plan, page, floor), as_json=as_json)
        return
    if output is not None:
        raise wrong_use("only without points, for the picture with the grid.", "--output")
    if len(points) != 2 or distance_m is None:
        raise wrong_use(
            f"{len(points)} points and {'no' if distance_m is None else 'a'} distance were given; "
            "a scale takes --point twice and --distance-m.",
            "--point",
        )
    job, storey = _with_storey(job_path, floor, new_floor, elevation_m, height_m)
    picture = _read(plan, page)
    scaling = Scaling(
        points_px=(points[0], points[1]),
        distance_m=distance_m,
        first_at_m=at,
        direction_deg=direction_deg,
    )
    under, notes = scaled(picture, scaling)
    store_underlay(job_path, picture.png)
    saved = write_job(job_path, with_underlay(job, storey, under), user_library())
    _show(job_path, saved, storey, under, (*picture.notes, *notes), as_json=as_json)


def _read(plan: Path, page: int | None) -> Picture:
    with busy("Reading the picture"):
        return read_picture_apart(plan, page)


def _grid_path(plan: Path, output: Path | None) -> Path:
    """Where the picture with the grid goes.

    Raises
    ------
    typer.BadParameter
        Not a PNG, in no folder, or the picture itself.
    """
    path = output_file(Path(f"{plan.stem}-grid.png") if output is None else output, ".png")
    if path.exists() and plan.exists() and path.samefile(plan):
        raise wrong_use("this is the picture itself; name another file.", "--output")
    return path


def _with_storey(
    job_path: Path,
    floor: str | None,
    new_floor: str | None,
    elevation_m: float | None,
    height_m: float | None,
) -> tuple[Job, Floor]:
    """The job as it is and the storey that the picture belongs to, found or made.

    Raises
    ------
    JobError
        There is no such job or storey.
    typer.BadParameter
        Nobody said which storey, or a new one has no height.
    """
    if new_floor is None and not job_path.exists():
        raise JobError(
            f"There is no job file {job_path}. To make one with a storey that is only a picture, "
            'give --new-floor "Ground floor" --elevation-m 0 --height-m 2.8 (your figures).'
        )
    job = open_job(job_path) if job_path.exists() else Job(site=Site(name=NEUTRAL_NAME))
    if new_floor is None:
        if elevation_m is not None or height_m is not None:
            raise wrong_use(
                "only with --new-floor; an existing storey keeps its own.", "--height-m"
            )
        otherwise = "Or make one: --new-floor NAME --elevation-m M --height-m M."
        return job, chosen_floor(job.site, floor, otherwise=otherwise)
    if floor is not None:
        raise wrong_use("give one of --floor and --new-floor", "--floor")
    if elevation_m is None or height_m is None:
        raise wrong_use(
            "a new storey needs --elevation-m (its floor above the site's zero) and --height-m "
            "(to the next floor), such as --elevation-m 0 --height-m 2.8.",
            "--new-floor",
        )
    return job, _made(job, new_floor, elevation_m, height_m)


def _made(job: Job, name: str, elevation_m: float, height_m: float) -> Floor:
    for other in job.site.floors:
        if other.name.casefold() == name.casefold():
            raise wrong_use(
                f"there is a storey of this name already; use --floor {other.id}.", "--new-floor"
            )
        if abs(other.elevation_m - elevation_m) < SAME_HEIGHT_M:
            raise wrong_use(
                f"the storey {other.id} ({other.name}) is at {other.elevation_m:g} m already; use "
                f"--floor {other.id}, or give the height of another.",
                "--elevation-m",
            )
    try:
        return new_storey(job.site, name, elevation_m, height_m)
    except JobError as error:
        raise wrong_use(str(error), "--new-floor") from error


def _next_command(job_path: Path, plan: Path, page: int | None, floor: str | None) -> str:
    """The second step, with what is still to be filled in in capitals."""
    words = ["pathproof", "underlay", quote(str(job_path)), quote(str(plan))]
    words += [] if page is None else ["--page", str(page)]
    if job_path.exists():
        words += ["--floor", "ID" if floor is None else quote(floor)]
    else:
        words += ["--new-floor", "NAME", "--elevation-m", "M", "--height-m", "M"]
    return " ".join([*words, "--point", "X,Y", "--point", "X,Y", "--distance-m", "M"])


def _show_grid(path: Path, picture: Picture, following: str, *, as_json: bool) -> None:
    if as_json:
        print_json(
            {
                "picture": str(path),
                "width_px": picture.width_px,
                "height_px": picture.height_px,
                "kind": picture.kind,
                "page": picture.page,
                "notes": list(picture.notes),
            }
        )
        return
    screen = Screen()
    screen.paragraph(
        (str(path), "bold"), f": {picture.width_px} x {picture.height_px} pixels, with a grid"
    )
    for note in picture.notes:
        screen.paragraph(note)
    screen.line()
    screen.paragraph(
        "Open it and find a length that you know, as long as there is: a dimension line, an outer "
        "wall that you measured. Read x and y of both its ends off the grid, or off the pointer "
        "in a program that shows pictures. Then:"
    )
    screen.line(f"  {following}")


def _show(
    path: Path, job: Job, storey: Floor, under: Underlay, notes: tuple[str, ...], *, as_json: bool
) -> None:
    size_m = (under.width_px * under.m_per_px, under.height_px * under.m_per_px)
    if as_json:
        print_json(
            {
                "job": str(path),
                "revision": job.revision,
                "floor": storey.id,
                "underlay": under.model_dump(mode="json"),
                "size_m": size_m,
                "notes": notes,
            }
        )
        return
    screen = Screen()
    screen.paragraph(
        (str(path), "bold"),
        f": {storey.name} ({storey.id}) has an underlay; revision {job.revision}",
    )
    screen.paragraph(
        f"The picture shows {size_m[0]:.2f} x {size_m[1]:.2f} m, {under.m_per_px * 1000:.1f} mm a "
        f"pixel; its lower left corner is at x {under.origin[0]:.2f}, y {under.origin[1]:.2f} m"
        + (f", turned by {under.rotation_deg:.2f}°" if under.rotation_deg else "")
        + ". Is that about right? If not, give other points; the picture is replaced."
    )
    for note in notes:
        screen.paragraph(note)
    screen.paragraph(
        "What is printed on the picture stays in it, names too. Hand the folder "
        f"{path.stem}.underlays on together with the job file."
    )
