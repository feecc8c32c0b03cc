"""What a rule says of an offer, and how things are named in it."""

from dataclasses import dataclass
from enum import StrEnum

from pathproof.assess.choice import Reason, Rule
from pathproof.job import Job
from pathproof.job import Source as JobSource


class Weight(StrEnum):
    """What a rule's word does to an offer."""

    FAILS = "fails"  # keeps it out
    UNDECIDED = "undecided"  # cannot be told: something is missing
    NOTE = "note"  # nobody knows, but it does not keep it out


@dataclass(frozen=True)
class Said:
    """A rule's word on an offer; a rule that is met says nothing."""

    rule: Rule
    weight: Weight
    text: str
    would_need: str

    @property
    def reason(self) -> Reason:
        """It as the choice lists it."""
        return Reason(rule=self.rule, text=self.text, would_need=self.would_need)


class Names:
    """Networks and spots as people speak of them, with what the file calls them."""

    def __init__(self, job: Job) -> None:
        self._networks = {n.mcc_mnc: n.label for n in job.site.networks}
        self._spots = {s.id: s.name for s in job.site.spots}

    def network(self, mcc_mnc: str) -> str:
        """A network by label and code."""
        label = self._networks.get(mcc_mnc, mcc_mnc)
        return mcc_mnc if label == mcc_mnc else f"{label} ({mcc_mnc})"

    def networks(self, codes: list[str]) -> str:
        """Several networks."""
        return listed([self.network(code) for code in codes])

    def spot(self, spot: str) -> str:
        """A spot by name and id."""
        return f"{self._spots[spot]} ({spot})"


def listed(things: list[str], most: int = 12) -> str:
    """Things in a row; past `most` only how many more there are."""
    more = f" and {len(things) - most} more" if len(things) > most else ""
    return ", ".join(things[:most]) + more


def cited(source: JobSource) -> str:
    """A source and how sure it is, in a bracket."""
    return f"({', '.join(x for x in (source.ref, source.edition) if x)}; {source.evidence})"
