"""What was read at spots: which network wins, which spot is best, and what explains it.

Odds by hand with scipy's normal distribution. House figures (practice): a single reading leaves
6 dB open, LTE needs -115 dBm and 10 dB of fade margin.
"""

import json
import math
import time
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.stats import norm

from pathproof.assess import Assessment, assess
from pathproof.assess.spot_report import Contest, Difference, SpotReport, Standing
from pathproof.calc.mobile import Interval
from pathproof.job import Job, embed
from pathproof.terms import Severity

from ._jobs import BEFORE, NOW, PARTS, SOURCE, device, entry, library, with_entry

NETWORKS = [
    {"mcc_mnc": f"001-0{i}", "label": f"001-0{i}", "technologies": ["lte"]} for i in (1, 2, 3)
]
SPOTS = [{"id": "hall", "name": "Hall"}, {"id": "loft", "name": "Loft"}]
ONE_READING_DB = math.hypot(6.0, 6.0)
"""Spread of the difference of two single readings."""


def _level(low: float | None, high: float | None, quantity: str = "rsrp_dbm") -> dict[str, Any]:
    ends = [x for x in (low, high) if x is not None]
    return {"quantity": quantity, "value": sum(ends) / len(ends), "low": low, "high": high}


def _around(value: float) -> dict[str, Any]:
    return _level(value - 0.5, value + 0.5)


def _read(spot: str, network: str | None, *levels: dict[str, Any], **fields: Any) -> dict[str, Any]:
    values = {"levels": list(levels), "network": network, "technology": "lte"}
    values |= fields.pop("values", {})
    return entry("reading", values, **{"about": [spot], "conditions": {}, **fields})


def _job(*record: dict[str, Any], parts: Any = (), **site: Any) -> Job:
    site = {
        "name": "Test",
        "panel": {"part": "panel_a"},
        "devices": [device()],
        "networks": NETWORKS[:2],
        "spots": SPOTS,
        **site,
    }
    record = tuple(r | {"id": f"r{i}"} for i, r in enumerate(record))
    catalogue = PARTS | {p["id"]: p for p in parts}
    data = {"site": site, "record": record, "embedded": {"catalogue": catalogue}}
    return embed(Job.model_validate(data), library())


def _assess(*record: dict[str, Any], **site: Any) -> Assessment:
    return assess(_job(*record, **site), NOW)


def _at(answer: Assessment, spot: str = "hall") -> SpotReport:
    return next(s for s in answer.spots if s.spot == spot)


def _only(contests: tuple[Contest, ...]) -> Contest:
    (one,) = contests
    return one


def _odds(difference_db: float, spread_db: float = math.hypot(ONE_READING_DB, 0.5, 0.5)) -> float:
    return float(norm.cdf(difference_db / spread_db))


def test_the_stronger_network_wins_with_its_odds() -> None:
    answer = _assess(
        _read("hall", "001-01", _around(-98.0)), _read("hall", "001-02", _around(-90.0))
    )
    won = _only(_at(answer).contests)
    assert won.standing is Standing.BEST
    assert won.best == ("001-02",)
    assert won.order == ("001-02", "001-01")
    assert won.odds_ratio == pytest.approx(_odds(8.0))
    assert won.least_odds_ratio == pytest.approx(_odds(7.0, ONE_READING_DB))
    assert won.difference_db == Interval(7.0, 9.0)
    assert won.spread_db == pytest.approx(ONE_READING_DB)
    assert {str(s.evidence) for s in won.sources} == {"practice"}
    assert won.text == "001-02 by 8 dB over 001-01, odds 83 in 100"
    assert round(_odds(8.0) * 100) == 83


def test_a_level_with_its_margin() -> None:
    read = _read("hall", "001-01", _around(-98.0), values={"band": "B20"}, instrument="Phone")
    level = _at(_assess(read)).levels[0]
    assert (level.readings, level.bands, level.instruments) == (1, ("B20",), ("Phone",))
    assert level.first_at == level.last_at == datetime.fromisoformat(BEFORE)
    assert level.median_dbm == level.tenth_dbm == Interval(-98.5, -97.5)
    assert level.required_dbm == -105.0
    assert level.margin_db == Interval(6.5, 7.5)
    assert level.confirmed


def test_median_and_tenth_percentile_of_a_watch_by_hand() -> None:
    values = [-92, -95, -91, -97, -93, -90, -99, -94, -96, -98, -89, -88]
    series = [
        {"after_s": 60.0 * i, "levels": [_around(v)]} for i, v in enumerate(values[1:], start=1)
    ]
    read = _read("hall", "001-01", _around(values[0]), values={"series": series})
    level = _at(_assess(read)).levels[0]
    assert level.readings == 12
    assert level.last_at - level.first_at == timedelta(minutes=11)
    # The middle two are -93 and -94; the second from below is -98.
    assert level.median_dbm == Interval(-94.0, -93.0)
    assert level.tenth_dbm == Interval(-98.5, -97.5)


def test_levels_that_differ_little_are_a_tie() -> None:
    answer = _assess(
        _read("hall", "001-01", _around(-91.0)),
        _read("hall", "001-02", _around(-90.0)),
        _read("hall", "001-03", _around(-120.0)),
        networks=NETWORKS,
    )
    tied = _only(_at(answer).contests)
    assert _odds(1.0) < 0.6  # what counts as a tie: house value
    assert tied.standing is Standing.TIE
    assert tied.best == ("001-02", "001-01")
    assert tied.odds_ratio == pytest.approx(_odds(1.0))
    assert tied.text.startswith("tie of 001-02 and 001-01: 1 dB apart")


def test_a_bin_with_no_lower_edge_is_open_or_far_enough_down() -> None:
    below = _read("hall", "001-02", _level(None, -109.0))
    near = _only(_at(_assess(_read("hall", "001-01", _around(-109.5)), below)).contests)
    assert near.standing is Standing.OPEN
    assert near.odds_ratio is None
    assert near.best == ("001-02", "001-01")
    far = _assess(_read("hall", "001-01", _around(-90.0)), below)
    won = _only(_at(far).contests)
    assert (won.standing, won.best) == (Standing.BEST, ("001-01",))
    assert won.odds_ratio is None
    assert won.least_odds_ratio == pytest.approx(_odds(18.5, ONE_READING_DB))
    assert won.text == "001-01 by 18 dB or more over 001-02, odds at least 99 in 100"
    data = json.loads(json.dumps(far.as_dict(), allow_nan=False))
    assert data["spots"][0]["contests"][0]["difference_db"] == {"low": 18.5, "high": None}


def test_readings_off_both_ends_of_the_scale_leave_all_open() -> None:
    both_ends = [
        _read("hall", "001-01", _level(None, -109.0)),
        _read("hall", "001-01", _level(-51.0, None)),
    ]
    report = _at(_assess(*both_ends, _read("hall", "001-02", _around(-90.0))))
    assert _only(report.contests).standing is Standing.OPEN
    assert report.levels[0].median_dbm == Interval()


def test_one_network_only() -> None:
    report = _at(_assess(_read("hall", "001-01", _around(-98.0))))
    alone = _only(report.contests)
    assert (alone.standing, alone.runner_up, alone.odds_ratio) == (Standing.ALONE, None, None)
    assert report.not_read == ("001-02",)
    assert report.ask == "Read 001-02 here."


def test_nothing_read_says_what_to_read_first() -> None:
    answer = _assess(
        communicators=[{"id": "C1", "part": "lte", "spot": "loft"}],
    )
    assert _at(answer, "loft").ask == "Read here first: 001-01, 001-02."
    assert _at(answer, "hall").ask == "Read 001-01, 001-02 here."
    assert _at(answer).contests == answer.networks[0].contests == ()
    in_panel = [SPOTS[0], {**SPOTS[1], "place": "in_panel"}]
    assert "first" in _at(_assess(spots=in_panel), "loft").ask


def test_a_site_without_spots_or_networks() -> None:
    assert _assess(spots=[]).spots == ()
    answer = _assess(networks=[])
    assert answer.networks == ()
    assert "Add the networks" in _at(answer).ask


def test_what_does_not_count_is_said() -> None:
    answer = _assess(
        _read("hall", "999-99", _around(-80.0)),
        _read("hall", None, _around(-80.0)),
        _read("hall", "001-01", _around(-80.0), at="2025-11-01T10:00:00+00:00"),
        _read("hall", "001-01", _level(-60.0, -58.0, "rssi_dbm")),
        _read("hall", "001-02"),
    )
    report = _at(answer)
    assert report.levels == ()
    assert report.silent == ("001-02",)
    assert report.ask == "Read here first: 001-01."
    notes = " ".join(report.notes)
    for text in (
        "1 reading of 999-99, which is not among the site's networks",
        "1 reading too old: the last on 2025-11-01, and a reading counts for 365 days",
        "1 reading with no network named",
        "RSSI does not",
        "no level of 001-02 (once)",
    ):
        assert text in notes


def _with_losses(read: dict[str, Any], lost: int, of: int) -> dict[str, Any]:
    """The reading gone on with every ten seconds, the last moments of it without a level."""
    levels = read["values"]["levels"]
    read["values"]["series"] = [
        {"after_s": 10.0 * i, "levels": levels if i < of - lost else []} for i in range(1, of)
    ]
    return read


def test_moments_without_a_network_count_as_below_anything() -> None:
    answer = _assess(_with_losses(_read("hall", "001-01", _around(-98.0)), lost=3, of=30))
    (level,) = _at(answer).levels
    assert (level.readings, level.lost) == (30, 3)
    assert level.median_dbm == Interval(-98.5, -97.5)
    assert (level.tenth_dbm, level.margin_db) == (None, None)  # rank 3 of 30 is one of the three
    assert _at(answer).notes == ("The instrument showed no level of 001-01 (3 of 30 moments).",)
    answer = _assess(_with_losses(_read("hall", "001-01", _around(-98.0)), lost=2, of=30))
    assert _at(answer).levels[0].tenth_dbm == Interval(-98.5, -97.5)


def test_a_network_that_was_mostly_not_there_comes_last_whatever_its_level() -> None:
    strong = _with_losses(_read("hall", "001-01", _around(-70.0)), lost=15, of=30)
    answer = _assess(strong, _read("hall", "001-02", _around(-105.0)))
    found = _only(_at(answer).contests)
    assert (found.order, found.best) == (("001-02", "001-01"), ("001-02",))
    assert found.standing is Standing.BEST
    assert found.text == "only 001-02 was there (001-01: no network in 15 of 30 moments)"
    assert _at(_assess(strong)).contests == ()
    # one moment more with a level, and the median is one
    strong = _with_losses(_read("hall", "001-01", _around(-70.0)), lost=14, of=30)
    answer = _assess(strong, _read("hall", "001-02", _around(-105.0)))
    assert _only(_at(answer).contests).order == ("001-01", "001-02")


def test_steps_of_a_scale_without_levels_are_told_and_are_no_silence() -> None:
    bars = _read("hall", "001-01", values={"step": "3 bars"})
    report = _at(_assess(bars))
    assert report.steps == ("3 bars of 001-01",)
    assert report.silent == ()
    assert report.notes == (
        "Read as steps of a scale without levels, which rank nothing: 3 bars of 001-01; read in "
        "dBm.",
    )


def test_a_reading_of_a_spot_that_was_moved_does_not_count() -> None:
    floors = [{"id": "G", "name": "Ground", "elevation_m": 0.0, "height_m": 3.0}]
    placed = [{**SPOTS[0], "floor": "G", "at": [1.0, 1.0]}]
    values = {"levels": [_around(-90.0)], "network": "001-01", "technology": "lte"}
    job = with_entry(
        _job(floors=floors, spots=placed),
        ["spot:hall"],
        kind="reading",
        about=["hall"],
        values=values,
        conditions={},
    )
    assert _at(assess(job, NOW)).levels
    data = job.model_dump(mode="json")
    data["site"]["spots"][0]["at"] = [9.0, 1.0]
    report = _at(assess(Job.model_validate(data), NOW))
    assert report.levels == ()
    assert "before the spot was moved" in report.notes[0]


def _instrument(part_id: str, **figures: float) -> dict[str, Any]:
    return {"kind": "instrument", "id": part_id, "name": part_id, "source": SOURCE, **figures}


def test_an_instruments_offset_is_taken_off_and_its_spread_counts_between_two() -> None:
    parts = [_instrument("meter", offset_db=3.0, spread_db=2.0)]
    first = _read("hall", "001-01", _around(-90.0), instrument="meter")

    def won_against(instrument: str, level: float) -> Contest:
        second = _read("hall", "001-02", _around(level), instrument=instrument)
        return _only(_at(assess(_job(first, second, parts=parts), NOW)).contests)

    other = won_against("another one", -98.0)
    assert other.difference_db == Interval(4.0, 6.0)  # -93 against -98
    assert other.odds_ratio == pytest.approx(_odds(5.0, math.hypot(ONE_READING_DB, 0.5, 0.5, 2.0)))
    same = won_against("meter", -98.0)
    assert same.odds_ratio == pytest.approx(_odds(8.0))


def test_a_modules_own_reading_counts_without_its_antenna() -> None:
    own = _read("C1", "001-01", _around(-90.0), conditions={"final_antenna": True})
    communicator = {"id": "C1", "part": "lte", "spot": "hall", "antenna": "whip"}
    level = _at(_assess(own, communicators=[communicator])).levels[0]
    # Whip of 3 dBi; a standing wave ratio of 2 loses 0.5115 dB (facts of transmission lines).
    assert level.median_dbm.low == pytest.approx(-90.5 - 3.0 + 0.5115, abs=1e-4)
    unknown = _read("hall", "001-01", _around(-90.0), conditions={"final_antenna": True})
    report = _at(_assess(unknown))
    assert report.levels == ()
    assert "nobody knows which" in report.notes[0]


def test_a_module_that_names_neither_network_nor_technology_read_its_own() -> None:
    own = _read("C1", None, _around(-90.0), values={"technology": None})
    part = {**PARTS["lte"], "id": "narrow", "technologies": ["lte_m"]}
    sim = {"kind": "fixed", "networks": ["001-02"]}
    communicator = {"id": "C1", "part": "narrow", "spot": "hall", "sim": sim}
    (level,) = _at(assess(_job(own, parts=[part], communicators=[communicator]), NOW)).levels
    assert (level.network, level.technology) == ("001-02", "lte_m")


def test_technologies_are_compared_apart() -> None:
    networks = [
        {**NETWORKS[0], "technologies": ["lte"]},
        {**NETWORKS[1], "technologies": ["lte_m"]},
    ]
    answer = _assess(
        _read("hall", "001-01", _around(-98.0)),
        _read("hall", "001-02", _around(-90.0), values={"technology": "lte_m"}),
        networks=networks,
    )
    assert [c.standing for c in _at(answer).contests] == [Standing.ALONE] * 2


def test_which_spot_is_best_for_each_network() -> None:
    answer = _assess(
        _read("hall", "001-01", _around(-98.0)),
        _read("loft", "001-01", _around(-85.0)),
        _read("hall", "001-02", _around(-90.0)),
    )
    first, second = answer.networks
    best = _only(first.contests)
    assert (best.best, best.runner_up) == (("loft",), "hall")
    assert best.odds_ratio == pytest.approx(_odds(13.0))
    assert best.text == "Loft by 13 dB over Hall, odds 94 in 100"
    assert round(_odds(13.0) * 100) == 94
    assert _only(second.contests).standing is Standing.ALONE


def test_readings_that_hang_together_count_as_fewer() -> None:
    def watched(gap_s: float) -> float:
        series = [{"after_s": gap_s * i, "levels": [_around(-90.0)]} for i in range(1, 9)]
        many = _read("hall", "001-01", _around(-90.0), values={"series": series})
        answer = _assess(many, _read("hall", "001-02", _around(-98.0)))
        odds = _only(_at(answer).contests).odds_ratio
        assert odds is not None
        return odds

    # Nine readings within eight seconds are about one, nine in eight hours are nine.
    nine = 6.0 * math.sqrt(math.pi / 2.0 / 9.0)
    assert watched(3600.0) == pytest.approx(_odds(8.0, math.hypot(nine, 6.0, 0.5, 0.5)), abs=1e-6)
    assert watched(1.0) < watched(3600.0)


# What explains a difference: Rec. ITU-R P.2109-2, Annex 1, section 3, coefficients as printed there
# (restated by three independent open codes), by hand with scipy. Frequencies are the middles of
# the downlinks of 3GPP TS 36.101: 806 MHz for band 20.
PRINTED = {
    "traditional": (12.64, 3.72, 0.96, 9.6, 2.0, 9.1, -3.0, 4.5, -2.0),
    "efficient": (28.19, -3.00, 8.48, 13.5, 3.8, 27.8, -2.9, 9.4, -2.1),
}


def _loss_db(building: str, f_ghz: float, share: float) -> float:
    r, s, t, u, v, w, x, y, z = PRINTED[building]
    f, p = np.log10(f_ghz), norm.ppf(share)
    a = p * (u + v * f) + r + s * f + t * f * f
    b = p * (y + z * f) + w + x * f
    return float(10 * np.log10(10 ** (a / 10) + 10 ** (b / 10) + 10 ** (-3 / 10)))


def _share(building: str, f_ghz: float, loss_db: float) -> float:
    found = brentq(lambda p: _loss_db(building, f_ghz, p) - loss_db, 1e-6, 1 - 1e-6)
    return float(found)


def _difference(
    apart_db: float, *, hall: str | None = None, loft: str | None = None, **values: Any
) -> Difference:
    places = [SPOTS[0] | {"place": hall}, SPOTS[1] | {"place": loft}]
    values = {"band": "B20", **values}
    answer = _assess(
        _read("hall", "001-01", _around(-80.0 - apart_db), values=values),
        _read("loft", "001-01", _around(-80.0), values=values),
        spots=places,
    )
    (found,) = answer.networks[0].differences
    return found


def test_by_hand_is_as_the_reference_values_are() -> None:
    # Rec. ITU-R P.2109-2 at 0.8 GHz: 50 % and 90 % of places, to four decimals
    assert _loss_db("traditional", 0.8, 0.5) == pytest.approx(14.1714, abs=5e-5)
    assert _loss_db("traditional", 0.8, 0.9) == pytest.approx(24.8722, abs=5e-5)
    assert _loss_db("efficient", 0.8, 0.5) == pytest.approx(31.3392, abs=5e-5)
    assert _loss_db("efficient", 0.8, 0.9) == pytest.approx(46.5825, abs=5e-5)


def test_inside_a_difference_is_held_against_the_span_of_places() -> None:
    usual, efficient = (
        _loss_db(b, 0.806, 0.9) - _loss_db(b, 0.806, 0.1) for b in ("traditional", "efficient")
    )
    found = _difference(23.0)
    assert (found.best, found.worst, found.band) == ("loft", "hall", "20")
    assert found.frequency_hz == 806e6
    assert found.difference_db == Interval(22.0, 24.0)
    assert found.sources[0].ref.startswith("Rec. ITU-R P.2109")
    assert f"span {usual:.0f} dB in a building of traditional build" in found.text
    assert f"and {efficient:.0f} dB in a thermally efficient one" in found.text
    assert usual < 23.0 < efficient
    assert "unless the building is of the second kind" in found.text
    assert "look for metal, foil or coated glass near Hall" in found.text
    assert found.unusual
    same = _difference(round(usual))
    assert "differ as much anyway" in same.text
    assert not same.unusual
    beyond = _difference(math.ceil(efficient) + 1.0).text
    assert "look for metal" in beyond
    assert "unless" not in beyond


@pytest.mark.parametrize("apart_db", [14.0, 25.0, 31.0])
def test_from_outside_a_loss_is_a_share_of_places(apart_db: float) -> None:
    difference = _difference(apart_db, loft="outside")
    found = difference.text
    for building, kind in (("traditional", "traditional build"), ("efficient", "efficient one")):
        share, median_db = _share(building, 0.806, apart_db), _loss_db(building, 0.806, 0.5)
        said = f"{share * 100:.0f} %" if 0.01 <= share <= 0.99 else "less than 1 %"
        assert said in found
        assert f"{median_db:.0f} dB" in found
        assert kind in found
    assert ("look for metal" in found) == (_share("traditional", 0.806, apart_db) > 0.9)
    assert difference.unusual == ("look for metal" in found)


def _inside_at(losses_db: Sequence[float], outside_db: float | None = None) -> Assessment:
    """Spots inside with such losses, and one outside."""
    levels = {f"s{i}": -60.0 - float(loss) for i, loss in enumerate(losses_db)}
    places = [{"id": s, "name": s} for s in levels]
    if outside_db is not None:
        levels["out"] = -60.0 - outside_db
        places.append({"id": "out", "name": "Out", "place": "outside"})
    return _assess(
        *(_read(s, "001-01", _around(v), values={"band": "20"}) for s, v in levels.items()),
        spots=places,
    )


@pytest.mark.parametrize("outside_db", [None, 0.0])
@pytest.mark.parametrize("spots", [2, 8, 20])
def test_an_ordinary_building_is_seldom_called_unusual(
    spots: int, outside_db: float | None
) -> None:
    # Places drawn at random from the distribution that P.2109 gives, as above. The best and the
    # worst of 20 lie further apart than 80 % of places span in 19 of 20 such buildings.
    rng = np.random.default_rng(2109)
    shares = np.linspace(0.0005, 0.9995, 2000)
    losses = np.interp(
        rng.random((100, spots)), shares, [_loss_db("traditional", 0.806, p) for p in shares]
    )
    called = np.mean(
        [
            any(d.unusual for d in _inside_at(row, outside_db).networks[0].differences)
            for row in losses
        ]
    )
    assert 0.02 <= called <= 0.2  # about 0.1; of 100 draws seldom more or less by chance


def test_the_span_grows_with_the_spots() -> None:
    (difference,) = _inside_at([0.0, 5.0, 10.0, 23.0]).networks[0].differences
    found = difference.text
    spans = [
        _loss_db(b, 0.806, 0.95) - _loss_db(b, 0.806, 0.05) for b in ("traditional", "efficient")
    ]
    assert "the best and the worst of 4 spots): 4 places inside differ as much anyway." in found
    assert f"90 % of indoor places span {spans[0]:.0f} dB" in found
    assert f"and {spans[1]:.0f} dB in a thermally efficient one" in found


def test_no_false_digits_at_the_end_of_the_distribution() -> None:
    assert _share("traditional", 0.806, 50.0) > 0.99
    assert "more than 99 %" in _difference(50.0, loft="outside").text


def test_outside_explains_nothing_where_it_is_the_weaker_or_both_are() -> None:
    weaker = _difference(20.0, hall="outside")
    assert "weaker one" in weaker.text
    assert weaker.unusual
    both = _difference(20.0, hall="outside", loft="outside")
    assert "both are outside" in both.text
    assert not both.unusual


@pytest.mark.parametrize(
    ("band", "why"),
    [(None, "band was not read"), ("n78", "band 78 are not on hand"), ("0", "of band 0")],
)
def test_without_a_known_band_there_is_no_explanation(band: str | None, why: str) -> None:
    answer = _assess(
        *(_read(spot, "001-01", _around(v), values={"band": band})
          for spot, v in (("hall", -110.0), ("loft", -80.0)))
    )  # fmt: skip
    assert answer.networks[0].differences == ()
    assert why in answer.networks[0].notes[0]


def test_spots_are_explained_band_by_band_and_only_where_one_is_better() -> None:
    answer = _assess(
        _read("hall", "001-01", _around(-110.0), values={"band": "20"}),
        _read("loft", "001-01", _around(-80.0), values={"band": "3"}),
        _read("hall", "001-02", _around(-81.0), values={"band": "20"}),
        _read("loft", "001-02", _around(-80.0), values={"band": "20"}),
    )
    assert [n.differences for n in answer.networks] == [(), ()]
    assert [n.notes for n in answer.networks] == [(), ()]


def _advice(answer: Assessment) -> list[str]:
    return [
        f.text
        for f in answer.findings
        if f.severity is Severity.ADVICE and "antenna and cable left out" in f.text
    ]


def _fitted(kind: str, *record: dict[str, Any]) -> list[str]:
    sim = {"kind": kind, "networks": ["001-01"] if kind == "fixed" else []}
    c = {"id": "C1", "part": "lte", "spot": "hall", "sim": sim}
    return _advice(_assess(*record, communicators=[c]))


def test_a_clearly_better_spot_is_advised() -> None:
    at_hall = [_read("hall", n, _around(-100.0)) for n in ("001-01", "001-02")]
    better = [_read("loft", n, _around(-84.0)) for n in ("001-01", "001-02")]
    (text,) = _fitted("fixed", *at_hall, *better)
    assert "Hall (hall)" in text
    assert "At Loft (loft) 001-01 is 16 dB stronger (97 in 100)" in text
    assert round(_odds(16.0) * 100) == 97
    (text,) = _fitted("roaming", *at_hall, *better)
    assert "001-01 is 16 dB stronger (97 in 100) and 001-02 is 16 dB" in text
    # A card that roams needs both; 10 dB have odds below the 90 % asked (house value).
    assert _odds(10.0) < 0.9
    weaker = _read("loft", "001-02", _around(-90.0))
    assert _fitted("roaming", *at_hall, better[0], weaker) == []
    assert len(_fitted("fixed", *at_hall, better[0], weaker)) == 1


def test_no_advice_without_readings_at_both_spots() -> None:
    assert _fitted("fixed", _read("loft", "001-01", _around(-80.0))) == []
    assert _fitted("fixed", _read("hall", "001-01", _around(-100.0))) == []


@given(st.lists(st.integers(-120, -80), min_size=3, max_size=3))
def test_the_best_is_as_comparing_each_pair_by_hand_has_it(levels: list[int]) -> None:
    codes = [n["mcc_mnc"] for n in NETWORKS]
    record = [
        _read("hall", code, _level(float(v), float(v)))
        for code, v in zip(codes, levels, strict=True)
    ]
    found = _only(_at(_assess(*record, networks=NETWORKS)).contests)
    most = max(levels)
    near = {
        code
        for code, v in zip(codes, levels, strict=True)
        if norm.cdf((most - v) / ONE_READING_DB) < 0.6  # house value
    }
    assert set(found.best) == near
    assert found.standing is (Standing.TIE if len(near) > 1 else Standing.BEST)
    second = sorted(levels)[-2]
    assert found.odds_ratio == pytest.approx(norm.cdf((most - second) / ONE_READING_DB))


def test_the_order_of_the_record_changes_nothing() -> None:
    record = [
        _read("hall", "001-01", _around(-98.0)),
        _read("hall", "001-02", _around(-98.0)),
        _read("loft", "001-01", _around(-85.0)),
    ]
    job = _job(*record)
    data = job.model_dump(mode="json")
    data["record"].reverse()
    again = assess(Job.model_validate(data), NOW)
    assert again.as_dict()["spots"] == assess(job, NOW).as_dict()["spots"]


def test_three_hundred_spots_are_quick() -> None:
    spots = [{"id": f"s{i}", "name": f"Spot {i}"} for i in range(300)]
    record = [
        _read(s["id"], n["mcc_mnc"], _around(-80.0 - (7 * i + 3 * j) % 40), values={"band": "20"})
        for i, s in enumerate(spots)
        for j, n in enumerate(NETWORKS)
    ]
    job = _job(*record, spots=spots, networks=NETWORKS)
    start = time.perf_counter()
    answer = assess(job, NOW)
    assert time.perf_counter() - start < 5.0  # some 0.3 s when written
    assert len(answer.spots) == 300
    assert len(_only(answer.networks[0].contests).order) == 300
