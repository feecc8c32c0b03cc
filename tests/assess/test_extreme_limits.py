"""An assessment stands whatever a profile may ask."""

import pytest

from pathproof.assess import assess
from pathproof.job import Job, Profile
from pathproof.simulate import AS_OF, demo_job
from pathproof.terms import LimitName

JOB = demo_job()
LINKS = [x.id for x in assess(JOB, AS_OF).links]

EXTREMES = {
    "db": (0.0, 100.0),
    "dbm": (-200.0, 0.0),
    "days": (1.0, 36_500.0),
    "h": (0.0, 8_784.0),
    "min": (0.0, 527_040.0),
    "minutes": (0.0, 527_040.0),
    "s": (0.0, 31_622_400.0),
    "v": (0.0, 100.0),
    "messages": (1.0, 1000.0),
    "readings": (1.0, 1000.0),
    "roaming": (1.0, 1000.0),
    "paths": (1.0, 2.0),
    "day": (0.0, 100_000.0),
}
OF_ITS_OWN = {
    LimitName.RADIO_ODDS_RATIO: (1e-12, 1.0 - 1e-12),
    LimitName.MOBILE_CERTAINTY_RATIO: (0.5 + 1e-12, 1.0 - 1e-12),
    LimitName.STANDBY_MARGIN_RATIO: (1.0, 10.0),
    LimitName.AGEING_RATIO: (0.1, 1.0),
    LimitName.LTE_WARN_RSRQ_DB: (-50.0, 50.0),
}


def asking(name: LimitName, value: float) -> Job:
    profile = JOB.profile
    limits = {**profile.limits, name: profile.limits[name].model_copy(update={"value": value})}
    asked = Profile.model_validate({**dict(profile), "limits": limits})
    embedded = JOB.embedded.model_copy(update={"profile": asked})
    return JOB.model_copy(update={"embedded": embedded})


@pytest.mark.parametrize("name", LimitName)
def test_the_least_and_the_most_that_is_allowed(name: LimitName) -> None:
    for value in OF_ITS_OWN.get(name) or EXTREMES[name.rpartition("_")[2]]:
        assert [x.id for x in assess(asking(name, value), AS_OF).links] == LINKS
