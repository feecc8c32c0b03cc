"""`pathproof map`: one storey as a map, in words, as JSON or as a picture."""

import json
from dataclasses import asdict
from datetime import datetime
from difflib import get_close_matches
from pathlib import Path
from typing import Annotated, Any, Final

import numpy as np
import typer

from pathproof.assess.context import Context
from pathproof.assess.floor_map import AtPlace, FloorMap, MapKind, MapOf
from pathproof.assess.map_words import value_text
from pathproof.assess.maps import floor_map
from pathproof.assess.strip import MINUS
from pathproof.assess.wording import odds_text
from pathproof.cli._jobs import (
    as_of_moment,
    chosen_floor,
    naming_the_option,
    open_job,
    stored_underlays,
)
from pathproof.cli._options import (
    AsciiOnly,
    AsJson,
    AsOf,
    JobPath,
    LeaveOutLater,
    as_number,
    as_whole_number,
    command_app,
    output_file,
    wrong_use,
)
from pathproof.cli._screen import Screen, busy
from pathproof.job import Floor, Job, Site, write_atomically
from pathproof.terms import JobError

LEAST_CELL_M: Final = 0.01
MOST_CELL_M: Final = 100.0
_DECIMALS: Final = {"ratio": 6}
"""Of values in JSON; 3 for other units."""
_MOST_NAMED: Final = 12
"""Ids that an error message lists."""
_ECHOED: Final = 60
"""Characters of what was given, at most, in an error message."""
_PANEL_THERE: Final = (MapKind.WORST, MapKind.ODDS, MapKind.DEVICE)

app = command_app()


@app.command("map")
def map_storey(
    job_path: JobPath,
    what: Annotated[
        str,
        typer.Option(
            metavar="WHAT",
            help="worst, odds or device:ID for the panel at each place; coverage for a usual "
            "device at each place; network:MCC-MNC for the level of a mobile network.",
        ),
    ] = MapKind.COVERAGE.value,
    floor: Annotated[
        str | None,
        typer.Option(
            metavar="ID", help="Storey, by id or name; may be left out where there is only one."
        ),
    ] = None,
    cell_m: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="M",
            help="Side of a cell; 0.5 and more on large storeys if not given. [m]",
        ),
    ] = None,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output", "-o", metavar="PNG", help="Write the map as a picture, a file in .png."
        ),
    ] = None,
    width_px: Annotated[
        int | None,
        typer.Option(
            parser=as_whole_number, metavar="PX", help="Width of the picture; 1600 if not given."
        ),
    ] = None,
    as_of: AsOf = None,
    leave_out_later: LeaveOutLater = False,
    ascii_only: AsciiOnly = False,
    as_json: AsJson = False,
) -> None:
    """Map a storey: where the panel is heard, how well a place is covered, a network's level.

    A prediction, not proof. A picture shows where the devices are: hand it to nobody.
    """
    mapped = _map_of(what)
    _check_cell(cell_m)
    if output is not None:
        output_file(output, ".png")
    _check_width(width_px, output)
    job = open_job(job_path)
    storey = _storey(job.site, floor)
    _check_about(mapped, job.site)
    moment = as_of_moment(as_of, job.site)
    with busy("Mapping the storey"), naming_the_option():
        Context(job, moment, None, leave_out_later=leave_out_later)  # refuses later entries
        found = floor_map(job, mapped, storey.id, moment, cell_m=cell_m)
    if output is not None:
        under = stored_underlays(job_path, [storey]).get(storey.id)
        _write_picture(output, job, found, moment, width_px, under)
    if as_json:
        typer.echo(json.dumps(map_as_json(found), allow_nan=False))
        return
    screen = Screen(ascii_only=ascii_only)
    if output is not None:
        screen.paragraph((str(output), "bold"))
    show_map(screen, storey, found)


def _storey(site: Site, wanted: str | None) -> Floor:
    """The storey that somebody named, or the only one.

    Raises
    ------
    typer.BadParameter
        No such storey, several of that name, or several and none was named.
    JobError
        The site has no storeys.
    """
    if not site.floors:
        raise JobError(
            "The job has no plan, so there is nothing to map. Read one with pathproof import."
        )
    if wanted is None and len(site.floors) == 1:
        return site.floors[0]
    return chosen_floor(site, wanted)


def map_as_json(found: FloorMap) -> dict[str, Any]:
    """A map as plain data; values to 0.001 dB, null outside the storey or left blank."""
    data = {
        "floor": found.floor,
        "origin": list(found.origin_m),
        "cell_m": found.cell_m,
        "shape": list(found.values.shape),
        "unit": found.unit,
        "required": found.required,
        "values": _rows(found.values, _DECIMALS.get(found.unit, 3)),
        "what": str(found.what),
        "label": found.label,
        "notes": list(found.notes),
    }
    if found.spread_db is not None:
        data["spread_db"] = _rows(found.spread_db, 3)
    data["beside"] = _beside_as_json(found)
    return data


def _beside_as_json(found: FloorMap) -> dict[str, Any]:
    """Figures beside the values; null or empty on maps that have none."""
    decimals = _DECIMALS.get(found.unit, 3)
    return {
        "near_best": found.near_best,
        "held_down_by": [
            {"device": name, "share_ratio": round(share, 6)} for name, share in found.held_down_by
        ],
        "best_held_down_by": found.best_held_down_by,
        "at_places": [
            {
                **asdict(place),
                "value": round(place.value, decimals),
                "odds_all_ratio": round(place.odds_all_ratio, 6),
            }
            for place in found.at_places
        ],
        "odds_all_range": found.odds_all_range and [round(x, 6) for x in found.odds_all_range],
    }


def _rows(values: np.ndarray, decimals: int) -> list[list[float | None]]:
    rows = np.round(values.astype(np.float64), decimals).tolist()
    return [[None if x != x else x for x in row] for row in rows]  # only NaN is not itself


def _map_of(what: str) -> MapOf:
    try:
        return MapOf.parse(what)
    except JobError as error:
        raise wrong_use(error, "--what") from error


def _check_about(mapped: MapOf, site: Site) -> None:
    """A device or network that is not there is wrong use, as is a storey that is not."""
    known = {
        MapKind.DEVICE: [d.id for d in site.devices],
        MapKind.NETWORK: [n.mcc_mnc for n in site.networks],
    }.get(mapped.kind)
    if known is not None and mapped.about not in known:
        near = get_close_matches(mapped.about or "", known)
        has = ", ".join(near or known[:_MOST_NAMED]) or "none"
        more = f" and {len(known) - _MOST_NAMED} more" if len(known) > _MOST_NAMED else ""
        about = mapped.about or ""
        given = about if len(about) <= _ECHOED else f"{about[:_ECHOED]}..."
        raise wrong_use(
            f"there is no {mapped.kind.value} {given!r}; "
            f"{'nearest' if near else 'this site has'}: {has}{'' if near else more}.",
            "--what",
        )


def _check_cell(cell_m: float | None) -> None:
    if cell_m is not None and not LEAST_CELL_M <= cell_m <= MOST_CELL_M:
        raise wrong_use(
            f"given {cell_m:g}; allowed: {LEAST_CELL_M:g} to {MOST_CELL_M:g} m, such as 0.25.",
            "--cell-m",
        )


def _check_width(width_px: int | None, output: Path | None) -> None:
    if width_px is None:
        return
    if output is None:
        raise wrong_use("only a picture has a width: give -o too.", "--width-px")
    from pathproof.papers.map_picture import LEAST_WIDTH_PX, MOST_WIDTH_PX  # the typesetter

    if not LEAST_WIDTH_PX <= width_px <= MOST_WIDTH_PX:
        raise wrong_use(
            f"given {width_px}; allowed: {LEAST_WIDTH_PX} to {MOST_WIDTH_PX}.", "--width-px"
        )


def _write_picture(
    path: Path,
    job: Job,
    found: FloorMap,
    moment: datetime,
    width_px: int | None,
    underlay_png: bytes | None,
) -> None:
    from pathproof.papers import map_picture  # loads the typesetter

    with busy("Drawing the map"):
        width = width_px or map_picture.USUAL_WIDTH_PX
        png = map_picture.map_picture_png(
            job, found, moment, width_px=width, underlay_png=underlay_png
        )
    write_atomically(path, png)


def show_map(screen: Screen, storey: Floor, found: FloorMap) -> None:
    """The map in words."""
    name = storey.id if storey.id == storey.name else f"{storey.name} ({storey.id})"
    screen.paragraph((name, "bold"))
    screen.paragraph(f"{found.label}.")
    mapped = ~np.isnan(found.values)
    rows, columns = found.values.shape
    cells = int(mapped.sum())
    blank = f": {cells} mapped, {found.blank_cells} left blank" if found.blank_cells else ""
    screen.paragraph(
        f"{columns} by {rows} cells of {found.cell_m:g} m, {cells + found.blank_cells} of them "
        f"within the storey{blank}"
    )
    screen.line()
    if mapped.any():
        _show_figures(screen, found, mapped)
        screen.line()
    for note in found.notes:
        screen.paragraph(note)
    screen.paragraph(
        "Worked out between the spots, not read."
        if found.what.kind is MapKind.NETWORK
        else "A prediction, not proof."
    )


def _show_figures(screen: Screen, found: FloorMap, mapped: np.ndarray) -> None:
    best, worst = int(np.nanargmax(found.values)), int(np.nanargmin(found.values))
    if found.values.flat[best] == found.values.flat[worst]:
        screen.paragraph(value_text(float(found.values.flat[best]), found.unit), first="All     ")
    else:
        screen.paragraph(_place_text(found, best), first="Best    ")
        screen.paragraph(_place_text(found, worst), first="Worst   ")
    if found.required is not None:
        cells, met = int(mapped.sum()), int((found.values[mapped] >= found.required).sum())
        asked = "" if found.unit == "dB" else f" of {value_text(found.required, found.unit)}"
        screen.paragraph(
            f"{_percent(met, cells)} of the {'mapped part' if found.blank_cells else 'storey'} "
            f"meets the requirement{asked}: {met} of {cells} cells",
            first="Meets   ",
        )
    if found.spread_db is not None:
        low_db, high_db = np.nanmin(found.spread_db), np.nanmax(found.spread_db)
        screen.paragraph(f"standard deviation {low_db:.1f} to {high_db:.1f} dB", first="Spread  ")
    _show_beside(screen, found)


def _show_beside(screen: Screen, found: FloorMap) -> None:
    """What there is to choose, who holds the map down, and its value at places of the job."""
    if found.near_best > 1 and np.nanmin(found.values) < np.nanmax(found.values):
        near = "1 in 100" if found.unit == "ratio" else "1 dB"
        screen.paragraph(
            f"nothing to choose between {found.near_best} cells: within {near} of the best",
            first="Choice  ",
        )
    if found.held_down_by:
        shares = [f"{name} ({100 * share:.0f} %)" for name, share in found.held_down_by]
        screen.paragraph(
            f"heard worst, by share of the storey: {', '.join(shares)}; in the best cell "
            f"{found.best_held_down_by}",
            first="Device  ",
        )
    if found.odds_all_range is not None:
        low, high = (odds_text(x) for x in found.odds_all_range)
        screen.paragraph(f"that all devices are heard: {low} to {high}", first="Odds    ")
    for place in found.at_places:
        screen.paragraph(_named_place_text(found, place), first="Place   ")


def _named_place_text(found: FloorMap, place: AtPlace) -> str:
    """The value of a map at a place of the job."""
    at = f"x {place.at_m[0]:.2f}, y {place.at_m[1]:.2f} m, {place.height_m:.2f} m up"
    more = f"; worst {place.device}" if found.what.kind is not MapKind.DEVICE else ""
    if found.what.kind is MapKind.WORST:
        more += f", all heard {odds_text(place.odds_all_ratio)}"
    return f"{place.name}: {value_text(place.value, found.unit)}, {at.replace('-', MINUS)}{more}"


def _percent(part: int, whole: int) -> str:
    """Rounded down, so that only the whole is 100 %."""
    return "under 1 %" if 0 < 100 * part < whole else f"{100 * part // whole} %"


def _place_text(found: FloorMap, index: int) -> str:
    """The value of a cell, where its middle is, and how many others have the same value."""
    row, column = divmod(index, found.values.shape[1])
    x = found.origin_m[0] + (column + 0.5) * found.cell_m
    y = found.origin_m[1] + (row + 0.5) * found.cell_m
    there = "panel at " if found.what.kind in _PANEL_THERE else ""
    place = f"{there}x {x:.2f}, y {y:.2f} m".replace("-", MINUS)
    value = float(found.values.flat[index])
    others = int((found.values == value).sum()) - 1
    more = f", and {others} more cell{'s' if others > 1 else ''} alike" if others else ""
    return f"{value_text(value, found.unit)}, {place}{more}"
