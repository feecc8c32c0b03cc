"""3GPP TS 36.101 (edition not stated): bands, channel numbers, reference sensitivities.

Edges of table 5.5-1 and the channel formula of clause 5.7.3 are restated by open code;
sensitivities of table 7.3.1-1 by a national rule that reproduces it; clauses 7.3.1E and 7.3.1F.1
were read.
"""

import pytest

from pathproof.calc.radio import (
    MOBILE_BANDS,
    band_of,
    downlink_hz,
    reference_level_dbm_per_element,
    reference_sensitivity,
)
from pathproof.terms import Technology

LTE, LTE_M, NB_IOT = Technology.LTE, Technology.LTE_M, Technology.NB_IOT


# Table 5.5-1, MHz
@pytest.mark.parametrize(
    ("band", "uplink", "downlink", "duplex"),
    [
        ("1", (1920, 1980), (2110, 2170), "FDD"),
        ("3", (1710, 1785), (1805, 1880), "FDD"),
        ("8", (880, 915), (925, 960), "FDD"),
        ("20", (832, 862), (791, 821), "FDD"),
        ("28", (703, 748), (758, 803), "FDD"),
        ("31", (452.5, 457.5), (462.5, 467.5), "FDD"),
        ("41", (2496, 2690), (2496, 2690), "TDD"),
        ("71", (663, 698), (617, 652), "FDD"),
    ],
)
def test_edges(
    band: str, uplink: tuple[float, float], downlink: tuple[float, float], duplex: str
) -> None:
    found = band_of(band)
    assert found.uplink_hz == tuple(x * 1e6 for x in uplink)
    assert found.downlink_hz == tuple(x * 1e6 for x in downlink)
    assert found.duplex == duplex


# Table 5.5-1: which bands lie in which
@pytest.mark.parametrize(
    ("inner", "outer"),
    [("4", "66"), ("17", "12"), ("12", "85"), ("5", "26"), ("18", "26"), ("19", "26"), ("2", "25")],
)
def test_bands_inside_others(inner: str, outer: str) -> None:
    for within, around in (
        (band_of(inner).uplink_hz, band_of(outer).uplink_hz),
        (band_of(inner).downlink_hz, band_of(outer).downlink_hz),
    ):
        assert around[0] <= within[0] < within[1] <= around[1]


def test_bands_with_the_uplink_above() -> None:
    reversed_bands = {n for n, b in MOBILE_BANDS.items() if b.uplink_hz[0] > b.downlink_hz[0]}
    assert reversed_bands == {"13", "14", "20", "71"}


def test_band_66_is_wider_down_than_up() -> None:
    (u0, u1), (d0, d1) = band_of("66").uplink_hz, band_of("66").downlink_hz
    assert (u1 - u0, d1 - d0) == (70e6, 90e6)


def test_26_bands_are_on_hand() -> None:
    assert len(MOBILE_BANDS) == 26


# Clause 5.7.3: F = F_low + 0.1 (N - N_offs), here 791 + 0.1 (6300 - 6150) MHz
def test_channel_6300_is_band_20_at_806_mhz() -> None:
    channel = downlink_hz(6300)
    assert (channel.band.number, channel.frequency_hz) == ("20", 806.0e6)


# Table 7.3.1-1, 10 MHz, QPSK, dBm
@pytest.mark.parametrize(
    ("bands", "power_dbm"),
    [
        (("1", "4"), -97.0),
        (("2", "5", "7"), -95.0),
        (("3", "8", "12", "13", "17", "20"), -94.0),
        (("18", "19", "38", "39", "40"), -97.0),
    ],
)
def test_lte_sensitivity(bands: tuple[str, ...], power_dbm: float) -> None:
    for band in bands:
        sensitivity = reference_sensitivity(band_of(band), LTE)
        assert sensitivity is not None
        assert sensitivity.power_dbm == power_dbm


# Clauses 7.3.1E (category M1) and 7.3.1F.1 (NB-IoT, all bands), dBm
@pytest.mark.parametrize(
    ("band", "technology", "power_dbm"),
    [
        ("31", LTE_M, -96.5),
        ("72", LTE_M, -96.5),
        ("39", LTE_M, -103.7),
        ("1", LTE_M, -102.2),
        ("31", NB_IOT, -108.2),
        ("66", NB_IOT, -108.2),
    ],
)
def test_narrow_sensitivity(band: str, technology: Technology, power_dbm: float) -> None:
    sensitivity = reference_sensitivity(band_of(band), technology)
    assert sensitivity is not None
    assert sensitivity.power_dbm == power_dbm


# REFSENS - 10 log10(12 N), worked two ways: LTE 10 MHz N = 50, category M1 N = 6, NB-IoT N = 1;
# printed to one decimal
@pytest.mark.parametrize(
    ("technology", "level_dbm"), [(LTE, -124.8), (LTE_M, -120.8), (NB_IOT, -119.0)]
)
def test_level_of_an_element_in_band_1(technology: Technology, level_dbm: float) -> None:
    level = reference_level_dbm_per_element(band_of("1"), technology)
    assert level == pytest.approx(level_dbm, abs=0.05)
