"""The shipped table of retirements, users' own rows on top, and what a job embeds of them."""

import json
import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from pathproof.job import (
    Job,
    Library,
    Retirement,
    Site,
    content_hash,
    dump_job,
    embed,
    parse_job,
    read_job,
    shipped,
    write_job,
)
from pathproof.job.retirement import network_key, network_row
from pathproof.terms import Evidence, JobError, Technology

TABLE = shipped().retirements
SOURCE = {"ref": "Letter", "evidence": "read"}


def row(**fields: Any) -> Retirement:
    return Retirement.model_validate({"source": SOURCE, **fields})


def gsm(network: str = "001-01", **fields: Any) -> Retirement:
    return row(network=network, technology="gsm", **{"ends_on": "2030-01-01", **fields})


# The shipped table


@pytest.mark.parametrize("key", TABLE)
def test_rows_have_a_source_and_days_that_can_be(key: str) -> None:
    found = TABLE[key]
    assert found.source.ref
    assert found.source.evidence in (Evidence.RESTATED, Evidence.MEMORY)
    assert found.note
    assert found.counts_from is not None
    # GSM began in 1991; no row says anything beyond the joint statement's 2033.
    assert date(1992, 1, 1) < found.counts_from < date(2034, 1, 1)
    assert found.network is not None
    if found.source.evidence is Evidence.MEMORY:
        assert found.seen is None
    assert found.done == found.note.startswith("completed")


# Sources as named beside each row; the fact behind it read there.
@pytest.mark.parametrize(
    ("network", "technology", "counts_from", "gone_by", "source"),
    [
        # finished by February 2022; by July 1, 2022; the merged LTE network by June 30, 2022
        ("310-410", "umts", "2022-02-28", "2022-02-28", "FCC consumer guide"),
        ("310-260", "umts", "2022-07-01", "2022-07-01", "FCC consumer guide"),
        ("310-120", "lte", "2022-06-30", "2022-06-30", "FCC consumer guide"),
        # shutdown date extended to 28 October 2024, par. 1.2
        ("505-01", "umts", "2024-10-28", "2024-10-28", "Australian Senate"),
        ("505-02", "umts", "2024-10-28", "2024-10-28", "Australian Senate"),
        # 2G and 3G by 2033 at the latest; one network's 2G by 2030; 3G in 2024 and 2025
        ("234-*", "gsm", "2033-12-31", "2033-12-31", "Joint statement"),
        ("234-30", "gsm", "2030-01-01", "2030-12-31", "CBP-9959"),
        ("234-20", "umts", "2024-01-01", "2024-12-31", "CBP-9959"),
        ("234-10", "umts", "2025-01-01", "2025-12-31", "CBP-9959"),
        # phased switch-off begins in February 2023
        ("234-15", "umts", "2023-02-01", "2024-12-31", "Ofcom"),
    ],
)
def test_rows_that_were_read_say_what_their_sources_say(
    network: str, technology: str, counts_from: str, gone_by: str, source: str
) -> None:
    found = TABLE[network_key(network, Technology(technology))]
    assert (str(found.counts_from), str(found.gone_by)) == (counts_from, gone_by)
    assert source in found.source.ref
    assert found.source.evidence is Evidence.RESTATED
    assert found.seen is not None


def test_networks_stand_only_by_their_code() -> None:
    """Whatever begins with a capital is a country, a body of state, a document or a common word."""
    common = {
        *("An", "Australia", "Australian", "Commons", "FCC", "G", "Government"),
        *("House", "Joint", "June", "Library", "Malay", "Ofcom", "Press"),
        *("Regulator", "Regulatory", "Senate", "UK", "CBP"),
    }
    text = " ".join(f"{r.source.ref} {r.note}" for r in TABLE.values())
    assert set(re.findall(r"\b[A-Z][A-Za-z]*", text)) <= common


def test_a_network_s_own_row_goes_before_that_of_its_country() -> None:
    own, country = (network_row(TABLE, n, Technology.GSM) for n in ("234-30", "234-15"))
    assert own is not None
    assert country is not None
    assert (own.network, country.network) == ("234-30", "234-*")
    assert network_row(TABLE, "001-01", Technology.GSM) is None
    assert network_row(TABLE, "234-30", Technology.NR) is None


# Rows


@pytest.mark.parametrize(
    ("dates", "when"),
    [
        ({"ends_on": "2024-10-28"}, "on 2024-10-28"),
        ({"ends_from": "2030-01-01", "ends_by": "2030-12-31"}, "in 2030"),
        ({"ends_from": "2030-01-01", "ends_by": "2032-12-31"}, "in 2030 to 2032"),
        ({"ends_from": "2024-02-01", "ends_by": "2024-02-29"}, "in 2024-02"),
        ({"ends_from": "2023-02-01", "ends_by": "2024-02-29"}, "between 2023-02-01 and 2024-02-29"),
        ({"ends_by": "2033-12-31"}, "by 2033-12-31 at the latest"),
        ({"ends_from": "2036-12-31"}, "not before 2036-12-31"),
        ({"announced": True}, "at a day not announced yet"),
    ],
)
def test_dates_in_words(dates: dict[str, Any], when: str) -> None:
    assert row(part="x", **dates).when == when


OWN = """
    [[retirement]]
    network = "{network}"
    technology = "{technology}"
    {dates}
    source = {{ ref = "Letter", evidence = "read" }}
"""


def refused(tmp_path: Path, **fields: str) -> str:
    good = {"network": "001-01", "technology": "gsm", "dates": 'ends_on = "2030-01-01"'}
    return refused_text(tmp_path, OWN.format(**{**good, **fields}))


def refused_text(tmp_path: Path, text: str) -> str:
    (tmp_path / "retirements_own.toml").write_text(text, "utf-8")
    with pytest.raises(JobError) as caught:
        Library().with_folder(tmp_path)
    message = str(caught.value)
    assert message.startswith("retirements_own.toml cannot be used:\n  retirement[0]")
    return message


BOTH = 'ends_from = "2030-01-01"\nends_by = "{}"'


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"network": "00101"}, 'network: given "00101"; allowed: a country and network code'),
        ({"network": "001-1*"}, "001-* for all networks of that country code"),
        ({"technology": "3g"}, "technology: given \"3g\"; allowed: 'gsm', 'umts', 'lte'"),
        ({"dates": ""}, "ends_on: give either ends_on, or ends_from and ends_by"),
        ({"dates": 'ends_on = "2030-01-01"\nannounced = true'}, "ends_on: give either"),
        ({"dates": 'ends_on = "2030-01-01"\nends_by = "2031-01-01"'}, "ends_on: give either"),
        (
            {"dates": BOTH.format("2029-12-31")},
            "allowed: a day before ends_by, which is 2029-12-31",
        ),
        ({"dates": BOTH.format("2030-01-01")}, "for a single day give ends_on"),
        ({"dates": 'ends_on = "2030-02-30"'}, "allowed: a date, such as 2026-05-04"),
        ({"dates": 'ends_on = "2030"'}, "allowed: a date, such as 2026-05-04"),
        ({"dates": 'ends_on = "0203-01-01"'}, "allowed: greater than or equal to 1990-01-01"),
        ({"dates": 'ends_on = "2203-01-01"'}, "allowed: less than 2100-01-01"),
        ({"dates": 'ends_on = "2030-01-01"\npart = "x"'}, "give one of network, part and centre"),
        ({"dates": "announced = true\ndone = true"}, "done: needs the day"),
        ({"dates": "ends_from = 2020-01-01\ndone = true"}, "done: needs the day"),
        ({"dates": 'ends_on = "2030-01-01"\nend = 1'}, "end: is not a field of this format"),
    ],
)
def test_a_row_that_cannot_be_used_says_why(
    tmp_path: Path, fields: dict[str, str], says: str
) -> None:
    assert says in refused(tmp_path, **fields)


def test_a_row_has_to_be_about_something_and_have_a_source(tmp_path: Path) -> None:
    about_nothing = '[[retirement]]\nends_on = 2030-01-01\nsource = {ref = "x", evidence = "read"}'
    assert "give one of network, part and centre" in refused_text(tmp_path, about_nothing)
    no_technology = f'{about_nothing}\nnetwork = "001-01"'
    assert "technology: goes with network" in refused_text(tmp_path, no_technology)
    unsourced = '[[retirement]]\npart = "x"\nends_on = 2030-01-01\n'
    assert "source: is missing" in refused_text(tmp_path, unsourced)


def test_a_row_given_twice_in_one_file_is_refused(tmp_path: Path) -> None:
    one = OWN.format(network="001-01", technology="gsm", dates="announced = true")
    (tmp_path / "retirements.toml").write_text(one + one, "utf-8")
    says = r"retirement\[1\]: 'network 001-01 gsm' is already that of retirement\[0\]"
    with pytest.raises(JobError, match=says):
        Library().with_folder(tmp_path)


def test_own_rows_are_added_and_win(tmp_path: Path) -> None:
    own = OWN.format(network="234-30", technology="gsm", dates="ends_on = 2031-05-01")
    own += OWN.format(network="001-01", technology="gsm", dates="announced = true")
    (tmp_path / "retirements_own.toml").write_text(own, "utf-8")
    library = shipped().with_folder(tmp_path)
    assert set(library.retirements) - set(TABLE) == {"network 001-01 gsm"}
    mine = library.retirements["network 234-30 gsm"]
    assert (mine.ends_on, mine.source.ref) == (date(2031, 5, 1), "Letter")


def test_examples_of_the_page_can_be_used(tmp_path: Path) -> None:
    page = (Path(__file__).parents[2] / "docs" / "catalogue.md").read_text("utf-8")
    section = page.partition("\n## Retirements\n")[2]
    (example,) = re.findall(r"```toml\n(.*?)```", section, re.DOTALL)
    (tmp_path / "retirements_mine.toml").write_text(example, "utf-8")
    rows = Library().with_folder(tmp_path).retirements
    assert {(r.network is None, r.part is None, r.centre is None) for r in rows.values()} == {
        (False, True, True),
        (True, False, True),
        (True, True, False),
    }


# What a job embeds


NETWORKS = [{"mcc_mnc": "001-01", "label": "Near", "technologies": ["lte", "gsm"]}]


def site(**fields: Any) -> Site:
    return Site.model_validate({"name": "x", "networks": NETWORKS, **fields})


def library(*rows: Retirement) -> Library:
    return Library(
        parts=shipped().parts,
        profiles=shipped().profiles,
        retirements={r.key: r for r in rows},
    )


def embedded(job: Job, *rows: Retirement) -> list[str]:
    return [r.key for r in embed(job, library(*rows)).embedded.retirements]


def test_a_job_embeds_what_is_about_its_networks_parts_and_centres() -> None:
    module = {"id": "c", "part": "gsm_module", "centre": "Weir"}
    rows = [
        gsm(),
        gsm("001-*"),
        row(network="001-01", technology="nr", announced=True),
        gsm("001-02"),
        gsm("002-*"),
        row(part="gsm_module", announced=True),
        row(part="lte_m_module", announced=True),
        row(centre="WEIR", announced=True),
        row(centre="Dam", announced=True),
    ]
    assert embedded(Job(site=site(communicators=[module])), *rows) == [
        "centre weir",
        "network 001-* gsm",
        "network 001-01 gsm",
        "network 001-01 nr",
        "part gsm_module",
    ]
    assert embedded(Job(site=Site(name="x")), *rows) == []


@pytest.mark.parametrize(
    ("own_seen", "known_seen", "kept"),
    [
        ("2027-01-01", "2026-01-01", True),
        ("2027-01-01", None, True),
        ("2026-01-01", "2027-01-01", False),
        ("2026-01-01", "2026-01-01", False),
        (None, None, False),
    ],
)
def test_a_library_that_knows_better_replaces_a_job_s_own_row(
    own_seen: str | None, known_seen: str | None, kept: bool
) -> None:
    own = gsm(seen=own_seen, ends_on="2028-01-01")
    known = gsm(seen=known_seen, ends_on="2035-01-01")
    job = embed(Job(site=site()), library(own))
    (found,) = embed(job, library(known)).embedded.retirements
    assert found == (own if kept else known)


def test_opened_years_later_without_the_library_it_was_made_with() -> None:
    job = embed(Job(site=site()), library(gsm(), gsm("001-*", ends_on="2033-01-01")))
    again = parse_job(dump_job(job), Library())
    assert again == job
    assert len(again.embedded.retirements) == 2


def test_a_table_that_learned_something_is_no_change_from_outside(tmp_path: Path) -> None:
    path = tmp_path / "job.json"
    write_job(path, Job(site=site()), library())
    job = read_job(path, library(gsm()))
    assert not job.changed_outside
    assert [r.key for r in job.embedded.retirements] == ["network 001-01 gsm"]
    saved = write_job(path, job, library(gsm()))
    assert saved.revision == job.revision + 1
    assert content_hash(read_job(path, Library())) == saved.hash


def test_a_job_without_retirements_keeps_its_bytes(sample: Job) -> None:
    assert "retirements" not in json.loads(dump_job(sample))["embedded"]


def test_a_row_embedded_twice_is_refused() -> None:
    data = json.loads(dump_job(embed(Job(site=site()), library(gsm()))))
    data["embedded"]["retirements"] *= 2
    with pytest.raises(JobError) as caught:
        parse_job(json.dumps(data), Library())
    assert "  embedded.retirements[1]: 'network 001-01 gsm' is already that of" in str(caught.value)
