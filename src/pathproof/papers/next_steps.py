"""What to do next: the assessment's actions as steps, and the same in plain words."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from pathproof.assess.judge import judge
from pathproof.assess.strip import HANGING, without
from pathproof.assess.types import Action, Assessment, Link, Path
from pathproof.papers._text import counted, listed
from pathproof.papers.names import Names, at_most
from pathproof.terms import LinkKind, Reason, Severity, Word

_PLAIN = {
    (LinkKind.RADIO, Word.LACKING): "Move a part, add a repeater or choose another part, so that "
    "every device reaches the panel",
    (LinkKind.RADIO, Word.UNDECIDED): "Find out what is missing about devices that cannot be "
    "judged yet",
    (LinkKind.RADIO, Word.PREDICTED): "Walk-test devices from their final places",
    (LinkKind.MOBILE, Word.LACKING): "Find a better place or antenna, or another network",
    (LinkKind.MOBILE, Word.UNDECIDED): "Find out what is missing about the mobile signal",
    (LinkKind.MOBILE, Word.PREDICTED): "Measure the mobile signal over time with the final antenna",
    (LinkKind.REPORTING, Word.LACKING): "Agree on closer watching of the path with the centre",
    (LinkKind.REPORTING, Word.UNDECIDED): "Agree with the monitoring centre how the path is "
    "watched",
    (LinkKind.SUPPLY, Word.LACKING): "Put the power supply or its cables right",
    (LinkKind.SUPPLY, Word.UNDECIDED): "Find out what is missing about the power supply",
    (LinkKind.SUPPLY, Word.PREDICTED): "Measure the power supply under load",
    (LinkKind.STANDBY, Word.LACKING): "Fit a larger or a new battery, or take load off it",
    (LinkKind.STANDBY, Word.UNDECIDED): "Find out what is missing about the battery and what it "
    "has to carry",
    (LinkKind.STANDBY, Word.PREDICTED): "Measure what the battery has to give, and its volts under "
    "load",
}
_PUT_RIGHT = "Find out why signals reached the centre wrongly or not at all, and send them again"
_TRIP = "Trip devices once and let the monitoring centre read their signals back"
_CONFIRM = "Look up limits that are known from memory only, and confirm them"
_START = "Decide what is to be watched, and add panel and devices to the job."

_WITHOUT_POWER = {
    LinkKind.STANDBY: "Do not count on the system when the mains fails: its battery does not carry "
    "it as long as asked. We will come to put it right.",
    LinkKind.SUPPLY: "Do not count on the system until we have put its power supply right: in an "
    "alarm or on its battery a part of it may stop.",
}
_CALL = (
    "Call us before you move or change a device, build or move walls, shelves or metal doors, or "
    "change anything at the panel, and at once when the panel shows a fault."
)


@dataclass(frozen=True, kw_only=True)
class Step:
    """One next action, what it is for, and how the first sheet says it."""

    text: str
    about: str
    plain: str
    devices: int


def steps(assessment: Assessment, names: Names) -> tuple[Step, ...]:
    """Next actions in the assessment's order, those that differ only by their device together."""
    links = {x.id: x for x in assessment.links}
    wrong = {s.id for s in assessment.signals if s.arrival is Word.LACKING}
    together: dict[str, list[Action]] = {}
    for action in assessment.next:
        together.setdefault(names.without_name(action), []).append(action)
    return tuple(
        Step(
            text=text,
            about=listed(at_most(list(dict.fromkeys(_doer(a, names) for a in actions)))),
            plain=_plain(actions[0], links, wrong),
            devices=len({a.about for a in actions} & names.words.keys()),
        )
        for text, actions in together.items()
    )


def plain_steps(assessment: Assessment, found: tuple[Step, ...]) -> tuple[str, ...]:
    """The same steps in plain words and in the same order, each with its number in the full list.

    Steps that plain words do not tell apart share a line, where the first of them stands.
    """
    if not assessment.summary.devices:
        return (_START,)
    numbers: dict[str, list[int]] = {}
    for number, step in enumerate(found, start=1):
        numbers.setdefault(step.plain, []).append(number)
    return tuple(
        f"{plain} ({_where(which, sum(found[n - 1].devices for n in which))})."
        for plain, which in numbers.items()
    )


def customer_steps(assessment: Assessment) -> tuple[str, ...]:
    """What a customer can do, or expect of the installer."""
    return tuple(_for_customer(assessment))


def _doer(action: Action, names: Names) -> str:
    about, count = names.about(action.about), len(action.signals)
    return f"{about} ({counted(count, 'signal')})" if count else about


def _plain(action: Action, links: Mapping[str, Link], wrong: set[str]) -> str:
    if action.link is None:
        return _PUT_RIGHT if wrong & set(action.signals) else _TRIP
    link = links[action.link]
    if link.reason is Reason.LIMIT or action.text.startswith("Confirm "):
        return _CONFIRM
    return _PLAIN[link.kind, link.word]


def _where(numbers: list[int], devices: int) -> str:
    said = f"step{'s' if len(numbers) > 1 else ''} {listed([str(n) for n in numbers])}"
    return f"{counted(devices, 'device')}, {said}" if devices else said


def _for_customer(assessment: Assessment) -> Iterator[str]:
    summary = assessment.summary
    links = {x.id: x for x in assessment.links}
    if not summary.devices:
        yield "Tell us what is to be watched; we will plan it with you."
        return
    if any(f.severity is Severity.SAFETY for f in assessment.findings):
        yield (
            "Do not rely on devices for fire, gas or hold-up until we tell you in writing that "
            "their signals are proven to the monitoring centre."
        )
    if summary.devices_lacking:
        n = summary.devices_lacking
        yield (
            f"Do not rely on {'the device that does' if n == 1 else f'the {n} devices that do'} "
            f"not reach the panel. We will come to put {'it' if n == 1 else 'them'} right."
        )
    if any(s.arrival is Word.LACKING for s in assessment.signals):
        yield (
            "Do not rely on the signals that reached the centre wrongly or not at all. We will "
            "find the cause with the monitoring centre and test them again."
        )
    lacking = {x.kind for x in assessment.links if x.word is Word.LACKING}
    yield from (text for kind, text in _WITHOUT_POWER.items() if kind in lacking)
    if any(_lacks_beyond_panel(path, links) for path in {s.path for s in assessment.signals}):
        yield (
            "Do not rely on the way from the panel to the monitoring centre until we have put it "
            "right."
        )
    if assessment.word is not Word.PROVEN:
        yield (
            "Expect our visit for the tests that are still due: let us into every room, and have "
            "somebody there who may answer the monitoring centre. Until then do not count on every "
            "signal."
        )
    yield _CALL


def _lacks_beyond_panel(path: Path, links: Mapping[str, Link]) -> bool:
    """Whether the way to the centre lacks, whatever radio and power do."""
    beyond = without(path, {LinkKind.RADIO, *HANGING}, links)
    return beyond is not None and judge(beyond, links).word is Word.LACKING
