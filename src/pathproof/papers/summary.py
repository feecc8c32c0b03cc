"""The first sheet: what a customer understands, with nothing in it that tells where things hang."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from pathproof.assess.judge import judge
from pathproof.assess.strip import StripLayout, StripLink, only, radio_words, site_strip_layout
from pathproof.assess.types import Assessment, Link, Series
from pathproof.assess.wording import odds_text
from pathproof.papers._text import counted, listed
from pathproof.papers.drawing import Drawing
from pathproof.papers.strips import draw_strip
from pathproof.terms import LinkKind, Severity, Word

WORD_MEANS = {
    Word.PROVEN: "shown by test, and nothing has changed since",
    Word.PREDICTED: "works by calculation, not yet shown by test",
    Word.UNDECIDED: "cannot be told yet, something is missing",
    Word.LACKING: "falls short, by calculation or by test",
}

_SHARED = {
    LinkKind.MOBILE: {
        Word.PROVEN: "The mobile signal was measured over time and is strong enough.",
        Word.PREDICTED: "The mobile signal is strong enough by what was read so far; that it stays "
        "so has yet to be shown.",
        Word.UNDECIDED: "It is not known yet whether the mobile signal is strong enough.",
        Word.LACKING: "The mobile signal is too weak where the antenna is to be.",
    },
    LinkKind.REPORTING: {
        Word.PROVEN: "The way over the network to the monitoring centre was shown to be in time.",
        Word.PREDICTED: "The way over the network to the monitoring centre is in time by "
        "calculation.",
        Word.UNDECIDED: "It is not known yet how long a signal takes to the monitoring centre and "
        "how soon a lost path is noticed.",
        Word.LACKING: "The way over the network to the monitoring centre takes too long.",
    },
    LinkKind.SUPPLY: {
        Word.PROVEN: "The power supply was measured under load, and with its cables is strong "
        "enough.",
        Word.PREDICTED: "The power supply and its cables are strong enough by calculation.",
        Word.UNDECIDED: "It is not known yet whether the power supply and its cables are strong "
        "enough.",
        Word.LACKING: "The power supply, or a cable from it, is too weak.",
    },
    LinkKind.STANDBY: {
        Word.PROVEN: "The battery was measured and runs the system as long as asked.",
        Word.PREDICTED: "The battery runs the system as long as asked, by calculation.",
        Word.UNDECIDED: "It is not known yet how long the system runs on its battery.",
        Word.LACKING: "The battery does not run the system as long as asked.",
    },
}

PLAIN_ANSWER = {
    Word.PROVEN: "It works: tests have shown that every signal reaches the monitoring centre, and "
    "nothing has changed since.",
    Word.PREDICTED: "By calculation it works, and tests have yet to show it. Do not rely on it "
    "before; call us if you do not know when we come to test.",
    Word.UNDECIDED: "It cannot be told yet whether it works, as something is missing. Do not rely "
    "on it; call us.",
    Word.LACKING: "Something falls short. Do not rely on it; call us.",
}
"""What the word of a whole site means to those who live with it."""

_RELIED_ON = (
    "People may rely on some of the devices for their safety, and these are not proven to the "
    "monitoring centre. Do not rely on them until they are."
)


@dataclass(frozen=True, kw_only=True)
class CountLine:
    """How many signals have a word, and what the word means."""

    word: Word
    count: int
    means: str


@dataclass(frozen=True, kw_only=True)
class SummarySheet:
    """The first sheet."""

    headline: str
    strip: Drawing
    odds: str
    counts: tuple[CountLine, ...]
    not_shown: tuple[str, ...]
    next_steps: tuple[str, ...]
    warning: str


def summary_sheet(
    assessment: Assessment, width_mm: float, next_steps: tuple[str, ...]
) -> SummarySheet:
    """The first sheet with these next steps; it names no device and no place."""
    radio = Counter(radio_words(assessment).values())
    shared = _shared_words(assessment)
    signals = Counter(s.word for s in assessment.signals)
    relied_on = any(f.severity is Severity.SAFETY for f in assessment.findings)
    return SummarySheet(
        headline=headline(assessment, radio),
        strip=draw_strip(site_strip_layout(assessment), width_mm, _plain_caption),
        odds=_odds(assessment, sum(radio.values())),
        counts=tuple(
            CountLine(word=word, count=signals[word], means=means)
            for word, means in WORD_MEANS.items()
        ),
        not_shown=tuple(_not_shown(assessment, radio, shared)),
        next_steps=next_steps,
        warning=_RELIED_ON if relied_on else "",
    )


def headline(assessment: Assessment, radio: Mapping[Word, int]) -> str:
    """How many devices reach the panel, and how that is known."""
    summary = assessment.summary
    if not summary.devices:
        return "There are no devices in this job yet, so nothing is known of its signals."
    wired = summary.devices_heard - radio.get(Word.PROVEN, 0) - radio.get(Word.PREDICTED, 0)
    ways = [
        f"{count} {how}"
        for count, how in (
            (radio.get(Word.PROVEN, 0), "shown by test"),
            (radio.get(Word.PREDICTED, 0), "by calculation"),
            (wired, "by wire"),
        )
        if count
    ]
    verb = "reaches" if summary.devices_heard == 1 else "reach"
    noun = "device" if summary.devices == 1 else "devices"
    start = f"{summary.devices_heard} of {summary.devices} {noun} {verb} the panel"
    return f"{start}: {listed(ways)}." if ways else f"{start}."


def plain_strip_layout(assessment: Assessment) -> StripLayout:
    """One strip for the whole site, with plain words under its links in place of figures."""
    layout = site_strip_layout(assessment)
    return replace(
        layout,
        segments=tuple(replace(s, link=_plain_link(s.link)) for s in layout.segments),
        hanging=tuple(_plain_link(link) for link in layout.hanging),
    )


def _plain_link(link: StripLink) -> StripLink:
    return replace(link, caption=_plain_caption(link))


def _plain_caption(link: StripLink) -> str:
    if link.kind is LinkKind.RADIO:
        return link.caption  # the count of devices; the site's strip has no other radio link
    return {
        Word.PROVEN: "shown by test",
        Word.PREDICTED: "by calculation",
        Word.UNDECIDED: "not known yet",
        Word.LACKING: "falls short",
    }[link.word]


def _odds(assessment: Assessment, wireless: int) -> str:
    summary = assessment.summary
    if not wireless:
        return ""
    each = (
        f"Each wireless device is to work with odds of at least {odds_text(summary.odds_target)}."
    )
    if summary.odds_all is None:
        return f"{each} The odds that all of them work are not known yet."
    return (
        f"{each} The odds that all {wireless} of them work at once are "
        f"{odds_text(summary.odds_all)}; many good odds together are poorer ones, so every device "
        "is tested in its place."
    )


def _shared_words(assessment: Assessment) -> dict[LinkKind, Word]:
    """The word of what signals share, kind by kind."""
    links: dict[str, Link] = {x.id: x for x in assessment.links}
    path = assessment.signals[0].path if assessment.signals else Series(parts=())
    parts = {kind: only(path, kind, links) for kind in _SHARED}
    return {kind: judge(part, links).word for kind, part in parts.items() if part is not None}


def _not_shown(
    assessment: Assessment, radio: Mapping[Word, int], shared: Mapping[LinkKind, Word]
) -> Iterator[str]:
    if n := radio.get(Word.LACKING, 0):
        yield f"{counted(n, 'device')} {'does' if n == 1 else 'do'} not reach the panel."
    if n := radio.get(Word.UNDECIDED, 0):
        yield f"{counted(n, 'device')} cannot be judged yet."
    if n := radio.get(Word.PREDICTED, 0):
        verb = "reaches" if n == 1 else "reach"
        yield f"{counted(n, 'device')} {verb} the panel by calculation; no test has shown it yet."
    yield from (_SHARED[kind][word] for kind, word in shared.items() if word is not Word.PROVEN)
    signals = assessment.signals
    if n := sum(s.arrival is Word.LACKING for s in signals):
        yield f"{counted(n, 'signal')} reached the centre wrongly or not at all."
    if n := sum(s.arrival is None for s in signals):
        yield (
            f"{n} of {counted(len(signals), 'signal')} {'has' if n == 1 else 'have'} not been "
            "seen at the monitoring centre as asked."
        )
