"""Names of links and signals, as record entries and assessments write them."""

from pathproof.terms import SignalKind

SUPPLY = "supply"
STANDBY = "standby"


def radio(sender: str, receiver: str) -> str:
    """Device or repeater to repeater or panel."""
    return f"radio:{sender}>{receiver}"


def mobile(communicator: str) -> str:
    """Communicator to its mobile network."""
    return f"mobile:{communicator}"


def reporting(communicator: str) -> str:
    """Mobile network to the centre, over one communicator."""
    return f"reporting:{communicator}"


def spot(spot_id: str) -> str:
    """A place where mobile levels are read."""
    return f"spot:{spot_id}"


def signal(about: str, kind: SignalKind) -> str:
    """One signal from end to end."""
    return f"signal:{about}:{kind}"
