"""Cautions on antennas: what a person who works at one has to read."""

from pathproof.papers.cautions import cautions

from ._jobs import mobile_job


def _text(heading: str) -> str:
    (found,) = [c.text for c in cautions(mobile_job()) if c.heading == heading]
    return found


def test_the_module_is_off_while_somebody_works_at_its_antenna() -> None:
    said = _text("Radio exposure")
    assert "at least 20 cm" in said
    assert "switch the module off" in said
    assert "implants" in said


def test_an_antenna_outside_brings_lightning_and_licensed_persons() -> None:
    said = _text("Antennas outside")
    assert "lightning protection go by the codes of the place" in said
    assert "a licensed person does it" in said
