"""Assessment: the one place that says a word about a link, a signal or a site."""

from pathproof.assess.compose import assess
from pathproof.assess.types import (
    Action,
    Alternatives,
    Assessment,
    Finding,
    Leaf,
    Line,
    Link,
    Margin,
    Path,
    Series,
    Signal,
    Summary,
    leaves,
)

__all__ = [
    "Action",
    "Alternatives",
    "Assessment",
    "Finding",
    "Leaf",
    "Line",
    "Link",
    "Margin",
    "Path",
    "Series",
    "Signal",
    "Summary",
    "assess",
    "leaves",
]
