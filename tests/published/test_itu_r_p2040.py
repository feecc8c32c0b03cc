"""Rec. ITU-R P.2040-3/-4: materials of Table 3, and transmission through layers.

scikit-rf is the independent oracle: the same layers as cascaded transmission lines.
"""

import math
from typing import Any

import numpy as np
import pytest
import skrf
from scipy.constants import c as speed_of_light_m_per_s
from scipy.constants import epsilon_0
from skrf.media import DefinedGammaZ0

from pathproof.calc.radio import (
    P2040_ROWS,
    BelowRange,
    Layer,
    link_loss,
    relative_permittivity,
    stack_loss_db,
    stack_transmission,
)
from pathproof.terms import Material

# Table 3 as carried by an open ray-tracing library that cites P.2040-3/-4 (restated):
# material, from [GHz], to [GHz], a, b, c, d. Vacuum is air here.
TABLE_3 = [
    ("air", 0.001, 100, 1, 0, 0, 0),
    ("concrete", 1, 100, 5.24, 0, 0.0462, 0.7822),
    ("brick", 1, 40, 3.91, 0, 0.0238, 0.16),
    ("plasterboard", 1, 100, 2.73, 0, 0.0085, 0.9395),
    ("wood", 0.001, 100, 1.99, 0, 0.0047, 1.0718),
    ("glass", 0.1, 100, 6.31, 0, 0.0036, 1.3394),
    ("glass", 220, 450, 5.79, 0, 0.0004, 1.658),
    ("ceiling_board", 1, 100, 1.48, 0, 0.0011, 1.075),
    ("ceiling_board", 220, 450, 1.52, 0, 0.0029, 1.029),
    ("chipboard", 1, 100, 2.58, 0, 0.0217, 0.78),
    ("plywood", 1, 40, 2.71, 0, 0.33, 0),
    ("marble", 1, 60, 7.074, 0, 0.0055, 0.9262),
    ("floorboard", 50, 100, 3.66, 0, 0.0044, 1.3515),
    ("vinyl_tile", 1, 40, 3.62, 0, 0.0051, 0.8422),
    ("carpet_tile", 1, 40, 2.08, 0, 0.0009, 0.82),
    ("asphalt_concrete", 1, 40, 4.83, 0, 0.0108, 1.3969),
    ("metal", 1, 100, 1, 0, 1e7, 0),
    ("very_dry_ground", 1, 10, 3, 0, 0.00015, 2.52),
    ("medium_dry_ground", 1, 10, 15, -0.1, 0.035, 1.63),
    ("wet_ground", 1, 10, 30, -0.4, 0.15, 1.3),
]


def test_rows_are_those_of_table_3() -> None:
    ours = [
        (str(material), row.low_ghz, row.high_ghz, row.a, row.b, row.c, row.d)
        for material, rows in P2040_ROWS.items()
        for row in rows
    ]
    assert sorted(ours) == sorted(TABLE_3)


@pytest.mark.parametrize("row", TABLE_3, ids=lambda row: f"{row[0]}-{row[1]}-GHz")
def test_permittivity_at_both_ends_of_a_row(row: tuple[Any, ...]) -> None:
    # eta' = a f^b, sigma = c f^d, eta'' = sigma / (2 pi f epsilon0)
    material, low, high, a, b, c, d = row
    for f_ghz in (low, high):
        imaginary = c * f_ghz**d / (2 * math.pi * f_ghz * 1e9 * epsilon_0)
        eta = relative_permittivity(Material(material), f_ghz * 1e9, BelowRange.EXTRAPOLATE)
        assert eta == pytest.approx(complex(a * f_ghz**b, -imaginary), rel=1e-8)


def test_concrete_at_1_8_ghz() -> None:
    # The same open library prints permittivity 5.24 and conductivity 0.073167 S/m.
    eta = complex(relative_permittivity(Material.CONCRETE, 1.8e9, BelowRange.EXTRAPOLATE))
    assert eta.real == 5.24
    sigma = -eta.imag * 2 * math.pi * 1.8e9 * epsilon_0
    assert sigma == pytest.approx(0.073167, abs=5e-7)


# Transmission loss [dB] at 345, 433.92, 868.42 and 908.42 MHz, constants extrapolated as they
# stand. Computed: a closed form, a recursion, chain matrices and cascaded lines agree to 1e-12 dB.
# Printed to 4 decimals.
FREQUENCIES_HZ = (345e6, 433.92e6, 868.42e6, 908.42e6)
WALLS = {
    "concrete 200": [(Material.CONCRETE, 0.2)],
    "brick 115": [(Material.BRICK, 0.115)],
    "plasterboard 12.5, air 75": [
        (Material.PLASTERBOARD, 0.0125),
        (Material.AIR, 0.075),
        (Material.PLASTERBOARD, 0.0125),
    ],
    "plasterboard 25, air 75": [
        (Material.PLASTERBOARD, 0.025),
        (Material.AIR, 0.075),
        (Material.PLASTERBOARD, 0.025),
    ],
    "glass 4": [(Material.GLASS, 0.004)],
}
REFERENCE = [
    ("concrete 200", "te", 0, (3.7120, 5.2957, 7.4910, 7.4453)),
    ("concrete 200", "te", 60, (5.4696, 8.0519, 11.3193, 11.4067)),
    ("concrete 200", "tm", 60, (3.1240, 3.8080, 6.4759, 6.6920)),
    ("brick 115", "te", 0, (3.4600, 3.1552, 3.5355, 3.6860)),
    ("brick 115", "te", 60, (7.0794, 6.7393, 5.4236, 5.9716)),
    ("brick 115", "tm", 60, (2.1027, 2.1818, 2.4784, 2.5002)),
    ("plasterboard 12.5, air 75", "te", 0, (0.1769, 0.2066, 0.3463, 0.3981)),
    ("plasterboard 12.5, air 75", "te", 60, (0.5442, 0.6980, 0.8535, 0.8197)),
    ("plasterboard 12.5, air 75", "tm", 60, (0.0899, 0.1116, 0.2147, 0.2239)),
    ("plasterboard 25, air 75", "te", 0, (0.3787, 0.3918, 1.3764, 1.6479)),
    ("plasterboard 25, air 75", "te", 60, (1.3321, 1.5492, 1.0383, 1.1751)),
    ("plasterboard 25, air 75", "tm", 60, (0.1804, 0.2241, 0.4299, 0.4482)),
    ("glass 4", "te", 0, (0.0311, 0.0478, 0.1762, 0.1916)),
    ("glass 4", "te", 60, (0.1121, 0.1735, 0.6330, 0.6865)),
    ("glass 4", "tm", 60, (0.0048, 0.0069, 0.0215, 0.0231)),
]


def layers_of(wall: str) -> list[Layer]:
    return [Layer(material, thickness_m) for material, thickness_m in WALLS[wall]]


@pytest.mark.parametrize(("wall", "polarisation", "angle_deg", "losses_db"), REFERENCE)
def test_reference_losses(
    wall: str, polarisation: str, angle_deg: float, losses_db: tuple[float, ...]
) -> None:
    for frequency_hz, expected_db in zip(FREQUENCIES_HZ, losses_db, strict=True):
        loss = stack_loss_db(layers_of(wall), frequency_hz, angle_deg)
        ours_db = loss.te_db if polarisation == "te" else loss.tm_db
        assert ours_db == pytest.approx(expected_db, abs=5.1e-5)  # half a digit
        if angle_deg == 0:
            assert loss.tm_db == pytest.approx(expected_db, abs=5.1e-5)


# Straight on, conductivity extrapolated and held at its value at 1 GHz; computed, 2 decimals.
HELD = [
    (Material.CONCRETE, 0.2, 345e6, 3.71, 7.76),
    (Material.CONCRETE, 0.2, 433.92e6, 5.30, 8.27),
    (Material.CONCRETE, 0.2, 868.42e6, 7.49, 8.15),
    (Material.BRICK, 0.115, 345e6, 3.46, 3.77),
    (Material.BRICK, 0.115, 433.92e6, 3.16, 3.40),
    (Material.BRICK, 0.115, 868.42e6, 3.54, 3.58),
]


@pytest.mark.parametrize(
    ("material", "thickness_m", "frequency_hz", "extrapolated_db", "held_db"), HELD
)
def test_conductivity_extrapolated_and_held(
    material: Material,
    thickness_m: float,
    frequency_hz: float,
    extrapolated_db: float,
    held_db: float,
) -> None:
    layers = [Layer(material, thickness_m)]
    for below_range, expected_db in (
        (BelowRange.EXTRAPOLATE, extrapolated_db),
        (BelowRange.HOLD, held_db),
    ):
        through = stack_transmission(layers, frequency_hz, 0.0, below_range)
        assert -20 * np.log10(abs(through.te)) == pytest.approx(expected_db, abs=0.0051)


def test_concrete_slab_coefficient() -> None:
    # An open ray-tracer's single-slab routine (single precision): 200 mm, 868.42 MHz, straight on.
    through = stack_transmission([Layer(Material.CONCRETE, 0.2)], 868.42e6, 0.0)
    assert through.te == pytest.approx(-0.178789 - 0.382401j, abs=2e-6)


def test_brick_loses_least_between_345_and_868_mhz() -> None:
    # Resonance: loss is not monotonic in frequency. 3.46, 3.16 and 3.54 dB as above.
    brick = [Layer(Material.BRICK, 0.115)]
    low, middle, high = (stack_loss_db(brick, f, 0.0).mean_db for f in FREQUENCIES_HZ[:3])
    assert middle < min(low, high)


# -- scikit-rf -------------------------------------------------------------------------------------


def permittivity(material: Material, f_ghz: float, below_range: BelowRange) -> complex:
    """Permittivity from the copy of Table 3 above, for materials that have one row."""
    low, high, a, b, c, d = next(row[1:] for row in TABLE_3 if row[0] == material)
    # House rule: conductivity held at its value at 1 GHz, or at the row's end where that is lower.
    held = min(max(f_ghz, min(low, 1.0)), high)
    f_sigma = f_ghz if below_range is BelowRange.EXTRAPOLATE else held
    return complex(a * f_ghz**b, -c * f_sigma**d / (2 * math.pi * f_ghz * 1e9 * epsilon_0))


def cascaded_lines(
    layers: list[Layer],
    frequency_hz: float,
    angle_deg: float,
    polarisation: str,
    below_range: BelowRange,
) -> complex:
    """S21 of the layers as lines between two lines of air."""
    frequency = skrf.Frequency.from_f([frequency_hz], unit="Hz")
    k0 = 2 * math.pi * frequency_hz / speed_of_light_m_per_s
    sin_squared = math.sin(math.radians(angle_deg)) ** 2

    def impedance_ohm(eta: complex) -> complex:
        free_space_ohm = 376.730313
        root = np.sqrt(eta - sin_squared)
        return free_space_ohm * (1 / root if polarisation == "te" else root / eta)

    network = None
    for layer in layers:
        eta = permittivity(layer.material, frequency_hz / 1e9, below_range)
        gamma = 1j * k0 * np.sqrt(eta - sin_squared)
        line = DefinedGammaZ0(frequency, gamma=gamma, z0=impedance_ohm(eta)).line(
            layer.thickness_m, "m"
        )
        line.renormalize(impedance_ohm(1 + 0j))
        network = line if network is None else network**line
    assert network is not None
    return complex(network.s[0, 1, 0])


def random_stacks() -> list[tuple[list[Layer], float, float]]:
    rng = np.random.default_rng(2040)
    two_rows, opaque = {Material.GLASS, Material.CEILING_BOARD}, {Material.METAL}
    kinds = [material for material in Material if material not in two_rows | opaque]
    return [
        (
            [
                Layer(kind, float(rng.uniform(0.002, 0.25)))
                for kind in rng.choice(kinds, rng.integers(1, 7))
            ],
            float(rng.uniform(0.3e9, 6e9)),
            float(rng.uniform(0.0, 85.0)),
        )
        for _ in range(60)
    ]


@pytest.mark.parametrize("below_range", BelowRange)
def test_random_stacks_against_cascaded_lines(below_range: BelowRange) -> None:
    for layers, frequency_hz, angle_deg in random_stacks():
        through = stack_transmission(layers, frequency_hz, angle_deg, below_range)
        for polarisation, ours in (("te", through.te), ("tm", through.tm)):
            expected = cascaded_lines(layers, frequency_hz, angle_deg, polarisation, below_range)
            assert ours == pytest.approx(expected, rel=1e-7), (layers, frequency_hz, angle_deg)


def test_a_thicker_wall_can_lose_less() -> None:
    # Brick at 868.42 MHz: 45 mm is about a quarter of a wavelength inside it, 80 mm about a half.
    losses_db = []
    for thickness_m in (0.045, 0.08):
        brick = [Layer(Material.BRICK, thickness_m)]
        through = cascaded_lines(brick, 868.42e6, 0.0, "te", BelowRange.EXTRAPOLATE)
        losses_db.append(-20 * math.log10(abs(through)))
        assert stack_loss_db(brick, 868.42e6, 0.0).te_db == pytest.approx(losses_db[-1])
    assert losses_db[1] < losses_db[0]


@pytest.mark.parametrize("angle_deg", [0.0, 30.0, 60.0, 70.0, 85.0])
def test_link_rule_against_cascaded_lines(angle_deg: float) -> None:
    # House rule: mean power over TE, TM and 21 frequencies of 0.9 to 1.1 of the carrier, the angle
    # capped at 70 degrees, the worse of both conductivities.
    layers = [
        Layer(Material.BRICK, 0.1),
        Layer(Material.AIR, 0.05),
        Layer(Material.CONCRETE, 0.1),
        Layer(Material.PLASTERBOARD, 0.0125),
    ]
    losses_db = []
    for below_range in BelowRange:
        powers = [
            abs(
                cascaded_lines(
                    layers, 868.42e6 * (0.9 + i / 100), min(angle_deg, 70.0), p, below_range
                )
            )
            ** 2
            for i in range(21)
            for p in ("te", "tm")
        ]
        losses_db.append(-10 * math.log10(sum(powers) / len(powers)))
    assert link_loss(layers, 868.42e6, angle_deg).loss_db == pytest.approx(max(losses_db))
