"""The working of a mobile link, line by line."""

from collections.abc import Sequence

from pathproof.assess.antenna import AntennaRun, write_gain
from pathproof.assess.context import Context, cite
from pathproof.assess.mobile_expected import Z_NINE_OF_TEN, Expected, LevelSpread
from pathproof.assess.mobile_levels import NEEDS
from pathproof.assess.mobile_readings import Taken
from pathproof.assess.mobile_watched import Watched
from pathproof.assess.sheet import Sheet
from pathproof.assess.types import Line
from pathproof.assess.wording import technology_text
from pathproof.calc.mobile.sources import (
    CARRY_OVER,
    ORDER_STATISTICS,
    REPEATED_TRIES,
    SERIAL_CORRELATION,
)
from pathproof.calc.radio import ReferenceSensitivity, band_of, reference_sensitivity
from pathproof.calc.radio.sources import LOG_NORMAL
from pathproof.calc.sources import Source
from pathproof.terms import InvalidInputError, LimitName, Technology, Word

__all__ = ["Working"]


class Working:
    """The calculation sheet of one communicator's link."""

    def __init__(self, ctx: Context, run: AntennaRun) -> None:
        self._ctx, self._run = ctx, run
        self._sheet = Sheet()
        self._gains: dict[str | None, tuple[str, ...]] = {}
        self._references: dict[tuple[str, Technology], ReferenceSensitivity] = {}

    def finished(self) -> tuple[Line, ...]:
        """The whole sheet, with what is said for information at its end."""
        for (band, technology), reference in self._references.items():
            self._write_reference(band, technology, reference)
        return self._sheet.lines

    def expected(self, found: Expected, *, final: bool) -> None:
        """Level, margin and odds of a network by what was read; final with the antenna there."""
        level = self._level(found, () if final else self._gain(found.band))
        spread = self._spread(found.network, found.spread)
        if found.carried is not None:
            level, spread = self._carried(found, level, spread)
        margin = self._margin(
            found.network, found.technology, found.level_dbm, found.margin_db, level
        )
        need = self._ctx.value(_need(found.technology))
        carried_db = 0.0 if found.carried is None else found.carried.spread_db
        middle_dbm = found.level_dbm + Z_NINE_OF_TEN * carried_db
        self._odds(found.network, middle_dbm - need, found.spread_db, found.odds, (margin, spread))
        self._inform([found.decides], found.technology)

    def watch(self, network: str, found: Watched) -> None:
        """What a watch says: the level reached, the certainty asked and the one there is."""
        seen = found.seen
        if seen is None or found.readings < 2:
            return
        said = technology_text(found.technology)
        certainty = self._ctx.limit(LimitName.MOBILE_CERTAINTY_RATIO)
        asked = self._sheet.add(
            f"{network}, {said}: certainty asked of a watch",
            found.asked_ratio,
            formula="1 - (1 - c) / k",
            inputs={"c": (certainty.value, ""), "k, watches or tries": (float(found.tries), "")},
            sources=(cite(certainty.source), REPEATED_TRIES),
        )
        if found.instrument_db:
            asked = self._sheet.add(
                f"{network}, {said}: kept back for the spread of the instrument",
                found.instrument_db,
                "dB",
                formula="1.2816 * spread: what nine of ten pieces keep to",
                inputs={"spread": (found.instrument_db / Z_NINE_OF_TEN, "dB")},
                sources=(LOG_NORMAL, *_instruments(found.taken)),
                needs=(asked,),
            )
        correlation = seen.correlation
        self._sheet.add(
            f"{network}, {said}: certainty that 9 of 10 levels reach need and fade margin",
            seen.certainty_ratio,
            formula="1 - sum of C(m, i) 0.1^i 0.9^(m - i), i = 0 to b; b = below m / n, rounded up",
            inputs={
                "n, readings": (float(found.readings), ""),
                "watched": (found.minutes, "min"),
                "m, independent readings": (float(int(correlation.independent)), ""),
                "correlation time": (correlation.time_s, "s"),
                "below": (float(seen.below), ""),
            },
            sources=(ORDER_STATISTICS, SERIAL_CORRELATION),
            needs=(asked,),
        )

    def not_there(self, network: str, technology: Technology, lost: int, moments: int) -> None:
        """That a network was lost too often to have a level that nine of ten readings reach."""
        self._sheet.add(
            f"{network}, {technology_text(technology)}: moments without the network",
            float(lost),
            formula="each counts as below any level; more than a tenth of all leave no level",
            inputs={"moments": (float(moments), "")},
            sources=(ORDER_STATISTICS,),
        )

    def of_watch(self, network: str, found: Watched, spread: LevelSpread, odds: float) -> None:
        """Level, margin and odds of a network by the watch that proves it or has it lacking."""
        technology = found.technology
        need = self._ctx.value(_need(technology))
        fade_db = self._ctx.value(LimitName.MOBILE_FADE_MARGIN_DB)
        kept_back_db = found.instrument_db if found.word is Word.PROVEN else 0.0
        level_dbm = found.margin_db + kept_back_db + need + fade_db
        edge = "upper edges of the bins: no more than that" if found.open_below else "lower edges"
        level = self._sheet.add(
            f"{network}, {technology_text(technology)}: level that 9 of 10 readings reached",
            level_dbm,
            "dBm",
            formula=f"10th percentile (nearest rank), {edge}",
            inputs={"readings": (float(found.readings), "")},
        )
        margin = self._margin(
            network, technology, level_dbm, found.margin_db, level, kept_back_db=kept_back_db
        )
        spread_line = self._spread(network, spread)
        self._odds(network, level_dbm - need, spread.value_db, odds, (margin, spread_line))
        self._inform(found.taken, technology)

    def _gain(self, band: str | None) -> tuple[str, ...]:
        if band not in self._gains:
            _, self._gains[band] = write_gain(self._sheet, self._run, band, self._ctx)
        return self._gains[band]

    def _level(self, found: Expected, needs: Sequence[str]) -> str:
        decides = found.decides
        inputs: dict[str, tuple[float | str, str]] = {
            "reading": (decides.level_dbm + decides.offset_db, "dBm"),
            "antenna and feeder": (found.gain_db, "dB"),
            "readings": (float(found.readings), ""),
        }
        offset = ""
        if decides.instrument is not None:
            inputs["offset of the instrument"] = (decides.offset_db, "dB")
            offset = " - offset of the instrument"
        return self._sheet.add(
            f"{found.network}, {technology_text(decides.technology)}: level to expect, that 9 of "
            "10 readings reach",
            decides.level_dbm + found.gain_db,
            "dBm",
            formula=f"reading{offset} + antenna and feeder",
            inputs=inputs,
            sources=_instruments([decides]),
            needs=needs,
        )

    def _carried(self, found: Expected, level: str, spread: str) -> tuple[str, str]:
        """The level that nine of ten may be, and the wider spread, of a technology not read."""
        carried = found.carried
        assert carried is not None
        said = technology_text(found.technology)
        read = technology_text(found.decides.technology)
        doubts = self._sheet.add(
            f"{found.network}: what {read} leaves open about {said}",
            carried.spread_db,
            "dB",
            formula="root of the sum of squares",
            inputs={d.why: (d.spread_db, "dB") for d in carried.doubts},
            sources=(CARRY_OVER,),
        )
        self._sheet.add(
            f"{found.network}: as which part of a reading of {said} one of {read} counts",
            carried.worth_ratio(found.spread.value_db),
            formula="spread^2 / (spread^2 + left open^2)",
            inputs={
                "spread": (found.spread.value_db, "dB"),
                "left open": (carried.spread_db, "dB"),
            },
            sources=(CARRY_OVER,),
            needs=(spread, doubts),
        )
        level = self._sheet.add(
            f"{found.network}, {said}: level that it has with odds of 9 in 10",
            found.level_dbm,
            "dBm",
            formula=f"level of {read} - 1.2816 * left open",
            inputs={
                f"level of {read}": (found.decides.level_dbm + found.gain_db, "dBm"),
                "left open": (carried.spread_db, "dB"),
            },
            sources=(LOG_NORMAL,),
            needs=(level, doubts),
        )
        spread = self._sheet.add(
            f"{found.network}: spread with what is left open",
            found.spread_db,
            "dB",
            formula="sqrt(spread^2 + left open^2)",
            inputs={
                "spread": (found.spread.value_db, "dB"),
                "left open": (carried.spread_db, "dB"),
            },
            needs=(spread, doubts),
        )
        return level, spread

    def _margin(
        self,
        network: str,
        technology: Technology,
        level_dbm: float,
        margin_db: float,
        level: str,
        *,
        kept_back_db: float = 0.0,
    ) -> str:
        need = self._ctx.limit(_need(technology))
        fade = self._ctx.limit(LimitName.MOBILE_FADE_MARGIN_DB)
        kept_back = {"kept back": (kept_back_db, "dB")} if kept_back_db else {}
        return self._sheet.add(
            f"{network}: margin over the requirement",
            margin_db,
            "dB",
            formula=f"level - {'kept back - ' if kept_back else ''}(need + fade margin)",
            inputs={
                "level": (level_dbm, "dBm"),
                "need": (need.value, "dBm"),
                "fade margin": (fade.value, "dB"),
                **kept_back,
            },
            sources=(cite(need.source), cite(fade.source)),
            needs=(level,),
        )

    def _spread(self, network: str, spread: LevelSpread) -> str:
        inputs: dict[str, tuple[float | str, str]] = {"instrument": (spread.instrument_db, "dB")}
        if spread.independent is not None:
            return self._sheet.add(
                f"{network}: spread of the level over time, as read",
                spread.value_db,
                "dB",
                formula="sqrt(over time^2 + instrument^2)",
                inputs={
                    "over time": (spread.level_db, "dB"),
                    "independent readings": (spread.independent, ""),
                    **inputs,
                },
                sources=(SERIAL_CORRELATION,),
            )
        house = self._ctx.limit(LimitName.MOBILE_SPREAD_SINGLE_READING_DB)
        return self._sheet.add(
            f"{network}: spread of a reading",
            spread.value_db,
            "dB",
            formula="sqrt(house figure^2 + half a bin^2 + instrument^2)",
            inputs={
                "house figure": (house.value, "dB"),
                "half a bin": (spread.half_bin_db, "dB"),
                **inputs,
            },
            sources=(cite(house.source),),
        )

    def _odds(
        self, network: str, over_db: float, spread_db: float, odds: float, needs: Sequence[str]
    ) -> None:
        self._sheet.add(
            f"{network}: odds that the level stays above the need",
            odds,
            formula="Phi((level - need) / spread)",
            inputs={"level - need": (over_db, "dB"), "spread": (spread_db, "dB")},
            sources=(LOG_NORMAL,),
            needs=needs,
        )

    def _inform(self, taken: Sequence[Taken], technology: Technology) -> None:
        for band in dict.fromkeys(t.band for t in taken if t.band is not None):
            try:
                known = band_of(band)
            except InvalidInputError:
                continue
            reference = reference_sensitivity(known, technology)
            if reference is not None:
                self._references[known.number, technology] = reference

    def _write_reference(
        self, band: str, technology: Technology, reference: ReferenceSensitivity
    ) -> None:
        """What a receiver has to hear in a band at the least, to hold levels against."""
        self._sheet.add(
            f"For information: what TS 36.101 asks a receiver of {technology_text(technology)} to "
            f"hear in band {band}, without any margin",
            reference.level_dbm_per_element,
            "dBm",
            formula="reference sensitivity - 10 log10(subcarriers)",
            inputs={
                "reference sensitivity": (reference.power_dbm, "dBm"),
                "subcarriers": (float(reference.subcarriers), ""),
            },
            sources=(reference.source,),
        )


def _need(technology: Technology) -> LimitName:
    return NEEDS[technology][1]


def _instruments(taken: Sequence[Taken]) -> tuple[Source, ...]:
    """The sources of the instruments that readings were taken with, each once."""
    sources = [cite(t.instrument.source) for t in taken if t.instrument is not None]
    return tuple(dict.fromkeys(sources))
