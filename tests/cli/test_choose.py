"""`pathproof choose`: its words and JSON, what it takes into a job, exit codes, empty states."""

import json
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import pathproof.cli.choose as command
from pathproof.assess.choice import (
    Antenna,
    Choice,
    Offer,
    Ranked,
    Reason,
    Rule,
    SecondPath,
    SetAside,
)
from pathproof.job import read_job
from pathproof.terms import SimKind

Edit = Callable[[Path, Callable[[Any], None]], None]
Answer = Callable[[Choice], dict[str, Any]]

NETWORKS = ("001-01", "001-02", "999-70")

FIRST = Ranked(
    offer=Offer(
        part="lte_m_module", service="roaming_card", sim_kind=SimKind.ROAMING, networks=NETWORKS
    ),
    spot="landing_window",
    antenna=Antenna(antenna="whip_antenna", feeder="coax_rg58c", cable_m=7.5),
    margin_db=6.0,
    network="999-70",
    spread_db=6.0,
    yearly_cost=78.0,
    fitted=False,
    tied=False,
    second=None,
    reasons=("costs 12.00 EUR a year less than the next",),
    open=(
        Reason(
            rule=Rule.SERVICE_LIFE,
            text="nothing is known of the end of 001-02 lte_m",
            would_need="ask 001-02 how long it keeps lte_m",
        ),
    ),
)
SECOND = replace(
    FIRST,
    offer=replace(FIRST.offer, part="lte_cat1_module"),
    spot="panel_room",
    antenna=Antenna(),
    margin_db=-0.04,
    yearly_cost=None,
    tied=True,
    reasons=("what it costs is not known",),
    open=(),
)


def aside(part: str, network: str | None, *reasons: Reason) -> SetAside:
    offer = Offer(part=part, service=None, sim_kind=None, networks=())
    if network is not None:
        offer = Offer(part=part, service="fixed_card", sim_kind=SimKind.FIXED, networks=(network,))
    return SetAside(offer=offer, reasons=reasons)


def no_technology(part: str, network: str) -> Reason:
    return Reason(
        rule=Rule.TECHNOLOGY,
        text=f"{network} has none of the technologies of {part}",
        would_need=f"{network} with gsm, or another part than {part}",
    )


UNREAD = aside(
    "nb_iot_module",
    "001-01",
    Reason(
        rule=Rule.READINGS,
        text="001-01 was not read at any spot",
        would_need="a reading of 001-01 at Landing window",
    ),
)
REJECTED = tuple(aside("gsm_module", n, no_technology("gsm_module", n)) for n in NETWORKS)
CHOICE = Choice(
    ranked=(FIRST, SECOND),
    undecided=(UNREAD,),
    rejected=REJECTED,
    read_first=("Read 001-01 at Landing window",),
)
NOTHING = Choice(ranked=(), undecided=(), rejected=(), read_first=())


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> Answer:
    """Lets the command answer with a choice made by hand; gives what it was asked with."""

    def answers(choice: Choice) -> dict[str, Any]:
        asked: dict[str, Any] = {}

        def choose(job: Any, as_of: Any, **options: Any) -> Choice:
            asked.update(job=job, as_of=as_of, **options)
            return choice

        monkeypatch.setattr(command, "choose_communicator", choose)
        return asked

    return answers


def words(text: str) -> str:
    return " ".join(text.split())


def widest(shown: str) -> int:
    """The longest line, but for commands, which are not wrapped."""
    return max(len(x) for x in shown.splitlines() if not x.startswith("  pathproof "))


def test_json_holds_the_contract_and_nothing_else(
    run: Any, job_path: Path, answers: Answer
) -> None:
    answers(CHOICE)
    found = json.loads(run("choose", job_path, "--json").stdout)
    assert found == {**json.loads(json.dumps(CHOICE.as_dict())), "differs": []}
    (first, _), (out, *_) = found["ranked"], found["rejected"]
    assert {"part", "networks", "spot", "antenna", "margin", "yearly_cost", "reasons"} <= set(first)
    assert first["margin"] == {"value": 6.0, "unit": "dB"}
    assert set(out["reasons"][0]) == {"rule", "text", "would_need"}


def test_everything_of_the_library_is_considered(run: Any, job_path: Path, answers: Answer) -> None:
    asked = answers(CHOICE)
    run("choose", job_path, "--as-of", "2026-11-20", "--leave-out-later")
    assert {"gsm_module", "fixed_card", "stub_antenna", "coax_rg213"} <= set(
        asked["job"].site.considered
    )
    assert asked["as_of"].isoformat() == "2026-11-20T23:59:59+01:00"
    assert asked["leave_out_later"]
    assert (asked["spots"], asked["antennas"]) == (None, None)


def test_one_s_own_catalogue_is_considered(run: Any, job_path: Path, answers: Answer) -> None:
    own = """[[part]]
kind = "service"
id = "own_card"
name = "Own card"
source = { ref = "Own offer", evidence = "practice" }
sim_kind = "roaming"
"""
    (Path(os.environ["PATHPROOF_HOME"]) / "catalogue_own.toml").write_text(own, "utf-8")
    asked = answers(CHOICE)
    run("choose", job_path)
    assert "own_card" in asked["job"].site.considered


def test_spots_and_antennas_are_passed_on(run: Any, job_path: Path, answers: Answer) -> None:
    asked = answers(CHOICE)
    named = ("--antenna", "built_in", "--antenna", "whip_antenna")
    run("choose", job_path, "--spot", "panel_room", *named)
    assert asked["spots"] == ["panel_room"]
    assert asked["antennas"] == ["built_in", "whip_antenna"]
    assert {"whip_antenna", "stub_antenna"} <= set(asked["job"].site.considered)


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--spot", "landing", "this job has no spot 'landing'; nearest: landing_window"),
        ("--antenna", "whip", "there is no antenna 'whip'; nearest: whip_antenna"),
        ("--antenna", "lte_m_module", "there is no antenna 'lte_m_module'"),
        ("--take", "first", "allowed: a whole number"),
        ("--take", "3", "given 3; allowed: 1 to 2"),
        ("--take", "0", "given 0; allowed: 1 to 2"),
        ("--take", "-1", "given -1; allowed: 1 to 2"),
        ("--as-of", "soon", "not a date"),
    ],
)
def test_wrong_use_is_said_and_saves_nothing(
    run: Any, job_path: Path, answers: Answer, option: str, value: str, said: str
) -> None:
    answers(CHOICE)
    before = job_path.read_bytes()
    done = run("choose", job_path, option, value, code=2)
    assert said in words(done.stderr)
    assert done.stdout == ""
    assert job_path.read_bytes() == before


def test_words(run: Any, job_path: Path, answers: Answer) -> None:
    answers(CHOICE)
    before = job_path.read_bytes()
    shown = run("choose", job_path, "--as-of", "2026-11-25").stdout
    assert widest(shown) <= 80
    text = words(shown)
    for said in (
        "As of 2026-11-25; to serve 10 years, until 2036-11-25.",
        "2 offers fit, 1 cannot be told yet, 3 do not fit.",
        "Module LTE-M with NB-IoT (lte_m_module)",
        "roaming on 001-01, 001-02 and 999-70: Card for all networks, with account (roaming_card)",
        "Landing window (landing_window)",
        "on 7.5 m of Coaxial cable, RG-58C class (coax_rg58c)",
        "+6.0 dB on 999-70, the network that decides",
        "78.00 EUR a year",
        "costs 12.00 EUR a year less than the next.",
        "Needed: ask 001-02 how long it keeps lte_m.",
        "People should keep at least 20 cm from the antenna of communicator main",
        "pathproof exposure shows how a distance comes about.",
        "2 lte_cat1_module, roaming_card on 3 networks +0.0 dB cost not known",
        "Beside the panel, built_in; a tie with the first",
        "fixed_card on 001-01 - 001-01 was not read at any spot.",
        "- Read 001-01 at Landing window.",
        f"pathproof choose {job_path} --take 1",
    ):
        assert words(said) in text
    assert job_path.read_bytes() == before


def test_plain_ascii_and_a_narrow_terminal(
    run: Any, job_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    shown = run("choose", job_path, "--ascii").stdout
    assert shown.isascii()
    assert widest(shown) <= 40


def test_alike_offers_are_folded_and_shown_one_by_one_with_all(
    run: Any, job_path: Path, answers: Answer
) -> None:
    answers(replace(CHOICE, ranked=(FIRST, replace(SECOND, open=FIRST.open))))
    folded = words(run("choose", job_path).stdout)
    assert (
        "fixed_card on 001-01, 001-02 or 999-70 - the network has none of the technologies of "
        "gsm_module."
    ) in folded
    every = words(run("choose", job_path, "--all").stdout)
    for network in NETWORKS:
        assert f"gsm_module, fixed_card on {network} - {network} has none of the" in every
    assert "what it costs is not known." in every
    assert every.count("ask 001-02 how long it keeps lte_m") == 2


def test_a_hundred_parts_stay_readable(run: Any, job_path: Path, answers: Answer) -> None:
    ids = [f"module_{n}" for n in range(100)]
    alike = [aside(i, n, no_technology(i, n)) for i in ids for n in NETWORKS]
    lacking = [
        aside(
            "lte_m_module",
            NETWORKS[n % 3],
            Reason(rule=Rule.MARGIN, text=f"lacks {n} dB", would_need=f"{n} dB more"),
        )
        for n in range(29)
    ]
    many = tuple(replace(FIRST, margin_db=float(n)) for n in range(50))
    answers(Choice(ranked=many, undecided=(), rejected=(*alike, *lacking), read_first=()))
    shown = run("choose", job_path).stdout
    assert len(shown.splitlines()) < 100
    assert widest(shown) <= 80
    text = words(shown)
    assert "module_0, module_1, module_2, module_3 and 96 more" in text
    assert "the network has none of the technologies of the part." in text
    assert "and 40 more offers; --all shows every one." in text
    assert "first rule that an offer does not meet: technology 300, margin 29." in text
    assert "and 25 more reasons; --all shows every one." in text
    assert len(run("choose", job_path, "--all").stdout.splitlines()) > 500


def test_a_name_within_another_is_not_taken_for_it(
    run: Any, job_path: Path, answers: Answer
) -> None:
    texts = [
        SetAside(
            offer=Offer(part=part, service=None, sim_kind=None, networks=()),
            reasons=(Reason(rule=Rule.PANEL, text=f"{part} and gsm_module_2", would_need=""),),
        )
        for part in ("gsm_module", "lte_m_module")
    ]
    answers(replace(NOTHING, rejected=tuple(texts)))
    shown = words(run("choose", job_path, code=3).stdout)
    assert "gsm_module and lte_m_module - the part and gsm_module_2." in shown


@pytest.mark.parametrize(
    ("place", "said"),
    [
        ("outside", ("heights", "lightning protection", "Local codes", "licensed person")),
        ("above_ceiling", ("ladder", "cables, pipes")),
    ],
)
def test_cautions_of_a_place(
    run: Any, job_path: Path, answers: Answer, edit: Edit, place: str, said: tuple[str, ...]
) -> None:
    def change(data: Any) -> None:
        for spot in data["site"]["spots"]:
            spot["place"] = place if spot["id"] == "landing_window" else "in_panel"

    answers(CHOICE)
    edit(job_path, change)
    text = words(run("choose", job_path).stdout)
    for word in said:
        assert word in text
    answers(replace(CHOICE, ranked=(SECOND,)))
    assert said[0] not in words(run("choose", job_path).stdout)


def test_what_is_nearest_to_fit_comes_first(run: Any, job_path: Path, answers: Answer) -> None:
    far = aside("gsm_module", None, Reason(rule=Rule.PANEL, text="no", would_need="a panel"))
    near = aside("lte_m_module", None, Reason(rule=Rule.MARGIN, text="no", would_need="3 dB"))
    answers(replace(NOTHING, rejected=(far, near)))
    for option in ((), ("--all",)):
        shown = run("choose", job_path, *option, code=3).stdout
        assert shown.index("lte_m_module") < shown.index("gsm_module")


def test_figures_that_are_not_the_catalogue_s_are_said_and_can_be_given_up(
    run: Any, job_path: Path, answers: Answer, edit: Edit
) -> None:
    def dearer(data: Any) -> None:
        data.pop("hash")
        data["embedded"]["catalogue"]["roaming_card"]["yearly_cost"] = 99.5

    def drop(data: Any) -> None:
        data.pop("hash", None)
        del data["embedded"]["catalogue"]["roaming_card"]

    answers(CHOICE)
    assert "Not as in the catalogue" not in run("choose", job_path).stdout
    cost = json.loads(run("catalogue", "roaming_card", "--json").stdout)["yearly_cost"]
    edit(job_path, dearer)
    text = words(run("choose", job_path).stdout)
    said = f"roaming_card: yearly_cost is 99.5 in the job, {cost} in the catalogue."
    assert said in text
    assert "delete the part from catalogue under embedded in the job file" in text
    found = json.loads(run("choose", job_path, "--json").stdout)["differs"]
    assert found == [
        {"part": "roaming_card", "field": "yearly_cost", "job": 99.5, "catalogue": cost}
    ]
    edit(job_path, drop)
    assert "Not as in the catalogue" not in run("choose", job_path).stdout


def test_no_sentence_stands_under_why_and_still_open_both(
    run: Any, job_path: Path, answers: Answer
) -> None:
    text = "001-01 LTE: nothing is known of its end"
    both = Reason(rule=Rule.SERVICE_LIFE, text=f"{text}; {text} either", would_need="ask")
    said = (*FIRST.reasons, text, f"{text} either", "001-02 LTE: ends on 2040-01-01")
    answers(replace(CHOICE, ranked=(replace(FIRST, reasons=said, open=(both,)),)))
    shown = words(run("choose", job_path).stdout)
    assert shown.count(f"{text};") == 1
    assert f"- {text}." not in shown
    assert f"- {text} either." not in shown
    assert "- 001-02 LTE: ends on 2040-01-01." in shown


def test_a_communicator_is_not_called_by_an_id_before_there_is_one(
    run: Any, job_path: Path, answers: Answer, edit: Edit
) -> None:
    def without(data: Any) -> None:
        data["site"]["communicators"], data["record"] = [], []

    answers(CHOICE)
    edit(job_path, without)
    shown = words(run("choose", job_path).stdout)
    assert "from the antenna of this communicator (" in shown
    assert "communicator main" not in shown


def test_a_network_is_also_known_by_its_label(
    run: Any, job_path: Path, answers: Answer, edit: Edit
) -> None:
    def change(data: Any) -> None:
        for number, network in enumerate(data["site"]["networks"]):
            network["label"] = f"Network {number}"

    edit(job_path, change)
    texts = [(n, f"Network {i} ({n}) is weak") for i, n in enumerate(NETWORKS)]
    reasons = [(n, Reason(rule=Rule.MARGIN, text=t, would_need="")) for n, t in texts]
    answers(replace(NOTHING, rejected=tuple(aside("gsm_module", n, r) for n, r in reasons)))
    shown = words(run("choose", job_path, code=3).stdout)
    assert "fixed_card on 001-01, 001-02 or 999-70 - the network is weak." in shown


def test_an_antenna_for_outside_at_a_spot_of_which_nobody_said(
    run: Any, job_path: Path, answers: Answer
) -> None:
    outer = replace(FIRST, antenna=Antenna(antenna="outdoor_panel_antenna"))
    answers(replace(CHOICE, ranked=(outer,)))
    unsaid = json.loads(job_path.read_text("utf-8"))
    for spot in unsaid["site"]["spots"]:
        spot.pop("place", None)
    job_path.write_text(json.dumps(unsaid), "utf-8")
    text = words(run("choose", job_path).stdout)
    assert "lightning protection" in text
    assert "Points at one mast" in text
    # 31 dBm with -2 dBi, and 7 dBi instead: a stated distance may not hold (see exposure)
    assert "may no longer hold" in text


def test_what_the_site_has_is_said(run: Any, job_path: Path, answers: Answer) -> None:
    other_path = replace(FIRST.offer, networks=("999-70",))
    second = SecondPath(offer=other_path, yearly_cost=62.0, fitted=True)
    networks = tuple(f"001-{n}" for n in range(10, 20))
    offer = replace(FIRST.offer, networks=networks)
    first = replace(FIRST, offer=offer, fitted=True, tied=True, second=second)
    answers(replace(CHOICE, ranked=(first,)))
    text = words(run("choose", job_path).stdout)
    assert f"roaming on {', '.join(networks[:-1])} and {networks[-1]}: Card" in text
    assert "nobody can tell which of them is better" in text
    assert "this is what the site has" in text
    assert "lte_m_module, roaming_card on 999-70: the second path that the site has" in text
    assert "78.00 and 62.00, together 140.00 EUR a year" in text
    assert "to communicators under site" not in text
    assert "--take" not in text


def test_two_paths_are_shown_with_both_costs_and_how_to_fit_the_second(
    run: Any, job_path: Path, answers: Answer
) -> None:
    a, b = (replace(FIRST.offer, networks=(n,)) for n in ("001-01", "999-70"))
    first = replace(
        FIRST,
        offer=a,
        yearly_cost=50.0,
        second=SecondPath(offer=b, yearly_cost=90.0, fitted=False),
    )
    other = replace(
        first,
        offer=b,
        spot="panel_room",
        antenna=Antenna(),
        yearly_cost=90.0,
        second=SecondPath(offer=a, yearly_cost=50.0, fitted=False),
    )
    answers(replace(CHOICE, ranked=(first, other)))
    shown = run("choose", job_path).stdout
    text = words(shown)
    assert "50.00 and 90.00, together 140.00 EUR a year" in text
    assert "lte_m_module, roaming_card on 999-70: number 2, as the other path" in text
    assert "90.00 and 50.00, together 140.00 EUR a year" in text
    for shown_by in (shown, run("choose", job_path, "--take", "1").stdout):
        assert "add this to communicators under site" in words(shown_by)
        entry = json.loads(shown_by[shown_by.index("  {") : shown_by.rindex("}") + 1])
        assert entry == {
            "id": "second",
            "part": "lte_m_module",
            "role": "second",
            "sim": {"kind": "roaming", "networks": ["999-70"]},
            "service": "roaming_card",
            "spot": "panel_room",
        }
    found = json.loads(run("choose", job_path, "--json").stdout)["ranked"][0]
    assert (found["yearly_cost"], found["pair_yearly_cost"]) == (50.0, 140.0)


def test_what_may_be_better_stands_right_after_the_first(
    run: Any, job_path: Path, answers: Answer
) -> None:
    better = replace(
        UNREAD, then="would come before the first, 12.00 EUR a year cheaper", cheaper_by=12.0
    )
    best = replace(
        UNREAD,
        offer=replace(UNREAD.offer, service="roaming_card"),
        then="would come before the first, 30.00 EUR a year cheaper",
        cheaper_by=30.0,
    )
    out = replace(REJECTED[0], then="would stand after the first, 3.00 EUR a year dearer")
    answers(replace(CHOICE, undecided=(better, best), rejected=(out,)))
    text = words(run("choose", job_path).stdout)
    said = (
        "30.00 EUR a year cheaper. Needed: a reading of 001-01 at Landing window. "
        "nb_iot_module, fixed_card on 001-01: would come before the "
        "first, 12.00 EUR a year cheaper. Needed: a reading of 001-01 at Landing window."
    )
    assert said in text
    assert text.index("May be better") < text.index("Others that fit")
    assert "With all of that: would stand after the first, 3.00 EUR a year dearer." in text
    every = words(run("choose", job_path, "--all").stdout)
    assert "With all of that: would stand after the first, 3.00 EUR a year dearer." in every
    same = replace(
        better,
        offer=replace(UNREAD.offer, networks=("001-02",)),
        reasons=(replace(UNREAD.reasons[0], would_need="a reading of 001-02 at Landing window"),),
    )
    answers(replace(CHOICE, undecided=(better, same)))
    folded = words(run("choose", job_path).stdout)
    assert "nb_iot_module, fixed_card on 001-01: would" in folded  # their texts differ
    texts = [replace(x.reasons[0], text=f"{x.offer.networks[0]} unread") for x in (better, same)]
    alike_ = tuple(replace(x, reasons=(t,)) for x, t in zip((better, same), texts, strict=True))
    answers(replace(CHOICE, undecided=alike_))
    assert (
        "nb_iot_module, fixed_card on 001-01 or 001-02: would come before the first, 12.00 EUR a "
        "year cheaper. Needed: a reading of the network at Landing window."
    ) in words(run("choose", job_path).stdout)
    answers(CHOICE)
    assert "May be better" not in run("choose", job_path).stdout


@pytest.mark.parametrize(
    ("choice", "code"),
    [
        (CHOICE, 0),
        (replace(CHOICE, ranked=()), 4),
        (replace(NOTHING, rejected=REJECTED), 3),
        (NOTHING, 4),
    ],
)
def test_exit_codes(run: Any, job_path: Path, answers: Answer, choice: Choice, code: int) -> None:
    answers(choice)
    run("choose", job_path, code=code)
    run("choose", job_path, "--json", code=code)


def test_an_empty_site_is_told_what_to_do_first(run: Any, empty_job: Path, answers: Answer) -> None:
    answers(NOTHING)
    text = words(run("choose", empty_job, code=4).stdout)
    assert "No offer fits" in text
    assert "There is no panel yet" in text
    assert "Panel, networks and spots are entries of site in the job file" in text


def test_taking_saves_a_revision_and_says_what_changed(
    run: Any, job_path: Path, answers: Answer
) -> None:
    answers(CHOICE)
    before = read_job(job_path)
    text = words(run("choose", job_path, "--take", "1").stdout)
    after = read_job(job_path)
    main = after.site.communicators[0]
    assert after.revision == before.revision + 1
    assert (main.id, main.part, main.spot) == ("main", "lte_m_module", "landing_window")
    assert "gsm_module" in after.site.considered
    assert "gsm_module" in after.embedded.catalogue
    for said in (
        "part lte_cat1_module → lte_m_module",
        "What the supply has to give for a short time:",
        "state on_test → ordered",
        "module-01 reading, for the mobile link of main",
        "Next, to prove it",
        "It shares no technology with a network of the site.",
        f"pathproof assess {job_path}",
    ):
        assert said in text


def test_the_next_step_of_proof_is_said(run: Any, job_path: Path, answers: Answer) -> None:
    offer = replace(FIRST.offer, part="lte_cat1_module")
    answers(replace(CHOICE, ranked=(replace(FIRST, offer=offer),)))
    text = words(run("choose", job_path, "--take", "1").stdout)
    for said in (
        "Watch 001-01 in LTE or GSM, 999-70 in LTE or GSM, 001-02 in LTE at Landing window "
        "(landing_window), with the module itself, the final antenna and the lid shut, from 5 "
        "minutes after it registered: each network for 30 minutes or more, a reading every ten "
        "seconds or so, 22 at the least. Its card needs 2 networks.",
        f"pathproof reading --watch LOG --job {job_path} --about main --network 001-01 "
        "--technology lte --final-antenna --lid-shut",
    ):
        assert said in text
    assert text.index("--watch LOG") < text.index("pathproof assess")


def test_what_is_proven_already_need_not_be_watched_again(
    run: Any, job_path: Path, answers: Answer
) -> None:
    hangs = replace(
        FIRST,
        offer=replace(FIRST.offer, part="lte_cat1_module", service="fixed_card"),
        antenna=Antenna(antenna="whip_antenna", feeder="coax_rg213", cable_m=11.0),
    )
    answers(replace(CHOICE, ranked=(hangs,)))
    text = words(run("choose", job_path, "--as-of", "2026-11-25", "--take", "1").stdout)
    assert "service roaming_card → fixed_card" in text
    assert "Its mobile link is proven as it hangs." in text
    assert "--watch" not in text


def test_taking_twice_saves_once(run: Any, job_path: Path, answers: Answer) -> None:
    answers(CHOICE)
    run("choose", job_path, "--take", "1")
    once = job_path.read_bytes()
    text = words(run("choose", job_path, "--take", "1").stdout)
    assert "says just this already; nothing was saved" in text
    assert job_path.read_bytes() == once


@pytest.mark.parametrize("asked", [("--antenna", "whip_antenna"), ("--spot", "landing_window")])
def test_what_was_not_asked_for_is_considered_all_the_same(
    run: Any, job_path: Path, answers: Answer, asked: tuple[str, str]
) -> None:
    answers(CHOICE)
    text = words(run("choose", job_path, "--take", "1", *asked).stdout)
    assert {"whip_antenna", "stub_antenna"} <= set(read_job(job_path).site.considered)
    assert "it is not the first" not in text


@pytest.mark.parametrize(
    ("asked", "among_those"),
    [(("--take", "2"), (FIRST, SECOND)), (("--take", "1", "--spot", "panel_room"), (SECOND,))],
)
def test_what_was_taken_and_is_not_first_of_all_is_said(
    run: Any,
    job_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    asked: tuple[str, ...],
    among_those: tuple[Ranked, ...],
) -> None:
    def choose(job: Any, as_of: Any, *, spots: Any = None, **options: Any) -> Choice:
        return replace(CHOICE, ranked=among_those if spots else (FIRST, SECOND))

    monkeypatch.setattr(command, "choose_communicator", choose)
    text = words(run("choose", job_path, *asked).stdout)
    assert (
        "Of all of them, at any spot, it is not the first: that is lte_m_module, roaming_card on "
        "001-01, 001-02 and 999-70, at Landing window (landing_window) with whip_antenna on 7.5 m "
        "of coax_rg58c. Assessment and papers will list that before it."
    ) in text
    taken = json.loads(run("choose", job_path, *asked, "--json").stdout)["taken"]
    assert taken["first"] is False


def test_taking_as_json(run: Any, job_path: Path, answers: Answer) -> None:
    answers(CHOICE)
    found = json.loads(run("choose", job_path, "--take", "2", "--json").stdout)
    assert set(found) == {*CHOICE.as_dict(), "taken"}
    taken = found["taken"]
    assert taken["revision"] == read_job(job_path).revision
    assert taken["saved"]
    assert taken["first"] is False
    assert {"what": "spot", "before": "landing_window", "now": "panel_room"} in taken["changes"]
    again = json.loads(run("choose", job_path, "--take", "2", "--json").stdout)["taken"]
    assert not again["saved"]
    assert again["changes"] == again["dropped"] == again["voided"] == again["power"] == []


def test_nothing_to_take(run: Any, job_path: Path, answers: Answer) -> None:
    answers(replace(NOTHING, rejected=REJECTED))
    before = job_path.read_bytes()
    done = run("choose", job_path, "--take", "1", code=1)
    assert "Nothing fits, so there is nothing to take" in words(done.stderr)
    assert job_path.read_bytes() == before


# From here on with the choice as it is really made.


def test_the_demo_s_choice_keeps_the_contract(run: Any, job_path: Path) -> None:
    found = json.loads(run("choose", job_path, "--json").stdout)
    assert found["ranked"]
    for ranked in found["ranked"]:
        assert ranked["margin"]["unit"] == "dB"
        assert ranked["margin"]["value"] >= 0.0
        assert ranked["reasons"]
    for aside in (*found["rejected"], *found["undecided"]):
        assert aside["reasons"]
        for reason in aside["reasons"]:
            assert reason["rule"] in set(Rule)
            assert reason["text"]
            assert reason["would_need"]
    costs = [r["yearly_cost"] for r in found["ranked"] if r["yearly_cost"] is not None]
    assert costs == sorted(costs)


def test_what_was_taken_is_fitted_from_then_on(run: Any, job_path: Path) -> None:
    def fitted() -> list[int]:
        found = json.loads(run("choose", job_path, "--json").stdout)["ranked"]
        return [n for n, r in enumerate(found, start=1) if r["fitted"]]

    run("choose", job_path, "--take", "1")
    assert fitted() == [1]
    once = job_path.read_bytes()
    run("choose", job_path, "--take", "1")
    assert job_path.read_bytes() == once
    assert run("assess", job_path, code=None).exit_code in (3, 4)


def test_only_the_part_s_own_antenna(run: Any, job_path: Path) -> None:
    only = ("--spot", "panel_room", "--antenna", "built_in")
    found = json.loads(run("choose", job_path, *only, "--json", code=None).stdout)
    for ranked in found["ranked"]:
        assert (ranked["spot"], ranked["antenna"], ranked["cable_m"]) == (
            "panel_room",
            "built_in",
            0.0,
        )


@pytest.mark.parametrize(
    ("missing", "said"),
    [
        ("spots", "Add the spots"),
        ("networks", "List the mobile networks"),
        ("panel", "There is no panel yet"),
    ],
)
def test_what_a_job_lacks_is_asked_for_first(
    run: Any, job_path: Path, edit: Edit, missing: str, said: str
) -> None:
    def change(data: Any) -> None:
        del data["hash"], data["site"][missing]
        data["site"].pop("communicators", None)
        data["site"].pop("supply", None)
        data["record"] = []

    edit(job_path, change)
    done = run("choose", job_path, code=4)
    assert said in words(done.stdout)
    assert "are entries of site in the job file" in words(done.stdout)


def test_without_readings_nothing_is_guessed(run: Any, job_path: Path, edit: Edit) -> None:
    def change(data: Any) -> None:
        data["record"] = [e for e in data["record"] if e["kind"] != "reading"]

    edit(job_path, change)
    text = words(run("choose", job_path, code=4).stdout)
    assert "No offer fits" in text
    assert "No level is read yet" in text
    assert "pathproof reading puts a level that was read at a spot on record." in text


def test_later_entries_name_the_option(run: Any, job_path: Path) -> None:
    done = run("choose", job_path, "--as-of", "2026-01-01", code=1)
    assert "--leave-out-later" in done.stderr
