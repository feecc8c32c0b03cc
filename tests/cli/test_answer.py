"""The answer in the terminal."""

from dataclasses import replace

import pytest

from pathproof.assess import assess
from pathproof.cli._answer import show_answer
from pathproof.cli._screen import Screen
from pathproof.simulate import AS_OF, demo_job


@pytest.mark.parametrize("odds", [0.9951, 0.99999, 1.0])
def test_nothing_is_certain(odds: float, capsys: pytest.CaptureFixture[str]) -> None:
    answer = assess(demo_job(), AS_OF)
    sure = replace(answer.summary, odds_all=odds, odds_target=0.999)
    show_answer(Screen(), replace(answer, summary=sure))
    shown = " ".join(capsys.readouterr().out.split())
    assert (
        "Odds more than 99 in 100 that all of them work; the target for each one is 99.9" in shown
    )
