"""`pathproof wall`: what a wall takes from a radio link, with the working in words."""

from pathlib import Path
from typing import Annotated

import typer

from pathproof.calc.radio import (
    CLUTTER_FLOOR_DB,
    LINK_ANGLE_CAP_DEG,
    P2040_EDITION,
    P2040_ROWS,
    Layer,
    LinkLoss,
    StackLoss,
    is_extrapolated,
    link_loss,
    stack_loss_db,
)
from pathproof.calc.radio.walls import LINK_BAND_RATIO, LINK_BAND_STEPS
from pathproof.cli._options import AsciiOnly, AsJson, as_number, command_app, wrong_use
from pathproof.cli._screen import Screen, print_json
from pathproof.terms import InvalidInputError, Material, OutOfRangeError

MOST_LAYERS = 40

app = command_app()


@app.command()
def wall(
    frequency_hz: Annotated[
        float,
        typer.Option(
            parser=as_number,
            metavar="HZ",
            help="Carrier frequency, as 868.42e6. [Hz]",
            show_default=False,
        ),
    ],
    layers: Annotated[
        str | None,
        typer.Option(
            metavar="LAYERS",
            help="Layers from outside to inside, each a material and its thickness in metres: "
            "concrete:0.2,air:0.05,plasterboard:0.0125",
        ),
    ] = None,
    construction: Annotated[
        str | None,
        typer.Option(metavar="ID", help="Or: a construction of the library, or of the job."),
    ] = None,
    job: Annotated[
        Path | None,
        typer.Option(metavar="JOB", help="A job file whose own constructions count too."),
    ] = None,
    angle_deg: Annotated[
        float,
        typer.Option(
            parser=as_number, metavar="DEG", help="Angle of incidence, 0 is straight through. [deg]"
        ),
    ] = 0.0,
    as_json: AsJson = False,
    ascii_only: AsciiOnly = False,
) -> None:
    """Work out what a wall takes from a radio link.

    The first three losses are the exact stack at this one frequency and angle. The link loss is
    what predictions use: the same wall, more cautiously.
    """
    if (layers is None) == (construction is None):
        raise wrong_use("give one of --layers and --construction", "--layers")
    if job is not None and construction is None:
        raise wrong_use("only to look a construction up: give --construction too", "--job")
    if construction is not None:
        name, stack, fixed_loss_db, source = _known(construction, job)
    else:
        name, stack, fixed_loss_db, source = "Wall", parse_layers(layers or ""), None, ""
    try:
        exact = stack_loss_db(stack, frequency_hz, angle_deg)
        link = link_loss(stack, frequency_hz, angle_deg)
    except (InvalidInputError, OutOfRangeError) as error:
        option = "--angle-deg" if "angle" in str(error) else "--frequency-hz"
        raise wrong_use(error, option) from error
    screen = Screen(ascii_only=ascii_only)
    if fixed_loss_db is not None:
        _show_fixed(screen, name, fixed_loss_db, source, as_json=as_json)
    elif as_json:
        print_json(
            {
                "loss_te_db": exact.te_db,
                "loss_tm_db": exact.tm_db,
                "loss_mean_db": exact.mean_db,
                "loss_link_db": link.loss_db,
                "extrapolated": exact.extrapolated,
                "edition": P2040_EDITION,
            }
        )
    else:
        _show(screen, name, stack, frequency_hz, angle_deg, exact, link)


def parse_layers(text: str) -> list[Layer]:
    """Layers of the option --layers.

    Raises
    ------
    typer.BadParameter
        A material that is not known, or a thickness that is none.
    """
    pieces = [piece.strip() for piece in text.split(",") if piece.strip()]
    if not 1 <= len(pieces) <= MOST_LAYERS:
        raise wrong_use(
            f"{len(pieces)} layers were given; a wall has 1 to {MOST_LAYERS}, such as "
            "concrete:0.2,air:0.05,plasterboard:0.0125.",
            "--layers",
        )
    return [_layer(piece) for piece in pieces]


def _layer(piece: str) -> Layer:
    material, _, thickness = piece.partition(":")
    if material.strip() not in set(Material):
        raise wrong_use(
            f"there is no material {material.strip()!r}; allowed: {', '.join(sorted(Material))}.",
            "--layers",
        )
    try:
        return Layer(Material(material.strip()), float(thickness))
    except InvalidInputError as error:
        raise wrong_use(f"{material}: {error}", "--layers") from error
    except ValueError as error:
        raise wrong_use(
            f"the thickness in {piece!r} is not a number; write it in metres, as concrete:0.2.",
            "--layers",
        ) from error


def _known(construction_id: str, job: Path | None) -> tuple[str, list[Layer], float | None, str]:
    """Name, layers or fixed loss, and source of a construction; a job's own come first."""
    from pathproof.cli._jobs import open_job  # the models, which --layers does without
    from pathproof.job.home import user_library

    known = dict(user_library().constructions)
    if job is not None:
        opened = open_job(job)
        known |= {**opened.embedded.constructions, **opened.site.constructions}
    if construction_id not in known:
        raise wrong_use(
            f"there is no construction {construction_id!r}; known are {', '.join(sorted(known))}.",
            "--construction",
        )
    found = known[construction_id]
    layers = [Layer(x.material, x.thickness_m) for x in found.layers]
    source = f"{found.source.ref} ({found.source.evidence})"
    return found.name, layers, found.fixed_loss_db, source


def _show_fixed(screen: Screen, name: str, loss_db: float, source: str, *, as_json: bool) -> None:
    if as_json:
        print_json(
            {
                "loss_te_db": None,
                "loss_tm_db": None,
                "loss_mean_db": None,
                "loss_link_db": loss_db,
                "extrapolated": False,
                "edition": source,
            }
        )
        return
    screen.paragraph((name, "bold"))
    screen.paragraph(
        f"{loss_db:.1f} dB at any angle and frequency: a fixed loss, because its layers would not "
        "tell the truth or are not known."
    )
    screen.paragraph(f"Source: {source}.")


def _show(
    screen: Screen,
    name: str,
    stack: list[Layer],
    frequency_hz: float,
    angle_deg: float,
    exact: StackLoss,
    link: LinkLoss,
) -> None:
    sheets = ", ".join(f"{x.material} {x.thickness_m * 1000:g} mm" for x in stack)
    screen.paragraph((name, "bold"), f", outside to inside: {sheets}")
    screen.paragraph(f"at {frequency_hz / 1e6:g} MHz, {angle_deg:g}° from straight through")
    screen.line()
    for value_db, what in (
        (exact.te_db, "electric field along the wall (TE)"),
        (exact.tm_db, "magnetic field along the wall (TM)"),
        (exact.mean_db, "mean power of both"),
        (link.loss_db, "what a link is charged"),
    ):
        style = "bold" if value_db is link.loss_db else ""
        screen.paragraph((what, style), first=f"{value_db:8.2f} dB  ")
    screen.heading("How the link loss comes about")
    for number, text in enumerate(_working(stack, frequency_hz, angle_deg, link), start=1):
        screen.paragraph(text, first=f"{number}. ")


def _working(
    stack: list[Layer], frequency_hz: float, angle_deg: float, link: LinkLoss
) -> list[str]:
    low, high = (x * frequency_hz / 1e6 for x in (1 - LINK_BAND_RATIO, 1 + LINK_BAND_RATIO))
    lines = [
        f"Angle {link.angle_used_deg:g}°"
        + (
            f", not {angle_deg:g}°: beyond {LINK_ANGLE_CAP_DEG:g}° a wave goes round."
            if link.angle_used_deg != angle_deg
            else "."
        ),
        f"Mean power over both fields and {LINK_BAND_STEPS} frequencies from {low:.1f} to "
        f"{high:.1f} MHz: a real wall is never even enough for the ripple of one frequency.",
        f"{link.extrapolated_db:.2f} dB with each conductivity following its formula, "
        f"{link.held_db:.2f} dB with it held at the end of the table's range; the larger counts"
        + (f", and at least {CLUTTER_FLOOR_DB:g} dB" if link.floor_db else "")
        + f": {link.loss_db:.2f} dB.",
    ]
    beyond = sorted({x.material for x in stack if is_extrapolated(x.material, frequency_hz)})
    for material in beyond:
        spans = " and ".join(f"{r.low_ghz:g} to {r.high_ghz:g} GHz" for r in P2040_ROWS[material])
        lines.append(f"Extrapolated: {material} is known from {spans}.")
    return [
        *lines,
        f"Sources: Rec. ITU-R {P2040_EDITION} (restated); the stack of layers (computed); the "
        "link rule is our own (practice).",
    ]
