"""The shared words: names with units, and errors that say what to do."""

import re

import pytest

from pathproof.terms import (
    CalcError,
    InvalidInputError,
    JobError,
    LimitName,
    NewerFormatError,
    OutOfRangeError,
    PathproofError,
    Quantity,
)

COUNTS = {
    LimitName.WALK_MESSAGES,
    LimitName.LEVEL_READINGS,
    LimitName.MOBILE_READINGS,
    LimitName.MOBILE_MINUTES,
    LimitName.MOBILE_MAX_AGE_DAYS,
    LimitName.SUPPLY_TEST_MAX_AGE_DAYS,
    LimitName.MOBILE_NETWORKS_ROAMING,
    LimitName.MOBILE_PATHS,
    LimitName.CELL_EVENTS_PER_DAY,
}


@pytest.mark.parametrize("name", sorted(set(LimitName) - COUNTS))
def test_limits_carry_their_unit(name: LimitName) -> None:
    assert re.search(r"_(ratio|db|dbm|s|h|min|v)$", name)


@pytest.mark.parametrize("name", Quantity)
def test_quantities_carry_their_unit(name: Quantity) -> None:
    assert name.rpartition("_")[2] in ("dbm", "db", "percent")


def test_names_are_written_as_their_values() -> None:
    """In messages, JSON and files alike."""
    assert f"{LimitName.STANDBY_H}" == "standby_h"
    assert f"{Quantity.RSRP_DBM}" == "rsrp_dbm"


def test_out_of_range_says_value_and_range() -> None:
    error = OutOfRangeError("frequency_hz", 345e6, 1e9, 10e9, "Hz", "P.2040 table 3")
    assert str(error) == "frequency_hz was 3.45e+08 Hz; P.2040 table 3 covers 1e+09 to 1e+10 Hz."
    assert (error.parameter, error.value, error.low, error.high) == (
        "frequency_hz",
        345e6,
        1e9,
        1e10,
    )


def test_what_can_be_caught_together() -> None:
    for error in (InvalidInputError, OutOfRangeError):
        assert issubclass(error, CalcError)
        assert issubclass(error, ValueError)
    assert issubclass(NewerFormatError, JobError)
    assert issubclass(JobError, PathproofError)
    assert not issubclass(JobError, ValueError)
