"""The choice against a plain enumeration, written from `docs/choosing.md` and nothing else.

Levels to expect and what antennas add to them are taken as data here; they have tests of their own.
"""

import random
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any

import pytest

from pathproof.assess.antenna import AntennaRun, gain_db
from pathproof.assess.choice import Choice, Offer, Reason, Rule, SetAside
from pathproof.assess.choosing import choose
from pathproof.assess.context import Context
from pathproof.assess.mobile_at_spots import ExpectedLevels
from pathproof.assess.mobile_expected import Expected
from pathproof.job import AntennaPart, CommunicatorPart, FeederPart, Job, ServicePart

from ._jobs import NOW, SOURCE
from ._markets import COAX, HALL, ROD, ROOF, WHIP, market, module, part, reading, service

UNTIL = date(2036, 11, 25)  # ten years after NOW
MEMORY = {"ref": "Somebody said", "evidence": "memory"}
CODES = [f"001-{i:02d}" for i in range(1, 8)] + ["999-70", "999-71", "999-72"]
TECHNOLOGIES = ["lte", "lte_m", "nb_iot", "gsm"]
SAID = {"lte": "LTE", "lte_m": "LTE-M", "nb_iot": "NB-IoT", "gsm": "GSM"}
BANDS = ["3", "8", "20", "28"]
STAIR = {"id": "stair", "name": "Stair", "place": "on_wall", "cable_m": 4.0}


# A market as large as a wholesaler's, by chance but always the same


def _communicator(rng: random.Random, number: int) -> dict[str, Any]:
    ends = rng.choice([None, "2027-12-31", "2038-12-31", "2040-06-30"])
    return module(
        f"part_{number:03d}",
        technologies=rng.sample(TECHNOLOGIES, rng.choice([1, 1, 2, 3])),
        bands=rng.choice([[], *(sorted(rng.sample(BANDS, n)) for n in (1, 2, 3))]),
        panels=rng.choice([[], [], [], ["panel_a"], ["panel_b"]]),
        countries=rng.choice([[], ["XA"], ["XA", "XB"], ["XA"], ["XB"]]),
        sim_kinds=rng.choice([[], ["fixed"], ["roaming", "fixed"], ["roaming"], ["steered"]]),
        antenna_gain_dbi=rng.choice([-4.0, -2.5, -1.0, 0.0]),
        antenna_socket=rng.random() < 0.6,
        yearly_cost=rng.choice([None, 24.0, 30.0, 36.0, 36.1, 48.0]),
        platform_ends=ends,
    )


def _services() -> list[dict[str, Any]]:
    return [
        service("fixed_any", networks=[], yearly_cost=30.1),
        service("fixed_some", networks=["001-01", "999-99"], yearly_cost=24.0),
        service("roam_all", sim_kind="roaming", networks=[], yearly_cost=42.0),
        service("roam_three", sim_kind="roaming", networks=["001-02", "001-03", "999-99"]),
        service("roam_one", sim_kind="roaming", networks=["001-02"], yearly_cost=None),
        service("roam_abroad", sim_kind="roaming", countries=["XB"], networks=[]),
    ]


def _network(rng: random.Random, code: str) -> dict[str, Any]:
    return {
        "mcc_mnc": code,
        "label": code,
        "technologies": rng.choice([[], *(rng.sample(TECHNOLOGIES, n) for n in (1, 2, 3))]),
        "bands": rng.choice([[], *(rng.sample(BANDS, n) for n in (1, 2))]),
    }


def _retirements(rng: random.Random) -> list[dict[str, Any]]:
    ways: list[dict[str, Any]] = [
        {"ends_on": "2030-06-30"},
        {"ends_on": "2024-06-30", "done": True},
        {"ends_on": "2025-01-01"},
        {"ends_from": "2039-01-01"},
        {"ends_on": "2031-01-01", "source": MEMORY},
        {"announced": True},
    ]
    rows = [
        {"network": code, "technology": technology, **rng.choice(ways)}
        for code in CODES
        for technology in TECHNOLOGIES
        if rng.random() < 0.5
    ]
    return [*rows, {"part": "part_007", "ends_on": "2029-01-01", "source": MEMORY}]


def _readings(rng: random.Random) -> Iterator[dict[str, Any]]:
    for spot, better_db in (("hall", 0.0), ("stair", 5.0), ("roof", 12.0)):
        for code in CODES:
            for technology in TECHNOLOGIES:
                if rng.random() < 0.6:
                    band = rng.choice([None, *BANDS])
                    level_dbm = round(rng.gauss(-112.0, 9.0)) + better_db
                    yield reading(spot, code, level_dbm, technology, band)


def _large(seed: int, **how: Any) -> Job:
    rng = random.Random(seed)
    return market(
        *(_communicator(rng, i) for i in range(200)),
        *_services(),
        {**ROD, "places": ["on_wall", "outside"]},
        WHIP,
        part("antenna", "narrow", gain_dbi=9.0, low_hz=1.7e9, high_hz=2.2e9, outdoor=True),
        part("antenna", "long", gain_dbi=11.0, low_hz=698e6, high_hz=2.7e9, places=["on_wall"]),
        COAX,
        part("feeder", "thick", k1_db_per_100m=0.5278, k2_db_per_100m=0.00956),
        networks=[_network(rng, code) for code in CODES],
        spots=[HALL, STAIR, ROOF],
        retirements=_retirements(rng),
        read=list(_readings(rng)),
        **how,
    )


# The plain enumeration


@dataclass(frozen=True)
class Hung:
    spot: str
    antenna: str | None
    feeder: str | None
    cable_m: float


@dataclass
class Plain:
    """An offer as the documentation has it."""

    part: CommunicatorPart
    service: ServicePart | None
    networks: tuple[str, ...]
    failing: set[Rule]
    undecided: set[Rule]
    margins: dict[tuple[str, str | None, str | None], float]  # spots and antennas that are enough

    @property
    def key(self) -> tuple[str, str | None, tuple[str, ...]]:
        return self.part.id, self.service and self.service.id, self.networks

    @property
    def cost(self) -> float | None:
        if self.service is None or None in (self.part.yearly_cost, self.service.yearly_cost):
            return None
        return round((self.part.yearly_cost or 0.0) + (self.service.yearly_cost or 0.0), 6)

    @property
    def margin_db(self) -> float:
        return round(max(self.margins.values()), 6)


class Enumeration:
    def __init__(self, job: Job, as_of: datetime) -> None:
        self.job, self.site = job, job.site
        self.ctx = Context(job, as_of, None, leave_out_later=False)
        self.levels = ExpectedLevels(self.ctx)
        self.today = as_of.date()
        parts = [job.part(x) for x in job.site.considered]
        self.modules = [p for p in parts if isinstance(p, CommunicatorPart)]
        self.services = [p for p in parts if isinstance(p, ServicePart)]
        self.antennas = [p for p in parts if isinstance(p, AntennaPart)]
        self.feeders = [p for p in parts if isinstance(p, FeederPart)]
        self.rows = {r.key: r for r in job.embedded.retirements}
        self.expected = cache(self._expected)

    def offers(self) -> Iterator[Plain]:
        for m in self.modules:
            offered = [
                s
                for s in self.services
                if (s.sim_kind in m.sim_kinds or m.sim_kinds == [])
                and (m.id in s.communicators or s.communicators == [])
            ]
            failing: set[Rule] = set()
            if m.panels and self.site.panel and self.site.panel.part not in m.panels:
                failing.add(Rule.PANEL)
            if m.countries and self.site.country not in m.countries:
                failing.add(Rule.COUNTRY)
            if not offered:
                failing.add(Rule.SERVICE)
            if failing:
                if self.behind(m) == "fails":
                    failing.add(Rule.SERVICE_LIFE)
                yield Plain(m, None, (), failing, set(), {})
                continue
            for s in offered:
                codes = s.networks or [n.mcc_mnc for n in self.site.networks]
                for networks in [(c,) for c in codes] if s.sim_kind == "fixed" else [tuple(codes)]:
                    yield self.judged(m, s, networks)

    def judged(self, m: CommunicatorPart, s: ServicePart, networks: tuple[str, ...]) -> Plain:
        plain = Plain(m, s, networks, set(), set(), {})
        if s.countries and self.site.country not in s.countries:
            plain.failing.add(Rule.COUNTRY)
        need = 1 if s.sim_kind == "fixed" else 2
        behind = self.behind(m)
        here = [n for n in self.site.networks if n.mcc_mnc in networks]
        hung = list(self.hung(m))
        if not hung:
            plain.failing.add(Rule.ANTENNA)
        if behind == "fails":
            plain.failing.add(Rule.SERVICE_LIFE)
        elif behind == "ask":
            plain.undecided.add(Rule.SERVICE_LIFE)
        if len(here) < need:
            plain.failing.add(Rule.NETWORKS)
            return plain
        both = {
            n.mcc_mnc: [t for t in m.technologies if not n.technologies or t in n.technologies]
            for n in here
            if not n.bands or not m.bands or set(n.bands) & set(m.bands)
        }
        both = {code: shared for code, shared in both.items() if shared}
        if len(both) < need:
            plain.failing.add(Rule.TECHNOLOGY)
            return plain
        fates = {code: [self.fate(code, t) for t in shared] for code, shared in both.items()}
        counts = [code for code, f in fates.items() if "counts" in f]
        perhaps = [code for code, f in fates.items() if "counts" in f or "ask" in f]
        allowed = {"counts"}
        if len(perhaps) < need:
            plain.failing.add(Rule.SERVICE_LIFE)
            allowed = {"counts", "ask", "fails"}
        elif len(counts) < need:
            plain.undecided.add(Rule.SERVICE_LIFE)
            allowed = {"counts", "ask"}
        used = {
            code: tuple(t for t, f in zip(both[code], fates[code], strict=True) if f in allowed)
            for code in both
        }
        self.margin(plain, {c: t for c, t in used.items() if t}, hung, need)
        return plain

    def margin(
        self, plain: Plain, used: dict[str, tuple[str, ...]], hung: list[Hung], need: int
    ) -> None:
        waiting = usable = False
        card = tuple(n.mcc_mnc for n in self.site.networks if n.mcc_mnc in plain.networks)
        for h in hung:
            codes = [c for c in used if self.made_for(plain.part, c, used[c], h, card)]
            if len(codes) < need:
                continue
            usable = True
            found = [self.expected(plain.part.id, used[code], code, h, card) for code in codes]
            margins = sorted((e.margin_db for e in found if e is not None), reverse=True)
            good = len([x for x in margins if x >= 0])
            if good >= need:
                where = (h.spot, h.antenna, h.feeder)
                plain.margins[where] = margins[need - 1]
            elif good + found.count(None) >= need:
                waiting = True
        if hung and not usable:
            plain.failing.add(Rule.ANTENNA)
        elif hung and not plain.margins:
            (plain.undecided if waiting else plain.failing).add(
                Rule.READINGS if waiting else Rule.MARGIN
            )

    def hung(self, m: CommunicatorPart) -> Iterator[Hung]:
        for spot in self.site.spots:
            fit = [
                a
                for a in self.antennas
                if (a.outdoor or spot.place != "outside")
                and (spot.place in a.places or a.places == [])
            ]
            if spot.place == "in_panel":
                yield Hung(spot.id, None, None, 0.0)
                yield from (Hung(spot.id, a.id, None, 0.0) for a in fit if m.antenna_socket)
            elif m.antenna_socket and spot.cable_m is not None:
                for a in fit:
                    yield from (Hung(spot.id, a.id, f.id, spot.cable_m) for f in self.feeders)

    def made_for(
        self,
        m: CommunicatorPart,
        network: str,
        used: tuple[str, ...],
        h: Hung,
        card: tuple[str, ...],
    ) -> bool:
        """Whether the antenna is made for a band that both share; a level read says so as well."""
        bands = next(n.bands for n in self.site.networks if n.mcc_mnc == network)
        both = [b for b in bands if b in m.bands] if bands and m.bands else [*bands, *m.bands]
        run = self.run(m, h, card)
        return (
            both == []
            or any(gain_db(run, b, self.ctx) is not None for b in both)
            or self.expected(m.id, used, network, h, card) is not None
        )

    def run(self, m: CommunicatorPart, h: Hung, card: tuple[str, ...]) -> AntennaRun:
        return AntennaRun(
            module=m,
            antenna=next((a for a in self.antennas if a.id == h.antenna), None),
            feeder=next((f for f in self.feeders if f.id == h.feeder), None),
            length_m=h.cable_m,
            connectors=2 if h.feeder else 0,
            crossed=False,
            near_metal=False,
            networks=card,
        )

    def _expected(
        self,
        part_id: str,
        technologies: tuple[str, ...],
        network: str,
        h: Hung,
        card: tuple[str, ...],
    ) -> Expected | None:
        m = self.job.part(part_id)
        assert isinstance(m, CommunicatorPart)
        m = m.model_copy(update={"technologies": list(technologies)})
        run = self.run(m, h, card)
        return self.levels.at_spot(m, network, h.spot, lambda band: gain_db(run, band, self.ctx))

    def behind(self, m: CommunicatorPart) -> str:
        row = self.rows.get(f"part {m.id}")
        if row is not None:
            return self.row_fate(row)
        fails = m.platform_ends is not None and m.platform_ends <= UNTIL
        return "fails" if fails else "counts"

    def fate(self, network: str, technology: str) -> str:
        row = self.rows.get(f"network {network} {technology}")
        return "counts" if row is None else self.row_fate(row)

    def row_fate(self, row: Any) -> str:
        day = row.ends_on or row.ends_from or row.ends_by
        if day is None or day > UNTIL:
            return "counts"
        return "ask" if row.source.evidence == "memory" else "fails"


@dataclass
class Large:
    """A large market, what is chosen in it, and every offer judged in the plain way."""

    job: Job
    found: Choice
    plain: dict[tuple[str, str | None, tuple[str, ...]], Plain]


@pytest.fixture(scope="module", params=[1, 2])
def large(request: pytest.FixtureRequest) -> Large:
    job = _large(request.param)
    plain = {p.key: p for p in Enumeration(job, NOW).offers()}
    return Large(job, choose(job, NOW), plain)


def _key(offer: Offer) -> tuple[str, str | None, tuple[str, ...]]:
    return offer.part, offer.service, offer.networks


def _order(plain: Plain) -> tuple[bool, float, float]:
    return plain.cost is None, plain.cost or 0.0, -plain.margin_db


def test_the_first_is_never_beaten_and_all_stand_in_the_stated_order(large: Large) -> None:
    meeting = {k: p for k, p in large.plain.items() if not p.failing and not p.undecided}
    assert {_key(r.offer) for r in large.found.ranked} == set(meeting)
    assert len(meeting) > 20
    places = [_order(meeting[_key(r.offer)]) for r in large.found.ranked]
    assert places == sorted(places)
    assert places[0] == min(map(_order, meeting.values()))


def test_each_offer_is_listed_once_with_the_spot_and_antenna_of_most_margin(large: Large) -> None:
    found = large.found
    listed = [_key(x.offer) for x in (*found.ranked, *found.undecided, *found.rejected)]
    assert sorted(map(str, listed)) == sorted(map(str, large.plain))
    for r in found.ranked:
        plain = large.plain[_key(r.offer)]
        where = (r.spot, r.antenna.antenna, r.antenna.feeder)
        assert plain.margins[where] == pytest.approx(plain.margin_db, abs=1e-6)
        assert r.margin_db == pytest.approx(plain.margin_db, abs=1e-6)
        assert r.yearly_cost == (None if plain.cost is None else pytest.approx(plain.cost))


def test_every_rule_that_fails_or_is_open_is_named_and_no_other(large: Large) -> None:
    for aside in large.found.rejected:
        assert {r.rule for r in aside.reasons} == large.plain[_key(aside.offer)].failing, aside
    for aside in large.found.undecided:
        plain = large.plain[_key(aside.offer)]
        assert not plain.failing
        assert {r.rule for r in aside.reasons} == plain.undecided, aside
    named = {r.rule for aside in large.found.rejected for r in aside.reasons}
    assert named == set(Rule) - {Rule.ANTENNA, Rule.READINGS, Rule.SECOND_PATH}


# Two paths: the order is that of pairs

OWN_SECOND = {
    "id": "S",
    "part": "part_000",
    "role": "second",
    "service": "fixed_any",
    "sim": {"kind": "fixed", "networks": ["999-72"]},
}


@dataclass(frozen=True)
class Pair:
    first: Plain
    networks: tuple[str, ...]  # of the second path
    cost: float | None

    @property
    def order(self) -> tuple[bool, float, float]:
        return self.cost is None, self.cost or 0.0, -self.first.margin_db


def _pairs(meeting: list[Plain], own: tuple[tuple[str, ...], float | None] | None) -> list[Pair]:
    """Every offer with the site's own second path where that is disjoint, else with every other."""
    found = []
    for a in meeting:
        others = [(b.networks, b.cost) for b in meeting]
        if own is not None and not set(a.networks) & set(own[0]):
            others = [own]
        for networks, cost in others:
            if not set(a.networks) & set(networks):
                both = None if a.cost is None or cost is None else round(a.cost + cost, 6)
                found.append(Pair(a, networks, both))
    return found


@pytest.mark.parametrize("has_second", [False, True])
def test_no_pair_of_two_paths_beats_the_first(has_second: bool) -> None:
    job = _large(5, limits={"mobile_paths": {"value": 2}})
    own = None
    if has_second:
        data = job.model_dump(mode="json")
        data["site"]["communicators"] = [OWN_SECOND]
        data["embedded"]["catalogue"]["part_000"]["yearly_cost"] = 20.0
        job = Job.model_validate(data)
        own = (("999-72",), 50.1)  # 20 and 30.1
    offers = list(Enumeration(job, NOW).offers())
    meeting = [p for p in offers if not p.failing and not p.undecided]
    best: dict[Any, Pair] = {}
    for pair in sorted(_pairs(meeting, own), key=lambda p: p.order):
        best.setdefault(pair.first.key, pair)
    found = choose(job, NOW)
    assert {_key(r.offer) for r in found.ranked} == set(best)
    places = [best[_key(r.offer)].order for r in found.ranked]
    assert places == sorted(places)
    assert len({cost for _, cost, _ in places}) > 3
    for r in found.ranked:
        cost = best[_key(r.offer)].cost
        assert r.pair_yearly_cost == (None if cost is None else pytest.approx(cost))
        assert r.second is not None
        assert not set(r.second.offer.networks) & set(r.offer.networks)
        assert r.second.fitted == (own is not None and r.second.offer.networks == own[0])
    alone = [r.yearly_cost for r in found.ranked if r.pair_yearly_cost is not None]
    assert alone != sorted(alone)  # the order of single paths would be another


# What is stated to be needed, done alone, lifts the rule


def _lifted(job: Job, aside: SetAside, reason: Reason) -> dict[str, Any]:
    """The job's data with the one input changed that a reason speaks of."""
    data = job.model_dump(mode="json")
    catalogue, site = data["embedded"]["catalogue"], data["site"]
    module_, card = catalogue[aside.offer.part], catalogue.get(aside.offer.service or "", {})
    match reason.rule:
        case Rule.PANEL:
            module_["panels"].append("panel_a")
        case Rule.COUNTRY:
            for one in (module_, card):
                if one and one["id"] in reason.text:
                    one["countries"].append("XA")
        case Rule.SERVICE:
            kind = (module_["sim_kinds"] or ["fixed"])[0]
            catalogue["new"] = service("new", sim_kind=kind)
            site["considered"].append("new")
        case Rule.NETWORKS if "999-99" in reason.would_need:
            site["networks"].append({"mcc_mnc": "999-99", "label": "New", "technologies": []})
        case Rule.NETWORKS:
            card["networks"].append("001-01")
        case Rule.TECHNOLOGY:
            for network in site["networks"]:
                if network["mcc_mnc"] in reason.would_need:
                    network |= {
                        "technologies": module_["technologies"],
                        "bands": module_["bands"],
                    }
        case Rule.SERVICE_LIFE if "service of" in reason.would_need:
            data["embedded"]["retirements"] = [
                r for r in data["embedded"]["retirements"] if r["part"] != aside.offer.part
            ]
            module_["platform_ends"] = str(UNTIL + timedelta(days=1))
        case Rule.SERVICE_LIFE:
            lasts = _enough_of(reason.would_need)
            data["embedded"]["retirements"] = [
                r
                for r in data["embedded"]["retirements"]
                if r["network"] is None or f"{r['network']} {SAID[r['technology']]}" not in lasts
            ]
        case Rule.MARGIN:
            lack_db = float(reason.would_need.split()[0])
            for entry in data["record"]:
                for level in entry["values"]["levels"]:
                    for edge in ("value", "low", "high"):
                        level[edge] += lack_db
    return data


def _enough_of(need: str) -> list[str]:
    """Of the networks and technologies that could last, as few as are said to be needed."""
    many = "of these" in need
    names = need.rpartition(": ")[2] if many else need.partition(" to last")[0]
    count = re.search(r"(\d+) networks? of these", need)
    first: dict[str, str] = {}
    for name in names.split(", "):
        first.setdefault(name.split()[0], name)
    return list(first.values())[: int(count.group(1)) if count else 1]


def _again(data: dict[str, Any], aside: SetAside) -> list[Reason]:
    """The reasons of the same offers, once more."""
    keep = {aside.offer.part, "new"}
    kinds = {p["id"]: p["kind"] for p in data["embedded"]["catalogue"].values()}
    data["site"]["considered"] = [
        x for x in data["site"]["considered"] if kinds[x] != "communicator" or x in keep
    ]
    found = choose(Job.model_validate(data), NOW)
    return [
        reason
        for x in (*found.rejected, *found.undecided)
        if x.offer.part == aside.offer.part
        and aside.offer.service in (None, x.offer.service)
        and (x.offer.networks == aside.offer.networks or x.offer.service == "roam_one")
        for reason in x.reasons
    ]


def test_what_is_needed_lifts_its_rule_alone(large: Large) -> None:
    job, found = large.job, large.found
    rng = random.Random(3)
    by_rule: dict[Rule, list[tuple[SetAside, Reason]]] = {}
    for aside in found.rejected:
        for reason in aside.reasons:
            by_rule.setdefault(reason.rule, []).append((aside, reason))
    for stated in by_rule.values():
        for aside, reason in rng.sample(stated, min(6, len(stated))):
            before = _again(job.model_dump(mode="json"), aside)
            after = _again(_lifted(job, aside, reason), aside)
            assert reason in before
            assert reason.rule not in {r.rule for r in after} or (
                (reason.rule, reason.text) not in {(r.rule, r.text) for r in after}
                and reason.rule in (Rule.COUNTRY, Rule.SERVICE_LIFE)  # two things it speaks of
            ), (aside, reason, after)


def test_offers_stand_where_they_are_said_to_once_their_only_reason_is_lifted(
    large: Large,
) -> None:
    now = large.found.ranked[0].offer
    judged = (Rule.COUNTRY, Rule.SERVICE_LIFE, Rule.MARGIN)  # with these all others are judged too
    alone = [
        aside
        for aside in large.found.rejected
        if aside.then.startswith(("would come before", "would stand after"))
        and [r.rule in judged for r in aside.reasons] == [True]
        and not large.plain[_key(aside.offer)].undecided
    ]
    for aside in random.Random(4).sample(alone, 8):
        found = choose(Job.model_validate(_lifted(large.job, aside, aside.reasons[0])), NOW)
        order = [r.offer for r in found.ranked]
        before = order.index(aside.offer) < order.index(now)
        assert before == aside.then.startswith("would come before")


def test_what_is_said_of_the_others_against_the_first_is_true(large: Large) -> None:
    found = large.found
    first = found.ranked[0]
    assert first.yearly_cost is not None
    for other in found.ranked[1:]:
        said = other.reasons[0]
        if other.yearly_cost is None:
            assert said == "its yearly cost is not known, so it stands after those whose cost is"
        elif other.yearly_cost > first.yearly_cost + 1e-6:
            more = f"{other.yearly_cost - first.yearly_cost:.2f} EUR"
            assert said == f"costs {more} a year more than the first"
        else:
            less_db = first.margin_db - other.margin_db
            assert less_db >= 0.0
            number = f"{less_db:.1f} dB" if less_db >= 0.05 else "less than 0.1 dB"
            assert said.startswith((f"{number} less than the first", "as much margin"))


def test_a_simpler_one_that_is_said_to_be_enough_is_enough(large: Large) -> None:
    def simple(where: tuple[str, str | None, str | None]) -> tuple[bool, float]:
        cables = {"hall": 0.0, "stair": 4.0, "roof": 10.0}
        return where[1] is not None, cables[where[0]]

    said = 0
    for r in large.found.ranked:
        plain = large.plain[_key(r.offer)]
        lines = [x for x in r.reasons if x.startswith("enough too")]
        least = min(map(simple, plain.margins))
        listed_ = simple((r.spot, r.antenna.antenna, r.antenna.feeder))
        assert bool(lines) == (least < listed_), r
        said += len(lines)
    assert said > 5


def test_the_order_of_catalogue_and_record_changes_nothing(large: Large) -> None:
    data = large.job.model_dump(mode="json")
    data["record"].reverse()
    data["site"]["considered"].reverse()
    data["embedded"]["retirements"].reverse()
    assert choose(Job.model_validate(data), NOW) == large.found


def test_sources_stand_beside_dates(large: Large) -> None:
    dated = [
        reason
        for aside in large.found.rejected
        for reason in aside.reasons
        if reason.rule is Rule.SERVICE_LIFE
    ]
    assert dated
    assert all(SOURCE["ref"] in r.text and SOURCE["evidence"] in r.text for r in dated)
