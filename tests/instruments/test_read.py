"""Readings from pasted answers and from levels written out."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pathproof.instruments import LIMITS, MAX_LINES, MAX_TEXT, Reading, read, read_many
from pathproof.terms import (
    InvalidInputError,
    OutOfRangeError,
    PathproofError,
    Quantity,
    RemoteProtocolError,
    Technology,
)

CESQ = "+CESQ: 99,99,255,255,20,40"


def edges(reading: Reading) -> dict[Quantity, tuple[float, float | None, float | None]]:
    return {level.quantity: (level.value, level.low, level.high) for level in reading.levels}


# TS 27.007 clause 8.69 with TS 36.133 (restated): rsrq 20 is -10 to -9.5 dB, rsrp 40 is -101 to
# -100 dBm.
def test_an_answer_as_json() -> None:
    assert read(CESQ).as_dict() == {
        "levels": [
            {"quantity": "rsrq_db", "value": -9.75, "low": -10.0, "high": -9.5},
            {"quantity": "rsrp_dbm", "value": -100.5, "low": -101.0, "high": -100.0},
        ],
        "notes": [
            "Not known: rxlev (99), ber (99), rscp (255), ecno (255). "
            "Fields of a technology that is not serving read so."
        ],
    }


# TS 27.007 clause 8.5: code 31 is -51 dBm or greater, code 0 -113 dBm or less.
@pytest.mark.parametrize(
    ("text", "level"),
    [
        ("+CSQ: 31,99", {"value": -51.0, "low": -51.0, "high": None}),
        ("+CSQ: 0,99", {"value": -113.0, "low": None, "high": -113.0}),
    ],
)
def test_an_open_end_is_null_and_the_value_its_closed_edge(
    text: str, level: dict[str, float | None]
) -> None:
    assert read(text).as_dict()["levels"] == [{"quantity": "rssi_dbm", **level}]


def test_raw_text_and_instrument_are_kept() -> None:
    text = f"AT+CESQ\r\n{CESQ}\r\nOK"
    assert read(text).raw == text
    assert read(text).instrument == "module answer +CESQ"


def test_technology_comes_along() -> None:
    assert read("+CESQ: 99,99,40,24,255,255").technology is Technology.UMTS


# Where both commands report the same quantity, the fuller answer is the one to keep.
def test_both_commands_make_one_reading() -> None:
    reading = read("+CSQ: 16,5\nOK\n+CESQ: 30,2,255,255,255,255\nOK")
    assert edges(reading) == {
        Quantity.RXLEV_DBM: (-80.5, -81, -80),  # TS 45.008 clause 8.1.4, code 30
        Quantity.BER_PERCENT: (0.6, 0.4, 0.8),  # TS 45.008 clause 8.2.4, code 2
        Quantity.RSSI_DBM: (-81, -82, -80),  # TS 27.007 clause 8.5, code 16
    }
    assert reading.instrument == "module answer +CESQ and +CSQ"


def test_the_same_command_twice_is_two_readings() -> None:
    with pytest.raises(InvalidInputError, match="2 answers were given"):
        read(f"{CESQ}\n{CESQ}")
    assert len(read_many(f"{CESQ}\n{CESQ}")) == 2


def test_nothing_is_dropped_without_a_word() -> None:
    assert read(f"{CESQ}\nRSRP -60 dBm").notes[-1] == "Not read: 'RSRP -60 dBm'."


# A level written out stands for all that would be printed alike: half its last digit either side.
@pytest.mark.parametrize(
    ("text", "quantity", "level"),
    [
        ("RSRP -97", Quantity.RSRP_DBM, (-97, -97.5, -96.5)),
        ("RSRP -97 dBm", Quantity.RSRP_DBM, (-97, -97.5, -96.5)),
        ("rsrp=-97dBm", Quantity.RSRP_DBM, (-97, -97.5, -96.5)),
        ("rsrp_dbm: -97", Quantity.RSRP_DBM, (-97, -97.5, -96.5)),
        ("RSRP −97,5 dBm", Quantity.RSRP_DBM, (-97.5, -97.55, -97.45)),
        ("RSRP -97.25", Quantity.RSRP_DBM, (-97.25, -97.255, -97.245)),
        ("RSSI: -71 dBm", Quantity.RSSI_DBM, (-71, -71.5, -70.5)),
        ("SS-RSRP -88", Quantity.SS_RSRP_DBM, (-88, -88.5, -87.5)),
        ("ss rsrq -11", Quantity.SS_RSRQ_DB, (-11, -11.5, -10.5)),
        ("Ec/Io -9 dB", Quantity.ECNO_DB, (-9, -9.5, -8.5)),
        ("RSRQ 1 dB", Quantity.RSRQ_DB, (1, 0.5, 1.5)),
        ("SINR 8", Quantity.SINR_DB, (8, 7.5, 8.5)),
    ],
)
def test_a_level_written_out(
    text: str, quantity: Quantity, level: tuple[float, float, float]
) -> None:
    reading = read(text)
    assert edges(reading) == {quantity: level}
    assert reading.notes == ()


@pytest.mark.parametrize(
    "text",
    [
        "rsrp=-97 rsrq=-11 sinr=8",
        "rsrp=-97,rsrq=-11,sinr=8",
        "RSRP: -97 dBm, RSRQ: -11 dB, SINR: 8 dB",
        "RSRP -97 dBm | RSRQ -11 dB | SINR 8 dB",
        "RSRP\n-97 dBm\nRSRQ\n-11 dB\nSINR\n8 dB\n",
    ],
)
def test_several_levels_of_one_look(text: str) -> None:
    assert [(level.quantity, level.value) for level in read(text).levels] == [
        (Quantity.RSRP_DBM, -97),
        (Quantity.RSRQ_DB, -11),
        (Quantity.SINR_DB, 8),
    ]


def test_dbm_without_a_name_is_rssi_and_says_so() -> None:
    reading = read("-97 dBm")
    assert edges(reading) == {Quantity.RSSI_DBM: (-97, -97.5, -96.5)}
    assert "read as RSSI" in reading.notes[0]


def test_a_number_alone_needs_its_quantity() -> None:
    with pytest.raises(InvalidInputError, match="does not say what was measured; allowed are"):
        read("-97")
    named = read("-97", quantity=Quantity.RSRP_DBM)
    assert edges(named) == {Quantity.RSRP_DBM: (-97, -97.5, -96.5)}
    assert named.notes == ()


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "Nothing was given; write a reading as"),
        (" \r\n ", "Nothing was given"),
        ("good", "'good' cannot be read as a level; write it as"),
        ("RSRP", "'RSRP' cannot be read as a level"),
        ("LQI -97 dBm", "'LQI' is not a quantity that is written out; allowed are"),
        ("BER 0.3", "'BER' is not a quantity"),
        ("RSRP -97 dB", "rsrp_dbm was given as '-97 dB'; its unit is dBm"),
        ("RSRQ -11 dBm", "its unit is dB"),
        ("RSRP -97 RSRP -98", "rsrp_dbm is given twice"),
        ("RSRP -97,123", "A number alone"),  # thousands or decimals: cannot tell
        ("RSRP -97 dBm 43 asu", "cannot be read|A number alone"),
        ("RSRP nan", "cannot be read"),
        ("AT+CSQ\r\nOK", "cannot be read as a level"),
        ("x" * (MAX_TEXT + 1), f"a reading has {MAX_TEXT} at most"),
    ],
)
def test_what_is_not_a_reading_is_refused_with_what_to_write(text: str, message: str) -> None:
    with pytest.raises(InvalidInputError, match=message):
        read(text)


def test_a_quantity_that_cannot_be_written_out_is_refused_as_a_default() -> None:
    with pytest.raises(InvalidInputError, match="'ber_percent' is not a quantity"):
        read("3", quantity=Quantity.BER_PERCENT)


# Ranges of the tables: TS 36.133 table 9.1.4-1 (-156 to -44 dBm) and 9.1.7-1 (-34 to 2.5 dB), TS
# 38.133 tables 10.1.6.1-1 (-156 to -31 dBm) and 10.1.16.1-1 (-23 to 40 dB); for RSSI common
# practice, no source.
@pytest.mark.parametrize(
    ("text", "allowed"),
    [
        ("RSRP -20 dBm", r"rsrp_dbm was -20 dBm; TS 36.133 .* covers -156 to -44 dBm"),
        ("RSRP 10 dBm", "-156 to -44 dBm"),
        ("RSRP 97 dBm", "-156 to -44 dBm"),
        ("RSRP -157", "-156 to -44 dBm"),
        ("RSRQ 3", r"TS 36.133 table 9.1.7-1 covers -34 to 2.5 dB"),
        ("SS-RSRP -30", r"TS 38.133 table 10.1.6.1-1 covers -156 to -31 dBm"),
        ("SS-SINR 41", "-23 to 40 dB"),
        ("RSSI -19", r"common practice \(no source\) covers -125 to -20 dBm"),
        ("-130 dBm", "-125 to -20 dBm"),
    ],
)
def test_a_level_no_instrument_can_show_is_refused_with_range_and_source(
    text: str, allowed: str
) -> None:
    with pytest.raises(OutOfRangeError, match=allowed):
        read(text)


def test_the_ends_of_a_range_are_allowed() -> None:
    for quantity, limits in LIMITS.items():
        for value in (limits.low, limits.high):
            assert read(f"{value:g}", quantity=quantity).levels[0].value == value


def test_one_reading_a_line() -> None:
    text = f"AT+CESQ\r\n{CESQ}\r\nOK\r\n\r\nRSRP -97\r\n+CEREG: 5\r\nAT+CSQ +CSQ: 16,99 OK\r\n"
    assert [reading.levels[-1].value for reading in read_many(text)] == [-100.5, -97, -81]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("RSRP -97\nRSRP -20", "^Line 2: rsrp_dbm was -20 dBm"),
        (f"{CESQ}\nOK\n+CSQ: 40,99", "^Line 3: [+]CSQ rssi was 40"),
        ("RSRP -97\nbad", "^Line 2: 'bad' cannot be read"),
        ("AT+CSQ\nERROR", "^Line 2: The module answered 'ERROR'"),
        ("AT+CSQ\nOK\n", "holds no reading"),
        ("\n" * (MAX_LINES + 1), f"{MAX_LINES} are read at once"),
    ],
)
def test_a_bad_line_is_named(text: str, message: str) -> None:
    with pytest.raises(InvalidInputError, match=message):
        read_many(text)


def test_a_wrong_answer_keeps_its_own_error() -> None:
    with pytest.raises(RemoteProtocolError):
        read("+CESQ: 1,2,3")


messy = st.one_of(
    st.text(),
    st.text(alphabet="+CESQ:,0129. -\r\nRSPQdbm="),
    st.lists(
        st.sampled_from(["RSRP", "=", "-97", ",", "dBm", " ", "\n", "+CSQ:", "16", "99", "OK", "."])
    ).map("".join),
)


@given(messy, st.none() | st.sampled_from(Quantity))
def test_any_text_gives_a_reading_or_a_sentence(text: str, quantity: Quantity | None) -> None:
    for reader in (read, read_many):
        readings: tuple[Reading, ...] = ()
        message = "."
        try:
            found = reader(text, quantity=quantity)
            readings = found if isinstance(found, tuple) else (found,)
        except PathproofError as error:
            message = str(error)
        assert message.endswith(".")
        assert all(reading.levels or reading.notes for reading in readings)
