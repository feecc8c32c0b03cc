"""Colours and steps of maps."""

import numpy as np
import pytest

from pathproof.papers.margin_steps import CIVIDIS, LEVELS_DBM, ODDS_RATIO, steps_of, tint

# matplotlib 3.11.2, matplotlib.colormaps["cividis"](x) at x = 0, 0.25, 0.5, 0.75, 1, times 255;
# made by the authors of Nunez, Anderton, Renslow, PLoS ONE 13(7) e0199239, 2018.
MATPLOTLIB_CIVIDIS = [
    (0.0, 0.135112, 0.304751),
    (0.263738, 0.307831, 0.422789),
    (0.488697, 0.485318, 0.471008),
    (0.736488, 0.680629, 0.424028),
    (0.995737, 0.909344, 0.217772),
]


def luminance(rgb: tuple[float, ...]) -> float:
    """Relative luminance of sRGB, IEC 61966-2-1."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in rgb]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_stops_are_those_of_cividis():
    assert np.array(CIVIDIS) == pytest.approx(np.array(MATPLOTLIB_CIVIDIS) * 255, abs=0.5)


def printed(step: int) -> tuple[float, ...]:
    text = tint(step)
    return tuple(int(text[i : i + 2], 16) / 255 for i in (1, 3, 5))


def test_printed_steps_go_from_dark_to_light_and_bear_black_ink():
    lights = [luminance(printed(step)) for step in range(len(CIVIDIS))]
    assert lights == sorted(lights)
    ink = luminance((0x16 / 255,) * 3)
    # WCAG 2.2, success criterion 1.4.3: at least 4.5 to 1.
    assert min((x + 0.05) / (ink + 0.05) for x in lights) >= 4.5


def test_a_margin_on_an_edge_counts_as_the_better_step():
    margins = np.array([-10.1, -10.0, -0.01, 0.0, 9.99, 10.0, 20.0, np.nan])
    assert steps_of("dB", 0.0).of(margins).tolist() == [0, 1, 1, 2, 2, 3, 4, -1]


@pytest.mark.parametrize(("unit", "required"), [("dB", 3.0), ("dBm", -105.0), ("ratio", 0.95)])
def test_the_requirement_parts_two_steps_from_three(unit: str, required: float):
    steps = steps_of(unit, required)
    assert steps.edges[1] == required
    assert list(steps.edges) == sorted(steps.edges)
    assert steps.of(np.array([required, np.nextafter(required, -np.inf)])).tolist() == [2, 1]


def test_steps_of_odds_stay_below_certainty():
    for required in (0.5, 0.8, 0.95, 0.999):
        assert 0.0 < steps_of("ratio", required).edges[0] < steps_of("ratio", required).edges[3] < 1


@pytest.mark.parametrize(("unit", "edges"), [("dBm", LEVELS_DBM), ("ratio", ODDS_RATIO)])
def test_without_a_requirement_the_steps_are_fixed(unit: str, edges: tuple[float, ...]):
    assert steps_of(unit, None).edges == edges


def test_names_say_the_edges():
    assert steps_of("dBm", -105.0).names == (
        "below −115 dBm",
        "−115 to −105 dBm",
        "−105 to −95 dBm",
        "−95 to −85 dBm",
        "−85 dBm or more",
    )
    assert steps_of("ratio", 0.95).names == (
        "below 47.5 in 100",
        "47.5 to 95 in 100",
        "95 to 97.5 in 100",
        "97.5 to 99 in 100",
        "99 in 100 or more",
    )
