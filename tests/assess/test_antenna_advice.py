"""Findings on antennas, and the words on connectors."""

from typing import Any

import pytest

from pathproof.assess import Finding, assess
from pathproof.assess.antenna_care import CARE, CARE_IN_BRIEF
from pathproof.job import Job
from pathproof.terms import Severity

from ._jobs import NOW, PARTS, device, make_job


def _findings(
    *,
    networks: list[list[str]] | None = None,
    parts: dict[str, Any] | None = None,
    place: str | None = None,
    **fields: Any,
) -> list[Finding]:
    told = [
        {"mcc_mnc": f"001-0{i}", "label": f"N{i}", "technologies": ["lte"], "bands": bands}
        for i, bands in enumerate(networks or [], start=1)
    ]
    data = make_job(devices=[device()], networks=told).model_dump(mode="json")
    data["embedded"]["catalogue"] |= PARTS | {k: PARTS[k] | v for k, v in (parts or {}).items()}
    data["site"]["spots"] = [{"id": "S1", "name": "Wall", "place": place}]
    data["site"]["communicators"] = [{"id": "C1", "part": "lte", "spot": "S1", **fields}]
    return [f for f in assess(Job.model_validate(data), NOW).findings if f.about == "C1"]


def _named(findings: list[Finding], text: str) -> list[Finding]:
    return [f for f in findings if text in f.text]


SOCKET = {"lte": {"antenna_socket": True}}
RUN = {"antenna": "whip", "feeder": {"part": "coax", "length_m": 5.0, "connectors": 2}}


def test_each_communicator_has_one_advice_on_distance() -> None:
    (found,) = _named(_findings(), "People should keep")
    assert found.severity is Severity.ADVICE
    assert "at least 20 cm" in found.text
    assert "maker's papers come first" in found.do


def test_one_that_has_ended_has_none() -> None:
    assert not _named(_findings(state="ended"), "People should keep")


def test_a_feeder_that_eats_what_the_antenna_brings_is_named_band_by_band() -> None:
    # whip 3 dBi, VSWR 2 (0.5115 dB), module 0 dBi, 2 x 0.5 dB of connectors: 1.4885 dB for the
    # feeder. RG-58C class: 111.375 dB/100 m at 1880 MHz (band 3), 63.589 at 862 MHz (band 20), by
    # 1.3195 sqrt(f) + 0.02881 f: 1.34 m and 2.34 m; 5 m lose 5.57 and 3.18 dB
    findings = _findings(networks=[["3", "20"]], parts=SOCKET, **RUN)
    (found,) = _named(findings, "less than the module's own")
    assert found.severity is Severity.ADVICE
    assert (
        "4.1 dB less in band 3 (its gain is spent by 1.3 m); "
        "1.7 dB less in band 20 (its gain is spent by 2.3 m)" in found.text
    )
    assert CARE_IN_BRIEF in found.do


def test_a_feeder_short_enough_is_not() -> None:
    run = {**RUN, "feeder": {"part": "coax", "length_m": 1.0, "connectors": 2}}
    assert not _named(
        _findings(networks=[["3"]], parts=SOCKET, **run), "less than the module's own"
    )


def test_only_bands_in_which_it_loses_are_named() -> None:
    run = {**RUN, "feeder": {"part": "coax", "length_m": 2.0, "connectors": 2}}
    (found,) = _named(_findings(networks=[["3", "20"]], parts=SOCKET, **run), "less than")
    assert "band 3" in found.text
    assert "band 20" not in found.text


def test_an_antenna_no_better_than_the_modules_own_bears_no_feeder() -> None:
    parts = {**SOCKET, "whip": {"gain_dbi": 0.0}}
    (found,) = _named(_findings(parts=parts, **RUN), "less than the module's own")
    assert "in the highest band (at any length)" in found.text


@pytest.mark.parametrize(
    ("networks", "severity"), [([["20", "31"]], Severity.ADVICE), ([["31"]], Severity.FAULT)]
)
def test_bands_that_the_antenna_is_not_made_for_are_named(
    networks: list[list[str]], severity: Severity
) -> None:
    (found,) = _named(_findings(networks=networks, parts=SOCKET, antenna="whip"), "is made for")
    assert found.severity is severity
    assert "698 to 2690 MHz" in found.text
    assert found.text.endswith("reach beyond: 31.")


def test_a_module_without_a_socket_takes_no_antenna() -> None:
    assert _named(_findings(antenna="whip"), "no socket")
    assert not _named(_findings(antenna="whip", parts=SOCKET), "no socket")


@pytest.mark.parametrize(("outdoor", "said"), [(False, True), (True, False)])
def test_an_antenna_outside_has_to_be_made_for_it(outdoor: bool, said: bool) -> None:
    parts = {**SOCKET, "whip": {"outdoor": outdoor}}
    found = _findings(place="outside", parts=parts, antenna="whip")
    assert bool(_named(found, "hang outside")) is said


def test_care_says_what_matters() -> None:
    said = " ".join(CARE)
    for word in (
        "clean", "dry", "torque", "gender", "adapters", "self-amalgamating", "loop", "bends", "Cap",
    ):  # fmt: skip
        assert word in said
