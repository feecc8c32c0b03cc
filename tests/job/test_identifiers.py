"""Numbers as people read them off labels.

Check digits are from outside: the IMEI of 3GPP TS 23.003 annex B's method with python-stdnum, and
Luhn's own worked example 7992739871 with check digit 3 (from memory) in a number of 19 digits made
by python-stdnum.
"""

import pytest
from stdnum import luhn

from pathproof.job import Communicator
from pathproof.job.identifiers import (
    as_printed,
    check_card_number,
    check_number,
    with_identifiers,
)
from pathproof.terms import JobError, SimKind

BODY = "899997000120073451"
CARD = BODY + luhn.calc_check_digit(BODY)
MODULE = Communicator.model_validate({"id": "main", "part": "x"})
NOTHING = {"imei": "", "iccid": "", "account": "", "centre": "", "networks": [], "kind": None}


@pytest.mark.parametrize("printed", ["8999 9700 0120", "8999-9700-0120", " 8999\u20139700.0120 "])
def test_what_labels_put_between_digits_goes(printed):
    assert as_printed(printed) == "899997000120"


@pytest.mark.parametrize("number", [BODY, CARD, CARD + "7"])
def test_card_numbers_of_18_to_20_digits_are_taken(number):
    check_card_number(number)


@pytest.mark.parametrize("number", [BODY[:-1], CARD + "77", BODY[:-1] + "F", "\u0661" * 19])
def test_other_card_numbers_are_refused_with_what_is_allowed(number):
    with pytest.raises(JobError, match="18 to 20 digits"):
        check_card_number(number)


@pytest.mark.parametrize("place", range(18))
def test_any_one_wrong_digit_of_19_is_found(place):
    wrong = CARD[:place] + str((int(CARD[place]) + 1) % 10) + CARD[place + 1 :]
    with pytest.raises(JobError, match="a digit is wrong"):
        check_card_number(wrong)
    check_card_number(wrong, as_read_twice=True)


def test_an_imei_with_a_wrong_check_digit_is_refused():
    check_number("imei", "001017000042013")
    with pytest.raises(JobError, match="15 digits"):
        check_number("imei", "001017000042014")


def test_an_account_is_of_hexadecimal_digits():
    with pytest.raises(JobError, match="ends with 4, and by its other digits it would end with 3"):
        check_number("imei", "001017000042014")
    with pytest.raises(JobError, match="has 'XY' in it"):
        check_number("account", "12XY")
    with pytest.raises(JobError, match="has 2 characters"):
        check_number("account", "12")
    check_number("account", "12AB")
    with pytest.raises(JobError, match="3 to 16 digits"):
        check_number("account", "12XY")


def test_empty_numbers_are_not_known():
    told = with_identifiers(MODULE, **{**NOTHING, "kind": SimKind.FIXED, "iccid": CARD})
    assert told.sim is not None
    assert (told.sim.iccid, told.imei) == (CARD, None)
    assert with_identifiers(told, **NOTHING).sim is None


def test_a_card_number_without_a_card_is_refused():
    with pytest.raises(JobError, match="which kind of card"):
        with_identifiers(MODULE, **{**NOTHING, "iccid": CARD})
