"""Radio links by calculation.

Free space: Rec. ITU-R P.525-4, 868.42 MHz at 10 m = 51.222 dB, 345 MHz at 10 m = 43.204 dB
(computed in two independent ways). Odds and z: scipy.stats.norm.
"""

import math

import numpy as np
import pytest
from scipy.stats import norm

from pathproof.assess import Link, assess
from pathproof.job import Job
from pathproof.terms import Reason, Word

from ._jobs import NOW, device, make_job

FREE_SPACE_868_10_M_DB = 51.222
FREE_SPACE_345_10_M_DB = 43.204
NO_PLAN_SPREAD_DB = 8.0  # house figure, common practice, no source
Z_95 = float(norm.ppf(0.95))


def _link(job: Job, link_id: str = "radio:D1>panel") -> Link:
    return assess(job, NOW).link(link_id)


def _margin(link: Link) -> float:
    assert link.margin is not None
    assert link.margin.unit == "dB"
    return link.margin.value


def test_margin_and_odds_in_the_open() -> None:
    link = _link(make_job(devices=[device()]))
    over = 0.0 + 100.0 - FREE_SPACE_868_10_M_DB
    assert _margin(link) == pytest.approx(over - Z_95 * NO_PLAN_SPREAD_DB, abs=0.001)
    assert link.probability == pytest.approx(norm.cdf(over / NO_PLAN_SPREAD_DB), abs=1e-9)
    assert link.word is Word.PREDICTED


def test_spreads_of_parts_add_as_squares() -> None:
    link = _link(make_job(devices=[device(part="precise")]))
    spread = math.hypot(NO_PLAN_SPREAD_DB, 3.0)
    assert _margin(link) == pytest.approx(100 - FREE_SPACE_868_10_M_DB - Z_95 * spread, abs=0.001)


def test_fixed_losses_count_each_time_and_floors_by_cost_231() -> None:
    way = {"distance_m": 10.0, "walls": {"unknown_heavy_wall": 2}, "floors": 2}
    link = _link(make_job(devices=[device(between=way)]))
    # COST 231 Final Report ch. 4: heavy wall 6.9 dB; two floors of 18.3 dB together 33.524 dB
    over = 100 - FREE_SPACE_868_10_M_DB - 2 * 6.9 - 33.524
    assert _margin(link) == pytest.approx(over - Z_95 * NO_PLAN_SPREAD_DB, abs=0.002)
    assert link.word is Word.LACKING
    assert "build-up unknown" in link.why


def test_open_air_range_gives_the_middle_of_two_models() -> None:
    link = _link(make_job(devices=[device(part="ranged")]))
    # 868.42 MHz, 300 m, heights 1.5 m: middle 86.40 dB, added spread 5.64 dB (house method)
    spread = math.hypot(NO_PLAN_SPREAD_DB, 5.64)
    over = 86.40 - FREE_SPACE_868_10_M_DB
    assert _margin(link) == pytest.approx(over - Z_95 * spread, abs=0.02)


def test_field_strength_limit_becomes_radiated_power() -> None:
    link = _link(make_job(devices=[device(part="field")]))
    # 7291.7 uV/m at 3 m is -17.97 dBm e.i.r.p. (free space, E d = sqrt(30 EIRP))
    over = -17.97 + 100 - FREE_SPACE_345_10_M_DB
    assert _margin(link) == pytest.approx(over - Z_95 * NO_PLAN_SPREAD_DB, abs=0.01)


@pytest.mark.parametrize(
    ("fields", "panel", "allowance_db"),
    [
        ({"mounting": "on_metal"}, {}, 6.0),
        ({"carried": True}, {}, 3.0),
        ({}, {"near_electronics": True}, 6.0),
        ({}, {"mounting": "on_metal"}, 6.0),
        ({"mounting": "on_metal", "carried": True}, {"near_electronics": True}, 15.0),
    ],
)
def test_allowances_of_the_house_profile(
    fields: dict[str, object], panel: dict[str, object], allowance_db: float
) -> None:
    plain = _margin(_link(make_job(devices=[device()])))
    job = make_job(devices=[device(**fields)], panel={"part": "panel_a", **panel})
    # house figures, common practice, no source
    assert plain - _margin(_link(job)) == pytest.approx(allowance_db, abs=1e-9)


def test_a_device_that_listens_needs_the_worse_direction() -> None:
    link = _link(make_job(devices=[device(part="listens")]))
    back = 0.0 + 90.0 - FREE_SPACE_868_10_M_DB  # its receiver is 10 dB less sensitive
    assert _margin(link) == pytest.approx(back - Z_95 * NO_PLAN_SPREAD_DB, abs=0.001)


def test_noise_at_the_panel_spares_the_way_back() -> None:
    quiet = make_job(devices=[device(part="listens")])
    noisy = make_job(
        devices=[device(part="listens")], panel={"part": "panel_a", "near_electronics": True}
    )
    assert _margin(_link(noisy)) == pytest.approx(_margin(_link(quiet)))


def test_missing_figures_leave_it_undecided_and_say_which() -> None:
    job = make_job(devices=[device(part="listens")], panel={"part": "panel_no_send"})
    link = _link(job)
    assert (link.word, link.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "radiated power" in link.why


def test_a_panel_of_another_family_does_not_hear() -> None:
    link = _link(make_job(devices=[device()], panel={"part": "panel_433"}))
    assert link.word is Word.LACKING
    assert "f868" in link.why


def test_no_place_is_undecided() -> None:
    job = make_job(devices=[{"id": "D1", "name": "D1", "part": "plain"}])
    link = _link(job)
    assert (link.word, link.reason) == (Word.UNDECIDED, Reason.INPUT)


def test_wired_devices_have_no_radio_link() -> None:
    found = assess(make_job(devices=[device(part="wired")]), NOW)
    assert not [x for x in found.links if x.kind == "radio"]
    assert found.summary.devices_heard == 1


def test_every_line_of_the_working_names_what_it_needs() -> None:
    link = _link(make_job(devices=[device(part="listens", mounting="on_metal")]))
    known: set[str] = set()
    for line in link.working:
        assert set(line.needs) <= known
        known.add(line.id)
    assert link.working[-1].value == pytest.approx(_margin(link))


PLAN = {
    "floors": [{"id": "G", "name": "Ground", "elevation_m": 0.0, "height_m": 2.8}],
    "walls": [
        {
            "id": "w1",
            "floor": "G",
            "start": [5.0, -5.0],
            "end": [5.0, 5.0],
            "construction": "concrete_200",
            "openings": [
                {"id": "o1", "offset_m": 1.0, "width_m": 1.0, "head_m": 2.0},
            ],
        }
    ],
}


def _placed(y: float) -> Job:
    return make_job(
        devices=[device(floor="G", at=[10.0, y], height_m=1.5)],
        panel={"part": "panel_a", "floor": "G", "at": [0.0, y], "height_m": 1.5},
        **PLAN,
    )


def _concrete_200_mm_held_db() -> float:
    """The link rule for concrete straight on, by the closed single-slab form of P.2040.

    Rec. ITU-R P.2040-3/-4 Table 3: 5.24, 0.0462 f^0.7822 S/m, held at 1 GHz; mean power over 21
    frequencies from 0.9 to 1.1 of 868.42 MHz (house rule).
    """
    powers = []
    for f_ghz in np.linspace(0.9 * 0.86842, 1.1 * 0.86842, 21):
        eta = 5.24 - 1j * 17.98 * 0.0462 / f_ghz
        root = np.sqrt(eta)
        reflected = (1 - root) / (1 + root)
        q = 2 * np.pi * 0.2 * root * f_ghz / 0.299792458
        through = (1 - reflected**2) * np.exp(-1j * q)
        powers.append(abs(through / (1 - reflected**2 * np.exp(-2j * q))) ** 2)
    return float(-10 * np.log10(np.mean(powers)))


def test_a_wall_on_the_plan_takes_its_loss_and_narrows_the_spread() -> None:
    link = _link(_placed(0.0))
    wall_db = 100 - FREE_SPACE_868_10_M_DB - Z_95 * 6.0 - _margin(link)
    assert wall_db == pytest.approx(_concrete_200_mm_held_db(), abs=0.002)


def test_an_empty_doorway_takes_nothing() -> None:
    link = _link(_placed(-3.5))
    assert _margin(link) == pytest.approx(100 - FREE_SPACE_868_10_M_DB - Z_95 * 6.0, abs=0.001)


def test_a_repeater_is_an_alternative() -> None:
    far = {"distance_m": 100.0, "walls": {"unknown_heavy_wall": 4}}
    near = {"R1": {"distance_m": 5.0}}
    found = assess(
        make_job(
            devices=[device(between=far, between_repeaters=near)],
            repeaters=[
                {"id": "R1", "name": "R1", "part": "repeater_a", "between": {"distance_m": 20.0}}
            ],
        ),
        NOW,
    )
    words = {x.id: x.word for x in found.links if x.kind == "radio"}
    assert words == {
        "radio:D1>panel": Word.LACKING,
        "radio:D1>R1": Word.PREDICTED,
        "radio:R1>panel": Word.PREDICTED,
    }
    assert found.summary.devices_heard == 1
    assert found.summary.devices_lacking == 0


def test_a_storey_that_lies_on_nobody_knows_what_lies_on_an_unknown_floor() -> None:
    floors = [
        {"id": name, "name": name, "elevation_m": z, "height_m": 3.0}
        for name, z in (("G", 0.0), ("U", 3.0), ("T", 6.0))
    ]
    job = make_job(
        floors=floors,
        devices=[device(floor="T", at=[0.0, 0.0], height_m=2.0)],
        panel={"part": "panel_a", "floor": "G", "at": [0.0, 0.0], "height_m": 1.5},
    )
    link = _link(job)
    # COST 231 Final Report ch. 4: two floors of 18.3 dB together 33.524 dB; P.525-4 at 6.5 m is
    # 51.222 - 20 log10(10 / 6.5) dB; the wider spread
    over = 100 - (FREE_SPACE_868_10_M_DB - 20 * math.log10(10 / 6.5)) - 33.524
    assert _margin(link) == pytest.approx(over - Z_95 * NO_PLAN_SPREAD_DB, abs=0.002)


def test_a_device_drawn_on_the_middle_of_a_wall_is_told() -> None:
    def told(x: float) -> bool:
        job = make_job(
            devices=[device(floor="G", at=[x, 0.0], height_m=1.5)],
            panel={"part": "panel_a", "floor": "G", "at": [0.0, 0.0], "height_m": 1.5},
            **PLAN,
        )
        return any("middle of a wall" in f.text for f in assess(job, NOW).findings)

    assert told(5.0)
    assert not told(4.9)
