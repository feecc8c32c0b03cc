"""The sum of antenna and feeder on paper: in which band it is, and what it comes to.

By hand for 5 m of RG-58C class cable with 1.3195 root of f and 0.02881 f dB in 100 m (f in MHz,
factors of the catalogue), two pairs at 0.5 dB, 2 dBi, and 0.5115 dB at a standing wave ratio of 2.
"""

import pytest

from pathproof.job import Job
from pathproof.papers import build

from ._jobs import Judge, mobile_job

PARTS = {
    "antenna": "whip_antenna",
    "feeder": {"part": "coax_rg58c", "length_m": 5.0, "connectors": 2},
}


def _by_hand_db(f_mhz: float) -> float:
    return 2.0 - (1.3195 * f_mhz**0.5 + 0.02881 * f_mhz) * 0.05 - 1.0 - 0.5115


@pytest.mark.parametrize(
    ("spot", "network", "f_mhz", "said"),
    [
        ("hall", "001-01", 862.0, "Band 20 was read of the network that decides."),
        ("loft", "001-01", 1880.0, "Band 3 is the highest in use that the antenna is made for."),
        ("hall", "001-02", 1880.0, "Band 3 is the highest in use that the antenna is made for."),
    ],
)
def test_the_sum_is_in_the_band_that_was_read_and_decides(
    spot: str, network: str, f_mhz: float, said: str, judge: Judge
) -> None:
    job = mobile_job(read=[(spot, network, -95.0)], **PARTS)  # read in band 20, of 3 and 20
    _check(job, judge, f_mhz, said)


def test_a_module_without_a_spot_has_the_band_that_it_read(judge: Judge) -> None:
    job = mobile_job(read=[("main", "001-01", -95.0)], spot=None, **PARTS)
    assert judge(job).link("mobile:main").band == "20"
    _check(job, judge, 862.0, "Band 20 was read of the network that decides.")


def _check(job: Job, judge: Judge, f_mhz: float, said: str) -> None:
    paper = build(job, judge(job), for_customer=False)
    assert paper.centre is not None
    (row,) = paper.centre.antennas.rows
    total = next(x for x in row.sum if x.label.startswith("Antenna and feeder at"))
    assert total.label == f"Antenna and feeder at {f_mhz:g} MHz"
    assert float((total.whole + total.fraction).replace("\N{MINUS SIGN}", "-")) == pytest.approx(
        _by_hand_db(f_mhz), abs=0.006
    )
    assert any(text.startswith(said) for text in row.further)
