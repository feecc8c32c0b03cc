"""Pasted +CSQ and +CESQ answers: every way they come in, and what is refused."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from pathproof.protocol.modem import (
    CESQ_FIELDS,
    CESQ_FIELDS_NR,
    CSQ_FIELDS,
    MAX_TEXT,
    SignalAnswer,
    other_lines,
    parse_signal_answers,
)
from pathproof.terms import Quantity, RemoteProtocolError, Technology

CESQ = "+CESQ: 99,99,255,255,20,40"


def only(text: str) -> SignalAnswer:
    (answer,) = parse_signal_answers(text)
    return answer


@pytest.mark.parametrize(
    "text",
    [
        CESQ,
        "+CESQ:99,99,255,255,20,40",
        "+cesq: 99,99,255,255,20,40",
        "+CESQ :  99 , 99, 255,255, 20,40  ",
        "CESQ: 99,99,255,255,20,40",
        f"{CESQ}\r\n\r\nOK\r\n",
        f"AT+CESQ\r\r\n{CESQ}\r\n\r\nOK\r\n",  # echo, CR CR LF
        f"at+cesq\n{CESQ}\nok\n",
        f"T+CESQ\r{CESQ}\rOK\r",  # half an echo, CR only
        f"AT+CESQ {CESQ} OK",  # all on one line
        f"AT+CESQ{CESQ}",
        f"\x00\xff\xff\r\nAT\r\nOK\r\n{CESQ}\r\nOK",  # bytes from power-up
        f"AT+CESQ\r\n+CEREG: 5\r\n{CESQ}\r\nOK",  # unsolicited line in between
        "+CESQ: 099,99,255,255,020,0040",
    ],
)
def test_the_same_answer_however_it_comes(text: str) -> None:
    answer = only(text)
    assert answer.command == "+CESQ"
    assert answer.codes == (99, 99, 255, 255, 20, 40)
    assert [level.quantity for level in answer.levels] == [Quantity.RSRQ_DB, Quantity.RSRP_DBM]


def test_two_commands_give_two_answers_in_order() -> None:
    answers = parse_signal_answers(f"AT+CSQ\r\n+CSQ: 16,99\r\nOK\r\nAT+CESQ\r\n{CESQ}\r\nOK\r\n")
    assert [answer.command for answer in answers] == ["+CSQ", "+CESQ"]


@pytest.mark.parametrize("text", ["", "AT+CSQ\r\nOK", "RSRP -97 dBm", "XCSQ: 1,2", "+CEREG: 0,1"])
def test_no_answer_gives_none(text: str) -> None:
    assert parse_signal_answers(text) == ()


def test_lines_that_are_not_expected_are_told() -> None:
    text = f"RDY\r\nAT+CESQ\r\n\r\n+CEREG: 1\r\n{CESQ}\r\nOK\r\nRSRP -9\r\n"
    assert other_lines(text) == ("RDY", "RSRP -9")


def test_what_stands_before_an_answer_on_its_line_is_told_unless_it_is_the_echo() -> None:
    assert other_lines(f"RSRP -9 {CESQ}\nAT+CESQ {CESQ} OK\nAT+CESQ{CESQ}") == ("RSRP -9",)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("+CESQ: 99,99,255,255,20", r"had 5 fields, '99,.*' *; .* has 6 \(rxlev, .* or 9 \("),
        ("+CESQ: 99,99,255,255,20,40,255", "had 7 fields"),
        ("+CESQ:", "had 1 fields"),
        ("+CSQ: 16", r"had 1 fields, '16'; TS 27.007 clause 8.5 has 2 \(rssi, ber\)"),
        ("+CSQ: (0-31,99),(0-7,99)", "without '=[?]'"),
        ("+CSQ: x,99", "rssi was 'x', not a whole number; .* allows 0 to 31 or 99"),
        ("+CSQ: 16,", "ber was '', not a whole number"),
        ("+CSQ: 1.5,99", "not a whole number"),
        ("+CSQ: ١٦,99", "not a whole number"),
        ("+CSQ: 32,99", "rssi was 32; .* allows 0 to 31 or 99"),
        ("+CSQ: -1,99", "rssi was -1"),
        ("+CSQ: 16,8", "ber was 8; .* allows 0 to 7 or 99"),
        ("+CESQ: 99,99,255,255,35,40", "rsrq was 35; .* allows 0 to 34 or 255"),
        ("+CESQ: 99,99,255,255,20,98", "rsrp was 98"),
        ("+CESQ: 64,99,255,255,255,255", "rxlev was 64"),
        ("+CESQ: 255,99,255,255,255,255", "rxlev was 255"),
        ("AT+CESQ\r\nERROR", "answered 'ERROR', which holds no level"),
        (
            "AT+CSQ\r\n+CME ERROR: 10\r\n",
            "answered '[+]CME ERROR: 10': SIM not inserted [(]no card",
        ),
        ("+CME ERROR: SIM PIN required", "SIM PIN required [(]the card asks for its PIN"),
        ("+CME ERROR: sim busy", "'[+]CME ERROR: sim busy': SIM busy"),
        ("+CME ERROR: 30", "no network service [(]not registered"),
        ("+CME ERROR: 999", "'[+]CME ERROR: 999', which holds no level"),
        ("+CMS ERROR: 10", "'[+]CMS ERROR: 10', which holds no level"),
        ("x" * (MAX_TEXT + 1), f"{MAX_TEXT} are read at once"),
    ],
)
def test_a_wrong_answer_is_refused_with_what_is_allowed(text: str, message: str) -> None:
    with pytest.raises(RemoteProtocolError, match=message):
        parse_signal_answers(text)


def test_unknown_rssi_gives_no_level_and_says_what_to_do() -> None:
    answer = only("+CSQ: 99,99")
    assert answer.levels == ()
    assert answer.notes[0] == (
        "rssi not known (99): LTE-M and NB-IoT modules commonly answer so; read +CESQ."
    )
    assert "poor" not in " ".join(answer.notes)


def test_fields_of_other_technologies_give_one_note() -> None:
    (note,) = only(CESQ).notes
    assert note.startswith("Not known: rxlev (99), ber (99), rscp (255), ecno (255).")


def test_no_field_known_means_nothing_measured() -> None:
    answer = only("+CESQ: 99,99,255,255,255,255")
    assert answer.levels == ()
    assert "searches" in answer.notes[0]


def test_all_known_gives_no_note() -> None:
    assert only("+CSQ: 16,0").notes == ()


def test_nine_fields_are_read_and_said_to_be_from_memory() -> None:
    answer = only("+CESQ: 99,99,255,255,255,255,65,75,76")
    assert [(level.quantity, level.low, level.high) for level in answer.levels] == [
        (Quantity.SS_RSRQ_DB, -11, -10.5),  # TS 38.133 table 10.1.11.1-1, code 65
        (Quantity.SS_RSRP_DBM, -82, -81),  # TS 38.133 table 10.1.6.1-1, code 75
        (Quantity.SS_SINR_DB, 14.5, 15),  # TS 38.133 table 10.1.16.1-1, code 76
    ]
    assert "ss_rsrq, ss_rsrp, ss_sinr" in answer.notes[-1]
    assert "from memory: check your copy" in answer.notes[-1]


@pytest.mark.parametrize(
    ("text", "technology"),
    [
        ("+CESQ: 30,0,255,255,255,255", Technology.GSM),
        ("+CESQ: 99,99,40,24,255,255", Technology.UMTS),
        ("+CESQ: 99,99,255,255,255,255,65,75,76", Technology.NR),
        (CESQ, None),  # LTE, LTE-M and NB-IoT fill the same fields
        ("+CESQ: 99,99,255,255,20,40,65,75,76", None),
        ("+CSQ: 16,99", None),
    ],
)
def test_technology_is_said_where_the_fields_leave_no_choice(
    text: str, technology: Technology | None
) -> None:
    assert only(text).technology is technology


@st.composite
def valid_answers(draw: st.DrawFn) -> tuple[str, tuple[int, ...]]:
    command, tables = draw(
        st.sampled_from([("+CSQ", CSQ_FIELDS), ("+CESQ", CESQ_FIELDS), ("+CESQ", CESQ_FIELDS_NR)])
    )
    codes = [
        draw(st.sampled_from([*table.bins, *([] if table.unknown is None else [table.unknown])]))
        for table in tables
    ]
    return f"{command}: {','.join(map(str, codes))}", tuple(codes)


@given(valid_answers())
def test_every_valid_answer_gives_its_codes_and_a_level_for_each_known_one(
    drawn: tuple[str, tuple[int, ...]],
) -> None:
    text, codes = drawn
    answer = only(text)
    assert answer.codes == codes
    tables = {2: CSQ_FIELDS, 6: CESQ_FIELDS, 9: CESQ_FIELDS_NR}[len(codes)]
    unknown = [code == table.unknown for table, code in zip(tables, codes, strict=True)]
    assert len(answer.levels) == unknown.count(False)
    assert bool(answer.notes) >= any(unknown)


@given(st.one_of(st.text(), st.text(alphabet="+CESQ:,0129 \r\nATOKR")))
@example("+CSQ: 999999999999999999999,99")
def test_any_text_raises_only_what_is_promised(text: str) -> None:
    message = "."
    try:
        parse_signal_answers(text)
        other_lines(text)
    except RemoteProtocolError as error:
        message = str(error)
    assert message.endswith(".")
