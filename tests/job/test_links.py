"""Names of links and signals stand in record entries, so they may not change."""

from pathproof.job import links
from pathproof.terms import SignalKind


def test_names() -> None:
    assert links.radio("door", "panel") == "radio:door>panel"
    assert links.mobile("m1") == "mobile:m1"
    assert links.reporting("m1") == "reporting:m1"
    assert links.spot("office") == "spot:office"
    assert links.signal("door", SignalKind.LOW_BATTERY) == "signal:door:low_battery"
    assert (links.SUPPLY, links.STANDBY) == ("supply", "standby")
