"""Maps of one network's level between the spots where it was read."""

from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, Matern

from pathproof.assess.floor_map import FloorMap, MapKind
from pathproof.assess.network_level import network_level_map
from pathproof.job import Job
from pathproof.terms import Evidence, JobError, LimitName

from ._jobs import NOW, SOURCE, entry, make_job, with_entry

FLOORS = [
    {"id": "G", "name": "Ground", "elevation_m": 0.0, "height_m": 3.0},
    {"id": "U", "name": "Upper", "elevation_m": 3.0, "height_m": 3.0},
]
CORNERS = [(0.0, 0.0), (0.0, 8.0), (12.0, 8.0), (12.0, 0.0), (0.0, 0.0)]
WALLS = [
    {"id": f"{f}{i}", "floor": f, "start": a, "end": b, "construction": "brick_solid_225"}
    for f in ("G", "U")
    for i, (a, b) in enumerate(pairwise(CORNERS))
]
SPOTS = [
    {"id": "S1", "name": "Hall", "floor": "G", "at": (1.0, 1.0)},
    {"id": "S2", "name": "Office", "floor": "G", "at": (11.0, 1.0)},
    {"id": "S3", "name": "Store", "floor": "G", "at": (11.0, 7.0)},
    {"id": "S4", "name": "Loft", "floor": "U", "at": (6.0, 4.0)},
    {"id": "S5", "name": "Yard", "floor": "G"},
]
NETWORKS = [
    {"mcc_mnc": "001-01", "label": "Near", "technologies": ["lte", "gsm"]},
    {"mcc_mnc": "001-02", "label": "Far", "technologies": ["lte"]},
]


def _level(value: float, quantity: str = "rsrp_dbm", **edges: float | None) -> dict[str, Any]:
    return {"quantity": quantity, "value": value, "low": value - 0.5, "high": value + 0.5, **edges}


def _read(
    spot: str, *levels: dict[str, Any] | float, network: str | None = "001-01", **fields: Any
) -> dict[str, Any]:
    shown = [x if isinstance(x, dict) else _level(x) for x in levels]
    values = {"levels": shown, "network": network, "technology": fields.pop("technology", None)}
    return entry("reading", values, **{"about": [spot], "conditions": {}, **fields})


def _job(*record: dict[str, Any], **site: Any) -> Job:
    site = {"floors": FLOORS, "walls": WALLS, "spots": SPOTS, "networks": NETWORKS, **site}
    return make_job([r | {"id": f"r{i}"} for i, r in enumerate(record)], **site)


def _map(*record: dict[str, Any], **site: Any) -> FloorMap:
    return network_level_map(_job(*record, **site), "G", "001-01", NOW, cell_m=1.0)


def _at(found: FloorMap, x: float, y: float) -> float:
    column = int((x - found.origin_m[0]) / found.cell_m)
    return float(found.values[int((y - found.origin_m[1]) / found.cell_m), column])


def _levels(found: FloorMap) -> np.ndarray:
    """Those of all places near enough to a spot."""
    return found.values[~np.isnan(found.values)]


THREE = (_read("S1", -80.0), _read("S2", -95.0), _read("S3", -104.0))


def test_values_and_spread_are_those_of_another_library() -> None:
    found = _map(*THREE)
    # house covariance: sill 25 dB^2, range 8 m, nugget 9 dB^2; half of a bin of 1 dB by reading
    kernel = ConstantKernel(1e6) + ConstantKernel(25.0) * Matern(8.0, nu=0.5)
    at = [s["at"] for s in SPOTS[:3]]
    process = GaussianProcessRegressor(kernel, alpha=9.0 + 0.5**2, optimizer=None)
    process.fit(at, np.array([-80.0, -95.0, -104.0]) + 90.0)
    y, x = np.mgrid[0:8, 0:12] + 0.5
    mean, deviation = process.predict(np.column_stack([x.ravel(), y.ravel()]), return_std=True)
    np.testing.assert_allclose(found.values.ravel(), mean - 90.0, atol=5e-3)
    assert found.spread_db is not None
    np.testing.assert_allclose(found.spread_db.ravel(), (deviation**2 + 9.0) ** 0.5, atol=5e-3)


def test_what_was_read_later_in_a_watch_counts_and_an_instruments_offset_does_not() -> None:
    watch = _read("S1", -80.0, instrument="survey")
    watch["values"]["series"] = [{"after_s": 60.0, "levels": [_level(-92.0)]}]
    job = _job(watch)
    assert _at(network_level_map(job, "G", "001-01", NOW), 1.0, 1.0) == pytest.approx(-92.0)
    survey = {"kind": "instrument", "id": "survey", "name": "S", "source": SOURCE, "offset_db": 2.0}
    data = job.model_dump(mode="json")
    data["embedded"]["catalogue"]["survey"] = survey
    job = Job.model_validate(data)
    assert _at(network_level_map(job, "G", "001-01", NOW), 1.0, 1.0) == pytest.approx(-94.0)


def test_map_says_what_it_is() -> None:
    found = _map(*THREE)
    assert (found.what.kind, found.what.about, found.floor) == (MapKind.NETWORK, "001-01", "G")
    assert (found.unit, found.cell_m, found.origin_m) == ("dBm", 1.0, (0.0, 0.0))
    assert found.values.shape == (8, 12)
    # house figures (practice): LTE needs -115 dBm, fade margin 10 dB
    assert found.required == pytest.approx(-105.0)
    assert "Near (001-01), LTE, as RSRP" in found.label
    assert "3 spots" in found.label
    assert "too narrow" in " ".join(found.notes)


def test_places_far_from_every_spot_are_left_blank() -> None:
    found = _map(_read("S1", -80.0))
    y, x = np.mgrid[0:8, 0:12] + 0.5
    far = np.hypot(x - SPOTS[0]["at"][0], y - SPOTS[0]["at"][1]) > 8.0  # the house range
    assert np.array_equal(np.isnan(found.values), far)
    assert found.spread_db is not None
    assert np.array_equal(np.isnan(found.spread_db), far)
    assert "more than 8 m" in found.notes[0]


def test_level_is_high_where_it_was_read_high() -> None:
    found = _map(*THREE)
    assert _at(found, 1.5, 1.5) > _at(found, 6.5, 4.5) > _at(found, 11.5, 7.5)


def test_other_storeys_and_networks_do_not_count() -> None:
    alone = _map(*THREE)
    other = _map(*THREE, _read("S4", -60.0), _read("S1", -60.0, network="001-02"))
    np.testing.assert_array_equal(alone.values, other.values)


def test_technology_read_at_most_spots_is_mapped_with_its_own_need() -> None:
    gsm = [
        _read(s, _level(v, "rxlev_dbm"), technology="gsm")
        for s, v in (("S1", -70.0), ("S2", -72.0))
    ]
    found = _map(_read("S1", -80.0), *gsm)
    # house figures (practice): GSM needs -100 dBm, fade margin 10 dB
    assert found.required == pytest.approx(-90.0)
    assert "GSM, as RXLEV" in found.label
    assert -72.0 < _at(found, 6.5, 1.5) < -70.0
    assert "Read here too, not mapped: LTE." in found.notes


def test_equally_often_read_the_network_s_own_order_decides() -> None:
    found = _map(_read("S1", -80.0), _read("S1", _level(-60.0, "rssi_dbm"), technology="gsm"))
    assert "LTE" in found.label


def test_rssi_does_not_count_for_lte() -> None:
    with pytest.raises(JobError, match="RSSI does not"):
        _map(_read("S1", _level(-60.0, "rssi_dbm"), technology="lte"))


def test_least_of_a_few_readings_at_a_spot_counts_as_for_the_mobile_link() -> None:
    found = _map(_read("S1", -80.0), _read("S1", -97.0), _read("S1", -85.0))
    assert _levels(found) == pytest.approx(-97.0)
    assert "1 spot " in found.label


def test_level_below_what_the_instrument_shows_pulls_down_and_never_up() -> None:
    below = _level(-110.0, low=None, high=-110.0)
    low = _map(*THREE[:2], _read("S3", below))
    without = _map(*THREE[:2])
    assert _at(low, 11.5, 7.5) < _at(without, 11.5, 7.5)
    assert any(n.startswith("Below what the instrument can show: Store") for n in low.notes)
    high_limit = _level(-70.0, low=None, high=-70.0)
    idle = _map(*THREE[:2], _read("S3", high_limit))
    shown = ~np.isnan(idle.values)  # near the spot it is blank: nobody knows how low it is there
    assert shown.any()
    assert not shown.all()
    np.testing.assert_allclose(idle.values[shown], without.values[shown])


NARROW = [{"mcc_mnc": "001-01", "label": "Near", "technologies": ["nb_iot"]}]


@pytest.mark.parametrize("spots", [["S1"], ["S1", "S2"]])
def test_nothing_but_levels_below_what_the_instrument_shows_is_refused(spots: list[str]) -> None:
    # house figures (practice): NB-IoT needs -125 dBm, fade margin 10 dB; met at -115 dBm
    below = _level(-110.0, low=None, high=-110.0)
    with pytest.raises(JobError, match="Hall -110 dBm or less"):
        _map(*(_read(s, below) for s in spots), networks=NARROW)


def test_no_place_counts_as_met_by_a_level_that_nobody_saw() -> None:
    below = _read("S2", _level(-110.0, low=None, high=-110.0))
    found = _map(_read("S1", -100.0), below, networks=NARROW)
    assert found.required == pytest.approx(-115.0)
    y, x = np.mgrid[0:8, 0:12] + 0.5
    near_unseen = np.hypot(x - 11.0, y - 1.0) <= np.hypot(x - 1.0, y - 1.0)
    assert np.isnan(found.values[near_unseen]).all()
    assert found.values[1, 1] > -115.0
    assert any("nobody knows" in n for n in found.notes)
    # Where the limit of the instrument is low enough, it says that the requirement is missed.
    low = _read("S2", _level(-140.0, low=None, high=-140.0))
    missed = _map(_read("S1", -100.0), low, networks=NARROW)
    assert _at(missed, 11.5, 1.5) < -115.0
    assert not any("nobody knows" in n for n in missed.notes)


def test_limit_nobody_confirmed_is_named_and_nothing_is_held_against_it() -> None:
    job = _job(*THREE)
    name = LimitName.LTE_NEED_RSRP_DBM
    limit = job.profile.limits[name]
    source = limit.source.model_copy(update={"evidence": Evidence.MEMORY})
    limits = {**job.profile.limits, name: limit.model_copy(update={"source": source})}
    profile = job.profile.model_copy(update={"limits": limits})
    says = "not confirmed: lte_need_rsrp_dbm; see pathproof profile confirm"
    with pytest.raises(JobError, match=says):
        network_level_map(job, "G", "001-01", NOW, profile=profile)


def test_level_above_what_the_instrument_shows_counts_as_its_limit_and_is_named() -> None:
    found = _map(_read("S1", _level(-44.0, low=-44.0, high=None)))
    assert _levels(found) == pytest.approx(-44.0)
    assert any(n.startswith("Above what the instrument can show: Hall") for n in found.notes)


def test_spot_where_nothing_was_shown_is_named() -> None:
    found = _map(*THREE[:2], _read("S3"))
    assert any("no level at Store (S3)" in n for n in found.notes)
    again = _map(*THREE, _read("S3"))
    assert not any("no level at" in n for n in again.notes)


def test_spot_where_the_network_was_looked_for_in_vain_is_no_place_where_it_is_met() -> None:
    # at Store 1 of 10 moments has no level, so none is reached by nine of ten (nearest rank)
    lost = _read("S3", -80.0, technology="lte")
    sample = {"levels": [_level(-80.0)]}
    lost["values"]["series"] = [{"after_s": 10.0 * i, **sample} for i in range(1, 10)]
    lost["values"]["series"][4]["levels"] = []
    near = (_read("S1", -80.0, technology="lte"), _read("S2", -80.0, technology="lte"))
    found = _map(*near, lost)
    assert "At Store (S3): no network in 1 of 10 moments, and so no level." in found.notes
    assert any("had no network at more than a tenth" in n for n in found.notes)
    assert np.isnan(_at(found, 10.5, 6.5))
    assert _at(found, 1.5, 1.5) == pytest.approx(-80.0, abs=0.5)
    never = _map(*near, _read("S3", technology="lte"))
    assert "At Store (S3): looked for in LTE and not heard, and so no level." in never.notes
    with pytest.raises(JobError, match=r"At Hall \(S1\): looked for in LTE and not heard"):
        _map(_read("S1", technology="lte"))


def test_step_of_a_scale_without_levels_is_no_silence() -> None:
    bars = _read("S3", technology="lte")
    bars["values"]["step"] = "3 bars"
    notes = _map(*THREE[:2], bars).notes
    assert "Read as steps of a scale without levels, and so left out: 1 reading." in notes
    assert not any("Store" in n for n in notes)


def test_spot_outside_is_left_out_and_named() -> None:
    spots = [*SPOTS[:2], SPOTS[2] | {"place": "outside"}, *SPOTS[3:]]
    found = _map(*THREE, spots=spots)
    np.testing.assert_array_equal(found.values, _map(*THREE[:2]).values)
    assert any("Outside" in n and "Store (S3)" in n for n in found.notes)
    with pytest.raises(JobError, match=r"read it there.* Outside, .*Store"):
        _map(THREE[2], spots=spots)
    outside = [s | {"place": "outside"} for s in SPOTS]
    with pytest.raises(JobError, match="are all outside, where a level says nothing"):
        _map(*THREE, spots=outside)


def test_readings_with_a_communicator_s_antenna_are_left_out_and_counted() -> None:
    communicators = [{"id": "C1", "part": "lte", "spot": "S2", "antenna": "whip"}]
    own = _read("C1", -60.0)
    final = _read("S1", -60.0, conditions={"final_antenna": True})
    found = _map(*THREE, own, final, communicators=communicators)
    np.testing.assert_array_equal(found.values, _map(*THREE).values)
    assert any("2 readings" in n and "antenna" in n for n in found.notes)


def test_old_readings_and_those_of_a_moved_spot_are_left_out_and_counted() -> None:
    old = _read("S1", -60.0, at="2024-01-01T10:00:00+00:00")  # house figure: 365 days
    moved = _read("S1", -60.0, fits={"spot:S1": "0" * 16})
    found = _map(*THREE, old, moved)
    np.testing.assert_array_equal(found.values, _map(*THREE).values)
    assert any("2 readings" in n and "moved" in n for n in found.notes)


def test_reading_that_still_fits_counts() -> None:
    job = with_entry(_job(), ["spot:S1"], **_read("S1", -88.0))
    found = network_level_map(job, "G", "001-01", NOW, cell_m=1.0)
    assert _levels(found) == pytest.approx(-88.0)


def test_spot_that_is_not_on_the_plan_is_left_out_and_named() -> None:
    found = _map(*THREE, _read("S5", -60.0))
    np.testing.assert_array_equal(found.values, _map(*THREE).values)
    assert any("Yard (S5)" in n for n in found.notes)


def test_reading_of_no_named_network_is_that_of_the_only_one() -> None:
    anonymous = _read("S1", -88.0, network=None)
    with pytest.raises(JobError):
        _map(anonymous)
    found = _map(anonymous, networks=NETWORKS[:1])
    assert _levels(found) == pytest.approx(-88.0)


def test_rsrp_is_told_of_the_only_technology_offered_that_it_grades() -> None:
    narrow = [{"mcc_mnc": "001-01", "label": "Near", "technologies": ["nb_iot"]}]
    found = _map(_read("S1", -100.0), networks=narrow)
    assert "NB-IoT" in found.label


def communicator(part: str, *networks: str, kind: str = "roaming") -> dict[str, Any]:
    return {"id": f"{part}_1", "part": part, "sim": {"kind": kind, "networks": list(networks)}}


@pytest.mark.parametrize(
    ("communicators", "says"),
    [
        ([communicator("gsm", "001-01")], ["gsm_1 uses GSM and not LTE"]),
        ([communicator("lte", "001-02")], ["lte_1 has a card that does not use network 001-01"]),
        (
            [communicator("lte", "001-02", "001-01", kind="fixed"), communicator("gsm")],
            ["lte_1 has a card that does not use", "gsm_1 uses GSM and not LTE"],
        ),
        ([communicator("lte", "001-02", "001-01")], []),
        ([communicator("gsm", "001-01"), communicator("lte", "001-01")], []),
        ([{"id": "c", "part": "lte"}], []),
        ([], []),
    ],
)
def test_a_level_that_no_module_of_the_site_uses_says_so(
    communicators: list[dict[str, Any]], says: list[str]
) -> None:
    notes = [n for n in _map(*THREE, communicators=communicators).notes if "says little" in n]
    assert len(notes) == len(says)
    assert all(text in note for text, note in zip(says, notes, strict=True))


def test_one_spot_is_called_no_map() -> None:
    assert any("One spot is no map" in n for n in _map(_read("S1", -80.0)).notes)
    assert not any("One spot" in n for n in _map(*THREE).notes)


def test_later_readings_do_not_count() -> None:
    found = _map(*THREE, _read("S1", -60.0, at="2026-12-24T10:00:00+00:00"))
    np.testing.assert_array_equal(found.values, _map(*THREE).values)


@pytest.mark.parametrize(
    ("floor", "network", "says"),
    [
        ("G", "001-09", "There is no network '001-09'; this site has: 001-01, 001-02"),
        ("X", "001-01", "There is no storey 'X'"),
        ("G", "001-02", r"No level of network 001-02 .*\(S1, S2, S3\); read it there"),
    ],
)
def test_what_cannot_be_mapped_is_said_with_what_to_do(floor: str, network: str, says: str) -> None:
    with pytest.raises(JobError, match=says):
        network_level_map(_job(*THREE), floor, network, NOW)


def test_storey_without_spots_asks_for_some() -> None:
    with pytest.raises(JobError, match="has no spots on its plan; place some"):
        _map(spots=[SPOTS[3], SPOTS[4]])
