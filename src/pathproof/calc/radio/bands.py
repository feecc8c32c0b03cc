"""Mobile bands: their edges, channel numbers, and what a receiver has to hear in them. Scalar code.

Bands that 3GPP TS 36.101 calls E-UTRA operating bands, those that alarm modules use.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from pathproof.calc.radio.sources import (
    EARFCN,
    EARFCN_FROM_MEMORY,
    OPERATING_BANDS,
    REFSENS_LTE,
    REFSENS_LTE_M,
    REFSENS_NB_IOT,
)
from pathproof.calc.sources import Source
from pathproof.terms import InvalidInputError, Technology

RASTER_HZ: Final = 100e3
"""From one channel number to the next. [Hz]"""
NB_IOT_REFSENS_DBM: Final = -108.2
"""Reference sensitivity of NB-IoT without repetitions, in every band (REFSENS_NB_IOT). [dBm]"""
_SUBCARRIERS: Final = {  # that the power of a reference sensitivity is spread over
    Technology.LTE: 600,  # 50 resource blocks of 12 in 10 MHz
    Technology.LTE_M: 72,  # 6 resource blocks of 12
    Technology.NB_IOT: 12,  # one resource block
}


@dataclass(frozen=True, kw_only=True)
class MobileBand:
    """One band: edges, channel numbers, reference sensitivities."""

    number: str
    """As "20"."""
    uplink_hz: tuple[float, float]
    """Lower and upper edge of what modules send in. [Hz]"""
    downlink_hz: tuple[float, float]
    """Lower and upper edge of what they receive. [Hz]"""
    downlink_earfcn: int
    """Channel number at the lower edge of the downlink."""
    uplink_earfcn: int
    """Channel number at the lower edge of the uplink."""
    lte_refsens_dbm: float | None
    """Of LTE in a channel of 10 MHz, QPSK, two receive ports; none where not on hand. [dBm]"""
    lte_m_refsens_dbm: float | None
    """Of category M1; none where not on hand. [dBm]"""
    source: Source
    """Of the edges."""
    earfcn_source: Source
    """Of the channel numbers."""

    @property
    def duplex(self) -> str:
        """TDD where both directions take turns in the same frequencies, else FDD."""
        return "TDD" if self.uplink_hz == self.downlink_hz else "FDD"

    @property
    def low_hz(self) -> float:
        """Lowest frequency in either direction. [Hz]"""
        return min(self.uplink_hz[0], self.downlink_hz[0])

    @property
    def high_hz(self) -> float:
        """Highest frequency in either direction. [Hz]"""
        return max(self.uplink_hz[1], self.downlink_hz[1])

    @property
    def downlink_centre_hz(self) -> float:
        """Middle of the downlink. [Hz]"""
        return sum(self.downlink_hz) / 2.0


@dataclass(frozen=True, kw_only=True)
class DownlinkChannel:
    """What a downlink channel number says."""

    band: MobileBand
    frequency_hz: float
    """[Hz]"""
    also_in: tuple[str, ...]
    """Other bands whose downlink holds this frequency; there it has another number."""


@dataclass(frozen=True, kw_only=True)
class ReferenceSensitivity:
    """The power that a receiver has to decode, by cable and with no fading."""

    power_dbm: float
    """Of the whole channel. [dBm]"""
    subcarriers: int
    """How many of 15 kHz it is spread over."""
    source: Source

    @property
    def level_dbm_per_element(self) -> float:
        """The same as a level of one resource element, as RSRP is. [dBm]"""
        return self.power_dbm - 10.0 * math.log10(self.subcarriers)


# Band, uplink and downlink edges in MHz, EARFCN offsets of downlink and uplink, reference
# sensitivity in dBm of LTE in 10 MHz and of category M1. Sources: below, by band.
# fmt: off
_ROWS: Final[tuple[
    tuple[str, tuple[float, float], tuple[float, float], int, int, float | None, float | None], ...
]] = (
    ("1", (1920, 1980), (2110, 2170), 0, 18000, -97.0, -102.2),
    ("2", (1850, 1910), (1930, 1990), 600, 18600, -95.0, -100.2),
    ("3", (1710, 1785), (1805, 1880), 1200, 19200, -94.0, -99.2),
    ("4", (1710, 1755), (2110, 2155), 1950, 19950, -97.0, -102.2),
    ("5", (824, 849), (869, 894), 2400, 20400, -95.0, -100.7),
    ("7", (2500, 2570), (2620, 2690), 2750, 20750, -95.0, -100.2),
    ("8", (880, 915), (925, 960), 3450, 21450, -94.0, -99.7),
    ("12", (699, 716), (729, 746), 5010, 23010, -94.0, -99.2),
    ("13", (777, 787), (746, 756), 5180, 23180, -94.0, -98.7),
    ("14", (788, 798), (758, 768), 5280, 23280, None, -98.7),
    ("17", (704, 716), (734, 746), 5730, 23730, -94.0, None),
    ("18", (815, 830), (860, 875), 5850, 23850, -97.0, -102.2),
    ("19", (830, 845), (875, 890), 6000, 24000, -97.0, -102.2),
    ("20", (832, 862), (791, 821), 6150, 24150, -94.0, -99.7),
    ("25", (1850, 1915), (1930, 1995), 8040, 26040, None, None),
    ("26", (814, 849), (859, 894), 8690, 26690, None, -100.2),
    ("28", (703, 748), (758, 803), 9210, 27210, None, -100.7),
    ("31", (452.5, 457.5), (462.5, 467.5), 9870, 27760, None, -96.5),
    ("38", (2570, 2620), (2570, 2620), 37750, 37750, -97.0, None),
    ("39", (1880, 1920), (1880, 1920), 38250, 38250, -97.0, -103.7),
    ("40", (2300, 2400), (2300, 2400), 38650, 38650, -97.0, None),
    ("41", (2496, 2690), (2496, 2690), 39650, 39650, None, -101.7),
    ("66", (1710, 1780), (2110, 2200), 66436, 131972, None, None),
    ("71", (663, 698), (617, 652), 68586, 133122, None, -99.4),
    ("72", (451, 456), (461, 466), 68936, 133472, None, -96.5),
    ("85", (698, 716), (728, 746), 70366, 134002, None, -99.2),
)
# fmt: on
_WRITTEN: Final = re.compile(r"[BbNn]?0{0,2}([1-9][0-9]{0,2})", re.ASCII)
_EARFCN_FROM_MEMORY: Final = {"72", "85"}


def _band(
    row: tuple[str, tuple[float, float], tuple[float, float], int, int, float | None, float | None],
) -> MobileBand:
    number, uplink_mhz, downlink_mhz, downlink_earfcn, uplink_earfcn, lte_dbm, lte_m_dbm = row
    return MobileBand(
        number=number,
        uplink_hz=(uplink_mhz[0] * 1e6, uplink_mhz[1] * 1e6),
        downlink_hz=(downlink_mhz[0] * 1e6, downlink_mhz[1] * 1e6),
        downlink_earfcn=downlink_earfcn,
        uplink_earfcn=uplink_earfcn,
        lte_refsens_dbm=lte_dbm,
        lte_m_refsens_dbm=lte_m_dbm,
        source=OPERATING_BANDS,
        earfcn_source=EARFCN_FROM_MEMORY if number in _EARFCN_FROM_MEMORY else EARFCN,
    )


MOBILE_BANDS: Mapping[str, MobileBand] = MappingProxyType({row[0]: _band(row) for row in _ROWS})
"""The bands by number, as "20"."""


def band_number(text: str) -> str:
    """The number of a band as people write it: 20 of "20", "B20", "b20" and "n20".

    Parameters
    ----------
    text : str
        A band, on hand or not.

    Returns
    -------
    number : str
        Its digits.

    Raises
    ------
    InvalidInputError
        It is not written like a band.

    Notes
    -----
    GSM and UMTS networks use frequencies of these bands too, under names of their own.
    """
    written = _WRITTEN.fullmatch(text.strip())
    if written is None:
        raise InvalidInputError(f"band was {text!r}; write it as 20, B20 or n20.")
    return written.group(1)


def band_of(text: str) -> MobileBand:
    """The band of that number.

    Parameters
    ----------
    text : str
        "20", "B20" or "n20".

    Returns
    -------
    band : MobileBand
        Edges, channel numbers and reference sensitivities.

    Raises
    ------
    InvalidInputError
        It is not written like a band, or is none of those on hand.

    Notes
    -----
    Bands of NR that were bands of LTE before keep number and edges (from memory); channel numbers
    and sensitivities here are those of LTE. Bands of NR alone, n78 for one, are not on hand.

    Examples
    --------
    >>> band_of("B20").downlink_hz
    (791000000.0, 821000000.0)

    References
    ----------
    .. [1] 3GPP TS 36.101, table 5.5-1, as two open code tables restate it; bands 71, 72 and 85 as
       one does.
    """
    number = band_number(text)
    if number not in MOBILE_BANDS:
        raise InvalidInputError(
            f"band was {text!r}; on hand are {', '.join(MOBILE_BANDS)}. Look its frequencies up at "
            "the operator's or regulator's."
        )
    return MOBILE_BANDS[number]


def downlink_hz(earfcn: int) -> DownlinkChannel:
    r"""Band and frequency of a downlink channel number of LTE.

    .. math:: F_{DL} = F_{DL,low} + 0.1 (N_{DL} - N_{offs,DL}) \quad \text{(MHz)}

    Parameters
    ----------
    earfcn : int
        N_DL, as modules show it.

    Returns
    -------
    channel : DownlinkChannel
        The one band it belongs to, its frequency [Hz], and other bands that hold the frequency.

    Raises
    ------
    InvalidInputError
        It is the number of an uplink, or of no band on hand.

    Notes
    -----
    Limits: the middle of a channel keeps half a channel away from the band's edges; that is not
    asked of the number.

    Examples
    --------
    >>> channel = downlink_hz(6300)
    >>> channel.band.number, channel.frequency_hz
    ('20', 806000000.0)

    References
    ----------
    .. [1] 3GPP TS 36.101, clause 5.7.3, restated; offsets as an open baseband library has them,
       those of bands 72 and 85 from memory.
    """
    for band in MOBILE_BANDS.values():
        if earfcn in _numbers(band.downlink_earfcn, band.downlink_hz):
            frequency_hz = band.downlink_hz[0] + RASTER_HZ * (earfcn - band.downlink_earfcn)
            return DownlinkChannel(
                band=band, frequency_hz=frequency_hz, also_in=_holding(frequency_hz, band)
            )
    for band in MOBILE_BANDS.values():
        if earfcn in _numbers(band.uplink_earfcn, band.uplink_hz):
            offset = earfcn - band.uplink_earfcn
            raise InvalidInputError(
                f"earfcn was {earfcn}, in the uplink of band {band.number}; give the downlink's, "
                f"as {band.downlink_earfcn + offset}."
            )
    raise InvalidInputError(
        f"earfcn was {earfcn}, in no band on hand ({', '.join(MOBILE_BANDS)}). Bands of NR count "
        "their channels otherwise."
    )


def _numbers(first: int, edges_hz: tuple[float, float]) -> range:
    return range(first, first + round((edges_hz[1] - edges_hz[0]) / RASTER_HZ))


def _holding(frequency_hz: float, but: MobileBand) -> tuple[str, ...]:
    return tuple(
        b.number
        for b in MOBILE_BANDS.values()
        if b is not but and b.downlink_hz[0] <= frequency_hz <= b.downlink_hz[1]
    )


def reference_sensitivity(band: MobileBand, technology: Technology) -> ReferenceSensitivity | None:
    """What TS 36.101 asks a receiver to hear in a band.

    Parameters
    ----------
    band : MobileBand
        One of ``MOBILE_BANDS``.
    technology : Technology
        LTE (10 MHz, QPSK, two receive ports), LTE-M (category M1) or NB-IoT (no repetitions).

    Returns
    -------
    sensitivity : ReferenceSensitivity or None
        None for other technologies, and where the value of the band is not on hand.

    Notes
    -----
    Limits: a floor that every receiver meets in a laboratory. A working link needs more: fading,
    noise from the panel's own electronics and load of the cell come on top. One receive port is
    allowed to be 2.5 to 3 dB worse (memory).

    References
    ----------
    .. [1] 3GPP TS 36.101, table 7.3.1-1, restated by a national rule; clauses 7.3.1E and 7.3.1F.1,
       read.
    """
    power_dbm, source = {
        Technology.LTE: (band.lte_refsens_dbm, REFSENS_LTE),
        Technology.LTE_M: (band.lte_m_refsens_dbm, REFSENS_LTE_M),
        Technology.NB_IOT: (NB_IOT_REFSENS_DBM, REFSENS_NB_IOT),
    }.get(technology, (None, REFSENS_LTE))
    if power_dbm is None:
        return None
    return ReferenceSensitivity(
        power_dbm=power_dbm, subcarriers=_SUBCARRIERS[technology], source=source
    )


def reference_level_dbm_per_element(band: MobileBand, technology: Technology) -> float | None:
    r"""The level of one resource element at which a receiver has to decode.

    .. math:: L = P_{REFSENS} - 10 \log_{10} (12 N)

    Parameters
    ----------
    band : MobileBand
        One of ``MOBILE_BANDS``.
    technology : Technology
        LTE, LTE-M or NB-IoT.

    Returns
    -------
    level_dbm : float or None
        Comparable with RSRP. None as by :func:`reference_sensitivity`. [dBm]

    Notes
    -----
    A reference sensitivity is the power of a whole channel: never compare it with RSRP as it is.

    Examples
    --------
    >>> f"{reference_level_dbm_per_element(band_of('1'), Technology.LTE):.1f}"
    '-124.8'

    References
    ----------
    .. [1] Sources of :func:`reference_sensitivity`; power shared alike by 12 N subcarriers.
    """
    sensitivity = reference_sensitivity(band, technology)
    return None if sensitivity is None else sensitivity.level_dbm_per_element
