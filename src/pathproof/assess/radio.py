"""Radio links: device or repeater to repeater or panel, predicted and proven."""

from dataclasses import dataclass

from pathproof.assess.context import Context, cite
from pathproof.assess.naming import named
from pathproof.assess.radio_proof import Heard, heard_levels, radio_verdict
from pathproof.assess.sheet import Sheet
from pathproof.assess.types import Link, Margin
from pathproof.assess.verdict import Verdict
from pathproof.assess.way import WallLosses, Way, find_way
from pathproof.calc.decibels import combined_spread_db
from pathproof.calc.radio import (
    allowed_loss_db,
    dbuv_per_m_from_uv_per_m,
    eirp_dbm_from_field_strength,
    link_odds,
    margin_for_odds_db,
    open_air_budget,
)
from pathproof.calc.radio.sources import FIELD_STRENGTH, LOG_NORMAL, OPEN_AIR_RANGE
from pathproof.calc.sources import Source
from pathproof.job import (
    DetectorPart,
    Device,
    Limit,
    Panel,
    PanelPart,
    Radio,
    Repeater,
    RepeaterPart,
)
from pathproof.job import links as names
from pathproof.job.geometry import things
from pathproof.terms import LimitName, LinkKind, Mounting, Reason, Word

MARGIN_LABEL = "Margin over the requirement"
"""The working's last calculated line. [dB]"""

Thing = Device | Repeater | Panel


@dataclass(frozen=True, kw_only=True)
class Budget:
    """What one direction can lose before messages are lost, and how sure that is."""

    loss_db: float
    spread_db: float
    line: str


@dataclass(frozen=True, kw_only=True)
class RadioLink:
    """A radio link as other parts of the assessment need it."""

    link: Link
    way: Way | None


def radio_link(ctx: Context, losses: WallLosses, sender_id: str, receiver_id: str) -> RadioLink:
    """The link between two ends, by evidence where there is any, else by calculation."""
    return _RadioLink(ctx, losses, sender_id, receiver_id).assess()


def radios_of(ctx: Context, thing: Thing) -> list[Radio]:
    """The radios of a thing's part."""
    part = ctx.job.part(thing.part)
    if isinstance(part, DetectorPart):
        return [] if part.radio is None else [part.radio]
    return list(part.radios) if isinstance(part, PanelPart | RepeaterPart) else []


class _RadioLink:
    def __init__(self, ctx: Context, losses: WallLosses, sender_id: str, receiver_id: str) -> None:
        self._ctx, self._losses = ctx, losses
        self._sender_id, self._receiver_id = sender_id, receiver_id
        self._id = names.radio(sender_id, receiver_id)
        ends = things(ctx.site)
        self._sender, self._receiver = ends[sender_id], ends[receiver_id]
        self._sheet = Sheet()
        self._fitting = ctx.fitting(ctx.entries, self._id)
        self._used: set[LimitName] = set()

    def assess(self) -> RadioLink:
        pair = common_radio(
            radios_of(self._ctx, self._sender), radios_of(self._ctx, self._receiver)
        )
        if pair is None:
            families = ", ".join(r.family for r in radios_of(self._ctx, self._sender)) or "none"
            why = f"{self._receiver_id} does not hear the radio family of {self._sender_id}: "
            return self._result(Word.LACKING, why + families)
        out, into = pair
        verdict = radio_verdict(
            self._ctx, self._fitting, self._receiver_id, self._least_dbm(out, into)
        )
        way = find_way(
            self._ctx,
            self._losses,
            self._sheet,
            self._sender_id,
            self._receiver_id,
            out.frequency_hz,
        )
        if way is None:
            return self._without_way(verdict)
        try:
            return self._with_way(way, out, into, verdict)
        except _MissingFigure as missing:
            if verdict is not None:
                return self._by_verdict(verdict, way, None)
            return self._result(Word.UNDECIDED, str(missing), reason=Reason.INPUT, way=way)

    def _least_dbm(self, out: Radio, into: Radio) -> float | None:
        """Level with which messages still get through, with noise, and back where it listens."""
        if into.sensitivity_dbm is None:
            return None
        extra_db = self._noise_db()
        if _listens(out):
            back_dbm, out_dbm = _eirp_dbm(into), _eirp_dbm(out)
            if back_dbm is None and isinstance(self._sender, Repeater):
                return into.sensitivity_dbm + extra_db
            if back_dbm is None or out_dbm is None or out.sensitivity_dbm is None:
                return None
            out_db = allowed_loss_db(out_dbm, into.antenna_gain_dbi, into.sensitivity_dbm)
            back_db = allowed_loss_db(back_dbm, out.antenna_gain_dbi, out.sensitivity_dbm)
            extra_db = max(extra_db, float(out_db - back_db))
        return into.sensitivity_dbm + extra_db

    def _noise_db(self) -> float:
        noisy = isinstance(self._receiver, Panel) and self._receiver.near_electronics
        return self._limit(LimitName.NOISE_NEAR_ELECTRONICS_DB).value if noisy else 0.0

    def _limit(self, name: LimitName) -> Limit:
        """A limit that the prediction rests on."""
        self._used.add(name)
        return self._ctx.limit(name)

    def _without_way(self, verdict: Verdict | None) -> RadioLink:
        if verdict is not None:
            return self._by_verdict(verdict, None, None)
        ends = ((self._sender_id, self._sender), (self._receiver_id, self._receiver))
        lost = [i for i, thing in ends if self._ctx.geometry.position(thing) is None]
        if self._ctx.geometry.has_plan:
            why = f"nobody placed {' and '.join(lost)} on the plan"
        else:
            why = f"nobody said what stands between {self._sender_id} and {self._receiver_id}"
        return self._result(Word.UNDECIDED, why, reason=Reason.INPUT)

    def _with_way(self, way: Way, out: Radio, into: Radio, verdict: Verdict | None) -> RadioLink:
        allowances_db, noise_db, allowance_lines = self._allowances()
        forward = self._budget(out, into, "out")
        heard = heard_levels(self._ctx, self._fitting, self._receiver_id)
        model_db, spread_line = self._model_spread(way, heard)
        calculated_db = forward.loss_db - way.loss_db - allowances_db - noise_db
        over_db, needs = calculated_db, (forward.line, way.line, *allowance_lines)
        line = self._sheet.add(
            "Margin before fading",
            calculated_db,
            "dB",
            formula="budget - loss on the way - allowances",
            inputs={
                "budget": (forward.loss_db, "dB"),
                "loss on the way": (way.loss_db, "dB"),
                "allowances": (allowances_db + noise_db, "dB"),
            },
            needs=needs,
        )
        parts_db = forward.spread_db
        if heard is not None and into.sensitivity_dbm is not None:
            needs = (*allowance_lines, *([line] if heard.at_most else []))
            over_db, line = self._measured(heard, into, noise_db, calculated_db, needs)
            parts_db = into.spread_db
        ways = [(over_db, parts_db, line)]
        if _listens(out):
            back = self._way_back(out, into, forward, over_db, noise_db, line)
            if back is not None:
                ways.append((back.loss_db, back.spread_db, back.line))
        target = self._limit(LimitName.RADIO_ODDS_RATIO).value
        over_db, parts_db, line = min(
            ways,
            key=lambda w: w[0] - margin_for_odds_db(target, combined_spread_db(model_db, w[1])),
        )
        spread_db, spread_line = self._whole_spread(model_db, parts_db, spread_line)
        if heard is not None and verdict is not None and verdict.entry.at < heard.newest:
            enough_db = margin_for_odds_db(target, spread_db)
            if verdict.word is Word.PROVEN and over_db < enough_db:
                verdict = None  # heard since, and too weak: the proof no longer stands
        return self._conclude(way, over_db, spread_db, (line, spread_line), verdict)

    def _budget(self, out: Radio, into: Radio, which: str) -> Budget:
        if out.open_air_range_m is not None:
            return self._open_air(out, out.open_air_range_m, into)
        if into.sensitivity_dbm is None:
            raise _MissingFigure(
                f"the catalogue gives no sensitivity for the receiving end ({which})"
            )
        eirp_dbm, eirp_line = self._eirp(out, which)
        loss_db = float(allowed_loss_db(eirp_dbm, into.antenna_gain_dbi, into.sensitivity_dbm))
        line = self._sheet.add(
            f"What the way {which} may lose",
            loss_db,
            "dB",
            formula="e.i.r.p. + antenna gain - sensitivity",
            inputs={
                "e.i.r.p.": (eirp_dbm, "dBm"),
                "antenna gain": (into.antenna_gain_dbi, "dBi"),
                "sensitivity": (into.sensitivity_dbm, "dBm"),
            },
            sources=self._part_sources("eirp_dbm", "antenna_gain_dbi", "sensitivity_dbm"),
            needs=(eirp_line,) if eirp_line else (),
        )
        return Budget(
            loss_db=loss_db,
            spread_db=combined_spread_db(out.spread_db, into.spread_db),
            line=line,
        )

    def _eirp(self, radio: Radio, which: str) -> tuple[float, str | None]:
        eirp_dbm = _eirp_dbm(radio)
        if eirp_dbm is None:
            raise _MissingFigure(f"the catalogue gives no radiated power for the way {which}")
        if radio.field_strength_uv_per_m is None:
            return eirp_dbm, None
        level = float(dbuv_per_m_from_uv_per_m(radio.field_strength_uv_per_m))
        line = self._sheet.add(
            "Radiated power from field strength",
            eirp_dbm,
            "dBm",
            formula="E + 20 log10 d - 104.77",
            inputs={"E": (level, "dBuV/m"), "d": (radio.field_strength_at_m, "m")},
            sources=(FIELD_STRENGTH, *self._part_sources("field_strength_uv_per_m")),
        )
        return eirp_dbm, line

    def _open_air(self, out: Radio, range_m: float, into: Radio) -> Budget:
        found = open_air_budget(out.frequency_hz, range_m)
        line = self._sheet.add(
            "What the way may lose, from the range in the open",
            found.budget_db,
            "dB",
            formula="middle of free space and two-ray loss at that range",
            inputs={
                "range": (range_m, "m"),
                "free space": (found.low_db, "dB"),
                "two-ray": (found.high_db, "dB"),
                "added spread": (found.spread_db, "dB"),
            },
            sources=(OPEN_AIR_RANGE, *self._part_sources("open_air_range_m")),
        )
        return Budget(
            loss_db=found.budget_db,
            spread_db=combined_spread_db(found.spread_db, out.spread_db, into.spread_db),
            line=line,
        )

    def _allowances(self) -> tuple[float, float, list[str]]:
        total_db, noise_db = 0.0, 0.0
        lines: list[str] = []
        for thing, thing_id in (
            (self._sender, self._sender_id),
            (self._receiver, self._receiver_id),
        ):
            if thing.mounting is Mounting.ON_METAL:
                total_db += self._allow(
                    LimitName.MOUNTED_ON_METAL_DB,
                    f"{named(self._ctx, thing_id)} hangs on metal",
                    lines,
                )
        if isinstance(self._sender, Device) and self._sender.carried:
            total_db += self._allow(
                LimitName.CARRIED_ON_BODY_DB,
                f"{named(self._ctx, self._sender_id)} is carried",
                lines,
            )
        if self._noise_db():
            noise_db = self._allow(
                LimitName.NOISE_NEAR_ELECTRONICS_DB, "Noise of electronics at the panel", lines
            )
        return total_db, noise_db, lines

    def _allow(self, name: LimitName, label: str, lines: list[str]) -> float:
        limit = self._limit(name)
        lines.append(
            self._sheet.add(f"Allowance: {label}", limit.value, "dB", sources=(cite(limit.source),))
        )
        return limit.value

    def _measured(
        self,
        heard: Heard,
        into: Radio,
        noise_db: float,
        calculated_db: float,
        needs: tuple[str, ...],
    ) -> tuple[float, str]:
        sensitivity_dbm = into.sensitivity_dbm or 0.0
        over_db = heard.mean_dbm - sensitivity_dbm - noise_db
        formula, label = "mean level - sensitivity - noise", "instead of the calculated one"
        inputs: dict[str, tuple[float | str, str]] = {
            "mean level": (heard.mean_dbm, "dBm"),
            "sensitivity": (sensitivity_dbm, "dBm"),
            "noise": (noise_db, "dB"),
            "readings": (float(len(heard.levels)), ""),
        }
        if heard.at_most:
            over_db = min(over_db, calculated_db)
            formula, label = f"min({formula}, calculated)", "an upper bound, so no more than that"
            inputs["calculated"] = (calculated_db, "dB")
        line = self._sheet.add(
            f"Margin before fading, from levels heard ({label})",
            over_db,
            "dB",
            formula=formula,
            inputs=inputs,
            sources=self._part_sources("sensitivity_dbm"),
            needs=needs,
        )
        return over_db, line

    def _way_back(
        self,
        out: Radio,
        into: Radio,
        forward: Budget,
        out_over_db: float,
        noise_db: float,
        out_line: str,
    ) -> Budget | None:
        """Margin before fading from the receiver back to a device that listens."""
        if _eirp_dbm(into) is None:
            if isinstance(self._sender, Repeater):
                return None  # a repeater listens to devices; nothing is sent back to it
            raise _MissingFigure(
                f"{self._sender_id} also receives, and the catalogue gives no radiated power "
                f"for {self._receiver_id}"
            )
        back = self._budget(into, out, "back")
        over_db = out_over_db + noise_db - forward.loss_db + back.loss_db
        line = self._sheet.add(
            "Margin before fading on the way back",
            over_db,
            "dB",
            formula="margin out + noise at the panel - budget out + budget back",
            inputs={
                "margin out": (out_over_db, "dB"),
                "noise at the panel": (noise_db, "dB"),
                "budget out": (forward.loss_db, "dB"),
                "budget back": (back.loss_db, "dB"),
            },
            needs=(out_line, forward.line, back.line),
        )
        return Budget(loss_db=over_db, spread_db=back.spread_db, line=line)

    def _model_spread(self, way: Way, heard: Heard | None) -> tuple[float, str]:
        if heard is not None:
            name, label = LimitName.RADIO_SPREAD_MEASURED_DB, "Spread, with levels heard in place"
        elif way.build_ups_known:
            name, label = LimitName.RADIO_SPREAD_PLAN_DB, "Spread, with walls known by layers"
        else:
            lacks = "walls not drawn" if way.on_bare_storey else "build-ups not all known"
            name, label = LimitName.RADIO_SPREAD_NO_PLAN_DB, f"Spread, with {lacks}"
        limit = self._limit(name)
        width_db = 0.0 if heard is None else heard.half_width_db
        spread_db = combined_spread_db(limit.value, width_db)
        line = self._sheet.add(
            label,
            spread_db,
            "dB",
            formula="sqrt(house figure^2 + half a bin^2)" if width_db else "",
            inputs={"house figure": (limit.value, "dB"), "half a bin": (width_db, "dB")}
            if width_db
            else {},
            sources=(cite(limit.source),),
        )
        return spread_db, line

    def _whole_spread(self, model_db: float, parts_db: float, needs: str) -> tuple[float, str]:
        spread_db = combined_spread_db(model_db, parts_db)
        line = self._sheet.add(
            "Spread of model and parts",
            spread_db,
            "dB",
            formula="sqrt(model^2 + parts^2)",
            inputs={"model": (model_db, "dB"), "parts": (parts_db, "dB")},
            needs=(needs,),
        )
        return spread_db, line

    def _conclude(
        self,
        way: Way,
        over_db: float,
        spread_db: float,
        needs: tuple[str, ...],
        verdict: Verdict | None,
    ) -> RadioLink:
        target = self._limit(LimitName.RADIO_ODDS_RATIO)
        fading_db = margin_for_odds_db(target.value, spread_db)
        odds = float(link_odds(over_db, spread_db))
        fading = self._sheet.add(
            f"Kept back for fading, so that {target.value:.0%} of such links work",
            fading_db,
            "dB",
            formula="z(odds) x spread of model and parts",
            inputs={"odds": (target.value, ""), "spread of model and parts": (spread_db, "dB")},
            sources=(LOG_NORMAL, cite(target.source)),
            needs=needs[1:],
        )
        self._sheet.add(
            "Odds that it works",
            odds,
            "",
            formula="Phi(margin before fading / spread)",
            inputs={"margin before fading": (over_db, "dB"), "spread": (spread_db, "dB")},
            sources=(LOG_NORMAL,),
            needs=needs,
        )
        margin_db = over_db - fading_db
        self._sheet.add(
            MARGIN_LABEL,
            margin_db,
            "dB",
            formula="margin before fading - kept back for fading",
            inputs={
                "margin before fading": (over_db, "dB"),
                "kept back for fading": (fading_db, "dB"),
            },
            needs=(needs[0], fading),
        )
        if verdict is not None:
            return self._by_verdict(verdict, way, odds, spread_db)
        unconfirmed = sorted(n for n in self._used if not self._ctx.limit(n).usable)
        if unconfirmed:
            return self._result(
                Word.UNDECIDED,
                f"from memory and not confirmed: {', '.join(unconfirmed)}",
                reason=Reason.LIMIT,
                way=way,
                probability=odds,
            )
        word = Word.PREDICTED if margin_db >= 0 else Word.LACKING
        return self._result(
            word,
            _in_words(way, margin_db, target.value),
            way=way,
            margin_db=margin_db,
            scale=spread_db,
            probability=odds,
        )

    def _by_verdict(
        self, verdict: Verdict, way: Way | None, odds: float | None, scale: float | None = None
    ) -> RadioLink:
        self._evidence_lines(verdict)
        return self._result(
            verdict.word,
            verdict.why,
            way=way,
            margin_db=verdict.margin_db,
            scale=scale,
            probability=None if verdict.word is Word.PROVEN else odds,
            note=verdict.note,
        )

    def _evidence_lines(self, verdict: Verdict) -> None:
        entry = verdict.entry
        inputs: dict[str, tuple[float | str, str]] = {
            "entry": (entry.id, ""),
            "on": (f"{entry.at:%Y-%m-%d}", ""),
            "by": (entry.by, ""),
        }
        if entry.instrument:
            inputs["with"] = (entry.instrument, "")
        line = self._sheet.add("Evidence", verdict.why, inputs=inputs)
        if verdict.margin_db is not None:
            self._sheet.add(
                "Margin of the evidence over what is asked",
                verdict.margin_db,
                "dB",
                formula=verdict.formula,
                inputs=verdict.inputs,
                needs=(line,),
            )

    def _result(
        self,
        word: Word,
        why: str,
        *,
        reason: Reason | None = None,
        way: Way | None = None,
        margin_db: float | None = None,
        scale: float | None = None,
        probability: float | None = None,
        note: str | None = None,
    ) -> RadioLink:
        link = Link(
            id=self._id,
            kind=LinkKind.RADIO,
            start=self._sender_id,
            end=self._receiver_id,
            word=word,
            why=why,
            reason=reason,
            margin=None if margin_db is None else Margin(value=margin_db, unit="dB"),
            scale=scale,
            probability=probability,
            note=note,
            evidence=tuple(e.id for e in self._fitting),
            working=self._sheet.lines,
        )
        return RadioLink(link=link, way=way)

    def _part_sources(self, *figures: str) -> tuple[Source, ...]:
        """Where these figures of the radios at both ends come from."""
        parts = (self._ctx.job.part(self._sender.part), self._ctx.job.part(self._receiver.part))
        found = [
            part.sources.get(f"radio.{figure}")
            or part.sources.get(f"radios.{figure}")
            or part.source
            for part in parts
            for figure in figures
        ]
        return tuple(dict.fromkeys(cite(source) for source in found))


class _MissingFigure(Exception):
    """The catalogue lacks a figure that the budget needs."""


def _listens(radio: Radio) -> bool:
    """Whether a sender also receives; a range in the open speaks for both directions at once."""
    return radio.sensitivity_dbm is not None and radio.open_air_range_m is None


def _eirp_dbm(radio: Radio) -> float | None:
    """Radiated power of a radio; none where the catalogue gives neither it nor a field strength."""
    if radio.eirp_dbm is not None or radio.field_strength_uv_per_m is None:
        return radio.eirp_dbm
    level = dbuv_per_m_from_uv_per_m(radio.field_strength_uv_per_m)
    return float(eirp_dbm_from_field_strength(level, radio.field_strength_at_m))


def common_radio(out: list[Radio], into: list[Radio]) -> tuple[Radio, Radio] | None:
    """The first radio of a sender that its receiver hears, and the one that hears it."""
    return next(((a, b) for a in out for b in into if a.family == b.family), None)


def _in_words(way: Way, margin_db: float, target: float) -> str:
    text = f"{way.distance_m:.1f} m {way.through}"
    if margin_db >= 0:
        return f"{text}: {margin_db:.1f} dB over what {target:.0%} odds need"
    lacks = f"{text}: lacks {-margin_db:.1f} dB of what {target:.0%} odds need"
    worst = way.worst
    return lacks if worst is None else f"{lacks}; {worst.label} takes {worst.loss_db:.1f} dB"
