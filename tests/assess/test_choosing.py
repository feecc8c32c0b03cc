"""Choosing, rule by rule, on jobs so small that the answer is plain."""

import math
from datetime import timedelta
from typing import Any

import pytest

from pathproof.assess import assess
from pathproof.assess.choice import BUILT_IN, Antenna, Choice, Ranked, Rule, SetAside
from pathproof.assess.choosing import choose, next_proof
from pathproof.assess.context import Context
from pathproof.assess.taking import take
from pathproof.job import Job
from pathproof.terms import JobError, SimKind, Word

from ._jobs import NOW, make_job, with_entry
from ._markets import (
    COAX,
    GOOD,
    HALL,
    NETWORKS,
    ROAMING,
    ROD,
    ROOF,
    WHIP,
    market,
    module,
    of_part,
    part,
    reading,
    rules,
    service,
    with_record,
)

MEMORY = {"ref": "Somebody said", "evidence": "memory"}
# House targets: LTE needs -115 dBm and 10 dB of fade margin on top, so -95 dBm is 10 dB over both.
# NOW is 2026-11-25 and the service life 10 years, so everything serves until 2036-11-25.


def the_only(found: Choice) -> Ranked | SetAside:
    (only,) = (*found.ranked, *found.undecided, *found.rejected)
    return only


def ranked(job: Job, **how: Any) -> Ranked:
    """The only offer, which has to be ranked."""
    only = the_only(choose(job, NOW, **how))
    assert isinstance(only, Ranked)
    return only


def undecided(job: Job) -> SetAside:
    """The only offer, which has to be undecided."""
    found = choose(job, NOW)
    assert not found.ranked
    assert not found.rejected
    (only,) = found.undecided
    return only


def rejected(job: Job) -> SetAside:
    """The only offer, which has to be rejected."""
    found = choose(job, NOW)
    assert not found.ranked
    assert not found.undecided
    (only,) = found.rejected
    return only


def text_of(aside: SetAside) -> str:
    (reason,) = aside.reasons
    return reason.text


def needed(aside: SetAside) -> str:
    (reason,) = aside.reasons
    return reason.would_need


def test_the_plain_case() -> None:
    found = ranked(market())
    assert (found.offer.part, found.offer.service) == ("module", "fixed_1")
    assert found.offer.sim_kind is SimKind.FIXED
    assert found.offer.networks == ("001-01",)
    assert (found.spot, found.antenna, found.network) == ("hall", Antenna(), "001-01")
    assert found.margin_db == pytest.approx(10.0)
    assert found.yearly_cost == 70.0
    assert not found.tied
    assert not found.fitted
    assert found.reasons[0] == "the only offer that meets every rule"
    assert found.reasons[1].startswith("Near (001-01) decides: 10.0 dB over need and fade margin")


# Panel, country, service


def test_a_part_for_another_panel_is_rejected_once() -> None:
    found = rejected(market(module(panels=["panel_b"]), service(), ROAMING))
    assert found.offer.service is None
    assert rules(found) == [Rule.PANEL]
    assert text_of(found) == "module fits panel_b, not the site's panel panel_a"


def test_without_a_panel_a_part_for_some_panels_cannot_be_told() -> None:
    found = undecided(market(module(panels=["panel_b"]), service(), panel=None))
    assert rules(found) == [Rule.PANEL]
    assert isinstance(the_only(choose(market(panel=None), NOW)), Ranked)  # one that fits any


def test_where_a_part_is_not_allowed() -> None:
    assert rules(rejected(market(module(countries=["XB"]), service()))) == [Rule.COUNTRY]
    assert rules(rejected(market(module(), service(countries=["XB"])))) == [Rule.COUNTRY]
    assert rules(undecided(market(module(countries=["XA"]), service(), country=None))) == [
        Rule.COUNTRY,
        Rule.COUNTRY,
    ]


def test_countries_that_nobody_said_are_open() -> None:
    found = ranked(market(module(), service(countries=["XA"])))
    assert found.open[0].rule is Rule.COUNTRY
    assert found.open[0].would_need == "ask whether module is allowed in XA"


def test_no_service() -> None:
    assert rules(undecided(market(module()))) == [Rule.SERVICE]
    assert rules(rejected(market(module(sim_kinds=["roaming"]), service()))) == [Rule.SERVICE]
    other = service(communicators=["another"])
    found = choose(market(module(), module("another"), other), NOW)
    assert rules(of_part(found, "module")) == [Rule.SERVICE]
    assert isinstance(of_part(found, "another"), Ranked)


def test_a_service_for_a_part_that_is_not_there_is_said() -> None:
    found = choose(market(module(), service(), service("typo", communicators=["modul"])), NOW)
    assert (
        "typo is offered for modul only, which is no communicator that is considered: look at the "
        "ids in its communicators."
    ) in found.read_first
    known = choose(market(module(), service(communicators=["module"])), NOW)
    assert not any("only, which is no" in x for x in known.read_first)


def test_what_is_promised_too_short_is_said_as_a_promise() -> None:
    text = text_of(rejected(market(module(platform_ends="2027-12-31"), service())))
    assert text == (
        "service of module is promised only until 2027-12-31 (Invented for the tests; practice)"
    )


def test_three_technologies_are_listed_as_people_do() -> None:
    speaks = module(technologies=["lte", "lte_m", "nb_iot"])
    networks = [{"mcc_mnc": "001-01", "label": "Near", "technologies": ["gsm"]}]
    found = rejected(market(speaks, service(), networks=networks))
    assert text_of(found) == "module speaks LTE, LTE-M and NB-IoT; Near (001-01) has GSM"
    assert needed(found) == "LTE, LTE-M or NB-IoT, on Near (001-01)"


def test_everything_that_keeps_a_part_out_is_named() -> None:
    found = rejected(
        market(
            module(
                panels=["panel_b"],
                countries=["XB"],
                sim_kinds=["steered"],
                platform_ends="2030-01-01",
            ),
            service(),
        )
    )
    assert rules(found) == [Rule.PANEL, Rule.COUNTRY, Rule.SERVICE, Rule.SERVICE_LIFE]


# Networks and technologies


def test_a_network_that_the_site_does_not_have_is_named_and_not_guessed() -> None:
    found = rejected(market(module(), service(networks=["999-99"])))
    assert rules(found) == [Rule.NETWORKS]
    assert text_of(found).startswith("999-99 is not among the networks of the site")
    assert "999-99" in needed(found)


def test_a_network_more_that_is_not_there_does_not_keep_a_card_out() -> None:
    card = service(sim_kind="roaming", networks=["001-01", "001-02", "999-99"])
    found = ranked(market(module(), card))
    note = next(r for r in found.open if r.rule is Rule.NETWORKS)
    assert note.text == "999-99 is not among the networks of the site"


def test_a_roaming_card_needs_two_networks_here() -> None:
    found = rejected(market(module(), service(sim_kind="roaming")))
    assert rules(found) == [Rule.NETWORKS]
    assert "needs 2 networks of the site, and may use 1" in text_of(found)


def test_without_networks_nothing_can_be_told() -> None:
    found = choose(market(networks=[], read=[]), NOW)
    assert rules(the_only(found)) == [Rule.NETWORKS]
    assert "List the mobile networks to be had at the site." in found.read_first


def test_a_fixed_card_gives_an_offer_a_network() -> None:
    found = choose(market(module(), service(networks=[])), NOW)
    assert sorted(r.offer.networks for r in found.ranked) == [("001-01",), ("001-02",), ("999-70",)]


def test_no_technology_in_common() -> None:
    found = rejected(market(module(technologies=["nb_iot"]), service()))
    assert rules(found) == [Rule.TECHNOLOGY]
    assert text_of(found) == (
        "module speaks NB-IoT; Near (001-01) has LTE and GSM in band 3, 20, Far (001-02) has LTE "
        "in band 3, 999-70 has LTE and LTE-M in band 8"
    )
    assert needed(found) == "NB-IoT, on as many networks of the site as the card needs"


def test_no_band_in_common() -> None:
    found = rejected(market(module(bands=["B28"]), service()))
    assert rules(found) == [Rule.TECHNOLOGY]
    assert ranked(market(module(bands=["B3"]), service())).margin_db == pytest.approx(10.0)


def test_what_a_network_offers_need_not_be_said() -> None:
    networks = [{"mcc_mnc": "001-01", "label": "Near", "technologies": []}]
    assert ranked(market(networks=networks)).network == "001-01"


# Service life


def test_a_network_that_ends_too_early() -> None:
    row = {"network": "001-01", "technology": "lte", "ends_on": "2030-06-30"}
    found = rejected(market(retirements=[row]))
    assert rules(found) == [Rule.SERVICE_LIFE]
    assert text_of(found) == "001-01 LTE ends on 2030-06-30 (Invented for the tests; practice)"
    assert needed(found) == "001-01 LTE to last until 2036-11-25"


def test_a_day_in_the_past_keeps_out_whether_done_or_only_planned() -> None:
    row = {"network": "001-01", "technology": "lte", "ends_on": "2025-01-01"}
    planned = text_of(rejected(market(retirements=[row])))
    assert planned.startswith("001-01 LTE was to end on 2025-01-01; ask whether it is still there")
    done = text_of(rejected(market(retirements=[{**row, "done": True}])))
    assert done.startswith("001-01 LTE ended on 2025-01-01 (")


def test_a_day_from_memory_has_to_be_asked() -> None:
    row = {"network": "001-01", "technology": "lte", "ends_on": "2030-06-30", "source": MEMORY}
    found = choose(market(retirements=[row]), NOW)
    assert rules(the_only(found)) == [Rule.SERVICE_LIFE]
    assert needed(found.undecided[0]) == "ask how long 001-01 LTE is there"
    assert "Ask how long 001-01 LTE is there." in found.read_first


def test_what_nobody_knows_is_open_and_what_lasts_is_not() -> None:
    unknown = ranked(market())
    assert "001-01 LTE: nothing is known of its end, which does not say that it lasts" in (
        unknown.reasons
    )
    asks = [r.would_need for r in unknown.open if r.rule is Rule.SERVICE_LIFE]
    assert asks == [
        "ask until when the service of module is promised",
        "ask until when Near (001-01) offers LTE",
    ]
    lasts = {"network": "001-01", "technology": "lte", "ends_from": "2040-01-01"}
    known = ranked(market(module(platform_ends="2040-01-01"), service(), retirements=[lasts]))
    assert not [r for r in known.open if r.rule is Rule.SERVICE_LIFE]
    assert "001-01 LTE: ends not before 2040-01-01 (Invented for the tests; practice)" in (
        known.reasons
    )


def test_the_service_behind_the_part_and_the_centres_platform() -> None:
    part_row = {"part": "module", "ends_on": "2030-01-01"}
    assert rules(rejected(market(retirements=[part_row]))) == [Rule.SERVICE_LIFE]
    main = {"id": "C", "part": "module", "centre": "Watch room"}
    centre_row = {"centre": "Watch room", "ends_on": "2031-01-01"}
    found = rejected(market(communicators=[main], retirements=[centre_row]))
    assert text_of(found).startswith("platform of Watch room ends on 2031-01-01")
    ended = {**main, "state": "ended"}
    assert ranked(market(communicators=[ended], retirements=[centre_row])).margin_db > 0


def test_enough_networks_of_a_roaming_card_have_to_last() -> None:
    rows = [
        {"network": n, "technology": "lte", "ends_on": "2030-01-01"} for n in ("001-01", "999-70")
    ]
    assert ranked(market(module(), ROAMING, retirements=rows[:1])).margin_db > 0
    found = rejected(market(module(), ROAMING, retirements=rows))
    assert rules(found) == [Rule.SERVICE_LIFE]
    assert "its card needs 2 networks that last, and has 1" in text_of(found)
    assert needed(found) == ("1 network of these to last until 2036-11-25: 001-01 LTE, 999-70 LTE")


def test_a_network_that_lasts_anyhow_is_not_asked_to_last() -> None:
    """The GSM of 001-01 ends, and its LTE does not: more of 001-01 would help nothing."""
    rows = [
        {"network": "001-01", "technology": "gsm", "ends_on": "2030-01-01"},
        {"network": "999-70", "technology": "lte", "ends_on": "2030-01-01"},
    ]
    card = service(sim_kind="roaming", networks=["001-01", "999-70"])
    found = rejected(market(module(technologies=["lte", "gsm"]), card, retirements=rows))
    assert needed(found) == "999-70 LTE to last until 2036-11-25"


def test_a_technology_that_ends_lends_no_margin() -> None:
    """GSM is strong and ends, LTE is weak and stays: the margin is that of LTE."""
    gsm_ends = {"network": "001-01", "technology": "gsm", "ends_on": "2028-01-01"}
    both = module(technologies=["lte", "gsm"])
    read = [
        reading("hall", "001-01", -103.0),
        reading("hall", "001-01", -60.0, "gsm"),
    ]
    assert ranked(market(both, service(), read=read)).margin_db > 20.0
    found = ranked(market(both, service(), read=read, retirements=[gsm_ends]))
    assert found.margin_db == pytest.approx(2.0)


# Spots and antennas


def only_antenna(*parts: dict[str, Any], **site: Any) -> SetAside | Ranked:
    return the_only(choose(market(*parts, service(), **site), NOW))


def test_no_spots() -> None:
    found = choose(market(spots=[]), NOW)
    assert rules(the_only(found)) == [Rule.ANTENNA]
    assert found.undecided
    assert any("Add the spots" in x for x in found.read_first)


def test_away_from_the_panel_a_part_needs_socket_antenna_and_cable() -> None:
    bare = module(antenna_socket=False)
    outdoors = part("antenna", "outdoors", gain_dbi=3.0, low_hz=698e6, high_hz=2.69e9, outdoor=True)
    for parts, need in (
        ((bare, ROD, COAX), "a spot in the panel, or a part with an antenna socket"),
        ((module(), WHIP, COAX), "an antenna made to hang outside among what is considered"),
        ((module(), COAX), "an antenna made to hang outside among what is considered"),
        ((module(), ROD), "a feeder among what is considered"),
    ):
        found = only_antenna(*parts, spots=[ROOF])
        assert rules(found) == [Rule.ANTENNA]
        assert isinstance(found, SetAside)
        assert needed(found) == need
    assert isinstance(only_antenna(module(), outdoors, COAX, spots=[ROOF]), Ranked)


@pytest.mark.parametrize(
    ("spot", "places", "fits"),
    [
        ({"place": "in_panel"}, ["in_panel"], True),
        ({"place": "in_panel"}, ["on_wall", "outside"], False),
        ({"place": "on_wall", "cable_m": 3.0}, ["on_wall"], True),
        ({"place": "on_wall", "cable_m": 3.0}, ["in_panel"], False),
        ({"place": "on_wall", "cable_m": 0.0}, ["in_panel"], False),  # what is said counts
        ({"place": "outside", "cable_m": 3.0}, ["outside"], True),
        ({"place": "outside", "cable_m": 3.0}, ["on_wall"], False),
        ({"place": "outside", "cable_m": 3.0}, [], True),
        ({"cable_m": 0.0}, ["in_panel"], True),
        ({"cable_m": 0.0}, ["on_wall"], False),
        ({"cable_m": 3.0}, ["above_ceiling"], True),
        ({"cable_m": 3.0}, ["on_wall"], True),
        ({"cable_m": 3.0}, ["outside"], False),
        ({"cable_m": 3.0}, ["in_panel"], False),
    ],
)
def test_an_antenna_hangs_only_where_it_is_made_for(
    spot: dict[str, Any], places: list[str], fits: bool
) -> None:
    job = market(
        module(),
        service(),
        {**ROD, "places": places},
        COAX,
        spots=[{"id": "hall", "name": "Hall", **spot}],
    )
    only = the_only(choose(job, NOW, antennas=["rod"]))
    assert isinstance(only, Ranked) == fits
    if not fits:
        assert rules(only) == [Rule.ANTENNA]
        assert "an antenna made to hang" in needed(only)  # type: ignore[arg-type]


def test_an_antenna_for_other_bands_helps_nothing() -> None:
    """Bands 3 and 20 lie at 1710 to 1880 MHz and 791 to 862 MHz (3GPP TS 36.101)."""
    high = part("antenna", "high", gain_dbi=9.0, low_hz=2.3e9, high_hz=2.7e9, outdoor=True)
    middle = part("antenna", "middle", gain_dbi=9.0, low_hz=1.7e9, high_hz=2.2e9, outdoor=True)
    found = only_antenna(module(bands=["3", "20"]), high, COAX, spots=[ROOF])
    assert rules(found) == [Rule.ANTENNA]
    assert isinstance(found, SetAside)
    assert needed(found) == "an antenna made for band 3 or 20"
    assert isinstance(only_antenna(module(bands=["3", "20"]), middle, COAX, spots=[ROOF]), Ranked)
    # Band 3 is not read yet, and band 20 is no band of the antenna.
    read_in_20 = [reading("roof", "001-01", -60.0, band="20")]
    found = only_antenna(module(), middle, COAX, spots=[ROOF], read=read_in_20)
    assert rules(found) == [Rule.READINGS]


def test_a_cable_of_unknown_length() -> None:
    wall = {"id": "hall", "name": "Hall", "place": "on_wall"}
    found = only_antenna(module(), WHIP, COAX, spots=[wall])
    assert rules(found) == [Rule.ANTENNA]
    assert isinstance(found, SetAside)
    assert needed(found) == "say the spot's cable_m"
    nowhere = {"id": "hall", "name": "Hall"}
    found = only_antenna(module(), spots=[nowhere])
    assert isinstance(found, SetAside)
    assert needed(found) == "say the spot's place, or its cable_m (0 in the panel)"


def test_at_the_panel_antennas_need_no_cable() -> None:
    for spot in (HALL, {"id": "hall", "name": "Hall", "cable_m": 0.0}):
        found = only_antenna(module(), WHIP, spots=[spot])
        assert isinstance(found, Ranked)
        assert found.antenna == Antenna(antenna="whip")
        assert found.margin_db == pytest.approx(12.0)  # 2 dBi, a standing wave ratio of 1
        assert any(
            x.startswith("enough too, and simpler: 10.0 dB at Hall (hall) with its own antenna")
            for x in found.reasons
        )


def test_a_cable_that_nobody_measured_is_taken_along_walls() -> None:
    floors = [
        {"id": "ground", "name": "Ground", "elevation_m": 0.0, "height_m": 3.0},
        {"id": "upper", "name": "Upper", "elevation_m": 3.0, "height_m": 3.0},
    ]
    panel = {"part": "panel_a", "floor": "ground", "at": [1.0, 1.0]}
    strong = [reading("hall", "001-01", -70.0)]

    def cable_m(floor: str, at: tuple[float, float], place: str | None = None) -> float:
        spot = {"id": "hall", "name": "Hall", "floor": floor, "at": at, "place": place}
        found = only_antenna(
            module(), WHIP, COAX, spots=[spot], floors=floors, panel=panel, read=strong
        )
        assert isinstance(found, Ranked)
        return found.antenna.cable_m

    assert cable_m("upper", (3.0, 5.0)) == pytest.approx(2.0 + 4.0 + 3.0 + 1.0)
    assert cable_m("upper", (1.0, 1.0)) == pytest.approx(3.0 + 1.0)  # above it is not at it
    assert cable_m("ground", (1.0, 2.9)) == 0.0  # within 2 m: at the panel
    assert cable_m("ground", (1.0, 3.1)) == pytest.approx(2.1 + 1.0)
    assert cable_m("ground", (1.0, 1.0), "above_ceiling") == pytest.approx(3.0 + 1.0)
    assert cable_m("upper", (1.0, 3.0), "above_ceiling") == pytest.approx(2.0 + 6.0 + 1.0)


def test_spots_and_antennas_may_be_asked_for() -> None:
    job = market(module(), service(), ROD, WHIP, COAX, spots=[HALL, ROOF])
    assert ranked(job, spots=["hall"], antennas=[BUILT_IN]).antenna == Antenna()
    assert ranked(job, spots=["hall"], antennas=["whip"]).antenna == Antenna(antenna="whip")
    assert ranked(job, spots=["roof"]).antenna == Antenna(
        antenna="rod", feeder="coax", cable_m=10.0
    )
    assert rules(the_only(choose(job, NOW, spots=["roof"], antennas=[BUILT_IN]))) == [Rule.ANTENNA]
    with pytest.raises(JobError, match="no spot 'attic'; the spots of the site: hall, roof"):
        choose(job, NOW, spots=["attic"])
    with pytest.raises(JobError, match="no antenna 'horn'"):
        choose(job, NOW, antennas=["horn"])


# Readings and margin


def test_nothing_read_is_undecided_and_says_what_to_read_first() -> None:
    parts = (module(), ROAMING, ROD, COAX)
    found = choose(market(*parts, spots=[ROOF, HALL], read=[]), NOW)
    aside = the_only(found)
    assert rules(aside) == [Rule.READINGS]
    assert found.undecided == (aside,)
    assert found.read_first[0] == (
        "No level is read yet: read Near (001-01), Far (001-02), 999-70 at Hall (hall), then at "
        "Roof (roof)."
    )
    assert needed(aside) == (  # type: ignore[arg-type]
        "read 2 of Near (001-01), Far (001-02), 999-70 in LTE at Roof (roof) or Hall (hall)"
    )


def test_where_one_more_network_is_enough_one_of_them_is_asked_for() -> None:
    near = [reading("hall", "001-01", -95.0)]
    found = choose(market(module(), ROAMING, read=near), NOW)
    assert needed(found.undecided[0]) == "read one of Far (001-02), 999-70 in LTE at Hall (hall)"
    assert found.read_first[0] == "Read Far (001-02), 999-70 in LTE at Hall (hall)."


def test_one_good_network_of_two_waits_for_a_reading() -> None:
    networks = NETWORKS[:2]
    near = [reading("hall", "001-01", -95.0)]
    found = choose(market(module(), ROAMING, networks=networks, read=near), NOW)
    aside = the_only(found)
    assert rules(aside) == [Rule.READINGS]
    assert "Read Far (001-02) in LTE at Hall (hall)." in found.read_first
    weak = [*near, reading("hall", "001-02", -108.0)]
    lacking = rejected(market(module(), ROAMING, networks=networks, read=weak))
    assert rules(lacking) == [Rule.MARGIN]
    assert text_of(lacking) == (
        "Far (001-02) lacks 3.0 dB of need and fade margin at Hall (hall) with its own antenna, "
        "where it has the most"
    )


def nothing_heard(spot: str, network: str, technology: str | None = "lte") -> dict[str, Any]:
    entry = reading(spot, network, -100.0)
    entry["id"] = f"nothing-{spot}-{network}"
    entry["values"] |= {"levels": [], "technology": technology, "band": None}
    return entry


def test_what_a_module_did_not_hear_itself_was_looked_for() -> None:
    own = {"id": "C", "part": "module", "spot": "hall"}
    silent = nothing_heard("hall", "001-01") | {"about": ["hall", "C"]}
    job = with_record(market(module(), service(), communicators=[own], read=[]), [silent])
    found = rejected(job)
    assert text_of(found) == "Near (001-01) was looked for at Hall (hall) and not heard"


@pytest.mark.parametrize("technology", ["lte", None])
def test_silence_through_a_modules_antenna_says_nothing_of_a_better_one(
    technology: str | None,
) -> None:
    own = {"id": "C", "part": "module", "spot": "hall"}
    silent = nothing_heard("hall", "001-01", technology) | {"about": ["hall", "C"]}
    job = market(module(), service(), ROD, WHIP, communicators=[own], read=[])
    heard_nothing = with_record(job, [silent])
    found = undecided(heard_nothing)
    assert rules(found) == [Rule.READINGS]
    assert text_of(found) == (
        "no level that counts is read of Near (001-01); Near (001-01) at Hall (hall): C heard "
        "nothing of it with its own antenna; read it with a survey instrument or the better antenna"
    )
    assert needed(found) == "read Near (001-01) in LTE at Hall (hall)"
    on_the_rod = with_record(
        market(module(), service(), ROD, WHIP, communicators=[own | {"antenna": "rod"}], read=[]),
        [silent],
    )
    assert rules(rejected(on_the_rod)) == [Rule.MARGIN]  # 3 dBi, and none has more
    now_and_then = nothing_heard("hall", "001-01") | {"about": ["hall", "C"]}
    levels = reading("hall", "001-01", -80.0)["values"]["levels"]
    now_and_then["values"]["series"] = [{"after_s": 10.0, "levels": levels}]
    assert rules(rejected(with_record(job, [now_and_then]))) == [Rule.MARGIN]
    read = ranked(with_record(job, [silent, reading("hall", "001-01", -95.0)]))
    assert read.antenna == Antenna(antenna="rod")
    assert read.margin_db == pytest.approx(13.0)


@pytest.mark.parametrize("technology", ["lte", None])
def test_a_network_that_was_not_heard_is_not_read_again(technology: str | None) -> None:
    silent = nothing_heard("hall", "001-01", technology)
    found = rejected(market(read=[silent]))
    assert rules(found) == [Rule.MARGIN]
    assert text_of(found) == "Near (001-01) was looked for at Hall (hall) and not heard"
    job = market(read=[silent, reading("hall", "001-01", -95.0)])
    if technology:  # it names the technology: one moment of two
        once = "Near (001-01): no network in 1 of 2 moments at Hall (hall)"
        assert text_of(rejected(job)) == once
    else:
        assert ranked(job).margin_db == pytest.approx(10.0)
    both = module(technologies=["lte", "gsm"])  # GSM was not looked for, unless nobody said
    again = the_only(choose(market(both, service(), read=[silent]), NOW))
    assert rules(again) == [Rule.READINGS if technology else Rule.MARGIN]
    assert isinstance(again, SetAside)
    if technology:
        assert needed(again) == "read Near (001-01) in GSM at Hall (hall)"


def test_what_was_read_and_tells_no_level_is_said() -> None:
    bars = nothing_heard("hall", "001-01")
    bars["values"]["step"] = "3 bars"
    found = undecided(market(read=[bars]))
    assert text_of(found) == (
        "no level that counts is read of Near (001-01); Near (001-01) at Hall (hall): only read "
        "as steps of a scale without levels (3 bars): read it in dBm"
    )
    old = {**reading("hall", "001-01", -80.0), "at": "2025-11-01T10:00:00+00:00"}
    assert text_of(undecided(market(read=[old]))).endswith(
        "what was read is too old: the last on 2025-11-01, and a reading counts for 365 days"
    )


def test_lte_says_nothing_of_lte_m_that_was_looked_for_in_vain() -> None:
    lte, card = reading("hall", "999-70", -80.0, band="8"), service(networks=["999-70"])
    part_ = module(technologies=["lte_m"])
    assert ranked(market(part_, card, read=[lte])).open[-1].rule is Rule.READINGS
    silent = nothing_heard("hall", "999-70", "lte_m")
    found = rejected(market(part_, card, read=[lte, silent]))
    assert text_of(found) == "999-70 was looked for at Hall (hall) and not heard"


def test_what_lacks_least_is_said_where_elsewhere_nothing_was_heard() -> None:
    read = [nothing_heard("hall", "001-01"), reading("roof", "001-01", -130.0)]
    found = rejected(market(module(), service(), ROD, COAX, spots=[HALL, ROOF], read=read))
    assert text_of(found).startswith("Near (001-01) lacks ")


def test_a_steered_card_needs_as_many_networks_as_a_roaming_one() -> None:
    read = [reading("hall", "001-01", -80.0), reading("hall", "001-02", -95.0)]
    steered = service(sim_kind="steered", networks=["001-01", "001-02"])
    assert ranked(market(module(), steered, read=read)).network == "001-02"


def test_a_bad_network_is_not_saved_by_one_that_is_not_read() -> None:
    """Two are needed and two there are: one is bad, so the other cannot help."""
    bad = [reading("hall", "001-01", -115.0)]
    found = rejected(market(module(), ROAMING, networks=NETWORKS[:2], read=bad))
    assert rules(found) == [Rule.MARGIN]


def test_the_second_best_network_decides_for_a_roaming_card() -> None:
    read = [
        reading("hall", "001-01", -85.0),
        reading("hall", "001-02", -100.0),
        reading("hall", "999-70", -125.0, band="8"),
    ]
    found = ranked(market(module(), ROAMING, read=read))
    assert (found.network, found.margin_db) == ("001-02", pytest.approx(5.0))


def test_a_level_carried_over_from_lte_is_open() -> None:
    card = service(networks=["999-70"])
    strong = [reading("hall", "999-70", -60.0, band="8")]
    found = ranked(market(module(technologies=["lte_m"]), card, read=strong))
    (note,) = [r for r in found.open if r.rule is Rule.READINGS]
    assert note.would_need == "read 999-70 in LTE-M at Hall (hall)"
    assert note.text == (
        "no level is read of 999-70 in LTE-M at Hall (hall): it is carried over from LTE"
    )
    job = market(module(technologies=["lte_m"]), card, read=strong)
    assert "Read 999-70 in LTE-M at Hall (hall)." in choose(job, NOW).read_first
    itself = [reading("hall", "999-70", -60.0, "lte_m", band="8")]
    found = ranked(market(module(technologies=["lte_m"]), card, read=itself))
    assert Rule.READINGS not in [r.rule for r in found.open]


def test_a_lacking_margin_is_rounded_up_so_that_so_much_more_is_enough() -> None:
    found = rejected(market(read=[reading("hall", "001-01", -105.02)]))
    assert needed(found).startswith("0.1 dB more of each of its networks at Hall (hall)")


def test_a_limit_from_memory_leaves_it_undecided() -> None:
    found = undecided(market(limits={"lte_need_rsrp_dbm": {"source": MEMORY}}))
    assert rules(found) == [Rule.MARGIN]
    assert "lte_need_rsrp_dbm is from memory" in text_of(found)


def test_an_old_reading_does_not_count() -> None:
    found = choose(market(), NOW + timedelta(days=4000))
    assert Rule.READINGS in {r.rule for a in found.undecided for r in a.reasons}


def test_the_spot_with_the_most_margin_is_listed() -> None:
    read = [reading("hall", "001-01", -95.0), reading("roof", "001-01", -80.0)]
    job = market(module(), service(), ROD, COAX, spots=[HALL, ROOF], read=read)
    assert ranked(job).spot == "roof"
    near = [reading("hall", "001-01", -80.0), reading("roof", "001-01", -80.0)]
    job = market(module(), service(), ROD, COAX, spots=[HALL, ROOF], read=near)
    assert ranked(job).spot == "hall"  # the cable costs more than nothing


# A second path

TWO_PATHS = {"mobile_paths": {"value": 2}}


def test_a_second_path_is_the_sites_own_where_it_shares_nothing() -> None:
    second = {
        "id": "S",
        "part": "module",
        "role": "second",
        "sim": {"kind": "fixed", "networks": ["001-02"]},
    }
    found = ranked(market(communicators=[second], limits=TWO_PATHS))
    assert found.second is not None
    assert (found.second.offer.part, found.second.offer.service) == ("module", None)
    assert found.second.offer.networks == ("001-02",)
    assert (found.second.fitted, found.second.yearly_cost) == (True, None)
    assert found.pair_yearly_cost is None
    named = {**second, "service": "fixed_2"}
    fixed_2 = service("fixed_2", networks=["001-02"], yearly_cost=50.0)
    job = market(module(), service(), fixed_2, communicators=[named], limits=TWO_PATHS)
    first = of_part(choose(job, NOW), "module", "fixed_1")
    assert isinstance(first, Ranked)
    assert (first.yearly_cost, first.pair_yearly_cost) == (70.0, 160.0)  # 40 + 30, and 40 + 50
    assert ranked(market(communicators=[second])).second is None  # nobody asked for one
    shares = {**second, "sim": {"kind": "fixed", "networks": ["001-01"]}}
    assert rules(rejected(market(communicators=[shares], limits=TWO_PATHS))) == [Rule.SECOND_PATH]
    ended = {**second, "state": "ended"}
    assert rules(rejected(market(communicators=[ended], limits=TWO_PATHS))) == [Rule.SECOND_PATH]


def test_a_second_path_is_the_best_other_offer_that_shares_nothing() -> None:
    job = market(
        module(),
        service(networks=["001-01", "001-02"]),
        service("dearer", networks=["999-70"], yearly_cost=50.0),
        ROAMING,
        limits=TWO_PATHS,
    )
    found = choose(job, NOW)
    seconds = {r.offer.networks: r.second for r in found.ranked}
    assert {n: s.offer.networks for n, s in seconds.items() if s is not None} == {
        ("001-01",): ("001-02",),
        ("001-02",): ("001-01",),
        ("999-70",): ("001-01",),
    }
    all_networks = of_part(found, "module", "roaming")
    assert rules(all_networks) == [Rule.SECOND_PATH]


def test_two_paths_stand_in_the_order_of_what_both_cost() -> None:
    """The cheapest alone shares its networks with the next, so its second path is a dear one."""
    job = market(
        module(yearly_cost=0.0),
        service("wide", sim_kind="roaming", networks=["001-01", "001-02"], yearly_cost=40.0),
        service("fixed_1", yearly_cost=50.0),
        service("fixed_2", networks=["001-02"], yearly_cost=52.0),
        service("fixed_3", networks=["999-70"], yearly_cost=90.0),
        limits=TWO_PATHS,
    )
    found = choose(job, NOW).ranked
    pairs = [(r.offer.service, r.second and r.second.offer.service) for r in found]
    assert pairs == [
        ("fixed_1", "fixed_2"),
        ("fixed_2", "fixed_1"),
        ("fixed_3", "wide"),
        ("wide", "fixed_3"),
    ]
    assert [r.pair_yearly_cost for r in found] == [102.0, 102.0, 130.0, 130.0]
    assert [r.yearly_cost for r in found] == [50.0, 52.0, 90.0, 40.0]
    assert found[2].reasons[0] == (
        "costs with its second path 28.00 EUR a year more than the first"
    )


def test_a_second_path_that_may_yet_be_is_undecided() -> None:
    read = [reading("hall", "001-01", -95.0)]
    job = market(module(), service(networks=["001-01", "001-02"]), read=read, limits=TWO_PATHS)
    found = choose(job, NOW)
    assert [(a.offer.networks, rules(a)) for a in found.undecided] == [
        (("001-01",), [Rule.SECOND_PATH]),
        (("001-02",), [Rule.READINGS]),
    ]


# Order and ties


def test_cost_goes_before_margin_and_unknown_cost_comes_last() -> None:
    job = market(
        module("dear", yearly_cost=50.0, antenna_gain_dbi=5.0),
        module("cheap", yearly_cost=20.0, antenna_gain_dbi=-5.0),
        module("unsaid", yearly_cost=None, antenna_gain_dbi=9.0),
        module("cheap_too", yearly_cost=20.0, antenna_gain_dbi=4.0),
        service(),
    )
    found = choose(job, NOW).ranked
    assert [r.offer.part for r in found] == ["cheap_too", "cheap", "dear", "unsaid"]
    assert [r.margin_db for r in found] == pytest.approx([14.0, 5.0, 15.0, 19.0])
    assert [r.reasons[0] for r in found] == [
        "9.0 dB more than the next, cheap with fixed_1 on 001-01, at the same cost",
        "9.0 dB less than the first at the same cost",
        "costs 30.00 EUR a year more than the first",
        "its yearly cost is not known, so it stands after those whose cost is",
    ]
    assert not any(r.tied for r in found)


def test_a_tie_is_said_where_the_odds_are_near_one_half() -> None:
    """Spread of a single reading 6 dB and half a bin of 0.5 dB: of two 8.51 dB.

    Odds of 0.6 are 0.2533 standard deviations (normal distribution), which makes 2.16 dB.
    """
    spread_db = math.sqrt(2.0) * math.hypot(6.0, 0.5)
    limit_db = 0.2533 * spread_db
    for apart_db, tied in ((limit_db - 0.05, True), (limit_db + 0.05, False), (0.0, True)):
        job = market(module("a"), module("b", antenna_gain_dbi=-apart_db), service())
        found = choose(job, NOW).ranked
        assert [r.offer.part for r in found] == ["a", "b"]
        assert [r.tied for r in found] == [tied, tied]
    assert found[1].reasons[0].startswith("as much margin as the first at the same cost")


def test_where_a_rejected_one_would_stand_if_everything_were_lifted() -> None:
    def then(cost: float | None, first: float | None = 40.0) -> str:
        out = module("out", bands=["28"], yearly_cost=cost)
        job = market(module(yearly_cost=first), out, service())
        aside = of_part(choose(job, NOW), "out")
        assert isinstance(aside, SetAside)
        return aside.then

    assert then(30.0) == "would come before the first, 10.00 EUR a year cheaper"
    assert then(50.5) == "would stand after the first, 10.50 EUR a year dearer"
    assert then(40.0) == "would cost as much as the first, so the margin would decide"
    assert then(None) == "would stand after the first, as its yearly cost is not known"
    assert then(40.0, None) == "would come first, as its yearly cost is known"
    assert rejected(market(module(bands=["28"]), service())).then == ""


def test_dearer_ones_never_tie() -> None:
    found = choose(market(module("a"), module("b", yearly_cost=40.01), service()), NOW).ranked
    assert [r.tied for r in found] == [False, False]


# What is fitted already


def test_what_is_fitted_is_judged_by_its_own_mobile_link() -> None:
    main = {
        "id": "C",
        "part": "module",
        "spot": "roof",
        "sim": {"kind": "fixed", "networks": ["001-01"]},
        "antenna": "rod",
        "feeder": {"part": "coax", "length_m": 3.0},
        "antenna_near_metal": True,
    }
    job = market(
        module(), service(), ROD, COAX, spots=[HALL, ROOF], communicators=[main], read=GOOD
    )
    link = assess(job, NOW).link("mobile:C")
    assert link.margin is not None
    found = ranked(job, spots=["roof"])
    assert found.fitted
    assert found.antenna == Antenna(antenna="rod", feeder="coax", cable_m=3.0)
    assert found.margin_db == pytest.approx(link.margin.value)
    assert found.network == "001-01"
    other = ranked(job)  # in the hall without metal
    assert not other.fitted
    assert any(x.startswith("fitted now: ") for x in other.reasons)


def test_an_unread_band_is_one_of_the_card_s_networks_as_in_the_mobile_link() -> None:
    # the coax loses least in band 20, and the card's network has no other; the site's others do
    read = [reading("roof", "001-01", -95.0, band=None)]
    networks = [NETWORKS[0] | {"bands": ["20"]}, *NETWORKS[1:]]
    parts = (module(bands=["3", "8", "20"]), service(), ROD, COAX)
    job = market(*parts, spots=[ROOF], networks=networks, read=read)
    chosen = choose(job, NOW).ranked[0]
    link = assess(take(job, chosen).job, NOW).link("mobile:main")
    assert link.margin is not None
    assert chosen.margin_db == pytest.approx(link.margin.value)


def test_an_antenna_that_stays_hangs_as_it_does_for_whatever_module_comes() -> None:
    sim = {"kind": "fixed", "networks": ["001-01"]}
    main = {"id": "C", "part": "old", "spot": "hall", "sim": sim, "antenna": "rod"}

    def margin_db(**hung: bool) -> float:
        parts = (module(), part("communicator", "old", technologies=["gsm"]), service(), ROD)
        job = market(*parts, communicators=[main | hung])
        return choose(job, NOW, antennas=["rod"]).ranked[0].margin_db

    # house values (practice): 3 dB across its direction, 6 dB near metal
    assert margin_db(antenna_crossed=True) == pytest.approx(margin_db() - 3.0)
    assert margin_db(antenna_near_metal=True) == pytest.approx(margin_db() - 6.0)


def test_of_two_networks_with_the_same_margin_choice_and_link_name_the_same() -> None:
    job = market(module(), ROAMING, spots=[HALL])
    chosen = choose(job, NOW).ranked[0]
    link = assess(take(job, chosen).job, NOW).link("mobile:main")
    assert chosen.margin_db == pytest.approx(10.0)
    assert link.network == chosen.network


def test_choice_and_link_take_rsrp_for_the_one_technology_it_can_be() -> None:
    untold = reading("hall", "001-01", -95.0)
    untold["values"]["technology"] = None
    networks = [NETWORKS[0] | {"technologies": ["lte_m", "gsm"]}]
    card = service()
    job = market(module(technologies=["lte_m"]), card, networks=networks, read=[untold])
    chosen = ranked(job)
    assert not chosen.open or chosen.open[-1].rule is not Rule.READINGS  # not carried over
    link = assess(take(job, chosen).job, NOW).link("mobile:main")
    assert link.margin is not None
    assert chosen.margin_db == pytest.approx(link.margin.value)
    only_lte = market(module(technologies=["lte"]), card, networks=networks, read=[untold])
    assert not choose(only_lte, NOW).ranked


def fitted_services(job: Job) -> list[str | None]:
    return [r.offer.service for r in choose(job, NOW).ranked if r.fitted]


def test_the_service_that_the_site_names_is_the_one_that_is_fitted() -> None:
    main = {
        "id": "C",
        "part": "module",
        "sim": {"kind": "fixed", "networks": ["001-01"]},
        "spot": "hall",
    }
    cards = [service(f"fixed_{n}", yearly_cost=20.0 + n) for n in range(4)]

    def with_main(**more: Any) -> Job:
        return market(module(), *cards, communicators=[{**main, **more}])

    assert fitted_services(with_main(service="fixed_2")) == ["fixed_2"]
    assert fitted_services(with_main()) == ["fixed_0"]  # the cheapest that it may come with
    other = service("fixed_9", sim_kind="fixed", networks=["001-02"])
    job = market(module(), *cards, other, communicators=[{**main, "service": "fixed_9"}])
    assert fitted_services(job) == []  # it is for another network than the card


def test_what_the_module_read_itself_counts_for_every_offer_at_its_spot() -> None:
    main = {
        "id": "C",
        "part": "module",
        "spot": "hall",
        "sim": {"kind": "fixed", "networks": ["001-01"]},
    }
    read = [reading("hall", "001-01", -100.0), {**reading("C", "001-01", -88.0), "id": "own"}]
    job = market(module(), module("other"), service(), read=[], communicators=[main])
    job = with_record(job, read)
    found = choose(job, NOW)
    fitted, other = of_part(found, "module"), of_part(found, "other")
    assert isinstance(fitted, Ranked)
    assert isinstance(other, Ranked)
    link = assess(job, NOW).link("mobile:C")
    assert link.margin is not None
    assert fitted.margin_db == pytest.approx(link.margin.value)
    assert (fitted.fitted, fitted.network) == (True, "001-01")
    assert other.margin_db == pytest.approx(5.0)  # the weaker of two readings counts
    own_only = choose(with_record(job, read[1:]), NOW)
    other = of_part(own_only, "other")
    assert isinstance(other, Ranked)
    assert other.margin_db == pytest.approx(17.0)


def test_an_offer_that_rests_on_what_its_change_voids_is_open() -> None:
    sim = {"kind": "fixed", "networks": ["001-01"]}
    main = {"id": "C", "part": "module", "spot": "hall", "sim": sim}
    site = market(module(), module("other", yearly_cost=10.0), service(), communicators=[main])
    own = reading("C", "001-01", -88.0)
    plain = {k: own[k] for k in ("values", "about")}
    job = with_entry(with_record(site, []), ["mobile:C"], kind="reading", **plain)
    found = choose(job, NOW)
    stays, other = of_part(found, "module"), of_part(found, "other")
    assert isinstance(stays, Ranked)
    assert isinstance(other, Ranked)
    assert Rule.READINGS not in [r.rule for r in stays.open]
    voided = next(r for r in other.open if r.rule is Rule.READINGS)
    assert voided.text == (
        "rests on what C read of Near (001-01) with its own antenna on 2026-11-20, which does not "
        "count for another module, card or antenna"
    )
    again = (
        "read Near (001-01) in LTE at Hall (hall) again once it hangs, or with a survey instrument "
        "before"
    )
    assert voided.would_need == again
    assert f"R{again[1:]}." in found.read_first
    taken = take(job, other)
    ctx = Context(taken.job, NOW, None, leave_out_later=False)
    assert assess(taken.job, NOW).link("mobile:C").word is Word.UNDECIDED
    text = next_proof(ctx, taken.job.site.communicators[0]).text
    assert "What C read before, last on 2026-11-20, no longer counts for it" in text
    both = [*job.record, reading("hall", "001-01", -95.0)]
    surveyed = of_part(choose(with_record(job, [as_json(e) for e in both]), NOW), "other")
    assert isinstance(surveyed, Ranked)
    assert Rule.READINGS not in [r.rule for r in surveyed.open]  # the weaker one decides


def as_json(entry: Any) -> dict[str, Any]:
    found: dict[str, Any] = entry if isinstance(entry, dict) else entry.model_dump(mode="json")
    return found


def test_a_failure_that_was_measured_is_not_dodged_by_another_cable() -> None:
    main = {
        "id": "C",
        "part": "module",
        "spot": "hall",
        "sim": {"kind": "fixed", "networks": ["001-01"]},
        "antenna": "whip",
    }
    read = [reading("hall", "001-01", -95.0), {**reading("C", "001-01", -120.0), "id": "own"}]
    job = market(module(), service(), WHIP, ROD, COAX, read=[], communicators=[main])
    found = rejected(with_record(job, read))
    assert rules(found) == [Rule.MARGIN]
    # the whip of 2 dBi is on the socket: -120 - 2 = -122 dBm at 0 dBi; the rod with 3 dBi has
    # -119 dBm, 14 dB below the -105 dBm asked
    assert text_of(found) == (
        "Near (001-01) lacks 14.0 dB of need and fade margin at Hall (hall) with rod, "
        "where it has the most"
    )


def test_moments_without_a_network_count_as_below_anything() -> None:
    watch = reading("hall", "001-01", -95.0)
    levels = watch["values"]["levels"]
    watch["values"]["series"] = [
        {"after_s": 10.0 * i, "levels": [] if i <= 4 else levels} for i in range(1, 31)
    ]
    found = rejected(market(read=[watch]))
    assert rules(found) == [Rule.MARGIN]
    assert text_of(found) == "Near (001-01): no network in 4 of 31 moments at Hall (hall)"
    watch["values"]["series"][0]["levels"] = levels
    assert ranked(market(read=[watch])).margin_db == pytest.approx(10.0)


def test_what_is_fitted_lends_no_margin_from_what_ends() -> None:
    main = {
        "id": "C",
        "part": "both",
        "spot": "hall",
        "sim": {"kind": "fixed", "networks": ["001-01"]},
    }
    own = [
        {**reading("C", "001-01", -60.0, "gsm"), "id": "own-gsm"},
        {**reading("C", "001-01", -99.0), "id": "own-lte"},
    ]
    gsm_ends = {"network": "001-01", "technology": "gsm", "ends_on": "2028-01-01"}
    parts = (module("both", technologies=["lte", "gsm"]), service())
    job = market(*parts, communicators=[main], retirements=[gsm_ends], read=[])
    job = with_record(job, own)
    link = assess(job, NOW).link("mobile:C")
    assert link.margin is not None
    assert link.margin.value > 20.0  # today GSM is there
    found = ranked(job)
    assert found.fitted
    assert found.margin_db == pytest.approx(6.0)


# All of it


def test_nothing_considered_is_no_choice() -> None:
    assert assess(make_job(), NOW).choice is None
    job = market()
    assert assess(job, NOW).choice == choose(job, NOW)
    assert assess(job, NOW).as_dict()["choice"]["ranked"][0]["part"] == "module"


def test_no_communicators_among_what_is_considered() -> None:
    found = choose(market(service(), ROD), NOW)
    assert (found.ranked, found.undecided, found.rejected) == ((), (), ())
    assert "Say which communicators are considered." in found.read_first


def test_later_entries_are_refused_unless_left_out() -> None:
    early = NOW - timedelta(days=30)
    with pytest.raises(JobError):
        choose(market(), early)
    found = choose(market(), early, leave_out_later=True)
    assert [rules(a) for a in found.undecided] == [[Rule.READINGS]]


def test_the_shape_for_other_programs() -> None:
    data = choose(market(module(), module("gone", panels=["panel_b"]), service()), NOW).as_dict()
    (first,) = data["ranked"]
    assert first["part"] == "module"
    assert first["networks"] == ["001-01"]
    assert first["antenna"] == "built_in"
    assert first["margin"] == {"value": pytest.approx(10.0), "unit": "dB"}
    assert first["yearly_cost"] == 70.0
    (gone,) = data["rejected"]
    assert gone["reasons"] == [
        {
            "rule": "panel",
            "text": "gone fits panel_b, not the site's panel panel_a",
            "would_need": "a panel that it fits: panel_b",
        }
    ]
