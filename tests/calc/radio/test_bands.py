"""Mobile bands: how they are named, how their tables hang together, and bad input."""

import re

import pytest

from pathproof.calc.radio import (
    MOBILE_BANDS,
    band_number,
    band_of,
    downlink_hz,
    reference_sensitivity,
)
from pathproof.terms import Evidence, InvalidInputError, Technology


@pytest.mark.parametrize("text", ["20", "B20", "b20", "n20", " 20 ", "020"])
def test_a_band_is_known_by_any_of_its_names(text: str) -> None:
    assert band_of(text).number == "20"


@pytest.mark.parametrize("text", ["", "0", "B", "Bn20", "twenty", "20x", "-20", "2 0", "1000", "²"])
def test_what_is_no_band_is_refused(text: str) -> None:
    with pytest.raises(InvalidInputError, match="write it as 20, B20 or n20"):
        band_number(text)


def test_a_band_that_is_not_on_hand_is_refused_with_those_that_are() -> None:
    with pytest.raises(InvalidInputError, match=re.escape("'n78'; on hand are 1, 2, 3")):
        band_of("n78")


def test_channel_numbers_of_bands_do_not_overlap() -> None:
    """Each number belongs to one band, from its lower edge on to the number before the upper."""
    for band in MOBILE_BANDS.values():
        width_hz = band.downlink_hz[1] - band.downlink_hz[0]
        last = band.downlink_earfcn + round(width_hz / 100e3) - 1
        assert downlink_hz(band.downlink_earfcn).band is band
        assert downlink_hz(band.downlink_earfcn).frequency_hz == band.downlink_hz[0]
        assert downlink_hz(last).band is band
        assert downlink_hz(last).frequency_hz == pytest.approx(band.downlink_hz[1] - 100e3)


def test_a_frequency_of_several_bands_names_the_others() -> None:
    # band 4 lies inside 66 (TS 36.101, table 5.5-1)
    channel = downlink_hz(MOBILE_BANDS["4"].downlink_earfcn)
    assert (channel.band.number, channel.also_in) == ("4", ("1", "66"))


def test_the_number_of_an_uplink_is_answered_with_the_downlinks() -> None:
    # band 20: offsets 24150 up, 6150 down
    with pytest.raises(InvalidInputError, match=r"uplink of band 20; .* as 6300"):
        downlink_hz(24300)


@pytest.mark.parametrize("earfcn", [-1, 17999, 70655, 500_000])
def test_a_number_of_no_band_is_refused(earfcn: int) -> None:
    with pytest.raises(InvalidInputError, match="in no band on hand"):
        downlink_hz(earfcn)


def test_what_is_not_on_hand_is_none() -> None:
    assert reference_sensitivity(band_of("71"), Technology.LTE) is None
    assert reference_sensitivity(band_of("17"), Technology.LTE_M) is None
    assert reference_sensitivity(band_of("8"), Technology.GSM) is None


def test_channel_numbers_from_memory_say_so() -> None:
    from_memory = {
        n for n, b in MOBILE_BANDS.items() if b.earfcn_source.evidence is Evidence.MEMORY
    }
    assert from_memory == {"72", "85"}
    assert {b.source.evidence for b in MOBILE_BANDS.values()} == {Evidence.RESTATED}
