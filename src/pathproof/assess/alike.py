"""What is said alike of many offers, said once."""

import re
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from pathproof.assess.choice import Offer, Reason, Rule, SetAside

_MOST_NAMES: Final = 5
_ORDER: Final = list(Rule)


@dataclass(frozen=True, kw_only=True)
class Said:
    """What is said of some offers of a part, in the order of the rules."""

    on: str
    """Their cards and networks, such as "fixed_card on 001-01 and 001-02"."""
    reasons: list[Reason]


@dataclass(frozen=True, kw_only=True)
class Block:
    """Parts of which the same is said."""

    parts: list[str]
    said: list[Said]


def alike(aside: Sequence[SetAside], labels: Mapping[str, str]) -> list[Block]:
    """Every part with what is said of its offers; parts of which the same is said share a block.

    Those with an offer that is nearest to fit, by the order of the rules, come first.

    Parameters
    ----------
    aside : sequence of SetAside
        Offers with their reasons.
    labels : mapping of str to str
        What people call a network, by its code.
    """
    of_part: dict[str, list[SetAside]] = defaultdict(list)
    for one in aside:
        of_part[one.offer.part].append(one)
    blocks: dict[object, list[Block]] = defaultdict(list)
    for part, ones in sorted(of_part.items(), key=lambda of: min(map(_how_far, of[1]))):
        said = _said(ones, labels)
        in_general = tuple((x.on, *_of_any_part(part, x.reasons)) for x in said)
        blocks[in_general].append(Block(parts=[part], said=said))
    return [_together(same) for same in blocks.values()]


def then_text(aside: Sequence[SetAside]) -> str:
    """Where offers would stand if they met every rule, told apart as far as that differs."""
    of: dict[str, list[Offer]] = defaultdict(list)
    for one in aside:
        if one.then and one.offer.service is not None:
            of[one.then].append(one.offer)
    if len(of) < 2:
        return "".join(f"With all of that: {then}." for then in of)
    said = [f"{which} {then}" for which, then in zip(_told_apart([*of.values()]), of, strict=True)]
    more = len(said) - _MOST_NAMES
    rest = [f"and {more} more"] if more > 0 else []
    return f"With all of that: {'; '.join([*said[:_MOST_NAMES], *rest])}."


def _told_apart(groups: Sequence[Sequence[Offer]]) -> list[str]:
    """Groups of offers by part and card, and by network where a card is in several groups."""
    cards = [{(offer.part, offer.service) for offer in offers} for offers in groups]
    once = sum(map(len, cards)) == len(set().union(*cards))
    parts = {part for of in cards for part, _ in of}
    shown = [[replace(o, networks=()) if once else o for o in offers] for offers in groups]
    return [_by_part(offers) if len(parts) > 1 else _on(offers) for offers in shown]


def _by_part(offers: Sequence[Offer]) -> str:
    parts = dict.fromkeys(offer.part for offer in offers)
    return listed([f"{p} with {_on([o for o in offers if o.part == p])}" for p in parts])


def nearest_first(aside: Sequence[SetAside]) -> list[SetAside]:
    """Offers, those that are nearest to fit first by the order of the rules."""
    return sorted(aside, key=_how_far)


def stopped_by(aside: Sequence[SetAside]) -> list[tuple[Rule, int]]:
    """How many offers each rule stops, of several that an offer does not meet the first one."""
    count = Counter(_first_rule(one) for one in aside)
    return [(rule, count[rule]) for rule in _ORDER if count[rule]]


def _first_rule(one: SetAside) -> Rule:
    return min((reason.rule for reason in one.reasons), key=_ORDER.index)


def _how_far(one: SetAside) -> tuple[int, int]:
    """The less, the later the first rule that an offer does not meet, and the fewer they are."""
    return -_ORDER.index(_first_rule(one)), len(one.reasons)


def _together(blocks: list[Block]) -> Block:
    """The block, or one for all of them where there are several."""
    if len(blocks) == 1:
        return blocks[0]
    (part,), said = blocks[0].parts, blocks[0].said
    return Block(
        parts=[part for block in blocks for part in block.parts],
        said=[replace(x, reasons=_of_any_part(part, x.reasons)) for x in said],
    )


def _said(ones: Sequence[SetAside], labels: Mapping[str, str]) -> list[Said]:
    """What is said of the offers of one part; what differs by the network only is said once."""
    found: dict[Reason, tuple[Reason, list[Offer]]] = {}
    said_on: dict[Reason, set[tuple[str, ...]]] = defaultdict(set)
    for one in ones:
        for reason in one.reasons:
            said_on[reason].add(one.offer.networks)
    for one in ones:
        alone = one.offer.networks[0] if len(one.offer.networks) == 1 else None
        for reason in one.reasons:
            whole = alone is None or len(said_on[reason]) > 1
            key = reason if whole else _of_any_network(reason, alone or "", labels)
            found.setdefault(key, (reason, []))[1].append(one.offer)
    of_offers: dict[str, list[Reason]] = defaultdict(list)
    for key, (reason, offers) in found.items():
        same_network = len({offer.networks for offer in offers}) == 1
        of_offers[_on(offers)].append(reason if same_network else key)
    return [
        Said(on=on, reasons=sorted(reasons, key=lambda r: _ORDER.index(r.rule)))
        for on, reasons in of_offers.items()
    ]


def _of_any_part(part: str, reasons: Sequence[Reason]) -> list[Reason]:
    return [_without(reason, part, "the part") for reason in reasons]


def _of_any_network(reason: Reason, code: str, labels: Mapping[str, str]) -> Reason:
    """The reason with a network said in general, called by label and code or by its code."""
    in_full = _without(reason, f"{labels.get(code, code)} ({code})", "the network")
    return _without(in_full, code, "the network")


def _without(reason: Reason, name: str, instead: str) -> Reason:
    """The reason with an id or a network's code said in general."""
    alone = re.compile(rf"(?<![\w-]){re.escape(name)}(?![\w-])")
    return replace(
        reason,
        text=alone.sub(instead, reason.text),
        would_need=alone.sub(instead, reason.would_need),
    )


def _on(offers: Sequence[Offer]) -> str:
    """Cards and networks of offers; nothing where it is said of the part with any."""
    of_card: dict[str, dict[str, None]] = defaultdict(dict)
    alone: dict[str, bool] = {}
    for offer in offers:
        if offer.service is not None:
            of_card[offer.service].update(dict.fromkeys(offer.networks))
            alone[offer.service] = len(offer.networks) == 1
    same: dict[tuple[bool, tuple[str, ...]], list[str]] = defaultdict(list)
    for card, networks in of_card.items():
        same[alone[card], tuple(networks)].append(card)
    return "; ".join(
        f"{listed(cards)} on {listed(networks, joint='or' if one_each else 'and')}"
        if networks
        else listed(cards)
        for (one_each, networks), cards in same.items()
    )


def listed(names: Sequence[str], most: int = _MOST_NAMES, joint: str = "and") -> str:
    """Names as people list them; past `most` the rest is counted."""
    if len(names) > most:
        return f"{', '.join(names[: most - 1])} {joint} {len(names) - most + 1} more"
    return f" {joint} ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
