"""An assessment as a person reads it: the word first, then strips, findings and what to do next."""

from dataclasses import dataclass
from itertools import groupby
from shlex import quote
from typing import TYPE_CHECKING, Final

from pathproof.assess.strip import devices_sentence, margin_text, site_strip_layout, strip_layout
from pathproof.assess.types import Assessment, Finding, Link, Replacement, Signal
from pathproof.assess.wording import odds_text
from pathproof.cli._replacements import show_replacements
from pathproof.cli._screen import Screen
from pathproof.cli._spots import show_spots
from pathproof.cli.strips import ASCII, BOX, Notes, draw_strip, legend
from pathproof.job import Job
from pathproof.terms import Severity, Word

if TYPE_CHECKING:
    from pathproof.papers.working import SourceNote, WorkRow

_NO_WORKING: Final = "There is no working: nothing could be worked out yet."
_WORST_FIRST = list(reversed(Word))
_STYLE = {Word.LACKING: "bold red"}


@dataclass(frozen=True, kw_only=True)
class Strip:
    """Signals of one thing that go the same way to the same end."""

    signals: tuple[Signal, ...]

    @property
    def word(self) -> Word:
        """Their word."""
        return self.signals[0].word

    @property
    def title(self) -> str:
        """Zone, name and which signals, such as "07 Yard door: alarm, tamper"."""
        first = self.signals[0]
        zone = "" if first.zone is None else f"{first.zone:02d} "
        name = first.name.rpartition(": ")[0]
        kinds = ", ".join(s.name.rpartition(": ")[2] for s in self.signals)
        return f"{zone}{name}: {kinds}"


def show_answer(screen: Screen, assessment: Assessment) -> None:
    """The whole answer for a site."""
    notes = Notes()
    _show_head(screen, assessment)
    screen.heading("The site")
    _draw_site(screen, assessment, notes)
    if assessment.signals:
        screen.heading("Signals")
    for strip in strips_of(assessment.signals):
        _draw(screen, strip, assessment, notes, every_way=strip.word is Word.LACKING)
    _show_notes(screen, notes)
    show_spots(screen, assessment)
    show_replacements(screen, assessment)
    _show_findings(screen, assessment.findings)
    _show_next(screen, assessment)


def show_signals(screen: Screen, assessment: Assessment, signals: list[Signal]) -> None:
    """Some signals, with every way that each can take."""
    notes = Notes()
    for strip in strips_of(signals):
        _draw(screen, strip, assessment, notes, every_way=True, hanging=True)
    _show_notes(screen, notes)


def strips_of(signals: tuple[Signal, ...] | list[Signal]) -> list[Strip]:
    """Signals as strips, worst first; those of one thing together where nothing parts them."""

    def alike(signal: Signal) -> tuple[object, ...]:
        return signal.about, signal.path, signal.word, signal.why, signal.weakest

    strips = [Strip(signals=tuple(group)) for _, group in groupby(signals, alike)]
    return sorted(strips, key=lambda s: _WORST_FIRST.index(s.word))


def show_working(screen: Screen, assessment: Assessment, link: Link, job: Job) -> None:
    """The calculation sheet of a link."""
    from pathproof.papers.working import SourceBook, calculation_sheets  # loads the typesetter

    screen.paragraph(link.id, first=(f"{link.word}  ", _style(link.word)))
    screen.paragraph(link.why)
    if link.margin is not None:
        screen.paragraph(f"Margin {margin_text(link.margin)}.")
    if link.evidence:
        screen.paragraph(f"On record: {', '.join(link.evidence)}.")
    names = {d.id: d.name for d in job.site.devices} | {r.id: r.name for r in job.site.repeaters}
    for sheet in calculation_sheets(assessment, [link.id], names, SourceBook()):
        screen.heading(sheet.title)
        _show_sheet(screen, sheet.rows, sheet.notes)
    if not link.working:
        screen.paragraph(_NO_WORKING)


def show_years(screen: Screen, item: Replacement) -> None:
    """The calculation sheet of something to be replaced."""
    from pathproof.papers.working import SourceBook, work_rows  # loads the typesetter

    screen.paragraph(item.name)
    screen.paragraph(f"{item.why}.")
    if not item.working:
        screen.paragraph(_NO_WORKING)
        return
    screen.heading("Until when it is counted on")
    _show_sheet(screen, *work_rows(item.working, SourceBook()))


def _show_sheet(
    screen: Screen, rows: "tuple[WorkRow, ...]", notes: "tuple[SourceNote, ...]"
) -> None:
    for row in rows:
        value = row.words or f"{row.whole}{row.fraction} {row.unit}".rstrip()
        marks = "".join(f" [{n}]" for n in row.notes)
        screen.ends("  " * row.indent + row.label, value, bold=row.result)
        if row.arithmetic or marks:
            screen.paragraph((row.arithmetic + marks).strip(), first="  " * row.indent + "  ")
    screen.heading("Sources")
    for note in notes:
        screen.paragraph(f"{note.text} ({note.how_sure})", first=f"[{note.number}] ")


def _show_head(screen: Screen, assessment: Assessment) -> None:
    summary = assessment.summary
    screen.paragraph(assessment.site, first=(f"{assessment.word}  ", _style(assessment.word)))
    screen.paragraph(f"{assessment.why}.")
    screen.paragraph(
        f"as of {assessment.as_of.isoformat(' ', 'minutes')} · revision {assessment.revision} · "
        f"{assessment.profile} · {assessment.hash[:8]}"
    )
    screen.line()
    screen.paragraph(f"{devices_sentence(assessment)}.", first="Devices  ")
    if summary.odds_all is not None:
        screen.paragraph(
            f"{odds_text(summary.odds_all)} that all of them work; the target for each one is "
            f"{summary.odds_target * 100:.12g} in 100.",
            first="Odds     ",
        )
    counts = [f"{n} {w}" for w in _WORST_FIRST if (n := summary.signals_by_word.get(w, 0))]
    screen.paragraph(f"{', '.join(counts) or 'none'}.", first="Signals  ")


def _draw_site(screen: Screen, assessment: Assessment, notes: Notes) -> None:
    strokes = ASCII if screen.ascii else BOX
    layout = site_strip_layout(assessment)
    for line in draw_strip(layout, notes, width=screen.width - 2, strokes=strokes):
        screen.line(f"  {line}")
    screen.line()
    screen.paragraph(legend(strokes), first="  ")


def _draw(
    screen: Screen,
    strip: Strip,
    assessment: Assessment,
    notes: Notes,
    *,
    every_way: bool,
    hanging: bool = False,
) -> None:
    signal = strip.signals[0]
    layout = strip_layout(signal, assessment, most_ways=None if every_way else 1)
    strokes = ASCII if screen.ascii else BOX
    screen.line()
    screen.paragraph(strip.title, first=(f"{strip.word:<9}  ", _style(strip.word)))
    for line in draw_strip(layout, notes, width=screen.width - 2, strokes=strokes, hanging=hanging):
        screen.line(f"  {line}")
    after = [f"weakest: {quote(signal.weakest)}"] if signal.weakest else []
    if signal.arrival is Word.LACKING:
        after.insert(0, signal.why)
    ids = {s.id for s in strip.signals}
    steps = [i for i, a in enumerate(assessment.next, start=1) if ids & set(a.signals)]
    if steps:
        after.append(f"next: {', '.join(map(str, steps))}")
    screen.paragraph(" · ".join(after), first="  ")


def _show_notes(screen: Screen, notes: Notes) -> None:
    if notes.texts:
        screen.heading("Notes to the drawings")
    for number, text in enumerate(notes.texts, start=1):
        screen.paragraph(text, first=f"{number:>2}  ")


def _show_findings(screen: Screen, findings: tuple[Finding, ...]) -> None:
    if findings:
        screen.heading("Findings")
    for finding in findings:
        style = "bold red" if finding.severity is Severity.SAFETY else "bold"
        screen.paragraph(
            f"{finding.about}: {finding.text}", first=(f"{finding.severity:<8}", style)
        )
        screen.paragraph(f"Do: {finding.do}", first="        ")


def _show_next(screen: Screen, assessment: Assessment) -> None:
    if assessment.next:
        screen.heading("Next")
    for number, action in enumerate(assessment.next, start=1):
        count = len(action.signals)
        of = f" ({count} signal{'s' if count != 1 else ''})" if count else ""
        screen.paragraph(f"{action.about}: {action.text}{of}", first=f"{number:>2}  ")


def _style(word: Word) -> str:
    return _STYLE.get(word, "bold")
