"""`pathproof feeder`: what the cable to an antenna takes, and how much of it a better one bears."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import Annotated, Final

import typer

from pathproof.assess.antenna_care import CARE
from pathproof.calc.radio import (
    COAX_TYPES,
    CONNECTOR_GOOD_DB,
    CONNECTOR_PLANNING_DB,
    CoaxLoss,
    CoaxType,
    break_even_length_m,
    coax_loss,
    feeder_loss_db,
    mismatch_loss_db,
    return_loss_db,
    return_loss_seen_db,
)
from pathproof.calc.radio.sources import COAX_SPREAD, CONNECTORS, FEEDER, MISMATCH
from pathproof.cli._options import (
    AsciiOnly,
    AsJson,
    as_number,
    as_whole_number,
    command_app,
    wrong_use,
    wrong_value,
)
from pathproof.cli._screen import Screen, print_json
from pathproof.cli._sources import Cited, cited
from pathproof.job import FeederPart
from pathproof.job.home import user_library
from pathproof.terms import InvalidInputError, OutOfRangeError

LONGEST_M: Final = 1000.0
MOST_DB_PER_100M: Final = 10_000.0
MOST_CONNECTORS: Final = 10
WORST_VSWR: Final = 20.0
MOST_GAIN_DB: Final = 50.0

app = command_app()


@dataclass(frozen=True, kw_only=True)
class _Cable:
    """A cable of the catalogue, or a class of cables."""

    name: str
    k1_db_per_100m: float
    k2_db_per_100m: float
    connector_db: float
    known_as: CoaxType | None
    """Class with these factors: where they were fitted, and how far tables differ."""
    source: Cited
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class _Losses:
    """What lies between module and antenna."""

    loss_db: float
    known: CoaxLoss | None
    """With the range that tables span, where the cable's class is known."""
    connectors_db: float
    vswr: float | None
    break_even_m: float | None

    @property
    def mismatch_db(self) -> float:
        return 0.0 if self.vswr is None else float(mismatch_loss_db(self.vswr))

    @property
    def total_db(self) -> float:
        return self.loss_db + self.connectors_db + self.mismatch_db


@app.command()
def feeder(
    cable: Annotated[
        str,
        typer.Option(
            metavar="NAME",
            help=f"A feeder of the catalogue, or a class of cable: {', '.join(COAX_TYPES)}.",
            show_default=False,
        ),
    ],
    length_m: Annotated[
        float, typer.Option(parser=as_number, metavar="M", help="Length. [m]", show_default=False)
    ],
    frequency_hz: Annotated[
        float,
        typer.Option(
            parser=as_number,
            metavar="HZ",
            help="Highest frequency in use, as 1800e6. [Hz]",
            show_default=False,
        ),
    ],
    connectors: Annotated[
        int,
        typer.Option(
            parser=as_whole_number, metavar="N", help="Pairs of plug and socket on the way."
        ),
    ] = 2,
    vswr: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="RATIO",
            help="Standing wave ratio of the antenna, as its papers state it.",
        ),
    ] = None,
    gain_db: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="DB",
            help="What the antenna has more gain than the one it replaces: says how long a feeder "
            "may be before that is spent. [dB]",
        ),
    ] = None,
    as_json: AsJson = False,
    ascii_only: AsciiOnly = False,
) -> None:
    """Work out what the cable to an antenna takes, and when a better antenna stops helping."""
    _check("--length-m", length_m, 0.0, LONGEST_M)
    _check("--connectors", connectors, 0, MOST_CONNECTORS)
    if vswr is not None:
        _check("--vswr", vswr, 1.0, WORST_VSWR)
    if gain_db is not None:
        _check("--gain-db", gain_db, -MOST_GAIN_DB, MOST_GAIN_DB)
    chosen = _chosen(cable)
    try:
        losses = _work_out(chosen, frequency_hz, length_m, connectors, vswr, gain_db)
    except (InvalidInputError, OutOfRangeError) as error:
        raise wrong_value(error) from error
    if as_json:
        print_json(_as_json(chosen, losses))
        return
    screen = Screen(ascii_only=ascii_only)
    screen.paragraph((chosen.name, "bold"), f", {length_m:g} m at {frequency_hz / 1e6:g} MHz")
    screen.line()
    _show(screen, losses, connectors, gain_db)
    lines = _working(chosen, losses, frequency_hz, length_m, connectors)
    screen.steps("How this comes about", lines)
    screen.points("Care", CARE)


def _check(option: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise wrong_use(f"given {value:g}; allowed: {low:g} to {high:g}.", option)


def _chosen(name: str) -> _Cable:
    """The cable by its catalogue entry, or else by its class."""
    parts = user_library().parts
    part = parts.get(name)
    if isinstance(part, FeederPart):
        factors = (part.k1_db_per_100m, part.k2_db_per_100m)
        known = (c for c in COAX_TYPES.values() if factors == (c.k1_db_per_100m, c.k2_db_per_100m))
        return _Cable(
            name=part.name,
            k1_db_per_100m=part.k1_db_per_100m,
            k2_db_per_100m=part.k2_db_per_100m,
            connector_db=part.connector_loss_db,
            known_as=next(known, None),
            source=part.source,
            note=part.note,
        )
    coax = COAX_TYPES.get(name.lower().replace("-", ""))
    if coax is None:
        feeders = [i for i, p in parts.items() if isinstance(p, FeederPart)]
        there_are = (*COAX_TYPES, *sorted(feeders))
        near = get_close_matches(name, there_are, n=1)
        what = (
            f"{name!r} is no feeder but of kind {part.kind}"
            if part
            else f"there is no feeder {name!r}"
        )
        hint = f" Did you mean {near[0]}?" if near and not part else ""
        raise wrong_use(f"{what}; allowed: {', '.join(there_are)}.{hint}", "--cable")
    return _Cable(
        name=f"Coaxial cable, {coax.name}",
        k1_db_per_100m=coax.k1_db_per_100m,
        k2_db_per_100m=coax.k2_db_per_100m,
        connector_db=CONNECTOR_PLANNING_DB,
        known_as=coax,
        source=coax.source,
    )


def _work_out(
    cable: _Cable,
    frequency_hz: float,
    length_m: float,
    connectors: int,
    vswr: float | None,
    gain_db: float | None,
) -> _Losses:
    factors = (cable.k1_db_per_100m, cable.k2_db_per_100m, frequency_hz)
    losses = _Losses(
        loss_db=feeder_loss_db(*factors, length_m),
        known=coax_loss(cable.known_as, frequency_hz, length_m) if cable.known_as else None,
        connectors_db=connectors * cable.connector_db,
        vswr=vswr,
        break_even_m=None,
    )
    per_100m_db = feeder_loss_db(*factors, 100.0)
    if not 0.0 < per_100m_db < MOST_DB_PER_100M or cable.connector_db < 0.0:
        raise wrong_use(
            f"by its catalogue entry it loses {per_100m_db:g} dB per 100 m and "
            f"{cable.connector_db:g} dB a connector pair, as no cable does; correct the entry.",
            "--cable",
        )
    if gain_db is None:
        return losses
    others_db = losses.connectors_db + losses.mismatch_db
    return replace(losses, break_even_m=break_even_length_m(gain_db, others_db, per_100m_db))


def _as_json(cable: _Cable, losses: _Losses) -> dict[str, object]:
    known = losses.known
    return {
        "loss_db": losses.loss_db,
        "evidence": str(cable.source.evidence),
        "source": cable.source.ref,
        "extrapolated": None if known is None else known.extrapolated,
        "low_db": None if known is None else known.low_db,
        "high_db": None if known is None else known.high_db,
        "connectors_db": losses.connectors_db,
        "mismatch_db": None if losses.vswr is None else losses.mismatch_db,
        "total_db": losses.total_db,
        "break_even_m": losses.break_even_m,
    }


def _show(screen: Screen, losses: _Losses, connectors: int, gain_db: float | None) -> None:
    rows = [
        (losses.loss_db, "the cable"),
        (losses.connectors_db, f"{_pairs(connectors)} of plug and socket"),
    ]
    if losses.vswr is not None:
        rows.append((losses.mismatch_db, f"mismatch of the antenna, VSWR {losses.vswr:g}"))
    for loss_db, what in rows:
        screen.paragraph(what, first=f"{loss_db:8.2f} dB  ")
    screen.paragraph(("together", "bold"), first=f"{losses.total_db:8.2f} dB  ")
    if losses.break_even_m is not None and gain_db is not None:
        screen.line()
        screen.paragraph(_verdict(losses.break_even_m, gain_db, gain_db - losses.total_db))


def _verdict(break_even_m: float, gain_db: float, left_db: float) -> str:
    spent = (
        f"{gain_db:g} dB more gain are spent by {break_even_m:.1f} m of this cable"
        if break_even_m > 0.0
        else f"{gain_db:g} dB more gain do not make up for the rest at any length of this cable"
    )
    left = f"{left_db:.1f} dB are left" if left_db > 0.0 else f"{-left_db:.1f} dB are lost"
    return (
        f"{spent}: with what you have, {left}. That is at the same place; what a better place "
        "brings, readings there tell."
    )


def _working(
    cable: _Cable, losses: _Losses, frequency_hz: float, length_m: float, connectors: int
) -> Iterator[str]:
    f_mhz = frequency_hz / 1e6
    yield (
        f"({cable.k1_db_per_100m:g} × root of {f_mhz:g} + {cable.k2_db_per_100m:g} × {f_mhz:g}) dB "
        f"× {length_m:g} m / 100 m = {losses.loss_db:.2f} dB, nominal at 20 °C."
    )
    sources: list[Cited] = [FEEDER, cable.source]
    if cable.known_as is not None and losses.known is not None:
        yield from _class_working(cable.known_as, losses.known)
        sources.append(COAX_SPREAD)
    else:
        yield (
            f"Over which frequencies this holds, the cable's own papers tell. {cable.note}".rstrip()
        )
    yield (
        f"{_pairs(connectors)} × {cable.connector_db:g} dB, to plan with; good ones, clean and "
        f"tight, lose {CONNECTOR_GOOD_DB:g} dB each."
    )
    sources.append(CONNECTORS)
    if losses.vswr is not None:
        yield from _mismatch_working(losses.vswr, losses.loss_db)
        sources.append(MISMATCH)
    yield f"Sources: {'; '.join(map(cited, sources))}."


def _pairs(connectors: int) -> str:
    return f"{connectors} pair" if connectors == 1 else f"{connectors} pairs"


def _class_working(cable: CoaxType, loss: CoaxLoss) -> Iterator[str]:
    yield (
        f"Tables of {cable.name} cables differ by ±{cable.tolerance_ratio * 100:g} %: "
        f"{loss.low_db:.2f} to {loss.high_db:.2f} dB."
    )
    if loss.extrapolated:
        yield (
            f"Extrapolated: the factors were fitted from {cable.low_hz / 1e6:g} to "
            f"{cable.high_hz / 1e6:g} MHz."
        )


def _mismatch_working(vswr: float, loss_db: float) -> Iterator[str]:
    yield "Mismatch: -10 log of (1 less the square of the reflection), into a module that fits."
    if vswr == 1.0:
        return
    own_db = return_loss_db(vswr)
    seen_db = return_loss_seen_db(own_db, loss_db)
    yield (
        f"A return loss of {own_db:.1f} dB at the antenna reads {seen_db:.1f} dB at the module's "
        "end of the cable: a lossy cable hides a bad antenna, so measure at the antenna."
    )
