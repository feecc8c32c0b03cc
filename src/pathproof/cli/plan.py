"""`pathproof import`: a plan into a job file, and what became of it."""

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Annotated, Any, Final

import typer
from pydantic import ValidationError

from pathproof.cli._jobs import open_job
from pathproof.cli._messages import complain
from pathproof.cli._options import AsJson, as_number, command_app, given, one_of, wrong_use
from pathproof.cli._screen import Screen, print_json, progress_bar
from pathproof.job import Job, Site, write_job
from pathproof.job.home import user_library
from pathproof.plans import (
    MaterialMap,
    PlanImport,
    Report,
    Unit,
    import_dxf_apart,
    import_ifc_apart,
    load_drawing_notes,
    load_material_map,
    merge_plan,
    moved_storeys,
)

NEUTRAL_NAME: Final = "New site"
"""A plan's own names may be those of its authors or owners, so none of them is taken."""

_DRAWINGS: Final = (".dxf", ".dwg")
_PICTURES: Final = (".pdf", ".png", ".jpg", ".jpeg", ".tif", ".tiff", ".bmp", ".gif", ".webp")
_OPTIONS: Final = {"without": "not-walls", "storey_height_m": "storey-height"}

app = command_app()


@app.command("import")
def import_plan(
    plans: Annotated[
        list[Path],
        typer.Argument(
            metavar="PLAN",
            help="An IFC file, or DXF files: one for each storey, from the lowest up.",
            show_default=False,
        ),
    ],
    output: Annotated[
        Path,
        typer.Option(
            "--output",
            "-o",
            metavar="JOB",
            help="The job file. Where there is one, only what came from a plan is replaced.",
            show_default=False,
        ),
    ],
    materials: Annotated[
        Path | None,
        typer.Option(metavar="TOML", help="What the plan's unknown materials and build-ups are."),
    ] = None,
    walls: Annotated[
        list[str] | None,
        typer.Option(
            metavar="LAYER",
            help="DXF: a layer that holds walls, as 'A-WALL*'; several times for several. "
            "By their names if not given.",
        ),
    ] = None,
    not_walls: Annotated[
        list[str] | None,
        typer.Option(metavar="LAYER", help="DXF: a layer to leave out, as '*GARDEN*'."),
    ] = None,
    unit: Annotated[
        Unit | None,
        typer.Option(
            parser=one_of(Unit),
            metavar="UNIT",
            help=f"DXF: what the drawing is in: {', '.join(Unit)}; by its header if not given.",
        ),
    ] = None,
    storey_height_m: Annotated[
        float | None,
        typer.Option(
            "--storey-height",
            parser=as_number,
            metavar="M",
            help="DXF: from floor to floor; 2.7 guessed if not given. [m]",
        ),
    ] = None,
    notes: Annotated[
        Path | None,
        typer.Option(
            metavar="TOML",
            help="DXF: constructions by layer, walls drawn as one line, names and heights of "
            "storeys.",
        ),
    ] = None,
    name: Annotated[
        str | None,
        typer.Option(metavar="NAME", help=f'Name of the site; "{NEUTRAL_NAME}" if not given.'),
    ] = None,
    country: Annotated[
        str | None, typer.Option(metavar="CODE", help="Country, two letters of ISO 3166.")
    ] = None,
    time_zone: Annotated[
        str | None, typer.Option(metavar="ZONE", help="Time zone, as Europe/Vienna.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Read walls, openings and floors of a plan into a job file.

    Says line by line what was mapped, guessed and left out. Name what was guessed in a file for
    --materials and import again: devices, record and everything else stay. Names and addresses of
    authors and owners are never read. Of a DXF drawing the layers and the unit are found out or
    asked for.
    """
    before = open_job(output) if output.exists() else Job(site=Site(name=NEUTRAL_NAME))
    site = _with_settings(before.site, given(name=name, country=country, time_zone=time_zone))
    own_map = None if materials is None else load_material_map(materials)
    drawing = given(
        walls=walls, without=not_walls, unit=unit, storey_height_m=storey_height_m, notes=notes
    )
    found = _read(plans, own_map, drawing)
    job = before.model_copy(update={"site": merge_plan(site, found)})
    saved = write_job(output, job, user_library())
    for warning in (*found.report.warnings, *moved_storeys(site, found)):
        complain(f"Warning: {warning}")
    if as_json:
        print_json(found.report.as_dict())
    else:
        _show(Screen(), found.report, saved, output)


def _read(
    plans: Sequence[Path], own_map: MaterialMap | None, drawing: dict[str, Any]
) -> PlanImport:
    for plan in plans:
        if plan.suffix.lower() in _PICTURES:
            raise wrong_use(
                f"{plan.name} is a picture, from which no walls can be read; pathproof underlay "
                "puts it under a storey, to draw them over it",
                "PLAN",
            )
    drawings = [plan.suffix.lower() in _DRAWINGS for plan in plans]
    if not all(drawings):
        if len(plans) > 1:
            raise wrong_use("give one IFC file, or DXF files only, one for each storey", "PLAN")
        if drawing:
            option = _OPTIONS.get(first := next(iter(drawing)), first)
            raise wrong_use(f"it is for DXF drawings; {plans[0].name} is none", f"--{option}")
    if notes := drawing.get("notes"):
        drawing["notes"] = load_drawing_notes(notes)
    with progress_bar() as progress:
        if all(drawings):
            return import_dxf_apart(plans, materials=own_map, progress=progress, **drawing)
        return import_ifc_apart(plans[0], materials=own_map, progress=progress)


def _with_settings(site: Site, settings: dict[str, Any]) -> Site:
    try:
        return Site.model_validate({**dict(site), **settings})
    except ValidationError as error:
        first = error.errors()[0]
        option = str(first["loc"][0]).replace("_", "-") if first["loc"] else "name"
        raise wrong_use(first["msg"].removeprefix("Value error, "), f"--{option}") from error


def _show(screen: Screen, report: Report, job: Job, path: Path) -> None:
    screen.paragraph(
        (str(path), "bold"),
        f": {_counted(report.storeys, 'storey')}, {_counted(report.walls, 'wall')}, "
        f"{_counted(report.openings, 'opening')}, {_counted(report.slabs, 'slab')}; "
        f"revision {job.revision}",
    )
    _show_storeys(screen, job.site)
    _show_lines(screen, "Mapped", ((m.count, f"{m.name}: {m.material}") for m in report.mapped))
    _show_lines(
        screen, "Guessed", ((g.count, f"{g.what}: {g.as_} ({g.why})") for g in report.guessed)
    )
    _show_lines(screen, "Left out", ((x.count, f"{x.what} ({x.why})") for x in report.left_out))
    screen.line()
    if report.guessed:
        screen.paragraph("Name what was guessed in a file for --materials and import again.")
    screen.paragraph(
        "Next: put panel, devices and communicator into the job file (pathproof schema prints what "
        "it may hold), then pathproof assess."
    )


def _show_storeys(screen: Screen, site: Site) -> None:
    """What has to be known to place a device by hand."""
    if not site.floors:
        return
    screen.heading("Storeys")
    for floor in sorted(site.floors, key=lambda f: f.elevation_m):
        points = [p for w in site.walls if w.floor == floor.id for p in (w.start, w.end)]
        points += [p for s in floor.slabs for p in s.outline or []]
        extent = "no walls"
        if points:
            (x0, x1), (y0, y1) = ((min(c), max(c)) for c in zip(*points, strict=True))
            extent = f"x {x0:.2f} to {x1:.2f}, y {y0:.2f} to {y1:.2f} m"
        screen.paragraph(
            f"{floor.name}: floor at {floor.elevation_m:.2f} m, {floor.height_m:.2f} m high, "
            f"{extent}",
            first=(f"{floor.id}  ", "bold"),
        )
    screen.paragraph(
        "To place a device, give its storey's id as floor and [x, y] as at, in metres. Read x and "
        "y off the plan that pathproof papers draws: its axes are in metres, x to the right, y up."
    )


def _show_lines(screen: Screen, title: str, lines: Iterable[tuple[int, str]]) -> None:
    shown = list(lines)
    if shown:
        screen.heading(title)
    for count, text in shown:
        screen.paragraph(text, first=f"{count:>5}  ")


def _counted(count: int, what: str) -> str:
    return f"{count} {what}" + ("" if count == 1 else "s")
