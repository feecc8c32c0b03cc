"""Levels to expect at spots, from what was read there."""

from datetime import datetime, timedelta
from typing import Any

import numpy as np
import pytest
from scipy.stats import norm

from pathproof.assess.context import Context
from pathproof.assess.mobile_at_spots import ExpectedLevels
from pathproof.assess.mobile_expected import Expected
from pathproof.job import CommunicatorPart, Job
from pathproof.terms import Technology

from ._jobs import NOW, SOURCE, entry, make_job

START = datetime.fromisoformat("2026-11-20T10:00:00+00:00")
NETWORK = {"mcc_mnc": "001-01", "label": "One", "technologies": ["lte", "lte_m"]}
SURVEY = {"kind": "instrument", "id": "survey", "name": "Survey modem", "source": SOURCE}


def level(value: float, quantity: str = "rsrp_dbm") -> dict[str, Any]:
    return {"quantity": quantity, "value": value, "low": value - 0.5, "high": value + 0.5}


def reading(*later: tuple[float, float], value: float = -98.0, **fields: Any) -> dict[str, Any]:
    values = {
        "levels": [level(value)],
        "network": fields.pop("network", "001-01"),
        "technology": fields.pop("technology", "lte"),
        "band": fields.pop("band", None),
        "series": [{"after_s": s, "levels": [level(v)]} for s, v in later],
    }
    return entry("reading", values, **({"about": ["S1"], "conditions": {}} | fields))


def job_of(*record: dict[str, Any], networks: Any = (NETWORK,), **site: Any) -> Job:
    return make_job(
        [r | {"id": f"r{i}"} for i, r in enumerate(record)],
        networks=list(networks),
        spots=[{"id": "S1", "name": "Hall"}],
        **site,
    )


def module(*technologies: str, bands: tuple[str, ...] = ()) -> CommunicatorPart:
    return CommunicatorPart.model_validate(
        {
            "kind": "communicator",
            "id": "m",
            "name": "m",
            "source": SOURCE,
            "technologies": list(technologies),
            "bands": list(bands),
        }
    )


def at_s1(job: Job, part: CommunicatorPart, gain_db: float | None = 0.0) -> Expected | None:
    levels = ExpectedLevels(Context(job, NOW, None, leave_out_later=False))
    return levels.at_spot(part, "001-01", "S1", lambda _band: gain_db)


def test_one_reading_counts_with_antenna_and_house_spread() -> None:
    found = at_s1(job_of(reading()), module("lte"), gain_db=-2.5)
    assert found is not None
    # house figures (practice): need -115 dBm, fade margin 10 dB, spread 6 dB and half a bin
    assert found.level_dbm == pytest.approx(-100.5)
    assert found.margin_db == pytest.approx(4.5)
    assert found.spread_db == pytest.approx((6.0**2 + 0.5**2) ** 0.5)
    assert found.odds == pytest.approx(norm.cdf(14.5 / (6.0**2 + 0.5**2) ** 0.5))
    assert (found.technology, found.readings, found.carried) == (Technology.LTE, 1, None)


def test_what_was_read_later_in_a_watch_counts_too() -> None:
    # ten readings: the least of fewer than eleven counts (nearest rank)
    job = job_of(reading(*((60.0 * i, -95.0 - i) for i in range(1, 10)), value=-90.0))
    found = at_s1(job, module("lte"))
    assert found is not None
    assert found.readings == 10
    assert found.level_dbm == pytest.approx(-104.0)
    # eleven to twenty: the second from below
    job = job_of(reading(*((60.0 * i, -95.0 - i) for i in range(1, 12)), value=-90.0))
    found = at_s1(job, module("lte"))
    assert found is not None
    assert found.level_dbm == pytest.approx(-105.0)


def test_an_lte_reading_tells_little_of_lte_m() -> None:
    own = at_s1(job_of(reading()), module("lte"))
    found = at_s1(job_of(reading()), module("lte_m"))
    assert own is not None
    assert found is not None
    # house values: 6, 3, 3 and 6 dB of doubt; 1.2816 deviations below the middle is what nine of
    # ten reach (normal distribution)
    carried_db = (6.0**2 + 3.0**2 + 3.0**2 + 6.0**2) ** 0.5
    assert found.level_dbm == pytest.approx(-98.0 - norm.ppf(0.9) * carried_db)
    assert found.spread_db == pytest.approx((own.spread_db**2 + carried_db**2) ** 0.5)
    assert found.carried is not None
    assert len(found.carried.doubts) == 4


def test_the_only_band_that_both_share_is_one_doubt_less() -> None:
    one_band = NETWORK | {"bands": ["20"]}
    job = job_of(reading(band="B20"), networks=[one_band])
    found = at_s1(job, module("lte_m", bands=("3", "20")))
    assert found is not None
    assert found.carried is not None
    assert found.carried.spread_db == pytest.approx((6.0**2 + 3.0**2 + 3.0**2) ** 0.5)


@pytest.mark.parametrize("offered", [["lte"], []])
def test_lte_counts_for_nb_iot_only_where_it_is_said_to_be_offered(offered: list[str]) -> None:
    job = job_of(reading(), networks=[NETWORK | {"technologies": offered}])
    assert at_s1(job, module("nb_iot")) is None
    offered_too = job_of(reading(), networks=[NETWORK | {"technologies": [*offered, "nb_iot"]}])
    assert at_s1(offered_too, module("nb_iot")) is not None


def test_the_technology_itself_goes_before_one_carried_over() -> None:
    job = job_of(reading(value=-70.0), reading(value=-100.0, technology="lte_m"))
    found = at_s1(job, module("lte_m"))
    assert found is not None
    assert found.carried is None
    assert found.level_dbm == pytest.approx(-100.0)


def test_an_antenna_that_is_not_made_for_a_band_leaves_its_readings_out() -> None:
    job = job_of(reading(band="20"), reading(value=-80.0, band="31"))
    levels = ExpectedLevels(Context(job, NOW, None, leave_out_later=False))
    gains = {"20": 2.0, "31": None}
    found = levels.at_spot(module("lte"), "001-01", "S1", lambda b: gains[b or ""])
    assert found is not None
    assert (found.band, found.readings) == ("20", 1)
    assert found.level_dbm == pytest.approx(-96.0)
    assert levels.at_spot(module("lte"), "001-01", "S1", lambda _: None) is None


def test_an_instrument_counts_with_its_offset_and_spread() -> None:
    shown = reading(instrument="survey")
    known = SURVEY | {"offset_db": 3.0, "spread_db": 2.0}
    job = job_of(shown)
    data = job.model_dump(mode="json")
    data["embedded"]["catalogue"]["survey"] = known
    found = at_s1(Job.model_validate(data), module("lte"))
    assert found is not None
    assert found.level_dbm == pytest.approx(-101.0)
    assert found.spread_db == pytest.approx((6.0**2 + 0.5**2 + 2.0**2) ** 0.5)


@pytest.mark.parametrize(
    "fields",
    [
        {"conditions": {"final_antenna": True}},
        {"at": "2025-11-01T10:00:00+00:00"},
        {"network": "001-02"},
        {"technology": "gsm"},
        {"band": "3"},
    ],
)
def test_readings_that_say_nothing_of_a_module_at_a_spot(fields: dict[str, Any]) -> None:
    assert at_s1(job_of(reading(**fields)), module("lte", bands=("20",))) is None


def test_enough_readings_tell_the_spread_themselves() -> None:
    drawn = np.random.default_rng(4).normal(-90.0, 2.0, 60).round()
    later = [(60.0 * i, float(v)) for i, v in enumerate(drawn)][1:]
    found = at_s1(job_of(reading(*later, value=float(drawn[0]))), module("lte"))
    assert found is not None
    assert found.spread.independent is not None
    # sample standard deviation with half a bin (numpy); readings drawn independently, so that
    # their correlation changes it by a few per cent at most
    seen = float(np.hypot(np.std(drawn, ddof=1), 0.5))
    assert found.spread_db == pytest.approx(seen, rel=0.05)
    few = at_s1(job_of(reading(*later[:3], value=float(drawn[0]))), module("lte"))
    assert few is not None
    assert few.spread.independent is None


def test_networks_read_are_those_with_a_level_that_grades() -> None:
    rssi = reading(network="001-03")
    rssi["values"]["levels"] = [level(-60.0, "rssi_dbm")]
    job = job_of(reading(), reading(network="001-02", technology="gsm"), rssi)
    levels = ExpectedLevels(Context(job, NOW, None, leave_out_later=False))
    assert levels.networks_read("S1") == {"001-01"}
    assert levels.networks_read("elsewhere") == frozenset()


def test_readings_all_alike_leave_the_finest_that_instruments_show() -> None:
    exact = reading()
    exact["values"]["levels"] = [{"quantity": "rsrp_dbm", "value": -90.0}]
    exact["values"]["series"] = [
        {"after_s": 60.0 * i, "levels": exact["values"]["levels"]} for i in range(1, 40)
    ]
    found = at_s1(job_of(exact), module("lte"))
    assert found is not None
    assert found.spread_db == pytest.approx(0.5)  # house value, no source


def test_moments_of_a_watch_are_those_of_the_entry_and_later() -> None:
    found = at_s1(job_of(reading((90.0, -110.0))), module("lte"))
    assert found is not None
    assert found.decides.at == START + timedelta(seconds=90)
