"""What is said alike of many offers is said once, and nothing gets lost by it."""

from pathproof.assess.alike import alike, listed, stopped_by, then_text
from pathproof.assess.choice import Offer, Reason, Rule, SetAside
from pathproof.terms import SimKind


def offer(part: str, networks: tuple[str, ...] = (), service: str | None = None) -> Offer:
    return Offer(part=part, service=service, sim_kind=SimKind.FIXED, networks=networks)


def reason(text: str, rule: Rule = Rule.MARGIN, would_need: str = "more") -> Reason:
    return Reason(rule=rule, text=text, would_need=would_need)


def said(*aside: SetAside, labels: dict[str, str] | None = None) -> list[tuple[object, ...]]:
    """Blocks as parts, then what is said of which offers."""
    return [
        (block.parts, [(x.on, [r.text for r in x.reasons]) for x in block.said])
        for block in alike(aside, labels or {})
    ]


def test_one_offer_keeps_its_words() -> None:
    one = SetAside(offer=offer("m1", ("001-01",), "card"), reasons=(reason("m1 on 001-01"),))
    assert said(one) == [(["m1"], [("card on 001-01", ["m1 on 001-01"])])]


def test_what_differs_by_the_network_alone_is_said_once() -> None:
    offers = [
        SetAside(offer=offer("m1", (n,), "card"), reasons=(reason(f"{n} is weak"),))
        for n in ("001-01", "001-02", "999-70")
    ]
    expected = [("card on 001-01, 001-02 or 999-70", ["the network is weak"])]
    assert said(*offers) == [(["m1"], expected)]


def test_what_names_all_networks_stays_to_the_letter() -> None:
    offers = [
        SetAside(offer=offer("m1", of, card), reasons=(reason("001-01 and 001-02 have GSM"),))
        for card, of in (("a", ("001-01",)), ("a", ("001-02",)), ("b", ("001-01", "001-02")))
    ]
    expected = [("a on 001-01 or 001-02; b on 001-01 and 001-02", ["001-01 and 001-02 have GSM"])]
    assert said(*offers) == [(["m1"], expected)]


def test_a_network_is_known_by_label_and_code() -> None:
    offers = [
        SetAside(offer=offer("m1", (n,), "card"), reasons=(reason(f"{label} ({n}) is weak"),))
        for n, label in (("001-01", "North"), ("001-02", "South"))
    ]
    expected = [(["m1"], [("card on 001-01 or 001-02", ["the network is weak"])])]
    assert said(*offers, labels={"001-01": "North", "001-02": "South"}) == expected


def test_other_figures_are_said_apart() -> None:
    offers = [
        SetAside(offer=offer("m1", (n,), "card"), reasons=(reason(f"lacks {db} dB"),))
        for n, db in (("001-01", 1), ("001-02", 2))
    ]
    expected = [("card on 001-01", ["lacks 1 dB"]), ("card on 001-02", ["lacks 2 dB"])]
    assert said(*offers) == [(["m1"], expected)]


def test_what_is_needed_is_part_of_what_is_said() -> None:
    offers = [
        SetAside(offer=offer("m1", (n,), "card"), reasons=(reason("weak", would_need=need),))
        for n, need in (("001-01", "1 dB"), ("001-02", "2 dB"))
    ]
    assert len(said(*offers)[0][1]) == 2


def test_parts_of_which_the_same_is_said_share_a_block() -> None:
    offers = [
        SetAside(offer=offer(part), reasons=(reason(f"{part} is too old", Rule.SERVICE_LIFE),))
        for part in ("m1", "m2", "m3")
    ]
    assert said(*offers) == [(["m1", "m2", "m3"], [("", ["the part is too old"])])]


def test_a_name_within_another_is_not_taken_for_it() -> None:
    offers = [
        SetAside(offer=offer(part), reasons=(reason(f"{part} beside m1_long"),))
        for part in ("m1", "m2")
    ]
    assert said(*offers) == [(["m1", "m2"], [("", ["the part beside m1_long"])])]


def test_cards_for_the_same_networks_are_named_together() -> None:
    offers = [
        SetAside(offer=offer("m1", (n,), card), reasons=(reason(f"{n} is weak"),))
        for card, n in (("a", "001-01"), ("a", "001-02"), ("b", "001-01"), ("b", "001-02"))
    ]
    ((_, ((on, _),)),) = said(*offers)
    assert on == "a and b on 001-01 or 001-02"


def test_the_nearest_to_fit_comes_first_and_reasons_go_by_the_rules() -> None:
    far = SetAside(offer=offer("m1"), reasons=(reason("x", Rule.MARGIN), reason("y", Rule.PANEL)))
    near = SetAside(offer=offer("m2"), reasons=(reason("z", Rule.TECHNOLOGY),))
    assert said(far, near) == [(["m2"], [("", ["z"])]), (["m1"], [("", ["y", "x"])])]
    assert stopped_by([far, near, near]) == [(Rule.PANEL, 1), (Rule.TECHNOLOGY, 2)]


def test_every_offer_is_spoken_of() -> None:
    offers = [
        SetAside(
            offer=offer(f"m{i % 7}", (f"001-0{i % 3}",), f"card{i % 2}"),
            reasons=(reason(f"lacks {i % 5} dB"),),
        )
        for i in range(60)
    ]
    blocks = alike(offers, {})
    spoken = {p for b in blocks for p in b.parts}
    assert spoken == {o.offer.part for o in offers}
    for one in offers:
        block = next(b for b in blocks if one.offer.part in b.parts)
        texts = {r.text for x in block.said for r in x.reasons}
        assert {r.text for r in one.reasons} <= texts


def test_names_in_a_row() -> None:
    assert listed(["a"]) == "a"
    assert listed(["a", "b", "c"]) == "a, b and c"
    assert listed(list("abcdefg")) == "a, b, c, d and 3 more"


def test_where_offers_of_one_card_would_stand_is_told_by_network() -> None:
    offers = [
        SetAside(offer=offer("m1", (n,), "card"), reasons=(reason("weak"),), then=then)
        for n, then in (("001-01", "first"), ("001-02", "last"), ("999-70", "first"))
    ]
    assert then_text(offers) == (
        "With all of that: card on 001-01 or 999-70 first; card on 001-02 last."
    )
    assert then_text(offers[:1]) == "With all of that: first."
    another = SetAside(offer=offer("m2", (), "card"), reasons=(reason("weak"),), then="first")
    assert then_text([offers[1], another]) == (
        "With all of that: m1 with card last; m2 with card first."
    )
