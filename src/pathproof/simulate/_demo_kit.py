"""What hangs in the demo's building: panel, devices, zones, networks and communicator."""

from datetime import date

from pathproof.job import (
    Communicator,
    Device,
    Network,
    Panel,
    Partition,
    Place,
    Repeater,
    Retirement,
    Sim,
    Source,
    Spot,
    Zone,
)
from pathproof.job.site import CableRun, FeederRun, FittedBattery, Reporting, Supply
from pathproof.simulate._demo_building import CELLAR, GROUND, UPPER
from pathproof.terms import (
    AccountState,
    AntennaPlace,
    Evidence,
    Mounting,
    SignalKind,
    SimKind,
    SupplyKind,
    Technology,
    ZoneKind,
)

NEAR, ROAMED, FAR = "001-01", "999-70", "001-02"
"""Three invented networks; the card may use all of them."""
FITTED_ON = date(2026, 10, 5)

_SHOP, _WORKS = "shop_side", "works_side"


def partitions() -> list[Partition]:
    """The two parts that are set on their own."""
    return [
        Partition(id=_SHOP, name="Shop and offices", number=1),
        Partition(id=_WORKS, name="Dairy, cellar and yard", number=2),
    ]


def signal_codes() -> dict[SignalKind, str]:
    """Codes due at the centre for signals other than alarms, by ANSI/SIA DC-05."""
    return {
        SignalKind.TAMPER: "144",
        SignalKind.SUPERVISION: "381",
        SignalKind.LOW_BATTERY: "384",
        SignalKind.MAINS_FAIL: "301",
        SignalKind.PATH_FAIL: "350",
        SignalKind.SET: "401",
        SignalKind.UNSET: "401",
    }


def zones() -> list[Zone]:
    """The zones, with the event code that the centre is to receive for each."""
    immediate, follower = ZoneKind.IMMEDIATE, ZoneKind.FOLLOWER
    rows = [
        ("z_shop_door", "Shop door", ZoneKind.ENTRY_EXIT, _SHOP, "134"),
        ("z_back_door", "Back door", ZoneKind.ENTRY_EXIT, _SHOP, "134"),
        ("z_shop", "Shop", follower, _SHOP, "132"),
        ("z_shop_glass", "Shop windows", immediate, _SHOP, "131"),
        ("z_upper", "Office and loft store", immediate, _SHOP, "132"),
        ("z_dairy", "Dairy", immediate, _WORKS, "130"),
        ("z_cellar", "Ripening cellar", immediate, _WORKS, "132"),
        ("z_packing", "Packing room", immediate, _WORKS, "130"),
        ("z_cold_store", "Cold store door", immediate, _WORKS, "131"),
        ("z_hold_up", "Hold-up", ZoneKind.HOLD_UP, _SHOP, "122"),
        ("z_fire", "Fire", ZoneKind.FIRE, _SHOP, "110"),
        ("z_water", "Water in the cellar", ZoneKind.TECHNICAL, _WORKS, "154"),
    ]
    return [
        Zone(id=zone_id, number=n, name=name, kind=kind, partition=partition, event=event)
        for n, (zone_id, name, kind, partition, event) in enumerate(rows, start=1)
    ]


def panel() -> Panel:
    """The panel in the small room off the hall, where the router hangs too."""
    return Panel(
        part="lark_wren_panel",
        floor=GROUND,
        at=(5.8, 6.2),
        height_m=1.7,
        mounting=Mounting.MASONRY,
        near_electronics=True,
        candidates=[
            Place(floor=UPPER, at=(3.3, 8.0), height_m=1.7),
            Place(floor=GROUND, at=(6.3, 9.6), height_m=2.2),
        ],
    )


def devices() -> list[Device]:
    """All devices; the back door's contact is wired, the others are wireless."""
    return [*_shop_side(), *_works_side()]


def _shop_side() -> list[Device]:
    return [
        _device("shop_door", "Shop door", "lark_contact", "z_shop_door", GROUND, (2.5, 0.3), 2.1),
        _device("back_door", "Back door", "wired_contact", "z_back_door", GROUND, (2.7, 9.7), 2.1),
        _device("shop_motion", "Shop", "lark_motion", "z_shop", GROUND, (0.4, 4.7), 2.3,
                Mounting.MASONRY),
        _device("shop_glass", "Shop windows", "lark_glass_break", "z_shop_glass", GROUND,
                (5.6, 2.4), 2.9, Mounting.PLASTERBOARD),
        _device("tasting_glass", "Tasting room windows", "lark_glass_break", "z_shop_glass",
                GROUND, (11.4, 2.4), 2.9, Mounting.PLASTERBOARD),
        _device("counter_button", "Button under the counter", "lark_hold_up_button", "z_hold_up",
                GROUND, (6.8, 3.8), 0.7, Mounting.WOOD),
        _device("pendant", "Pendant of whoever is in the shop", "lark_hold_up_pendant",
                "z_hold_up", GROUND, (13.4, 1.0), 1.2, carried=True),
        _device("keypad", "Keypad in the hall", "lark_keypad", "z_hold_up", GROUND, (3.3, 9.6),
                1.4, Mounting.MASONRY),
        _device("landing_sounder", "Sounder on the landing", "lark_sounder_indoor", None, UPPER,
                (3.3, 5.4), 2.2, Mounting.PLASTERBOARD),
        _device("office_motion", "Office", "lark_motion", "z_upper", UPPER, (5.7, 0.4), 2.3,
                Mounting.MASONRY),
        _device("loft_motion", "Loft store", "wren_motion", "z_upper", UPPER, (13.6, 9.6), 2.3,
                Mounting.MASONRY),
        _device("landing_smoke", "Landing, ceiling", "lark_smoke", "z_fire", UPPER, (2.4, 7.6),
                2.7, Mounting.PLASTERBOARD),
        _device("boiler_heat", "Boiler room, ceiling", "lark_heat", "z_fire", GROUND, (4.8, 8.8),
                2.9, Mounting.PLASTERBOARD),
    ]  # fmt: skip


def _works_side() -> list[Device]:
    metal = Mounting.ON_METAL
    return [
        _device("dairy_motion", "Dairy", "lark_motion", "z_dairy", GROUND, (13.6, 5.4), 2.4,
                Mounting.MASONRY),
        _device("yard_door", "Dairy door to the yard", "lark_contact", "z_dairy", GROUND,
                (10.0, 9.7), 2.2, metal),
        _device("yard_sounder", "Sounder on the yard wall", "lark_sounder_outdoor", None, GROUND,
                (7.4, 10.3), 3.0, Mounting.MASONRY),
        _device("cellar_motion", "Ripening cellar", "lark_motion", "z_cellar", CELLAR, (0.4, 0.4),
                2.1, Mounting.MASONRY),
        _device("brine_flood", "Brine room, floor", "lark_flood", "z_water", CELLAR, (7.4, 9.4),
                0.1),
        _device("shutter_shock", "Wall beside the shutter", "lark_shock", "z_packing", GROUND,
                (7.9, 24.2), 1.4, Mounting.MASONRY),
        _device("packing_motion", "Packing room", "lark_motion", "z_packing", GROUND, (3.3, 30.6),
                2.3, Mounting.MASONRY),
        _device("cold_store_door", "Cold store door", "lark_contact", "z_cold_store", GROUND,
                (9.2, 26.8), 2.2, metal),
    ]  # fmt: skip


def repeaters() -> list[Repeater]:
    """The repeater behind a window of the loft store, looking across the yard."""
    return [
        Repeater(
            id="yard_repeater",
            name="Repeater at the loft window",
            part="lark_repeater",
            floor=UPPER,
            at=(9.8, 9.7),
            height_m=1.8,
            mounting=Mounting.WOOD,
        )
    ]


def networks() -> list[Network]:
    """The networks to be had here; codes 001 and 999 are nobody's."""
    lte, gsm = Technology.LTE, Technology.GSM
    return [
        Network(mcc_mnc=NEAR, label="001-01", technologies=[lte, gsm], bands=["3", "20"]),
        Network(mcc_mnc=FAR, label="001-02", technologies=[lte], bands=["3", "7"]),
        Network(mcc_mnc=ROAMED, label="999-70", technologies=[lte, gsm], bands=["8", "20"]),
    ]


def spots() -> list[Spot]:
    """Where mobile levels were read, and what an antenna would hang on there."""
    wall = AntennaPlace.ON_WALL
    return [
        Spot(id="panel_room", name="Beside the panel", floor=GROUND, at=(4.4, 6.6),
             place=AntennaPlace.IN_PANEL, cable_m=0.0),
        Spot(id="landing_window", name="Landing window", floor=UPPER, at=(0.3, 7.3), place=wall,
             cable_m=11.0),
        Spot(id="office_window", name="Office window", floor=UPPER, at=(3.1, 0.3), place=wall,
             cable_m=15.0),
        Spot(id="cellar_stairs", name="Foot of the cellar stairs", floor=CELLAR, at=(2.0, 7.0),
             place=wall, cable_m=9.0),
    ]  # fmt: skip


def communicators() -> list[Communicator]:
    """The module in the panel, its antenna up at the landing window."""
    return [
        Communicator(
            id="main",
            part="lte_cat1_module",
            service="roaming_card",
            sim=Sim(
                kind=SimKind.ROAMING,
                networks=[NEAR, ROAMED, FAR],
                iccid="8999970001200734514",
            ),
            imei="001017000042013",
            account="2417",
            centre="Watch room at Ostrain",
            state=AccountState.ON_TEST,
            antenna="whip_antenna",
            feeder=FeederRun(part="coax_rg213", length_m=11.0),
            spot="landing_window",
        )
    ]


def considered() -> list[str]:
    """What the module, its card and its antenna were chosen from."""
    return [
        *("gsm_module", "lte_cat1_module", "lte_m_module", "nb_iot_module"),
        *("fixed_card", "roaming_card"),
        *("outdoor_panel_antenna", "outdoor_rod_antenna", "stub_antenna", "whip_antenna"),
        *("coax_rg174", "coax_rg213", "coax_rg58c"),
    ]


def retirements() -> list[Retirement]:
    """What the two networks of the card say of 2G; the dates are as invented as they are."""
    said = Source(ref="Invented: letter of the network to the dealer", evidence=Evidence.PRACTICE)
    return [
        Retirement(
            network=network,
            technology=Technology.GSM,
            ends_on=day,
            source=said,
            seen=date(2026, 9, 1),
        )
        for network, day in ((NEAR, date(2029, 1, 1)), (ROAMED, date(2028, 7, 1)))
    ]


def supply() -> Supply:
    """The supply beside the panel."""
    return Supply(part="supply_12v_3a", kind=SupplyKind.MAINS_RECHARGED)


def battery() -> FittedBattery:
    """The battery in the panel's case."""
    return FittedBattery(part="lead_12v_7ah", fitted_on=FITTED_ON, temperature_degc=15.0)


def cables() -> list[CableRun]:
    """The wire to the back door."""
    return [CableRun(id="to_back_door", part="alarm_cable_0_22", to="back_door", length_m=9.0)]


def reporting() -> Reporting:
    """How the path is watched."""
    return Reporting(
        interval_s=300.0, misses=3, timeout_s=20.0, category="as agreed with the insurer"
    )


def _device(
    device_id: str,
    name: str,
    part: str,
    zone: str | None,
    floor: str,
    at: tuple[float, float],
    height_m: float,
    mounting: Mounting | None = Mounting.WOOD,
    *,
    carried: bool = False,
) -> Device:
    return Device(
        id=device_id,
        name=name,
        part=part,
        zone=zone,
        floor=floor,
        at=at,
        height_m=height_m,
        mounting=None if carried else mounting,
        carried=carried,
        cells_fitted_on=None if part.startswith("wired") else FITTED_ON,
    )
