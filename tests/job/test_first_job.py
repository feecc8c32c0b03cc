"""The job that docs/first_job.md asks people to copy can be read and judged."""

import re
from datetime import datetime
from pathlib import Path

from pathproof.assess import assess
from pathproof.job import parse_job
from pathproof.terms import LinkKind, Word

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
