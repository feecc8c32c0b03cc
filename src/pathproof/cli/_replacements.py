"""What is to be replaced and by when, as a person reads it."""

from typing import Final

from pathproof.assess.power import first_visit
from pathproof.assess.types import Assessment, Replacement
from pathproof.cli._screen import Screen

_MOST_ROWS: Final = 15
"""A screen has room for so many beside the rest: house choice."""
_NO_DATE: Final = "no date"


def show_replacements(screen: Screen, assessment: Assessment) -> None:
    """The calendar, the soonest first, with what asks for the first visit."""
    calendar = assessment.replacements
    if not calendar:
        return
    screen.heading("To be replaced")
    visit = first_visit(calendar, assessment.as_of.date())
    if visit:
        screen.paragraph(visit)
    for item in calendar[:_MOST_ROWS]:
        _row(screen, item)
    if len(calendar) > _MOST_ROWS:
        screen.paragraph(f"And {len(calendar) - _MOST_ROWS} more: --json has all of them.")
    if any(item.working for item in calendar):
        screen.paragraph("How the years come about: --working battery, --working cells:PART[:DATE]")


def _row(screen: Screen, item: Replacement) -> None:
    by = _NO_DATE if item.due is None else item.due.isoformat()
    overdue = "overdue; " if item.overdue else ""
    style = "bold red" if item.overdue else ""
    screen.paragraph(f"{item.name}: {overdue}{item.why}", first=(f"{by:<12}", style))
