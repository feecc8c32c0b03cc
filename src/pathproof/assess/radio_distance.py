"""How far people should keep from the antenna of a communicator, with the working."""

import math
from dataclasses import dataclass
from typing import Final

from pathproof.assess.antenna import (
    AntennaRun,
    bands_in_use,
    bands_not_on_hand,
    fitted_run,
    known_bands,
)
from pathproof.assess.context import cite
from pathproof.assess.sheet import Sheet
from pathproof.assess.types import Line
from pathproof.calc.radio import (
    CONNECTOR_GOOD_DB,
    EXPOSURE_LIMITS,
    MOBILE_BANDS,
    PUBLIC_RULES,
    DistanceRule,
    distance_to_keep,
    exposure_limit_w_per_m2,
    far_field_distance_m,
    feeder_loss_db,
    near_field_limit_m,
)
from pathproof.calc.radio.exposure import GROUND_REFLECTION_RATIO, MOST_EIRP_DBM
from pathproof.calc.radio.sources import (
    COAX_SPREAD,
    CONNECTORS,
    FAR_FIELD,
    FEEDER,
    GROUND_REFLECTION,
    NEAR_FIELD,
)
from pathproof.calc.sources import Source
from pathproof.job import Communicator, Job, Site
from pathproof.terms import Evidence

LOWEST_BAND_HZ: Final = min(b.uplink_hz[0] for b in MOBILE_BANDS.values())
"""Where nobody says which bands are used, distances are worked out here. [Hz]"""
SURE_FEEDER_RATIO: Final = 0.85
"""What a feeder loses at the least, of its nominal loss: tables of one class differ by 15 %."""
_LARGEST = Source(
    ref="House rule: the largest of stated, near-field and far-field distance",
    evidence=Evidence.PRACTICE,
)


@dataclass(frozen=True, kw_only=True)
class RadioDistance:
    """The distance that people should keep from one communicator's antenna."""

    communicator: str
    """Its id."""
    keep_m: float
    """[m]"""
    rule: DistanceRule
    """What asks for the most distance."""
    stated_m: float
    """What the module's papers state, by its catalogue entry. [m]"""
    eirp_dbm: float | None
    """Radiated power with what is fitted; none where the catalogue does not tell. [dBm]"""
    frequency_hz: float
    """Lowest frequency that it may send at. [Hz]"""
    more_gain_db: float
    """What the antenna has more gain than the module's own, without the feeder. [dB]"""
    reflected: bool
    """Whether metal near the antenna counts as a full reflection."""
    not_on_hand: tuple[str, ...]
    """Bands of the module whose frequencies are not known, so that they do not count."""
    lines: tuple[Line, ...]
    """The working."""

    @property
    def text(self) -> str:
        """The distance and what asks for it, as sentences."""
        power = (
            "its radiated power is not known, so only the stated distance and the near field count"
            if self.eirp_dbm is None
            else f"{self.eirp_dbm:.1f} dBm e.i.r.p. at most, from {self.frequency_hz / 1e6:g} MHz"
        )
        if self.reflected and self.eirp_dbm is not None:
            power += f", with {GROUND_REFLECTION_RATIO:g} times the power density for metal near it"
        said = (
            f"People should keep at least {centimetres(self.keep_m)} cm from the antenna of "
            f"communicator {self.communicator} ({self.rule}; {power})."
        )
        if self.more_gain_db > 0.0:
            said += (
                f" The antenna has {self.more_gain_db:.1f} dB more gain than the module's own, so "
                f"the {centimetres(self.stated_m)} cm that the module's papers state may no longer "
                "hold."
            )
        if self.not_on_hand:
            which = "of band" if len(self.not_on_hand) == 1 else "of bands"
            said += (
                f" The frequencies {which} {', '.join(self.not_on_hand)} are not on hand and do "
                "not count: the module's papers tell whether lower ones are among them."
            )
        return said


def centimetres(distance_m: float) -> int:
    """A distance in whole centimetres, never rounded down."""
    return math.ceil(round(distance_m * 100.0, 6))


def radio_distance(job: Job, communicator: Communicator) -> RadioDistance:
    """The distance to keep from a communicator's antenna, by both rules for everybody.

    Notes
    -----
    On the safe side: mismatch and allowances count as no protection, connectors as good ones, the
    feeder with the least that it may lose, and feeder and limits at the lowest frequency that the
    module may send at. Where the job tells of metal near the antenna, it counts as a reflection.
    """
    run = fitted_run(job, communicator)
    frequency_hz = _lowest_hz(run, job.site)
    stated_m = run.module.stated_distance_m
    sheet = Sheet()
    eirp_dbm, needs = _eirp_dbm(sheet, run, frequency_hz)
    found = distance_to_keep(
        0.0 if eirp_dbm is None else eirp_dbm,
        frequency_hz,
        stated_m,
        rules=() if eirp_dbm is None else PUBLIC_RULES,
        ground_reflection=run.near_metal,
    )
    asked = {DistanceRule.STATED: stated_m, DistanceRule.NEAR_FIELD: found.near_field_m}
    ids = [
        sheet.add(
            "Distance that the papers state", stated_m, "m", sources=[cite(run.module.source)]
        )
    ]
    ids.append(_write_near_field(sheet, frequency_hz))
    if eirp_dbm is not None:
        ids += [
            _write_far_field(sheet, r, eirp_dbm, frequency_hz, needs, reflected=run.near_metal)
            for r in PUBLIC_RULES
        ]
        asked |= found.far_field_m
    sheet.add(
        f"Distance to keep, rounded up to a centimetre: {found.rule}",
        centimetres(found.keep_m) / 100.0,
        "m",
        formula=f"max({', '.join(asked)})",
        inputs={str(rule): (m, "m") for rule, m in asked.items()},
        sources=[_LARGEST],
        needs=ids,
    )
    return RadioDistance(
        communicator=communicator.id,
        keep_m=found.keep_m,
        rule=found.rule,
        stated_m=stated_m,
        eirp_dbm=eirp_dbm,
        frequency_hz=frequency_hz,
        more_gain_db=run.antenna_gain_dbi - run.module.antenna_gain_dbi,
        reflected=run.near_metal,
        not_on_hand=bands_not_on_hand(run.module.bands),
        lines=sheet.lines,
    )


def _lowest_hz(run: AntennaRun, site: Site) -> float:
    """In all bands that the module has: it may send in one that no network is said to use here."""
    bands = known_bands(run.module.bands) or bands_in_use(run, site).bands
    return min((b.uplink_hz[0] for b in bands), default=LOWEST_BAND_HZ)


def _eirp_dbm(
    sheet: Sheet, run: AntennaRun, frequency_hz: float
) -> tuple[float | None, tuple[str, ...]]:
    """Radiated power with what is fitted; none if not known or more than anything radiates."""
    largest_dbm, own_dbi = run.module.eirp_max_dbm, run.module.antenna_gain_dbi
    if largest_dbm is None:
        return None, ()
    feeder_db, connectors_db = _protecting_db(run, frequency_hz)
    eirp_dbm = largest_dbm - own_dbi + run.antenna_gain_dbi - feeder_db - connectors_db
    if eirp_dbm > MOST_EIRP_DBM:
        return None, ()
    sources = [cite(part.source) for part in (run.module, run.antenna, run.feeder) if part]
    line = sheet.add(
        f"Largest radiated power with the {run.name}, at {frequency_hz / 1e6:g} MHz",
        eirp_dbm,
        "dBm",
        formula="largest - own + gain - feeder at the least - good connectors",
        inputs={
            "largest": (largest_dbm, "dBm"),
            "own": (own_dbi, "dBi"),
            "gain": (run.antenna_gain_dbi, "dBi"),
            "feeder at the least": (feeder_db, "dB"),
            "good connectors": (connectors_db, "dB"),
        },
        sources=[*sources, *([FEEDER, COAX_SPREAD, CONNECTORS] if run.feeder else [])],
    )
    return eirp_dbm, (line,)


def _protecting_db(run: AntennaRun, frequency_hz: float) -> tuple[float, float]:
    """What feeder and connectors are sure to lose. [dB]"""
    cable = run.feeder
    if cable is None:
        return 0.0, 0.0
    feeder_db = feeder_loss_db(
        cable.k1_db_per_100m, cable.k2_db_per_100m, frequency_hz, run.length_m
    )
    return SURE_FEEDER_RATIO * feeder_db, run.connectors * min(
        CONNECTOR_GOOD_DB, cable.connector_loss_db
    )


def _write_near_field(sheet: Sheet, frequency_hz: float) -> str:
    return sheet.add(
        "Near-field limit",
        near_field_limit_m(frequency_hz),
        "m",
        formula="c / (2 pi f)",
        inputs={"f": (frequency_hz / 1e6, "MHz")},
        sources=[NEAR_FIELD],
    )


def _write_far_field(
    sheet: Sheet,
    rule: DistanceRule,
    eirp_dbm: float,
    frequency_hz: float,
    needs: tuple[str, ...],
    *,
    reflected: bool,
) -> str:
    inputs: dict[str, tuple[float | str, str]] = {
        "EIRP": (eirp_dbm, "dBm"),
        "S": (exposure_limit_w_per_m2(rule, frequency_hz), "W/m2"),
    }
    if reflected:
        inputs["reflected"] = (GROUND_REFLECTION_RATIO, "")
    more = "reflected * " if reflected else ""
    return sheet.add(
        f"Far-field distance, {rule}",
        far_field_distance_m(rule, eirp_dbm, frequency_hz, reflected),
        "m",
        formula=f"sqrt({more}10^((EIRP - 30) / 10) / (4 pi S))",
        inputs=inputs,
        sources=[
            FAR_FIELD,
            EXPOSURE_LIMITS[rule].source,
            *([GROUND_REFLECTION] if reflected else []),
        ],
        needs=needs,
    )
