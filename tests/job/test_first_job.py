"""The job that docs/first_job.md asks people to copy can be read and judged."""

import re
from datetime import datetime
from pathlib import Path

import pytest

from pathproof import instruments
from pathproof.assess import assess
from pathproof.assess.choosing import choose
from pathproof.job import Entry, links, parse_job, shipped
from pathproof.job.considering import considering
from pathproof.job.fingerprint import Fingerprints
from pathproof.terms import LinkKind, Technology, Word

PAGE = Path(__file__).parents[2] / "docs" / "first_job.md"


def test_example_is_judged_as_the_page_says() -> None:
    found = re.search(r"```json\n(.*?)```", PAGE.read_text("utf-8"), re.DOTALL)
    assert found is not None
    job = parse_job(found[1], name=PAGE.name)
    assessment = assess(job, as_of=datetime.fromisoformat("2026-10-01T12:00:00+02:00"))
    radio = {x.start: x.word for x in assessment.links if x.kind is LinkKind.RADIO}
    assert radio == {
        "front_door": Word.PREDICTED,
        "shop_motion": Word.PREDICTED,
        "store_motion": Word.LACKING,
    }
    # By hand, IEC 60228 class 5: 10.5 V - 2 x 12 m x 0.039 ohm/m x 0.35 A = 10.1724 V; 10 needed.
    supply = assessment.link("supply")
    assert supply.margin is not None
    assert (supply.word, supply.margin.value) == (Word.PREDICTED, pytest.approx(0.1724))
    assert assessment.link("standby").word is Word.PREDICTED


def test_a_communicator_can_be_chosen_for_it_as_the_page_says() -> None:
    text = PAGE.read_text("utf-8")
    found = re.search(r"```json\n(.*?)```", text, re.DOTALL)
    assert found is not None
    job = considering(parse_job(found[1], name=PAGE.name), shipped())
    read = re.findall(
        r"reading '(.*?)' .*?--network (\S+) --technology lte --band (\d+)", text, re.S
    )
    assert len(read) == len(job.site.networks)
    at = datetime.fromisoformat("2026-11-25T12:00:00+01:00")
    prints = Fingerprints(job)
    record: list[Entry] = [
        instruments.entry(
            instruments.read(raw),
            entry_id=f"r{n}",
            about=["in_panel"],
            at=at,
            by="A. Person",
            network=network,
            technology=Technology.LTE,
            band=band,
            fits={links.spot("in_panel"): prints.of(links.spot("in_panel"))},
        )
        for n, (raw, network, band) in enumerate(read)
    ]
    ranked = choose(job.model_copy(update={"record": record}), at).ranked
    # RSRP codes 49 and 45 are -92 to -91 and -96 to -95 dBm (3GPP TS 36.133, table 9.1.4-1); the
    # part's own antenna has -2 dBi, LTE needs -115 dBm and 10 dB against fading.
    by_network = {r.offer.networks: r.margin_db for r in ranked}
    assert by_network["001-01",] == pytest.approx(-91.5 - 2.0 + 105.0)
    assert by_network["999-70",] == pytest.approx(-95.5 - 2.0 + 105.0)
