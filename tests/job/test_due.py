"""What is due at the centre, and what counts as received right."""

import pytest

from pathproof.job import Job
from pathproof.job.due import Due, code_key, due_at_centre, wrong_at_centre
from pathproof.job.record import EventValues
from pathproof.terms import EventMeans, SignalKind


def received(**values: object) -> EventValues:
    return EventValues.model_validate(
        {"signal": SignalKind.ALARM, "means": EventMeans.LIST, **values}
    )


# Restore of the worked example of ANSI/SIA DC-05-1999.09, as restated in public: the perimeter
# alarm is 1131 and its restore 3131. The letters E and R are common practice, no source.
@pytest.mark.parametrize("code", ["131", "1131", "E131", "e131", " 131 "])
def test_one_event_in_every_way_of_writing(code: str) -> None:
    assert code_key(code) == code_key("1131")


@pytest.mark.parametrize("code", ["3131", "R131", "6131", "132", "BA", "131 ?", "2131", "11131"])
def test_a_restore_or_another_code_is_not_the_event(code: str) -> None:
    assert code_key(code) != code_key("1131")


def test_two_letter_codes_go_by_their_letters() -> None:
    assert code_key("ba") == code_key("BA") != code_key("BH")


def test_an_alarm_is_due_with_its_zones_code_and_the_rest_with_the_sites(sample: Job) -> None:
    device = next(d for d in sample.site.devices if d.zone is not None)
    zone = next(z for z in sample.site.zones if z.id == device.zone)
    partition = next(p for p in sample.site.partitions if p.id == zone.partition)

    alarm = due_at_centre(sample.site, device.id, SignalKind.ALARM)
    tamper = due_at_centre(sample.site, device.id, SignalKind.TAMPER)
    mains = due_at_centre(sample.site, "panel", SignalKind.MAINS_FAIL)

    assert alarm == Due(code=zone.event, zone=zone.number, partition=partition.number)
    assert (tamper.code, tamper.zone) == ("E144", zone.number)  # as the sample file says
    assert mains == Due(code="E301", zone=None, partition=None)


def test_what_is_wrong_is_said_and_what_is_unknown_is_not_wrong() -> None:
    due = Due(code="131", zone=3, partition=1)

    assert wrong_at_centre(received(code="E131", zone=3, partition=1), due) == []
    assert wrong_at_centre(received(), due) == []
    assert wrong_at_centre(received(code="R131", zone=7, partition=2), due) == [
        "code R131 where 131 was due",
        "zone 7 where 3 was due",
        "partition 2 where 1 was due",
    ]
    assert wrong_at_centre(received(zone=7), Due(code=None, zone=None, partition=None)) == []
