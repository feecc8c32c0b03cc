"""What outlives the service life: hand-made tables, with every date worked out by eye."""

from datetime import UTC, date, datetime
from typing import Any

import pytest

from pathproof.assess import Finding, Link, assess
from pathproof.assess.mobile_levels import allowed_networks
from pathproof.assess.retirements import (
    Fate,
    Outlook,
    outlooks,
    site_exposed_from,
    years_after,
)
from pathproof.job import Job
from pathproof.terms import Severity, Word

from ._jobs import NOW, PARTS, SOURCE, entry, make_job

MEMORY = {"ref": "Somebody said", "evidence": "memory"}
# NOW is 2026-11-25 and the service life 10 years, so everything serves until 2036-11-25.
NETWORKS = [
    {"mcc_mnc": "001-01", "label": "Near", "technologies": ["lte", "gsm"]},
    {"mcc_mnc": "001-02", "label": "Far", "technologies": ["gsm"]},
    {"mcc_mnc": "999-70", "label": "Own", "technologies": []},
]
LASTS = {"part": "both", "ends_from": "2040-01-01"}
GSM_ONLY = {"kind": "fixed", "networks": ["001-02"]}


def ends(network: str, technology: str, **fields: Any) -> dict[str, Any]:
    return {"network": network, "technology": technology, **fields}


def job_with(*rows: dict[str, Any], lasting: bool = True, **communicator: Any) -> Job:
    """A job with one communicator for LTE and GSM; its service lasts unless told otherwise."""
    table = [*rows, *([LASTS] if lasting else [])]
    module = {
        "id": "C",
        "part": "both",
        "sim": {"kind": "roaming", "networks": ["001-01"]},
        **communicator,
    }
    both = {**PARTS["lte"], "id": "both", "technologies": ["lte", "gsm"]}
    data = make_job(networks=NETWORKS).model_dump(mode="json")
    data["site"]["communicators"] = [module]
    data["embedded"]["catalogue"] |= {"both": both, "gsm": PARTS["gsm"]}
    data["embedded"]["retirements"] = [{"source": SOURCE, **row} for row in table]
    return Job.model_validate(data)


def outlook(*rows: dict[str, Any], as_of: datetime = NOW, **fields: Any) -> Outlook:
    (only,) = outlooks(job_with(*rows, **fields), as_of)
    return only


def fates(found: Outlook) -> dict[str, Fate]:
    return {p.name: p.fate for p in found.networks}


def test_a_network_of_which_nothing_is_known_is_not_taken_to_last() -> None:
    found = outlook()
    assert fates(found) == {"001-01 LTE": Fate.UNKNOWN, "001-01 GSM": Fate.UNKNOWN}
    assert found.fate is Fate.UNKNOWN
    assert found.exposed_from == date(2040, 1, 1)  # by its service alone
    assert found.why == "nothing certain is known of: 001-01 LTE, 001-01 GSM"
    assert "nothing is known of its end" in found.networks[0].why


def test_the_last_network_decides() -> None:
    found = outlook(
        ends("001-01", "gsm", ends_on="2028-06-30"), ends("001-01", "lte", ends_on="2034-01-01")
    )
    assert found.fate is Fate.ENDS
    assert found.exposed_from == date(2034, 1, 1)
    assert found.why == "its last network counts as gone from 2034-01-01"
    assert [(s.on, s.ended, s.left) for s in found.steps] == [
        (date(2028, 6, 30), ("001-01 GSM",), ("001-01 LTE",)),
        (date(2034, 1, 1), ("001-01 LTE",), ()),
        (date(2040, 1, 1), ("service of both",), ()),
    ]


def test_one_that_may_last_keeps_the_communicator_from_being_exposed() -> None:
    found = outlook(ends("001-01", "gsm", ends_on="2028-06-30"))
    assert found.fate is Fate.UNKNOWN
    assert found.steps[0].left == ("001-01 LTE",)


def test_outlives_only_with_a_date_after_the_service_life() -> None:
    found = outlook(ends("001-01", "lte", ends_from="2037-01-01"))
    assert fates(found)["001-01 LTE"] is Fate.OUTLIVES
    assert found.fate is Fate.OUTLIVES
    assert found.why == "known to outlive the service life: 001-01 LTE, service of both"
    assert outlook(ends("001-01", "lte", ends_from="2036-11-25")).fate is not Fate.OUTLIVES
    assert outlook(ends("001-01", "lte", ends_from="2036-11-26")).fate is Fate.OUTLIVES


@pytest.mark.parametrize(
    "row",
    [
        ends("001-01", "lte", ends_on="2037-01-01", source=MEMORY),
        ends("001-01", "lte", ends_by="2037-01-01"),
        ends("001-01", "lte", announced=True),
    ],
    ids=["from memory", "at the latest", "announced"],
)
def test_what_is_not_certain_outlives_nothing(row: dict[str, Any]) -> None:
    assert outlook(row).fate is Fate.UNKNOWN


@pytest.mark.parametrize(
    ("dates", "fate", "counts_from"),
    [
        ({"ends_on": "2026-11-25", "done": True}, Fate.GONE, "2026-11-25"),
        ({"ends_on": "2026-11-26", "done": True}, Fate.ENDS, "2026-11-26"),
        ({"ends_on": "2026-11-25"}, Fate.ENDING, "2026-11-25"),
        ({"ends_on": "2026-11-26"}, Fate.ENDS, "2026-11-26"),
        ({"ends_from": "2026-01-01", "ends_by": "2026-12-31"}, Fate.ENDING, "2026-01-01"),
        ({"ends_from": "2025-01-01", "ends_by": "2025-12-31"}, Fate.ENDING, "2025-01-01"),
        ({"ends_from": "2035-01-01", "ends_by": "2044-12-31"}, Fate.ENDS, "2035-01-01"),
        ({"ends_from": "2026-01-01"}, Fate.ENDING, "2026-01-01"),
        ({"ends_by": "2033-12-31"}, Fate.ENDS, "2033-12-31"),
        ({"ends_by": "2022-02-28", "done": True}, Fate.GONE, "2022-02-28"),
    ],
)
def test_ranges_count_from_their_early_end(
    dates: dict[str, str], fate: Fate, counts_from: str
) -> None:
    found = outlook(ends("001-01", "lte", **dates)).networks[0]
    assert (found.fate, str(found.counts_from)) == (fate, counts_from)


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ({"ends_on": "2025-12-31", "done": True}, "ended on 2025-12-31"),
        ({"ends_by": "2025-12-31"}, "was to end by 2025-12-31 at the latest; ask"),
        ({"ends_from": "2025-01-01", "ends_by": "2025-12-31"}, "was to end in 2025; ask whether"),
        ({"ends_from": "2026-01-01", "ends_by": "2026-12-31"}, "may be gone already, ends in 2026"),
        ({"ends_on": "2030-01-01"}, "ends on 2030-01-01"),
        ({"ends_by": "2040-12-31"}, "may end any day, ends by 2040-12-31"),
    ],
)
def test_only_what_a_source_says_to_be_done_has_ended(row: dict[str, Any], says: str) -> None:
    (read,), (remembered,) = (
        [p.why for p in outlook(ends("001-02", "gsm", **row, **source), sim=GSM_ONLY).networks]
        for source in ({}, {"source": MEMORY})
    )
    assert read.startswith(says)
    assert "memory" not in read
    assert ", but that is from memory" in remembered


def test_as_of_decides_what_is_gone() -> None:
    row = ends("001-02", "gsm", ends_on="2030-06-01", done=True)
    card = {"kind": "fixed", "networks": ["001-02"]}
    for day, fate in (
        (datetime(2019, 1, 1, tzinfo=UTC), Fate.UNKNOWN),  # serves until 2029; its service too
        (datetime(2026, 1, 1, tzinfo=UTC), Fate.ENDS),
        (datetime(2030, 5, 31, tzinfo=UTC), Fate.ENDS),
        (datetime(2030, 6, 1, tzinfo=UTC), Fate.GONE),
    ):
        found = outlook(row, sim=card, lasting=False, as_of=day)
        assert found.fate is fate, day
    assert outlook(row, sim=card, as_of=datetime(2019, 1, 1, tzinfo=UTC)).fate is Fate.OUTLIVES


def test_a_network_s_own_row_goes_before_that_of_its_country() -> None:
    country = ends("001-*", "gsm", ends_by="2033-12-31")
    own = ends("001-02", "gsm", ends_on="2029-01-01")
    found = outlook(country, own, sim={"kind": "roaming", "networks": ["001-01", "001-02"]})
    days = {p.name: str(p.counts_from) for p in found.networks if p.technology == "gsm"}
    assert days == {"001-01 GSM": "2033-12-31", "001-02 GSM": "2029-01-01"}


def test_only_technologies_that_module_and_network_share() -> None:
    card = {"kind": "roaming", "networks": ["001-02", "999-70"]}
    # 999-70 does not say what it offers, so whatever the module can use counts.
    assert list(fates(outlook(sim=card))) == ["001-02 GSM", "999-70 LTE", "999-70 GSM"]


@pytest.mark.parametrize(
    ("sim", "networks", "why"),
    [
        (None, [], "no card (SIM) is chosen"),
        ({"kind": "fixed"}, [], "it is not said which networks"),
        ({"kind": "roaming"}, ["001-01", "001-02", "999-70"], None),
        ({"kind": "fixed", "networks": ["001-02", "001-01"]}, ["001-02"], None),
    ],
)
def test_networks_of_a_card(sim: Any, networks: list[str], why: str | None) -> None:
    job = job_with(sim=sim)
    assert allowed_networks(job.site, job.site.communicators[0]) == networks
    (found,) = outlooks(job, NOW)
    assert found.fate is Fate.UNKNOWN
    assert why is None or found.why.startswith(why)


def test_without_a_technology_in_common_nothing_is_promised() -> None:
    card = {"kind": "fixed", "networks": ["001-01"]}
    job = job_with(ends("001-01", "gsm", ends_from="2050-01-01"), sim=card, part="gsm")
    networks = [{"mcc_mnc": "001-01", "label": "Near", "technologies": ["lte"]}]
    data = job.model_dump(mode="json")
    data["site"]["networks"] = networks
    (found,) = outlooks(Job.model_validate(data), NOW)
    assert (found.fate, found.networks, found.exposed_from) == (Fate.UNKNOWN, (), None)
    assert found.why.startswith("the module has no technology")


LTE_LASTS = ends("001-01", "lte", ends_from="2045-01-01")


def test_a_service_that_ends_cuts_off_whatever_the_networks_do() -> None:
    found = outlook(LTE_LASTS, {"part": "both", "ends_on": "2030-03-01"}, lasting=False)
    assert (found.fate, found.exposed_from) == (Fate.ENDS, date(2030, 3, 1))
    assert found.why == "the service of both counts as gone from 2030-03-01"
    assert found.steps[0].left == ()


def test_the_centre_s_platform_counts_where_its_end_is_known() -> None:
    row = {"centre": "Centre at the Weir", "ends_on": "2031-07-01"}
    found = outlook(LTE_LASTS, row, centre="centre at the weir ")
    assert (found.fate, found.exposed_from) == (Fate.ENDS, date(2031, 7, 1))
    assert outlook(LTE_LASTS, row, centre="Another centre").fate is Fate.OUTLIVES


def test_what_a_part_promises_of_its_platform_counts_unless_a_row_says_otherwise() -> None:
    job = job_with(LTE_LASTS, lasting=False)
    data = job.model_dump(mode="json")
    assert outlooks(job, NOW)[0].fate is Fate.UNKNOWN  # no word of the platform
    data["embedded"]["catalogue"]["both"]["platform_ends"] = "2030-12-31"
    promised = outlooks(Job.model_validate(data), NOW)[0]
    assert (promised.fate, promised.exposed_from) == (Fate.ENDS, date(2030, 12, 31))
    assert promised.why.startswith("the service of both")
    data["embedded"]["retirements"].append({**LASTS, "source": SOURCE})
    assert outlooks(Job.model_validate(data), NOW)[0].fate is Fate.OUTLIVES


def test_an_ended_account_needs_no_network() -> None:
    assert outlooks(job_with(state="ended"), NOW) == ()


def test_a_site_is_exposed_when_its_last_communicator_is() -> None:
    rows = (
        ends("001-01", "lte", ends_on="2030-01-01"),
        ends("001-01", "gsm", ends_on="2028-01-01"),
        ends("001-02", "gsm", ends_on="2032-01-01"),
    )
    data = job_with(*rows).model_dump(mode="json")
    second = {"id": "D", "part": "gsm", "sim": {"kind": "fixed", "networks": ["001-02"]}}
    data["site"]["communicators"].append(second)
    both = outlooks(Job.model_validate(data), NOW)
    assert [o.exposed_from for o in both] == [date(2030, 1, 1), date(2032, 1, 1)]
    assert site_exposed_from(both) == date(2032, 1, 1)
    assert site_exposed_from(()) is None
    data["embedded"]["retirements"].pop(2)
    assert site_exposed_from(outlooks(Job.model_validate(data), NOW)) is None


@pytest.mark.parametrize(
    ("day", "years", "expected"),
    [
        (date(2026, 11, 25), 10.0, date(2036, 11, 25)),
        (date(2028, 2, 29), 1.0, date(2029, 2, 28)),
        (date(2028, 2, 29), 4.0, date(2032, 2, 29)),
        (date(2026, 1, 1), 0.5, date(2026, 7, 3)),  # 182.6 days, so 183
        (date(9990, 1, 1), 50.0, date.max),
    ],
)
def test_years_after(day: date, years: float, expected: date) -> None:
    assert years_after(day, years) == expected


# Findings


def said(*rows: dict[str, Any], as_of: datetime = NOW, **fields: Any) -> list[Finding]:
    found = assess(job_with(*rows, **fields), as_of).findings
    return [f for f in found if f.about == "C" and ("gone" in f.text or "ended" in f.text)]


GSM_GONE = ends("001-02", "gsm", ends_on="2025-12-31", done=True)


def test_a_finding_where_the_last_network_is_gone() -> None:
    (found,) = said(GSM_GONE, sim=GSM_ONLY)
    assert found.severity is Severity.FAULT
    assert "its last network has ended: 001-02 GSM ended on 2025-12-31" in found.text
    assert "Invented for the tests" in found.text
    assert said(GSM_GONE, sim=GSM_ONLY, as_of=datetime(2010, 1, 1, tzinfo=UTC)) == []


def test_a_plan_that_is_past_is_to_be_asked_for() -> None:
    (found,) = said(ends("001-02", "gsm", ends_on="2025-12-31"), sim=GSM_ONLY)
    assert found.severity is Severity.FAULT
    assert "its last network may be gone already" in found.text
    assert "001-02 GSM was to end on 2025-12-31; ask" in found.text
    assert found.do.startswith("Ask the operator")
    assert "Choose a communicator" in found.do


def test_a_finding_where_it_ends_within_the_service_life() -> None:
    (found,) = said(ends("001-02", "gsm", ends_by="2033-12-31"), sim=GSM_ONLY)
    assert found.severity is Severity.FAULT
    assert "is to serve until 2036-11-25" in found.text
    assert "counts as gone from 2033-12-31" in found.text


def test_what_is_from_memory_is_to_be_asked_first() -> None:
    (found,) = said({**GSM_GONE, "source": MEMORY}, sim=GSM_ONLY)
    assert found.severity is Severity.GAP
    assert "(Somebody said, memory)" in found.text
    assert found.do.startswith("Ask the operator")


def test_no_finding_where_a_network_is_left_or_nothing_is_known() -> None:
    assert said(ends("001-01", "gsm", ends_on="2025-12-31")) == []
    assert said(sim=GSM_ONLY) == []


def mobile_link(*rows: dict[str, Any], **fields: Any) -> Link:
    return assess(job_with(*rows, **fields), NOW).link("mobile:C")


def test_a_link_whose_last_network_has_ended_is_lacking() -> None:
    assert mobile_link(sim=GSM_ONLY).word is Word.UNDECIDED
    gone = mobile_link(GSM_GONE, sim=GSM_ONLY)
    assert gone.word is Word.LACKING
    assert "ended on 2025-12-31 (Invented for the tests, practice)" in gone.why
    assert gone.missing.startswith("Choose a communicator and card with a network and a service")
    asked = {**GSM_GONE, "done": False}
    remembered = {**GSM_GONE, "source": MEMORY}
    left = ends("001-01", "gsm", ends_on="2025-12-31", done=True)
    assert mobile_link(asked, sim=GSM_ONLY).word is Word.UNDECIDED
    assert mobile_link(remembered, sim=GSM_ONLY).word is Word.UNDECIDED
    assert mobile_link(left).word is Word.UNDECIDED  # LTE of the same network is left


def test_a_link_whose_service_has_ended_is_lacking_whatever_was_read() -> None:
    row = {"part": "both", "ends_on": "2026-01-31", "done": True}
    gone = mobile_link(row, lasting=False)
    assert gone.word is Word.LACKING
    assert gone.why.startswith("service of both ended on 2026-01-31 (")


def test_what_was_read_of_a_technology_that_has_ended_counts_no_more() -> None:
    level = {"quantity": "rxlev_dbm", "value": -70.0, "low": -70.5, "high": -69.5}
    read = entry(
        "reading",
        {"levels": [level], "network": "001-01", "technology": "gsm"},
        about=["C"],
    )

    def word(*rows: dict[str, Any]) -> Word:
        card = {"kind": "fixed", "networks": ["001-01"]}
        data = job_with(*rows, sim=card).model_dump(mode="json")
        data["record"] = [read]
        return assess(Job.model_validate(data), NOW).link("mobile:C").word

    assert word() is Word.PREDICTED
    assert word(ends("001-01", "gsm", ends_on="2025-12-31", done=True)) is Word.UNDECIDED
