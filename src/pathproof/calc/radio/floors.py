"""COST 231 multi-wall values, for walls and floors whose build-up is not known. Scalar code."""

from pathproof.calc._arrays import require_not_negative
from pathproof.terms import InvalidInputError

# Source: sources.COST_231. That the values are for 1.8 GHz, and what counts as light or heavy, is
# from memory.
LIGHT_WALL_LOSS_DB = 3.4  # plasterboard, or thinner than about 10 cm
HEAVY_WALL_LOSS_DB = 6.9  # load-bearing, thicker than about 10 cm
FLOOR_LOSS_DB = 18.3
FLOOR_EXPONENT = 0.46  # "b"


def cost231_floor_loss_db(
    floors_crossed: int, loss_per_floor_db: float = FLOOR_LOSS_DB, b: float = FLOOR_EXPONENT
) -> float:
    r"""Loss of a number of floors together; each further floor adds less than the one before.

    .. math:: L = k^{(k+2)/(k+1) - b} L_f

    Parameters
    ----------
    floors_crossed : int
        k, 0 or above. [count]
    loss_per_floor_db : float
        L_f, the loss of one floor, 0 or above. [dB]
    b : float
        How strongly further floors are discounted, 0 or above. [1]

    Returns
    -------
    floor_loss_db : float
        0 for no floor. [dB]

    Raises
    ------
    InvalidInputError
        A value is not finite or is negative, or the number of floors is not whole.

    Notes
    -----
    Limits: empirical, for 1.8 GHz. Over several floors energy goes round the building rather than
    through it, which is why the floors' losses do not simply add.

    Examples
    --------
    >>> f"{cost231_floor_loss_db(2):.3f}"
    '33.524'

    References
    ----------
    .. [1] COST 231 Final Report, chapter 4, multi-wall model; as restated by an open simulator that
       cites it. That the values hold for 1.8 GHz is from memory.
    """
    k = float(require_not_negative(floors_crossed, "floors_crossed"))
    loss = float(require_not_negative(loss_per_floor_db, "loss_per_floor_db"))
    exponent = float(require_not_negative(b, "b"))
    if not k.is_integer():
        raise InvalidInputError(f"floors_crossed was {k:g}; it must be a whole number.")
    return float(k ** ((k + 2.0) / (k + 1.0) - exponent) * loss) if k else 0.0
