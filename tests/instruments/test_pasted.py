"""What somebody pasted into a form: one look, several, or a watch."""

from datetime import UTC, datetime, timedelta

import pytest

from pathproof.instruments import heard_values, read_pasted, reading_drafts
from pathproof.job import Scale
from pathproof.terms import InvalidInputError, OutOfRangeError, Technology

NOW = datetime(2026, 3, 4, 12, 0, tzinfo=UTC)
CESQ = "AT+CESQ\r\n+CESQ: 99,99,255,255,20,40\r\nOK"
SCALE = Scale.model_validate(
    {
        "quantity": "rssi_dbm",
        "tied": True,
        "steps": [{"name": "1", "high": -100.0}, {"name": "2", "low": -100.0}],
        "source": {"ref": "made up", "evidence": "practice"},
    }
)


def drafts(text, **kwargs):
    logs = read_pasted(text, now=NOW, zone=UTC, **kwargs)
    return reading_drafts(
        logs, {"network": "001-01"}, about=["main"], by="A. Fitter", conditions={}
    )


def test_a_module_answer_is_one_look_of_this_moment() -> None:
    (draft,) = drafts(CESQ)
    # TS 27.007, 8.69: <rsrp> 40 is -101 dBm <= rsrp < -100 dBm, <rsrq> 20 is -10 <= rsrq < -9.5 dB.
    levels = {x["quantity"]: (x["low"], x["high"]) for x in draft.values["levels"]}
    assert levels == {"rsrp_dbm": (-101.0, -100.0), "rsrq_db": (-10.0, -9.5)}
    assert (draft.at, draft.raw, draft.values["network"]) == (NOW, CESQ, "001-01")


def test_several_levels_of_one_quantity_are_looks_of_their_own() -> None:
    found = drafts("RSRP -97 dBm\nRSRP -99 dBm")
    assert [d.values["levels"][0]["value"] for d in found] == [-97.0, -99.0]
    assert [d.raw for d in found] == ["RSRP -97 dBm", "RSRP -99 dBm"]


def test_lines_with_times_are_one_watch() -> None:
    text = "10:15:00 RSRP -97\n10:15:10 RSRP -98\n10:15:20 RSRP -96"
    (draft,) = drafts(text)
    assert draft.at == datetime(2026, 3, 4, 10, 15, tzinfo=UTC)
    assert [s["after_s"] for s in draft.values["series"]] == [10.0, 20.0]
    assert draft.raw == text


def test_a_watch_over_midnight_began_the_day_before() -> None:
    (draft,) = drafts("23:59:50 RSRP -97\n00:00:00 RSRP -98")
    assert draft.at == datetime(2026, 3, 3, 23, 59, 50, tzinfo=UTC)


def test_a_watch_without_times_ended_now_unless_its_start_is_told() -> None:
    pace = {"every": timedelta(seconds=30)}
    (ended_now,) = drafts("RSRP -97\nRSRP -98\nRSRP -96", **pace)
    assert ended_now.at == NOW - timedelta(seconds=60)
    start = datetime(2026, 3, 4, 9, 0, tzinfo=UTC)
    assert drafts("RSRP -97\nRSRP -98", **pace, told=start)[0].at == start


def test_what_is_still_to_come_is_refused() -> None:
    with pytest.raises(InvalidInputError, match="still to come"):
        drafts("13:15:00 RSRP -97", told=NOW)


def test_a_watch_in_which_the_module_changes_is_two_entries() -> None:
    # TS 27.007, 8.69: <rscp> speaks of UMTS, <rsrp> of LTE (255 is not known).
    text = "10:15:00 +CESQ: 99,99,60,30,255,255\n10:15:10 +CESQ: 99,99,255,255,20,40"
    assert [d.values.get("technology") for d in drafts(text)] == [Technology.UMTS, None]


def test_steps_of_a_scale_are_read_by_it() -> None:
    (draft,) = drafts("2", scale=SCALE)
    assert draft.values["levels"][0]["low"] == -100.0


@pytest.mark.parametrize("text", ["", "hello", "RSRP -97\nhello"])
def test_what_is_no_reading_is_refused(text) -> None:
    with pytest.raises(InvalidInputError):
        drafts(text)


def test_a_device_heard_in_steps_or_in_levels() -> None:
    assert heard_values("1, 2\n2", SCALE) == {"steps": ["1", "2", "2"]}
    levels = heard_values("-87 dBm; \N{MINUS SIGN}88", None)["levels"]
    assert [(x["quantity"], x["value"]) for x in levels] == [("rssi_dbm", -87), ("rssi_dbm", -88)]


@pytest.mark.parametrize("text", ["", " , ", "strong", "3"])
def test_what_is_neither_step_nor_level_is_refused(text) -> None:
    with pytest.raises((InvalidInputError, OutOfRangeError)):
        heard_values(text, SCALE)
