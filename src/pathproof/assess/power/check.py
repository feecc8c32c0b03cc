"""One thing that a supply has to do, and whether it does."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from pathproof.assess.context import Context
from pathproof.assess.types import Margin
from pathproof.assess.wording import decimals
from pathproof.job import Limit
from pathproof.terms import LimitName, Reason, Word

__all__ = [
    "CHOOSE_BATTERY",
    "Check",
    "allowed_drop_v",
    "amount",
    "first_causes",
    "limit_in_force",
    "open_check",
    "told_check",
    "unless_ends_low",
    "weakest",
]

CHOOSE_BATTERY: Final = "Choose the battery."
_SAME = 1e-9  # a miss by rounding alone holds


@dataclass(frozen=True, kw_only=True)
class Check:
    """What was looked at, with its margin in its own unit."""

    word: Word
    """Predicted, undecided or lacking."""
    why: str
    """In words."""
    do: str
    """What to do where it lacks, or is undecided."""
    reason: Reason | None = None
    """Why it is undecided."""
    margin: Margin | None = None
    scale: float = 1.0
    """Margin over scale ranks checks of different units; in the margin's own."""
    end_above_v: float | None = None
    """Where the battery ends too low even with nothing lost on the way: what it has to end above.
    No cable mends that, so it is the first cause. [V]"""

    @property
    def relative(self) -> float:
        """Margin over scale; a check without a margin comes first."""
        return float("-inf") if self.margin is None else self.margin.value / self.scale


def told_check(
    why: str, margin: Margin, scale: float, do: str, *, short: str = "too little"
) -> Check:
    """A check that its margin decides; `short` says what it is where it lacks."""
    if margin.value >= -_SAME * scale:
        spare = f"{why}: {amount(max(0.0, margin.value), margin.unit)} to spare"
        return Check(word=Word.PREDICTED, why=spare, margin=margin, scale=scale, do="")
    lacks = f"{why}: {amount(-margin.value, margin.unit)} {short}"
    return Check(word=Word.LACKING, why=lacks, margin=margin, scale=scale, do=do)


def open_check(why: str, do: str, reason: Reason = Reason.INPUT) -> Check:
    """A check that lacks an input, or a limit that may decide."""
    return Check(word=Word.UNDECIDED, why=why, do=do, reason=reason)


def limit_in_force(ctx: Context, name: LimitName) -> Limit | Check:
    """A limit that a word may rest on, or what keeps it from that."""
    limit = ctx.limits.get(name)
    if limit is None:
        return open_check(
            f"the profile gives no {name}", f"Add {name} to the profile.", Reason.LIMIT
        )
    if not limit.usable:
        return open_check(
            f"the limit {name} is from memory and not confirmed",
            f"Look {name} up in your own copy and confirm it: pathproof profile confirm.",
            Reason.LIMIT,
        )
    return limit


def first_causes(checks: Sequence[Check]) -> Sequence[Check]:
    """Where a battery ends too low, the one that asks most, which mends all such; else all."""
    low = [(c.end_above_v, c) for c in checks if c.end_above_v is not None]
    return [max(low, key=lambda found: found[0])[1]] if low else checks


def unless_ends_low(check: Check, end_v: float, needed_v: float) -> Check:
    """The check; where it lacks and the battery ends at or below the need, that is its cause."""
    if check.word is not Word.LACKING or end_v > needed_v:
        return check
    ends, needs = amount(end_v, "V"), amount(needed_v, "V")
    return replace(
        check,
        why=f"{check.why}; the battery ends at {ends} where {needs} are needed, so no cable helps",
        do=f"Choose a battery that ends above {needs}: this one ends at {ends}, so no cable and no "
        "buffer helps before that.",
        end_above_v=needed_v,
    )


def weakest(checks: Sequence[Check]) -> Check:
    """The one with the least margin over its scale."""
    return min(checks, key=lambda c: c.relative)


def amount(value: float, unit: str) -> str:
    """A figure as people say it and as sheets show it, such as "0.25 A"."""
    text = f"{value:.{decimals(value, unit)}f}"
    if float(text) == 0.0 and value:
        text = f"{value:.2g}"  # a miss is never said to be nothing
    return f"{text.rstrip('0').rstrip('.') if '.' in text else text} {unit}"


def allowed_drop_v(start_v: float, needed_v: float) -> float:
    """Drop that is allowed, the scale of a margin in volts; the need where none is. [V]"""
    return start_v - needed_v if start_v > needed_v else needed_v
