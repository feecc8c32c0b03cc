"""Mobile links: communicator to its network, from levels read at its spot."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from pathproof.assess.context import Context, cite
from pathproof.assess.mobile_levels import (
    NEEDS,
    allowed_networks,
    grading,
    half_width_db,
    told_by,
)
from pathproof.assess.sheet import Sheet
from pathproof.assess.types import Link, Margin
from pathproof.calc.decibels import combined_spread_db
from pathproof.calc.mobile import tenth_percentile
from pathproof.calc.radio import feeder_loss_db, link_odds
from pathproof.calc.radio.sources import FEEDER, LOG_NORMAL
from pathproof.job import (
    AntennaPart,
    Communicator,
    CommunicatorPart,
    FeederPart,
    Level,
)
from pathproof.job import links as names
from pathproof.job.record import ReadingEntry
from pathproof.terms import (
    AccountState,
    LimitName,
    LinkKind,
    Quantity,
    Reason,
    SimKind,
    Technology,
    Word,
)

HIGHEST_BAND_HZ = 2.69e9
"""Feeder loss is taken at the highest band a module may use, which is the most. [Hz]"""


@dataclass(frozen=True, kw_only=True)
class _Seen:
    """A level that grades a technology of one network, with the entry it comes from."""

    level: Level
    technology: Technology
    entry: ReadingEntry


@dataclass(frozen=True, kw_only=True)
class _Graded:
    """One network as seen from the communicator."""

    network: str
    margin_db: float
    odds: float
    spread_db: float
    proven: bool
    usable: bool
    limit: LimitName


def mobile_link(ctx: Context, communicator: Communicator) -> Link:
    """The link of one communicator to the network or networks that its card may use."""
    return _MobileLink(ctx, communicator).assess()


def no_communicator() -> Link:
    """The link that stands for a communicator nobody has chosen yet."""
    return Link(
        id=names.mobile("none"),
        kind=LinkKind.MOBILE,
        start="panel",
        end="mobile network",
        word=Word.UNDECIDED,
        why="no communicator is chosen yet",
        reason=Reason.INPUT,
    )


class _MobileLink:
    def __init__(self, ctx: Context, communicator: Communicator) -> None:
        self._ctx, self._communicator = ctx, communicator
        self._id = names.mobile(communicator.id)
        part = ctx.job.part(communicator.part)
        module = part if isinstance(part, CommunicatorPart) else None
        self._technologies = module.technologies if module else []
        self._bands = {b.lstrip("Bn") for b in module.bands} if module else set()
        self._sheet = Sheet()
        self._final_antenna: tuple[float, tuple[str, ...]] | None = None
        days = ctx.value(LimitName.MOBILE_MAX_AGE_DAYS)
        self._oldest = ctx.as_of - timedelta(days=days)
        self._readings = self._relevant_readings()

    def assess(self) -> Link:
        if self._communicator.state is AccountState.ENDED:
            return self._link(Word.LACKING, "its card and account have ended")
        if self._communicator.sim is None:
            return self._undecided("no card (SIM) is chosen, so its networks are not known")
        if not allowed_networks(self._ctx.site, self._communicator):
            return self._undecided("it is not said which networks its card (SIM) may use")
        if not self._readings:
            return self._undecided(f"no level is on record for {self._place()}")
        by_network = self._seen_by_network()
        if not by_network:
            return self._undecided(self._why_nothing_counts())
        graded = sorted(
            (self._grade(network, seen) for network, seen in sorted(by_network.items())),
            key=lambda g: (g.proven, g.margin_db),
            reverse=True,
        )
        wanted = self._networks_wanted()
        good = sum(g.margin_db >= 0 for g in graded)
        unread = [
            n for n in allowed_networks(self._ctx.site, self._communicator) if n not in by_network
        ]
        if good < wanted <= good + len(unread):
            return self._undecided(
                f"{good} of {wanted} good networks that its card needs are known; "
                f"not read yet: {', '.join(unread)}"
            )
        return self._conclude(graded[:wanted])

    def _relevant_readings(self) -> list[ReadingEntry]:
        """Readings about this communicator or its spot: none too old, none of something changed."""
        spot = self._communicator.spot
        return [
            entry
            for entry in self._ctx.entries
            if isinstance(entry, ReadingEntry)
            and entry.at >= self._oldest
            and (
                (self._communicator.id in entry.about and self._still_fits(entry, self._id))
                or (spot in entry.about and self._still_fits(entry, names.spot(spot or "")))
            )
        ]

    def _still_fits(self, entry: ReadingEntry, name: str) -> bool:
        return name not in entry.fits or bool(self._ctx.fitting([entry], name))

    def _is_own(self, entry: ReadingEntry) -> bool:
        """Whether the module read it itself, and is still the same with the same antenna."""
        return self._communicator.id in entry.about and self._still_fits(entry, self._id)

    def _seen_by_network(self) -> dict[str, list[_Seen]]:
        allowed = allowed_networks(self._ctx.site, self._communicator)
        found: dict[str, list[_Seen]] = defaultdict(list)
        for entry in self._readings:
            network = entry.values.network or self._only_network(entry)
            if network is None or network not in allowed or not self._has_band(entry):
                continue
            by_technology: dict[Technology, _Seen] = {}
            for level in entry.values.levels:
                technology = entry.values.technology or self._told_by(entry, level.quantity)
                if technology in self._technologies and level.quantity in grading(technology):
                    # One moment is one reading, in however many quantities it was shown.
                    one = _Seen(level=level, technology=technology, entry=entry)
                    by_technology.setdefault(technology, one)
            if by_technology:
                found[network] += by_technology.values()
        return found

    def _has_band(self, entry: ReadingEntry) -> bool:
        """Whether the module can use the band that was read; true where either is not said."""
        band = entry.values.band
        return band is None or not self._bands or band.lstrip("Bn") in self._bands

    def _only_network(self, entry: ReadingEntry) -> str | None:
        """The network of a reading that names none: where there is one, or the module's own."""
        here = {n.mcc_mnc for n in self._ctx.site.networks} | set(
            allowed_networks(self._ctx.site, self._communicator)
        )
        if self._is_own(entry):
            here = set(allowed_networks(self._ctx.site, self._communicator))
        return next(iter(here)) if len(here) == 1 else None

    def _told_by(self, entry: ReadingEntry, quantity: Quantity) -> Technology | None:
        """The technology of a reading that names none."""
        own = [t for t in self._technologies if quantity in grading(t)]
        if self._is_own(entry) and len(self._technologies) == 1 and own:
            return own[0]
        return told_by(quantity, self._technologies)

    def _grade(self, network: str, seen: Sequence[_Seen]) -> _Graded:
        graded = [self._grade_technology(network, t, list(s)) for t, s in _by_technology(seen)]
        return max(graded, key=lambda g: (g.proven, g.margin_db))

    def _grade_technology(self, network: str, technology: Technology, seen: list[_Seen]) -> _Graded:
        _, need_name = NEEDS[technology]
        need, fade = self._ctx.limit(need_name), self._ctx.limit(LimitName.MOBILE_FADE_MARGIN_DB)
        required_dbm = need.value + fade.value
        proof = self._proof_dbm(seen)
        level_dbm, level_line = (
            self._expected(network, technology, seen)
            if proof is None
            else self._measured(network, technology, *proof)
        )
        spread_db, spread_line = self._spread(network, seen)
        margin_db = level_dbm - required_dbm
        line = self._sheet.add(
            f"{network}: margin over the requirement",
            margin_db,
            "dB",
            formula="level - (need + fade margin)",
            inputs={
                "level": (level_dbm, "dBm"),
                "need": (need.value, "dBm"),
                "fade margin": (fade.value, "dB"),
            },
            sources=(cite(need.source), cite(fade.source)),
            needs=(level_line,),
        )
        return _Graded(
            network=network,
            margin_db=margin_db,
            odds=self._odds(network, level_dbm - need.value, spread_db, (line, spread_line)),
            spread_db=spread_db,
            proven=proof is not None and margin_db >= 0,
            usable=need.usable and fade.usable,
            limit=need_name,
        )

    def _spread(self, network: str, seen: list[_Seen]) -> tuple[float, str]:
        limit = self._ctx.limit(LimitName.MOBILE_SPREAD_SINGLE_READING_DB)
        half_bin_db = max(half_width_db(s.level) for s in seen)
        spread_db = combined_spread_db(limit.value, half_bin_db)
        line = self._sheet.add(
            f"{network}: spread of a reading",
            spread_db,
            "dB",
            formula="sqrt(house figure^2 + half a bin^2)",
            inputs={"house figure": (limit.value, "dB"), "half a bin": (half_bin_db, "dB")},
            sources=(cite(limit.source),),
        )
        return spread_db, line

    def _odds(
        self, network: str, over_db: float, spread_db: float, needs: tuple[str, str]
    ) -> float:
        odds = float(link_odds(over_db, spread_db))
        self._sheet.add(
            f"{network}: odds that the level stays above the need",
            odds,
            "",
            formula="Phi((level - need) / spread)",
            inputs={"level - need": (over_db, "dB"), "spread": (spread_db, "dB")},
            sources=(LOG_NORMAL,),
            needs=needs,
        )
        return odds

    def _expected(
        self, network: str, technology: Technology, seen: list[_Seen]
    ) -> tuple[float, str]:
        """10th percentile of what was read, brought to the final antenna where it was another."""
        without = [s for s in seen if not self._read_with_final_antenna(s.entry)]
        final_db, needs = self._final_antenna_db() if without else (0.0, ())
        brought = [
            (s.level.value + (final_db if s in without else 0.0), s.level.value) for s in seen
        ]
        level_dbm, read_dbm = tenth_percentile(sorted(brought))
        line = self._sheet.add(
            f"{network}, {technology}: level to expect, that 9 of 10 readings reach",
            level_dbm,
            "dBm",
            formula="reading + antenna and feeder",
            inputs={
                "reading": (read_dbm, "dBm"),
                "antenna and feeder": (level_dbm - read_dbm, "dB"),
                "all readings": (_listed([f"{s.level.value:g}" for s in seen]), "dBm"),
            },
            needs=needs,
        )
        return level_dbm, line

    def _read_with_final_antenna(self, entry: ReadingEntry) -> bool:
        told = entry.conditions.final_antenna
        return self._is_own(entry) if told is None else told and self._still_fits(entry, self._id)

    def _final_antenna_db(self) -> tuple[float, tuple[str, ...]]:
        """Gain of the final antenna less its feeder and connectors, and the lines that say so."""
        if self._final_antenna is None:
            self._final_antenna = self._work_out_final_antenna()
        return self._final_antenna

    def _work_out_final_antenna(self) -> tuple[float, tuple[str, ...]]:
        c = self._communicator
        part = self._ctx.job.part(c.antenna or c.part)
        own = part.antenna_gain_dbi if isinstance(part, CommunicatorPart) else 0.0
        gain_db = part.gain_dbi if isinstance(part, AntennaPart) else own
        gain = self._sheet.add(f"Gain of {part.name}", gain_db, "dBi", sources=(cite(part.source),))
        cable = None if c.feeder is None else self._ctx.job.part(c.feeder.part)
        if c.feeder is None or not isinstance(cable, FeederPart):
            return gain_db, (gain,)
        length_m, pairs = c.feeder.length_m, c.feeder.connectors
        feeder_db = feeder_loss_db(
            cable.k1_db_per_100m, cable.k2_db_per_100m, HIGHEST_BAND_HZ, length_m
        )
        feeder = self._sheet.add(
            f"Loss of {cable.name}",
            feeder_db + pairs * cable.connector_loss_db,
            "dB",
            formula="(K1 sqrt(f) + K2 f) l / 100 + n x connector",
            inputs={
                "K1": (cable.k1_db_per_100m, ""),
                "f": (HIGHEST_BAND_HZ / 1e6, "MHz"),
                "K2": (cable.k2_db_per_100m, ""),
                "l": (length_m, "m"),
                "n": (float(pairs), ""),
                "connector": (cable.connector_loss_db, "dB"),
            },
            sources=(FEEDER, cite(cable.source)),
        )
        return gain_db - feeder_db - pairs * cable.connector_loss_db, (gain, feeder)

    def _proof_dbm(self, seen: list[_Seen]) -> tuple[float, int] | None:
        """10th percentile of what was read with everything final, if that is long enough."""
        limits = (
            LimitName.MOBILE_READINGS,
            LimitName.MOBILE_MINUTES,
            LimitName.MOBILE_MAX_AGE_DAYS,
        )
        if not all(self._ctx.limit(n).usable for n in limits):
            return None
        final = self._newest_session(
            [
                s
                for s in seen
                if self._ctx.fitting([s.entry], self._id)
                and s.entry.conditions.final_antenna is True
                and s.entry.conditions.lid_shut is True
            ]
        )
        if len(final) < self._ctx.value(LimitName.MOBILE_READINGS):
            return None
        first, last = final[0].entry, final[-1].entry
        minutes = (last.at - first.at).total_seconds() / 60 + (last.conditions.minutes or 0.0)
        if minutes < self._ctx.value(LimitName.MOBILE_MINUTES):
            return None
        lows = [s.level.low for s in final if s.level.low is not None]
        return None if len(lows) < len(final) else (tenth_percentile(sorted(lows)), len(lows))

    def _newest_session(self, seen: list[_Seen]) -> list[_Seen]:
        """The newest readings, as far back as no gap is longer than the minutes asked for."""
        gap = timedelta(minutes=self._ctx.value(LimitName.MOBILE_MINUTES))
        session: list[_Seen] = []
        for one in reversed(seen):
            if session and session[0].entry.at - one.entry.at > gap:
                break
            session.insert(0, one)
        return session

    def _measured(
        self, network: str, technology: Technology, level_dbm: float, count: int
    ) -> tuple[float, str]:
        line = self._sheet.add(
            f"{network}, {technology}: level that 9 of 10 readings reached",
            level_dbm,
            "dBm",
            formula="10th percentile (nearest rank) of the bins' lower edges, newest session",
            inputs={"readings": (float(count), "")},
        )
        return level_dbm, line

    def _networks_wanted(self) -> int:
        sim = self._communicator.sim
        if sim is None or sim.kind is SimKind.FIXED:
            return 1
        return int(self._ctx.value(LimitName.MOBILE_NETWORKS_ROAMING))

    def _conclude(self, deciding: list[_Graded]) -> Link:
        worst = deciding[-1]
        shown = " and ".join(g.network for g in deciding)
        unconfirmed = [g for g in deciding if not g.usable]
        if unconfirmed:
            return self._link(
                Word.UNDECIDED,
                f"the limit {unconfirmed[0].limit} is from memory and not confirmed",
                reason=Reason.LIMIT,
            )
        if worst.margin_db < 0:
            word = Word.LACKING
            asked = self._networks_wanted()
            roams = f"the card roams and needs {asked} good networks; " if asked > 1 else ""
            why = f"{roams}{worst.network} lacks {-worst.margin_db:.1f} dB of need and fade margin"
        else:
            word = Word.PROVEN if all(g.proven for g in deciding) else Word.PREDICTED
            how = "measured over time" if word is Word.PROVEN else "from single readings"
            why = f"{shown}: {worst.margin_db:.1f} dB over need and fade margin, {how}"
        return self._link(
            word,
            why,
            margin=Margin(value=worst.margin_db, unit="dB"),
            scale=worst.spread_db,
            probability=worst.odds,
        )

    def _why_nothing_counts(self) -> str:
        speaks = ", ".join(self._technologies)
        quantities = {x.quantity for e in self._readings for x in e.values.levels}
        if not quantities:
            return "what was read holds no level"
        if all(e.values.network is None and not self._only_network(e) for e in self._readings):
            return "the reading does not say which network it is of"
        if quantities <= {Quantity.RSSI_DBM, Quantity.BER_PERCENT}:
            return f"RSSI alone does not grade {speaks}; read RSRP (+CESQ)"
        return f"nothing read is of a network and technology that it uses ({speaks})"

    def _place(self) -> str:
        spot = self._communicator.spot
        return self._communicator.id if spot is None else f"{self._communicator.id} or spot {spot}"

    def _undecided(self, why: str) -> Link:
        return self._link(Word.UNDECIDED, why, reason=Reason.INPUT)

    def _link(
        self,
        word: Word,
        why: str,
        *,
        reason: Reason | None = None,
        margin: Margin | None = None,
        scale: float | None = None,
        probability: float | None = None,
    ) -> Link:
        return Link(
            id=self._id,
            kind=LinkKind.MOBILE,
            start=self._communicator.id,
            end="mobile network",
            word=word,
            why=why,
            reason=reason,
            margin=margin,
            scale=scale,
            probability=probability,
            evidence=tuple(e.id for e in self._readings),
            working=self._sheet.lines,
        )


def _by_technology(seen: Sequence[_Seen]) -> list[tuple[Technology, list[_Seen]]]:
    found: dict[Technology, list[_Seen]] = defaultdict(list)
    for s in seen:
        found[s.technology].append(s)
    return sorted(found.items())


def _listed(values: list[str], most: int = 8) -> str:
    more = f" and {len(values) - most} more" if len(values) > most else ""
    return ", ".join(values[:most]) + more
