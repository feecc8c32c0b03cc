"""RSRP, RSRQ, RSSI and SINR of LTE held against each other. One reading at a time."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from pathproof.calc._arrays import require_not_negative
from pathproof.calc.mobile.bins import Interval
from pathproof.terms import InvalidInputError, Quantity

__all__ = [
    "LTE_RESOURCE_BLOCKS",
    "RSRQ_MOST_DB",
    "Contradiction",
    "LteReading",
    "Rule",
    "contradictions",
    "implied_level",
    "sinr_from_rsrq",
]

LTE_RESOURCE_BLOCKS = {1.4e6: 6, 3e6: 15, 5e6: 25, 10e6: 50, 15e6: 75, 20e6: 100}
"""Resource blocks by channel bandwidth in Hz."""
_ELEMENTS = 12
"""Resource elements of a block at one moment."""
_LEAST_LOADED_ELEMENTS = 2
"""Of these, the reference elements of one antenna port: in use in an empty cell too."""
RSRQ_MOST_DB = -10.0 * math.log10(_LEAST_LOADED_ELEMENTS)
"""RSRQ of an empty cell with one port and no noise. [dB]"""
_NOISE_DBM = 10.0 * math.log10(1.380649e-23 * 290.0 * 15e3 * 1e3)
"""Thermal noise in one resource element of 15 kHz at 290 K. [dBm]"""
_UNKNOWN = Interval()


class Rule(StrEnum):
    """What a reading goes against."""

    IDENTITY = "identity"
    """RSRQ = N RSRP / RSSI."""
    RSRQ_LIMIT = "rsrq_limit"
    """RSRQ of an empty cell with one port; RSSI holds at least its reference elements."""
    RSSI_LEAST = "rssi_least"
    """RSSI is at least 2 N RSRP: the reference elements of one port are in it."""
    SINR_NOISE = "sinr_noise"
    """SINR is at most RSRP over thermal noise."""
    SINR_LOAD = "sinr_load"
    """SINR lies between what RSRQ says of a full and of an empty cell."""


_FIRM = {Rule.IDENTITY, Rule.RSSI_LEAST, Rule.SINR_NOISE}


@dataclass(frozen=True, kw_only=True)
class LteReading:
    """What was read of one LTE cell at one moment; what was not read is open at both ends."""

    rsrp_dbm: Interval = _UNKNOWN
    """Mean power of one reference element. [dBm]"""
    rsrq_db: Interval = _UNKNOWN
    """N RSRP / RSSI. [dB]"""
    rssi_dbm: Interval = _UNKNOWN
    """Power in the N resource blocks. [dBm]"""
    sinr_db: Interval = _UNKNOWN
    """Signal over interference plus noise of one element. [dB]"""


@dataclass(frozen=True, kw_only=True)
class Contradiction:
    """A quantity that cannot be what was read, if the others are."""

    what: Quantity
    """Which one."""
    given: Interval
    """What was read. [unit of the quantity]"""
    allowed: Interval
    """What the others allow. [unit of the quantity]"""
    rule: Rule
    """What says so."""

    @property
    def firm(self) -> bool:
        """Whether it is impossible; otherwise it only is if the rule's assumptions hold."""
        return self.rule in _FIRM

    @property
    def beyond_db(self) -> float:
        """How far what was read lies outside what is allowed. [dB]"""
        return max(self.allowed.low - self.given.high, self.given.low - self.allowed.high)


def implied_level(reading: LteReading, what: Quantity, resource_blocks: int) -> Interval:
    r"""What one of RSRP, RSRQ and RSSI must lie in, by the other two.

    .. math:: \mathrm{RSRQ} = 10 \log_{10} N + \mathrm{RSRP} - \mathrm{RSSI} \le -3.01

    Parameters
    ----------
    reading : LteReading
        The other two with their bins; either may be open. What it holds of ``what`` itself plays no
        part. [dBm, dB]
    what : Quantity
        ``RSRP_DBM``, ``RSRQ_DB`` or ``RSSI_DBM``.
    resource_blocks : int
        N, of the bandwidth that RSSI was measured in.

    Returns
    -------
    level : Interval
        Open at an end that nothing bounds. [unit of the quantity]

    Raises
    ------
    InvalidInputError
        Another quantity, a number of blocks that no LTE channel has, or two levels that leave
        nothing for the third: ask :func:`contradictions` first.

    Notes
    -----
    RSRQ, given or not, counts as at most -3.01 dB: RSSI holds at least the two reference elements
    in twelve of one antenna port, so it is at least 2 N RSRP. With two ports an empty cell has
    -6.02 dB, in full use any cell has -10.79 dB at most; noise and neighbours only lower it.

    Limits: all at one moment, from one receive branch, and RSSI in the symbols that hold reference
    elements, over the same N blocks. RSSI as +CSQ gives it is mapped by the module's maker.

    Examples
    --------
    >>> full = LteReading(rsrp_dbm=Interval(-100.0, -100.0), rsrq_db=Interval(-10.79, -10.79))
    >>> f"{implied_level(full, Quantity.RSSI_DBM, 50).low:.1f}"
    '-72.2'

    References
    ----------
    .. [1] 3GPP TS 36.214, clause 5.1.3, RSRQ, as restated; the limits by load are computed.
    """
    blocks_db = _blocks_db(resource_blocks)
    rsrp, rssi = reading.rsrp_dbm, reading.rssi_dbm
    rsrq = reading.rsrq_db.overlap(Interval(high=RSRQ_MOST_DB))
    if what is not Quantity.RSRQ_DB and rsrq is None:
        raise InvalidInputError(
            f"rsrq_db was {reading.rsrq_db.low:g} dB or more; no reading of one port's reference "
            f"elements is above {RSRQ_MOST_DB:.2f} dB. Leave it out."
        )
    if what is Quantity.RSRP_DBM and rsrq is not None:
        return Interval(rsrq.low + rssi.low - blocks_db, rsrq.high + rssi.high - blocks_db)
    if what is Quantity.RSSI_DBM and rsrq is not None:
        return Interval(blocks_db + rsrp.low - rsrq.high, blocks_db + rsrp.high - rsrq.low)
    if what is Quantity.RSRQ_DB:
        free = Interval(blocks_db + rsrp.low - rssi.high, blocks_db + rsrp.high - rssi.low)
        held = free.overlap(Interval(high=RSRQ_MOST_DB))
        if held is not None:
            return held
        raise InvalidInputError(
            f"rssi_dbm was {rssi.high:g} dBm or less with RSRP of {rsrp.low:g} dBm or more; it "
            f"must be {blocks_db + rsrp.low - RSRQ_MOST_DB:.1f} dBm or more for "
            f"{resource_blocks} blocks."
        )
    raise InvalidInputError(f"what was {what}; it must be rsrp_dbm, rsrq_db or rssi_dbm.")


def sinr_from_rsrq(rsrq_db: Interval) -> Interval:
    r"""What SINR can be at an RSRQ: of an empty cell at the least, of a full one at the most.

    .. math:: \mathrm{SINR} = \frac{1}{1 / (12\,\mathrm{RSRQ}) - x}, \quad 1/6 \le x \le 1

    Parameters
    ----------
    rsrq_db : Interval
        [dB]

    Returns
    -------
    sinr_db : Interval
        Open upwards from the RSRQ of a full cell without noise, -10.79 dB. [dB]

    Raises
    ------
    InvalidInputError
        All of RSRQ is at or above -3.01 dB, where no load fits.

    Notes
    -----
    In units of RSRP an element of the serving cell holds x on average, and one of noise and
    neighbours 1 / SINR: RSSI = 12 N (x + 1 / SINR) RSRP. x is 1 where every element is sent as
    strong as the reference elements, 2 / 12 where only those of one port are.

    At -16 dB and below the two ends are within 1.5 dB, so there RSRQ says what SINR is; at
    -10.79 dB and above it says no more than the least.

    Limits: noise and neighbours spread evenly over all elements. Neighbours whose reference
    elements fall on those of this cell, or not, move SINR either way, and a cell may send its data
    stronger than its reference elements. So a SINR outside is a doubt, not an impossibility.

    Examples
    --------
    >>> bounds = sinr_from_rsrq(Interval(-15.0, -15.0))
    >>> f"{bounds.low:.2f} {bounds.high:.2f}"
    '-3.92 -2.14'

    References
    ----------
    .. [1] From the definitions of RSRQ and RSSI in 3GPP TS 36.214, clause 5.1.3, as restated;
       computed.
    """
    if rsrq_db.low >= RSRQ_MOST_DB:
        raise InvalidInputError(
            f"rsrq_db was {rsrq_db.low:g} dB or more; below {RSRQ_MOST_DB:.2f} dB is what any load "
            "of a cell can give."
        )
    least_load = _LEAST_LOADED_ELEMENTS / _ELEMENTS
    return Interval(_sinr_db(rsrq_db.low, least_load), _sinr_db(rsrq_db.high, 1.0))


def contradictions(
    reading: LteReading, resource_blocks: int | None = None, *, slack_db: float = 0.0
) -> tuple[Contradiction, ...]:
    """What in a reading cannot be, or hardly, by what else was read.

    Parameters
    ----------
    reading : LteReading
        Any of RSRP, RSRQ, RSSI and SINR with their bins. [dBm, dB]
    resource_blocks : int, optional
        N, of the bandwidth that RSSI was measured in; without it, what needs it is not looked at.
    slack_db : float
        How far they may miss each other, 0 or above: a module may show them from different moments
        or receive branches. [dB]

    Returns
    -------
    found : tuple of Contradiction
        What was read, what the others allow and the rule, for each rule gone against; empty where
        all fits.

    Raises
    ------
    InvalidInputError
        The number of blocks is not one of LTE, or the slack is negative.

    Notes
    -----
    The identity, the least RSSI and the noise bound are firm. Two are not. An RSRQ above -3.01 dB
    cannot come from symbols with reference elements; the report tables go up to 2.5 dB all the
    same, so a module may measure RSSI in other symbols too. A SINR outside what the load can
    explain may come from uneven interference (:func:`sinr_from_rsrq`).

    The noise bound is that of a receiver without any noise of its own at 290 K, -132.2 dBm an
    element.

    References
    ----------
    .. [1] 3GPP TS 36.214, clauses 5.1.1 and 5.1.3, as restated; TS 36.133, table 9.1.7-1, range of
       RSRQ, as restated. Limits by load and noise: computed.
    """
    slack = float(require_not_negative(slack_db, "slack_db"))
    blocks_db = None if resource_blocks is None else _blocks_db(resource_blocks)
    return tuple(
        Contradiction(what=what, given=given, allowed=allowed, rule=rule)
        for what, given, allowed, rule in _checks(reading, blocks_db)
        if given.low - slack > allowed.high or given.high + slack < allowed.low
    )


def _checks(
    reading: LteReading, blocks_db: float | None
) -> Iterator[tuple[Quantity, Interval, Interval, Rule]]:
    """What each rule allows, and what was read."""
    rsrp, rsrq, rssi, sinr = (
        reading.rsrp_dbm,
        reading.rsrq_db,
        reading.rssi_dbm,
        reading.sinr_db,
    )
    if blocks_db is not None:
        identity = Interval(blocks_db + rsrp.low - rssi.high, blocks_db + rsrp.high - rssi.low)
        yield Quantity.RSRQ_DB, rsrq, identity, Rule.IDENTITY
        least = Interval(low=blocks_db + rsrp.low - RSRQ_MOST_DB)
        yield Quantity.RSSI_DBM, rssi, least, Rule.RSSI_LEAST
    yield Quantity.RSRQ_DB, rsrq, Interval(high=RSRQ_MOST_DB), Rule.RSRQ_LIMIT
    yield Quantity.SINR_DB, sinr, Interval(high=rsrp.high - _NOISE_DBM), Rule.SINR_NOISE
    if rsrq.low < RSRQ_MOST_DB:
        yield Quantity.SINR_DB, sinr, sinr_from_rsrq(rsrq), Rule.SINR_LOAD


def _sinr_db(rsrq_db: float, load_ratio: float) -> float:
    if rsrq_db == -math.inf:
        return -math.inf
    rest = 10.0 ** (-rsrq_db / 10.0) / _ELEMENTS - load_ratio
    return -10.0 * math.log10(rest) if rest > 0.0 else math.inf


def _blocks_db(resource_blocks: int) -> float:
    if resource_blocks not in LTE_RESOURCE_BLOCKS.values():
        raise InvalidInputError(
            f"resource_blocks was {resource_blocks}; an LTE channel has one of "
            f"{', '.join(map(str, LTE_RESOURCE_BLOCKS.values()))}."
        )
    return 10.0 * math.log10(resource_blocks)
