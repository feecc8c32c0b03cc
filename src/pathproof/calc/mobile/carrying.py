"""How little a level of one technology says of another at the same spot. House values."""

from dataclasses import dataclass

from pathproof.calc._arrays import require_positive
from pathproof.calc.decibels import combined_spread_db
from pathproof.terms import InvalidInputError, Technology

__all__ = ["CarryOver", "Doubt", "carry_over"]


@dataclass(frozen=True, kw_only=True)
class Doubt:
    """One thing that a reading of another technology leaves open."""

    spread_db: float
    """What it adds. [dB]"""
    why: str
    """In words for the working."""


@dataclass(frozen=True, kw_only=True)
class CarryOver:
    """What a level read of one technology leaves open about another."""

    doubts: tuple[Doubt, ...]
    """Empty where the technology is the same: nothing is carried over."""

    @property
    def spread_db(self) -> float:
        """Spread to add to that of the reading. [dB]"""
        return combined_spread_db(*(d.spread_db for d in self.doubts))

    def worth_ratio(self, reading_spread_db: float) -> float:
        """As which part of a reading of the technology itself one carried over counts. [ratio]

        By the inverse of the variance: a mean weighs readings like that.
        """
        own = float(require_positive(reading_spread_db, "reading_spread_db"))
        return own**2 / (own**2 + self.spread_db**2)


_OTHER_CELL = Doubt(
    spread_db=6.0, why="it is not known whether the cell that was read offers the technology"
)
_OTHER_BAND = Doubt(spread_db=6.0, why="it may run in another band than the one read")
_ONE_PORT = Doubt(spread_db=3.0, why="one receive port, where the reading came from two")
_NARROW = {
    Technology.LTE_M: Doubt(
        spread_db=3.0, why="six resource blocks fade deeper than the whole channel"
    ),
    Technology.NB_IOT: Doubt(
        spread_db=4.0, why="one resource block fades deeper than the whole channel"
    ),
}
_OWN_CARRIER = Doubt(
    spread_db=6.0,
    why="its carrier, inside, beside or apart from LTE, has a power of its own",
)


def carry_over(read: Technology, wanted: Technology, *, same_band: bool) -> CarryOver:
    """The spread to add when a level of one technology stands in for one of another.

    Parameters
    ----------
    read : Technology
        What was read.
    wanted : Technology
        What the communicator will use.
    same_band : bool
        Whether it is known to run in the band that was read.

    Returns
    -------
    carried : CarryOver
        Each thing left open with its spread and reason, and all together. [dB]

    Raises
    ------
    InvalidInputError
        One says nothing of the other: only LTE says a little of LTE-M and NB-IoT.

    Notes
    -----
    The level itself is carried over as it is: both are the power of one element of 15 kHz, and no
    gain is counted on. That LTE-M and NB-IoT still work 10 to 20 dB further down is a matter of
    what they need, not of the level. Whatever the level, it proves nothing: that the network offers
    the technology at this place at all has to be read with it.

    References
    ----------
    .. [1] House values, common practice, no source. That a single receive port may be 2.5 to 3 dB
       worse, and how far down each works: memory.
    """
    if read is wanted:
        return CarryOver(doubts=())
    if read is not Technology.LTE or wanted not in _NARROW:
        raise InvalidInputError(
            f"read was {read} and wanted {wanted}; a level says something of another technology "
            "only from lte to lte_m or nb_iot. Read the technology itself."
        )
    doubts = [_OTHER_CELL, _ONE_PORT, _NARROW[wanted]]
    if wanted is Technology.NB_IOT:
        doubts.append(_OWN_CARRIER)
    if not same_band:
        doubts.append(_OTHER_BAND)
    return CarryOver(doubts=tuple(doubts))
