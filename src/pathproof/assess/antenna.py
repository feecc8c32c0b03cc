"""What hangs between the air and a mobile module: what it adds to a level, line by line.

Readings count as taken with an antenna of 0 dBi. What antenna, feeder, connectors and mismatch make
of that is added, and named allowances are taken off where the job tells of them.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

from pathproof.assess.context import Context, cite
from pathproof.assess.mobile_levels import allowed_networks, bare_band
from pathproof.assess.sheet import Sheet
from pathproof.calc.radio import (
    MOBILE_BANDS,
    MobileBand,
    band_of,
    break_even_length_m,
    feeder_loss_db,
    mismatch_loss_db,
)
from pathproof.calc.radio.sources import CONNECTORS, FEEDER, MISMATCH
from pathproof.calc.sources import Source
from pathproof.job import AntennaPart, Communicator, CommunicatorPart, FeederPart, Job, Site
from pathproof.terms import InvalidInputError, LimitName

HIGHEST_BAND_HZ: Final = max(b.high_hz for b in MOBILE_BANDS.values())
"""Feeder loss is taken here where nobody says which bands come into question. [Hz]"""


@dataclass(frozen=True, kw_only=True)
class AntennaRun:
    """What hangs between the air and the module."""

    module: CommunicatorPart
    antenna: AntennaPart | None
    """None is the module's own."""
    feeder: FeederPart | None
    """None where the antenna sits on the module."""
    length_m: float
    """Of the feeder. [m]"""
    connectors: int
    """Mated pairs on the feeder."""
    crossed: bool
    """Whether the antenna hangs across the direction it is made for."""
    near_metal: bool
    """Whether metal is near that the antenna is not made to sit on."""
    networks: tuple[str, ...] = ()
    """Networks that its card may use; empty for any of the site."""

    @property
    def name(self) -> str:
        """What the antenna is called."""
        return f"own antenna of {self.module.name}" if self.antenna is None else self.antenna.name

    @property
    def antenna_gain_dbi(self) -> float:
        """Of the antenna alone. [dBi]"""
        return self.module.antenna_gain_dbi if self.antenna is None else self.antenna.gain_dbi


@dataclass(frozen=True, kw_only=True)
class BandsInUse:
    """The bands that come into question where nobody read one."""

    bands: tuple[MobileBand, ...]
    """Those whose frequencies are on hand."""
    not_on_hand: tuple[str, ...]
    """The others, as they were told."""
    whose: str
    """Who has them, in words."""


@dataclass(frozen=True, kw_only=True)
class BreakEven:
    """How long the feeder to a better antenna may be, the module's own at the same place."""

    length_m: float
    """At this length the better antenna stops helping. [m]"""
    left_db: float
    """What is left of it at the length that is fitted; negative where it loses. [dB]"""


@dataclass(frozen=True, kw_only=True)
class _Term:
    """One term of the sum: what it adds, which is negative where it loses."""

    name: str
    label: str
    adds_db: float
    unit: str = "dB"
    formula: str = ""
    inputs: Mapping[str, tuple[float | str, str]] = field(default_factory=dict)
    sources: tuple[Source, ...] = ()


@dataclass(frozen=True, kw_only=True)
class _Frequency:
    """Where the losses of a run are taken, or why they cannot be."""

    hz: float = 0.0
    why: str = ""
    unfit: str | None = None

    @property
    def at(self) -> str:
        return f"at {self.hz / 1e6:g} MHz" if self.hz else "in any band"


def fitted_run(job: Job, communicator: Communicator) -> AntennaRun:
    """What hangs between the air and a communicator of the site, or is to."""
    module = job.part(communicator.part)
    antenna = None if communicator.antenna is None else job.part(communicator.antenna)
    run = communicator.feeder
    cable = None if run is None else job.part(run.part)
    assert isinstance(module, CommunicatorPart)  # a job is refused where parts are of other kinds
    assert antenna is None or isinstance(antenna, AntennaPart)
    assert cable is None or isinstance(cable, FeederPart)
    return AntennaRun(
        module=module,
        antenna=antenna,
        feeder=cable,
        length_m=0.0 if run is None else run.length_m,
        connectors=0 if run is None else run.connectors,
        crossed=communicator.antenna_crossed,
        near_metal=communicator.antenna_near_metal,
        networks=tuple(allowed_networks(job.site, communicator)),
    )


def gain_db(run: AntennaRun, band: str | None, ctx: Context) -> float | None:
    """What a run adds to a reading of a band; none where its antenna is not made for it. [dB]

    Parameters
    ----------
    run : AntennaRun
        Antenna, feeder and how they hang.
    band : str or None
        The band read, as "20" or "B20"; none where it was not read.
    ctx : Context
        Gives the allowances and the bands of the site's networks.
    """
    at = _frequency(run, band, ctx.site)
    if at.unfit is not None:
        return None
    return sum(t.adds_db for t in _terms(run, at, ctx))


def unfit(run: AntennaRun, band: str | None, ctx: Context) -> str | None:
    """Why a run adds nothing in a band that could be counted on; none where it does."""
    return _frequency(run, band, ctx.site).unfit


def write_gain(
    sheet: Sheet, run: AntennaRun, band: str | None, ctx: Context
) -> tuple[float, tuple[str, ...]]:
    """The sum of :func:`gain_db` [dB], written line by line, and the line to rest on.

    With a feeder to an antenna, two more lines say how long it may be and what is left.

    Raises
    ------
    InvalidInputError
        The antenna is not made for the band.
    """
    at = _frequency(run, band, ctx.site)
    if at.unfit is not None:
        raise InvalidInputError(f"Nothing can be counted on: {at.unfit}.")
    terms = list(_terms(run, at, ctx))
    ids = [_write_term(sheet, t) for t in terms]
    total_db = sum(t.adds_db for t in terms)
    if len(terms) > 1:
        total = sheet.add(
            f"Antenna and feeder {at.at}",
            total_db,
            "dB",
            formula=" - ".join(t.name for t in terms),
            inputs={t.name: (_shown_db(t), t.unit) for t in terms},
            needs=ids,
        )
        ids = [total]
    _write_break_even(sheet, run, at, terms)
    return total_db, tuple(ids)


def break_even(run: AntennaRun, band: str | None, ctx: Context) -> BreakEven | None:
    """How much feeder a run bears in a band; none without feeder to another antenna."""
    at = _frequency(run, band, ctx.site)
    if at.unfit is not None:
        return None
    return _break_even(run, at, list(_terms(run, at, ctx)))


def bands_in_use(run: AntennaRun, site: Site) -> BandsInUse:
    """The bands that a module and the networks it may use share, as far as they are told.

    Where they share none, those of the module; where only one side tells bands, its own.
    """
    own = _numbered(run.module.bands)
    used = [n for n in site.networks if not run.networks or n.mcc_mnc in run.networks]
    theirs = "the networks of its card" if run.networks else "the site's networks"
    told = [_numbered(n.bands) for n in used]
    offered = {k: v for bands in told for k, v in bands.items()} if all(told) else {}
    shared = {k: v for k, v in own.items() if k in offered}
    whose = "the module"
    if shared:
        whose = f"the module and {theirs}"
    elif offered and not own:
        shared, whose = offered, theirs
    found = shared or own
    return BandsInUse(
        bands=tuple(b for b in found.values() if b is not None),
        not_on_hand=tuple(k for k, b in found.items() if b is None),
        whose=whose,
    )


def known_bands(told: Sequence[str]) -> tuple[MobileBand, ...]:
    """Those of some bands whose frequencies are on hand."""
    return tuple(b for b in _numbered(told).values() if b is not None)


def bands_not_on_hand(told: Sequence[str]) -> tuple[str, ...]:
    """Numbers of those of some bands whose frequencies are not on hand."""
    return tuple(number for number, b in _numbered(told).items() if b is None)


def made_for(antenna: AntennaPart, band: MobileBand) -> bool:
    """Whether an antenna covers a whole band, both to send and to receive."""
    return antenna.low_hz <= band.low_hz and band.high_hz <= antenna.high_hz


@lru_cache(maxsize=1024)
def _known(band: str) -> MobileBand | None:
    """The band, if its frequencies are on hand."""
    try:
        return band_of(band)
    except InvalidInputError:
        return None


def _numbered(bands: Sequence[str]) -> dict[str, MobileBand | None]:
    """Bands under their number, each once, however they are written."""
    return {bare_band(b): _known(b) for b in bands}


def _frequency(run: AntennaRun, band: str | None, site: Site) -> _Frequency:
    """The highest frequency in question, where a feeder loses most."""
    if run.antenna is None and run.feeder is None:
        return _Frequency()
    if band is None:
        return _frequency_unread(run, site)
    known = _known(band)
    if known is None:
        return _Frequency(
            unfit=f"the frequencies of band {band} are not on hand, so it is not known what "
            f"{run.name} does there"
        )
    if run.antenna is not None and not made_for(run.antenna, known):
        return _Frequency(
            unfit=f"{run.name} is made for {_span_mhz(run.antenna.low_hz, run.antenna.high_hz)}, "
            f"and band {known.number} takes {_band_mhz(known)}"
        )
    return _Frequency(hz=known.high_hz, why=f"the upper end of band {known.number}")


def _frequency_unread(run: AntennaRun, site: Site) -> _Frequency:
    in_use = bands_in_use(run, site)
    bands = in_use.bands
    if run.antenna is not None:
        bands = tuple(b for b in bands if made_for(run.antenna, b))
    if bands:
        highest = max(bands, key=lambda b: b.high_hz)
        return _Frequency(
            hz=highest.high_hz,
            why=f"the upper end of band {highest.number}, the highest of {in_use.whose} that the "
            "antenna is made for: the band read is not said",
        )
    told = [*(b.number for b in in_use.bands), *in_use.not_on_hand]
    if told:
        return _Frequency(
            unfit=f"{run.name} is not known to be made for any band of {in_use.whose} "
            f"({', '.join(told)})"
        )
    return _Frequency(
        hz=HIGHEST_BAND_HZ, why="the highest of all bands: nobody says which are used"
    )


def _terms(run: AntennaRun, at: _Frequency, ctx: Context) -> Iterator[_Term]:
    part = run.antenna or run.module
    yield _Term(
        name="gain",
        label=f"Gain of the {run.name}" if run.antenna is None else f"Gain of {run.name}",
        adds_db=run.antenna_gain_dbi,
        unit="dBi",
        sources=(cite(part.source),),
    )
    if run.feeder is not None:
        yield _feeder_term(run.feeder, run.length_m, at)
        yield _Term(
            name="connectors",
            label=f"Loss of {run.connectors} connector pair{'' if run.connectors == 1 else 's'}",
            adds_db=-run.connectors * run.feeder.connector_loss_db,
            formula="n * loss of a pair",
            inputs={
                "n": (float(run.connectors), ""),
                "loss of a pair": (run.feeder.connector_loss_db, "dB"),
            },
            sources=(CONNECTORS, cite(run.feeder.source)),
        )
    if run.antenna is not None:
        yield _Term(
            name="mismatch",
            label=f"Mismatch loss of {run.name}",
            adds_db=-float(mismatch_loss_db(run.antenna.vswr)),
            formula="-10 log10(1 - ((S - 1) / (S + 1))^2)",
            inputs={"S": (run.antenna.vswr, "")},
            sources=(MISMATCH, cite(run.antenna.source)),
        )
    if run.crossed:
        yield _allowance(
            "crossed", LimitName.ANTENNA_CROSSED_DB, "it hangs across its direction", ctx
        )
    if run.near_metal:
        yield _allowance("metal", LimitName.ANTENNA_NEAR_METAL_DB, "metal is near it", ctx)


def _feeder_term(cable: FeederPart, length_m: float, at: _Frequency) -> _Term:
    loss_db = feeder_loss_db(cable.k1_db_per_100m, cable.k2_db_per_100m, at.hz, length_m)
    return _Term(
        name="feeder",
        label=f"Loss of {cable.name} {at.at}, {at.why}",
        adds_db=-loss_db,
        formula="(K1 sqrt(f) + K2 f) l / 100",
        inputs={
            "K1": (cable.k1_db_per_100m, ""),
            "f": (at.hz / 1e6, "MHz"),
            "K2": (cable.k2_db_per_100m, ""),
            "l": (length_m, "m"),
        },
        sources=(FEEDER, cite(cable.source)),
    )


def _allowance(name: str, limit_name: LimitName, why: str, ctx: Context) -> _Term:
    limit = ctx.limit(limit_name)
    return _Term(
        name=name,
        label=f"Allowance for the antenna: {why}",
        adds_db=-limit.value,
        sources=(cite(limit.source),),
    )


def _write_term(sheet: Sheet, term: _Term) -> str:
    return sheet.add(
        term.label,
        _shown_db(term),
        term.unit,
        formula=term.formula,
        inputs=term.inputs,
        sources=term.sources,
    )


def _shown_db(term: _Term) -> float:
    """A term as its line shows it: the gain with its sign, losses as positive numbers."""
    return term.adds_db if term.name == "gain" else -term.adds_db


def _break_even(run: AntennaRun, at: _Frequency, terms: Sequence[_Term]) -> BreakEven | None:
    if run.antenna is None or run.feeder is None:
        return None
    per_100m_db = -_feeder_term(run.feeder, 100.0, at).adds_db
    if per_100m_db <= 0.0:
        return None
    own_dbi = run.module.antenna_gain_dbi
    return BreakEven(
        length_m=break_even_length_m(run.antenna.gain_dbi - own_dbi, _other_db(terms), per_100m_db),
        left_db=sum(t.adds_db for t in terms) - _own_db(run, terms),
    )


def _other_db(terms: Sequence[_Term]) -> float:
    """What is lost beside the feeder and would not be with the module's own antenna there. [dB]"""
    return sum(-t.adds_db for t in terms if t.name not in ("gain", "feeder", "metal"))


def _own_db(run: AntennaRun, terms: Sequence[_Term]) -> float:
    """What the module's own antenna would add at the same place, the same metal near it. [dB]"""
    return run.module.antenna_gain_dbi + sum(t.adds_db for t in terms if t.name == "metal")


def _write_break_even(
    sheet: Sheet, run: AntennaRun, at: _Frequency, terms: Sequence[_Term]
) -> None:
    found = _break_even(run, at, terms)
    if found is None or run.feeder is None:
        return
    sheet.add(
        f"For information: feeder length at which {run.name} stops helping against the module's "
        f"own antenna at the same place, {at.at}",
        found.length_m,
        "m",
        formula="100 max(0, gain - own - other losses) / loss of 100 m",
        inputs={
            "gain": (run.antenna_gain_dbi, "dBi"),
            "own": (run.module.antenna_gain_dbi, "dBi"),
            "other losses": (_other_db(terms), "dB"),
            "loss of 100 m": (-_feeder_term(run.feeder, 100.0, at).adds_db, "dB"),
        },
        sources=(FEEDER,),
    )
    sheet.add(
        f"For information: left of it with the {run.length_m:g} m fitted",
        found.left_db,
        "dB",
        formula="antenna and feeder - own there",
        inputs={
            "antenna and feeder": (sum(t.adds_db for t in terms), "dB"),
            "own there": (_own_db(run, terms), "dB"),
        },
    )


def _band_mhz(band: MobileBand) -> str:
    if band.uplink_hz == band.downlink_hz:
        return _span_mhz(*band.downlink_hz)
    return f"{_span_mhz(*band.downlink_hz)} and {_span_mhz(*band.uplink_hz)}"


def _span_mhz(low_hz: float, high_hz: float) -> str:
    return f"{low_hz / 1e6:g} to {high_hz / 1e6:g} MHz"
