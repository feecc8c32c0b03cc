"""Numbers of module, card and account as people read them off a label.

The job file holds them without blanks and dashes; here they are taken as printed, and checked for
slips that its models let pass.
"""

import re
from typing import Final

from pydantic import ValidationError
from stdnum import luhn

from pathproof.job.site import Communicator, Sim
from pathproof.terms import JobError, SimKind

__all__ = ["as_printed", "check_card_number", "check_number", "with_identifiers"]

_BETWEEN: Final = re.compile(r"[\s\-./\u2010-\u2015]+")
_WITH_CHECK_DIGIT: Final = 19
_IMEI_DIGITS: Final = 15
_ALLOWED: Final = {
    "imei": "15 digits, the last one a check digit. Read it off the module's label again",
    "account": "3 to 16 digits 0 to 9 and A to F. Ask the centre for it again",
}


def as_printed(number: str) -> str:
    """A number without the blanks, dashes and points that labels put between its digits."""
    return _BETWEEN.sub("", number)


def check_number(field: str, number: str) -> None:
    """Refuses an IMEI (`imei`) or an account number (`account`) that the job file would not hold.

    Raises
    ------
    JobError
        Digits are missing or wrong.
    """
    try:
        Communicator.model_validate({"id": "x", "part": "x", field: number})
    except ValidationError as error:
        raise JobError(f"{number!r} {_slip(field, number)}; allowed: {_ALLOWED[field]}.") from error


def _slip(field: str, number: str) -> str:
    """What is wrong with a number: signs that are none of it, its length, or its check digit."""
    signs = "0123456789" if field == "imei" else "0123456789ABCDEF"
    others = "".join(dict.fromkeys(c for c in number if c.upper() not in signs))
    if others:
        return f"has {others!r} in it"
    if field == "imei" and len(number) == _IMEI_DIGITS:
        return (
            f"ends with {number[-1]}, and by its other digits it would end with "
            f"{luhn.calc_check_digit(number[:-1])}: a digit is wrong"
        )
    return f"has {len(number)} characters"


def check_card_number(iccid: str, *, as_read_twice: bool = False) -> None:
    """Refuses a card number that was misread.

    Parameters
    ----------
    iccid : str
        As `as_printed` gives it.
    as_read_twice : bool
        Somebody says that it is printed just so: its check digit is not asked for.

    Raises
    ------
    JobError
        Not 18 to 20 digits, or 19 of which the last is not the check digit of the others.

    Notes
    -----
    A number of 19 digits ends with a check digit by Luhn's formula (ITU-T E.118, from memory). One
    of 18 is printed without it, and of 20 issuers do not all do the same: these are only counted.
    """
    if not (iccid.isascii() and iccid.isdigit() and 18 <= len(iccid) <= 20):
        raise JobError(
            f"{iccid!r} has {len(iccid)} characters; allowed: 18 to 20 digits, blanks and dashes "
            "in between as printed. Read it off the card again."
        )
    if len(iccid) == _WITH_CHECK_DIGIT and not as_read_twice and not luhn.is_valid(iccid):
        raise JobError(
            f"{iccid} ends with {iccid[-1]}, and by its other digits it would end with "
            f"{luhn.calc_check_digit(iccid[:-1])}: a digit is wrong. Read it off the card again; "
            "if it is printed just so, say so below."
        )


def with_identifiers(
    communicator: Communicator,
    *,
    imei: str,
    iccid: str,
    account: str,
    centre: str,
    networks: list[str],
    kind: SimKind | None,
) -> Communicator:
    """The communicator with these numbers, empty ones not known; whoever saves it checks it.

    Raises
    ------
    JobError
        Something is told of a card, and not of which kind it is.
    """
    sim = communicator.sim
    if kind is not None:
        held = Sim(kind=kind) if sim is None else sim
        sim = held.model_copy(update={"kind": kind, "networks": networks, "iccid": iccid or None})
    elif iccid or networks:
        raise JobError("A number or networks of a card are given. Say which kind of card it is.")
    else:
        sim = None
    return communicator.model_copy(
        update={
            "sim": sim,
            "imei": imei or None,
            "account": account or None,
            "centre": centre,
        }
    )
