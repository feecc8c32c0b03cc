"""A chosen offer taken into the job: what it changes, what it drops and which evidence is void."""

import json
from typing import Any

import pytest

from pathproof.assess.choice import Antenna, Offer, Ranked
from pathproof.assess.taking import Change, take
from pathproof.job import Job, parse_job, shipped
from pathproof.job.considering import considering
from pathproof.simulate import demo_json
from pathproof.terms import AccountState, SimKind

FEEDER = Antenna(antenna="whip_antenna", feeder="coax_rg213", cable_m=11.0)
"""What hangs in the demo."""


def job(**main: Any) -> Job:
    """The demo with everything considered, its communicator changed."""
    data = json.loads(demo_json())
    data["site"]["communicators"][0] |= main
    return considering(parse_job(json.dumps(data)), shipped())


def ranked(
    part: str = "lte_cat1_module",
    kind: SimKind = SimKind.ROAMING,
    networks: tuple[str, ...] = ("001-01", "999-70", "001-02"),
    spot: str = "landing_window",
    antenna: Antenna = FEEDER,
    service: str = "roaming_card",
) -> Ranked:
    return Ranked(
        offer=Offer(part=part, service=service, sim_kind=kind, networks=networks),
        spot=spot,
        antenna=antenna,
        margin_db=3.0,
        network=networks[0],
        spread_db=6.0,
        yearly_cost=70.0,
        fitted=False,
        tied=False,
        second=None,
        reasons=(),
        open=(),
    )


def test_what_is_fitted_stays_to_the_letter() -> None:
    before = job()
    taken = take(before, ranked())
    assert taken.job == before
    assert (taken.changes, taken.dropped, taken.voided) == ((), (), ())


def test_the_job_that_is_given_stays_as_it_is() -> None:
    before, same = job(), job()
    take(before, ranked(part="lte_m_module"))
    assert before == same


def test_a_card_that_may_use_more_networks_than_the_site_has_can_be_taken() -> None:
    abroad = ("999-98", "001-01", "999-70", "001-02")
    same, other = ranked(networks=abroad), ranked(kind=SimKind.STEERED, networks=abroad)
    assert take(job(), same).job == job()
    taken = take(job(), other).job
    assert parse_job(taken.model_dump_json()).site == taken.site
    (card,) = [c.sim for c in taken.site.communicators]
    assert card is not None
    assert card.networks == ["001-01", "999-70", "001-02"]


@pytest.mark.parametrize(
    ("offer", "kept", "lost"),
    [
        (ranked(), ["imei", "iccid", "account", "state"], []),
        (ranked(spot="panel_room", antenna=Antenna()), ["imei", "iccid", "account", "state"], []),
        (ranked(part="lte_m_module"), ["iccid"], ["imei", "account", "state"]),
        (
            ranked(kind=SimKind.FIXED, networks=("001-01",)),
            ["imei"],
            ["iccid", "account", "state"],
        ),
        (
            ranked(part="lte_m_module", kind=SimKind.STEERED),
            [],
            ["imei", "iccid", "account", "state"],
        ),
    ],
)
def test_what_is_known_stays_with_part_and_card(
    offer: Ranked, kept: list[str], lost: list[str]
) -> None:
    before = job()
    old = _known(before)
    taken = take(before, offer)
    new = _known(taken.job)
    assert {n for n in new if new[n] == old[n]} == set(kept)
    assert all(new[n] is None for n in lost if n != "state")
    assert (new["state"] is AccountState.ORDERED) == ("state" in lost)
    assert {c.what.lower() for c in taken.dropped} == set(lost)
    main = taken.job.site.communicators[0]
    assert (main.id, main.centre) == ("main", before.site.communicators[0].centre)


def _known(of: Job) -> dict[str, Any]:
    main = of.site.communicators[0]
    iccid = None if main.sim is None else main.sim.iccid
    return {"imei": main.imei, "iccid": iccid, "account": main.account, "state": main.state}


def test_another_service_for_the_same_kind_of_card_is_a_change_and_drops_nothing() -> None:
    taken = take(job(), ranked(service="other_card"))
    assert taken.job.site.communicators[0].service == "other_card"
    assert taken.changes == (Change(what="service", before="roaming_card", now="other_card"),)
    assert (taken.dropped, taken.voided) == ((), ())


def test_a_fixed_card_of_another_network_is_another_card() -> None:
    card = {"kind": "fixed", "networks": ["001-01"], "iccid": "8999970001200734514"}
    same = take(job(sim=card), ranked(kind=SimKind.FIXED, networks=("001-01",)))
    assert same.dropped == ()
    other = take(job(sim=card), ranked(kind=SimKind.FIXED, networks=("001-02",)))
    assert "ICCID" in {c.what for c in other.dropped}
    sim = other.job.site.communicators[0].sim
    assert sim is not None
    assert (sim.networks, sim.iccid) == (["001-02"], None)


def test_a_card_that_may_use_all_networks_of_the_site_is_not_rewritten() -> None:
    before = job(sim={"kind": "roaming"})
    taken = take(before, ranked(networks=("001-02", "001-01", "999-70")))
    assert taken.job == before


def test_networks_of_the_card_are_those_of_the_offer() -> None:
    two = {"kind": "roaming", "networks": ["001-01", "999-70"]}
    taken = take(job(sim=two), ranked(networks=("001-01", "001-02", "999-70")))
    assert taken.changes == (
        Change(what="card", before="roaming 001-01 999-70", now="roaming 001-01 001-02 999-70"),
    )


def test_antenna_feeder_and_spot() -> None:
    moved = take(job(), ranked(spot="panel_room", antenna=Antenna())).job.site.communicators[0]
    assert (moved.antenna, moved.feeder, moved.spot) == (None, None, "panel_room")
    longer = Antenna(antenna="whip_antenna", feeder="coax_rg213", cable_m=12.0)
    feeder = take(job(), ranked(antenna=longer)).job.site.communicators[0].feeder
    assert feeder is not None
    assert (feeder.part, feeder.length_m, feeder.connectors) == ("coax_rg213", 12.0, 2)


def test_the_run_that_hangs_keeps_its_connectors() -> None:
    run = {"part": "coax_rg213", "length_m": 11.0, "connectors": 4}
    same = take(job(feeder=run), ranked()).job.site.communicators[0].feeder
    assert same is not None
    assert same.connectors == 4


def test_how_an_antenna_hangs_is_known_only_where_it_stays() -> None:
    crossed = {"antenna_crossed": True, "antenna_near_metal": True}
    stays = take(job(**crossed), ranked(part="lte_m_module"))
    assert stays.job.site.communicators[0].antenna_crossed
    moved = take(job(**crossed), ranked(spot="office_window"))
    assert not moved.job.site.communicators[0].antenna_crossed
    hung = Change(what="allowances", before="crossed and near metal", now="none")
    assert hung in moved.changes


# docs/job_file.md, "What voids an entry": module, card, antenna, feeder and spot are covered by the
# mobile fingerprint, the path by every event over it, the module as a load by the supply test.
def test_evidence_of_the_old_module_is_void_and_no_other() -> None:
    before = job()
    taken = take(before, ranked(part="lte_m_module"))
    voided = {v.entry for v in taken.voided}
    kinds = {e.id: e.kind for e in before.record}
    assert {kinds[i] for i in voided} == {"reading", "event", "supply_test"}
    assert voided >= {"module-01", "module-02"}
    spots = {e.id for e in before.record if e.id.startswith("reading-")}
    walks = {e.id for e in before.record if e.kind in ("walk", "level")}
    assert not voided & (spots | walks)


def test_a_moved_antenna_voids_readings_but_no_supply_test() -> None:
    taken = take(job(), ranked(spot="office_window"))
    assert {"mobile:main"} == {n for v in taken.voided if v.kind == "reading" for n in v.names}
    assert "supply_test" not in {v.kind for v in taken.voided}


def test_a_site_without_a_communicator_gets_one() -> None:
    before = job()
    site = before.site.model_copy(update={"communicators": []})
    taken = take(before.model_copy(update={"site": site}), ranked())
    (main,) = taken.job.site.communicators
    assert (main.id, main.state) == ("main", AccountState.ORDERED)
    what = {"part", "card", "service", "antenna", "feeder", "spot"}
    assert {c.what for c in taken.changes} == what
    assert taken.dropped == ()


def test_an_ended_account_and_a_second_path_are_left_alone() -> None:
    before = job(state="ended")
    taken = take(before, ranked(part="lte_m_module"))
    old, new = taken.job.site.communicators
    assert old == before.site.communicators[0]
    assert (new.id, new.part) == ("main_2", "lte_m_module")
    second = take(job(role="second"), ranked(part="lte_m_module"))
    assert [c.part for c in second.job.site.communicators] == ["lte_cat1_module", "lte_m_module"]
