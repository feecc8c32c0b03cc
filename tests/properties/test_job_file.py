"""Job files: whatever can be said in one is read back as it was written, and nothing else is."""

import json
import types
from collections.abc import Callable
from datetime import date, datetime, timedelta, timezone
from enum import Enum
from pathlib import Path
from typing import Annotated, Any, Literal, Union, get_args, get_origin

import annotated_types
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import AwareDatetime, BaseModel
from pydantic.fields import FieldInfo
from stdnum import luhn

from pathproof.job import (
    Construction,
    Job,
    Level,
    Library,
    Opening,
    Radio,
    Scale,
    ScaleStep,
    Site,
    Slab,
    Spot,
    Wall,
    content_hash,
    dump_job,
    embed,
    parse_job,
    shipped,
)
from pathproof.job import catalogue as parts
from pathproof.job import record as entries
from pathproof.job import site as sites
from pathproof.job.profile import Confirmation, Profile
from pathproof.terms import JobError, Quantity

SAMPLE = (Path(__file__).parents[1] / "data" / "job_v1.json").read_text("utf-8")

Drawn = st.SearchStrategy[Any]
ids = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9_.\-]{0,12}", fullmatch=True)

# Any value of a field, by its type and limits


def values(kind: Any, limits: tuple[Any, ...] = ()) -> Drawn:
    """Anything that a field of this kind takes."""
    origin, inside = get_origin(kind), get_args(kind)
    if origin is Annotated:
        return values(inside[0], (*limits, *inside[1:]))
    if origin in (Union, types.UnionType):
        return st.one_of([st.none() if x is type(None) else values(x) for x in inside])
    if origin is Literal:
        return st.sampled_from(inside)
    if origin is list:
        return st.lists(values(inside[0]), min_size=_limit(limits, "min_length", 0), max_size=3)
    if origin is tuple:
        return st.tuples(*map(values, inside))
    if origin is dict:
        return st.dictionaries(values(inside[0]), values(inside[1]), max_size=3)
    if kind in SPECIAL:
        return SPECIAL[kind]()
    if issubclass(kind, Enum):
        return st.sampled_from(list(kind))
    if issubclass(kind, BaseModel):
        return models(kind)
    return PLAIN[kind](limits)


def models(kind: type[BaseModel], **known: Drawn) -> Drawn:
    """Any model of a kind; some of its fields may be known."""
    return st.builds(
        kind,
        **{
            name: known[name] if name in known else values(field.annotation, tuple(field.metadata))
            for name, field in kind.model_fields.items()
        },
    )


def _flat(limits: tuple[Any, ...]) -> list[Any]:
    return [x for y in limits for x in (y.metadata if isinstance(y, FieldInfo) else [y])]


def _limit(limits: tuple[Any, ...], name: str, otherwise: Any) -> Any:
    found = [getattr(x, name, None) for x in _flat(limits)]
    return next((x for x in found if x is not None), otherwise)


def _floats(limits: tuple[Any, ...]) -> Drawn:
    low, above = _limit(limits, "ge", None), _limit(limits, "gt", None)
    return st.floats(
        min_value=above if low is None else low,
        max_value=_limit(limits, "le", None),
        exclude_min=low is None and above is not None,
        allow_nan=False,
        allow_infinity=False,
    )


def _texts(limits: tuple[Any, ...]) -> Drawn:
    pattern = _limit(limits, "pattern", None)
    if pattern is not None:
        return st.from_regex(pattern.rstrip("$") + r"\Z", fullmatch=True)
    return st.text(
        st.characters(codec="utf-8", exclude_characters="\0"),
        min_size=_limit(limits, "min_length", 0),
        max_size=min(12, _limit(limits, "max_length", 12)),
    )


def _whole(limits: tuple[Any, ...]) -> Drawn:
    return st.integers(_limit(limits, "ge", -1000), _limit(limits, "le", 10_000))


OFFSETS = st.integers(-14 * 60, 14 * 60).map(lambda m: timezone(timedelta(minutes=m)))

THEIR_TIME = [datetime.fromisoformat(day) for day in ("1990-01-01", "2099-12-31")]

PLAIN: dict[Any, Callable[[tuple[Any, ...]], Drawn]] = {
    float: _floats,
    int: _whole,
    str: _texts,
    bool: lambda _: st.booleans(),
    date: lambda _: st.dates(),
    AwareDatetime: lambda _: st.datetimes(*THEIR_TIME, timezones=OFFSETS),
}

# Models whose fields depend on each other


def levels() -> Drawn:
    return st.builds(
        lambda quantity, three, open_low, open_high: Level(
            quantity=quantity,
            value=sorted(three)[1],
            low=None if open_low else sorted(three)[0],
            high=None if open_high else sorted(three)[2],
        ),
        st.sampled_from(Quantity),
        st.lists(st.floats(0.0, 20.0), min_size=3, max_size=3),
        st.booleans(),
        st.booleans(),
    )


def steps() -> Drawn:
    edges = st.lists(st.floats(0.0, 20.0), min_size=2, max_size=2, unique=True).map(sorted)
    name = values(str, (annotated_types.MinLen(1),))
    return st.one_of(
        st.builds(lambda n, e: ScaleStep(name=n, low=e[0], high=e[1]), name, edges),
        st.builds(lambda n, e: ScaleStep(name=n, low=e[0]), name, edges),
        st.builds(lambda n: ScaleStep(name=n), name),
    )


def radios() -> Drawn:
    power = st.sampled_from(["eirp_dbm", "field_strength_uv_per_m", "open_air_range_m"])
    none = {name: st.none() for name in ("eirp_dbm", "field_strength_uv_per_m", "open_air_range_m")}
    return power.flatmap(
        lambda given: models(Radio, **{**none, given: values(Radio.model_fields[given].annotation)})
    )


def constructions() -> Drawn:
    by_layers = models(
        Construction,
        fixed_loss_db=st.none(),
        layers=st.lists(values(Construction.model_fields["layers"].annotation), max_size=1)
        .map(lambda found: found[0] if found else [])
        .filter(bool),
    )
    return by_layers | models(Construction, layers=st.just([]), fixed_loss_db=st.floats(0.0, 200.0))


def walk_values() -> Drawn:
    return st.integers(1, 500).flatmap(
        lambda due: models(entries.WalkValues, due=st.just(due), received=st.integers(0, due))
    )


def reading_values() -> Drawn:
    after = st.lists(st.floats(0.001, 1e5), max_size=3, unique=True).map(sorted)
    samples = after.flatmap(
        lambda times: st.tuples(*(models(entries.Sample, after_s=st.just(t)) for t in times)).map(
            list
        )
    )
    return models(entries.ReadingValues, series=samples)


def cables() -> Drawn:
    thick = models(parts.CablePart, awg=st.none(), area_mm2=st.floats(0.1, 10.0))
    return thick | models(parts.CablePart, area_mm2=st.none(), awg=st.integers(0, 40))


def openings() -> Drawn:
    return models(
        Opening, sill_m=st.floats(-5.0, 1.0), head_m=st.floats(1.5, 3.0), construction=st.none()
    ).map(lambda o: o.model_copy(update={"offset_m": 0.1, "width_m": 0.7}))


def imeis() -> Drawn:
    body = st.from_regex(r"[0-9]{14}", fullmatch=True)
    return st.none() | body.map(lambda x: x + luhn.calc_check_digit(x))


def profiles(**known: Drawn) -> Drawn:
    """Some of the shipped limits, whose values and units make sense."""
    shipped_limits = shipped().profiles["house_targets"].limits
    confirmed = st.none() | models(Confirmation)
    return st.lists(st.sampled_from(sorted(shipped_limits)), max_size=4, unique=True).flatmap(
        lambda names: models(
            Profile,
            limits=st.fixed_dictionaries(
                {
                    name: confirmed.map(
                        lambda c, limit=shipped_limits[name]: limit.model_copy(
                            update={"confirmed": c}
                        )
                    )
                    for name in names
                }
            ),
            **known,
        )
    )


SPECIAL: dict[Any, Callable[[], Drawn]] = {
    Level: levels,
    ScaleStep: steps,
    Scale: lambda: models(Scale, quantity=st.just(Quantity.RSSI_DBM)),
    Radio: radios,
    Construction: constructions,
    entries.ReadingValues: reading_values,
    entries.WalkValues: walk_values,
    entries.LevelValues: lambda: models(
        entries.LevelValues, levels=st.lists(levels(), min_size=1, max_size=3)
    ),
    parts.CablePart: cables,
    Profile: profiles,
}

# A whole job, in which everything that is referred to is there


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    floors = [f"f{i}" for i in range(draw(st.integers(0, 2)))]
    built = {i: draw(constructions()) for i in draw(st.lists(ids, min_size=1, max_size=3))}
    things = draw(st.lists(ids.filter(lambda i: i != "panel"), min_size=6, max_size=6, unique=True))
    catalogue = {
        kind: draw(values(kind)).model_copy(update={"id": f"{i}"}) for i, kind in enumerate(PARTS)
    }
    site = draw(whole_sites(floors, sorted(built), things, catalogue))
    profile = draw(profiles(id=st.just("p"), base=st.none()))
    record = draw(st.lists(values(entries.Entry), max_size=4, unique_by=lambda e: e.id))
    corrected = [e.model_copy(update={"replaces": None}) for e in record]
    if len(record) > 1 and record[0].kind == record[1].kind and draw(st.booleans()):
        corrected[1] = record[1].model_copy(update={"replaces": record[0].id})
    library = Library(
        parts={part.id: part for part in catalogue.values()},
        constructions={**built, "unknown_floor": next(iter(built.values()))},
        profiles={"p": profile},
    )
    revision = draw(st.integers(0, 10**9))
    return embed(Job(site=site, record=corrected, revision=revision), library)


PARTS = [
    parts.PanelPart,
    parts.DetectorPart,
    parts.RepeaterPart,
    parts.CommunicatorPart,
    parts.ServicePart,
    parts.AntennaPart,
    parts.FeederPart,
    parts.BatteryPart,
    parts.SupplyPart,
    parts.CablePart,
    parts.InstrumentPart,
]


CHOSEN_FROM = [parts.CommunicatorPart, parts.ServicePart, parts.AntennaPart, parts.FeederPart]


def whole_sites(
    floors: list[str], built: list[str], things: list[str], catalogue: dict[Any, Any]
) -> Drawn:
    """Sites on these floors, of these constructions, with things of these names."""
    of = st.sampled_from(built)
    device_id, repeater_id, module_id, module_2_id, spot_id, cable_id = map(st.just, things)
    place = _place(floors)
    between = models(
        sites.Between,
        walls=st.dictionaries(of, st.integers(1, 50), max_size=2),
        floor_construction=of,
    )

    def part(kind: Any) -> Drawn:
        return st.just(catalogue[kind].id)

    def sender(kind: Any, **known: Drawn) -> Drawn:
        placed = place.map(lambda p: {**p, "between": None})
        apart = between.map(lambda b: {"floor": None, "at": None, "between": b})
        return st.tuples(models(kind, **_nowhere(kind), **known), placed | apart).map(_moved)

    device = sender(
        sites.Device,
        id=device_id,
        part=part(parts.DetectorPart),
        zone=st.sampled_from([None, "z"]),
        between_repeaters=st.dictionaries(repeater_id, between),
    )
    repeater = sender(sites.Repeater, id=repeater_id, part=part(parts.RepeaterPart))
    panel = st.tuples(
        models(
            sites.Panel,
            floor=st.none(),
            at=st.none(),
            part=part(parts.PanelPart),
            candidates=st.just([]),
        ),
        place,
    ).map(_moved)
    module = models(
        sites.Communicator,
        part=part(parts.CommunicatorPart),
        service=st.none() | part(parts.ServicePart),
        antenna=st.none() | part(parts.AntennaPart),
        feeder=st.none() | models(sites.FeederRun, part=part(parts.FeederPart)),
        spot=st.none() | spot_id,
        imei=imeis(),
        sim=st.none() | models(sites.Sim, networks=st.just(["001-01"])),
        id=module_id,
    )
    run = models(
        sites.CableRun,
        id=cable_id,
        part=part(parts.CablePart),
        to=device_id,
        length_m=st.floats(10.0, 1000.0),
        on_the_way=st.lists(models(sites.Tap, to=module_id, at_m=st.floats(0.5, 10.0)), max_size=1),
    )
    spot = st.tuples(
        models(Spot, id=spot_id, floor=st.none(), at=st.none()),
        place.map(lambda p: {k: p[k] for k in ("floor", "at")}),
    ).map(_moved)
    network = models(sites.Network, mcc_mnc=st.just("001-01"))
    return models(
        Site,
        time_zone=st.sampled_from(["UTC", "Europe/Vienna", "America/New_York"]),
        profile=st.just("p"),
        floors=_floors_of(floors, of),
        walls=st.lists(_walls(floors, of), max_size=2, unique_by=lambda w: w.id)
        if floors
        else st.just([]),
        constructions=st.just({}),
        partitions=models(sites.Partition, id=st.just("a")).map(lambda p: [p]),
        zones=models(sites.Zone, id=st.just("z"), partition=st.just("a")).map(lambda z: [z]),
        devices=device.map(lambda d: [d]),
        panel=panel,
        repeaters=repeater.map(lambda r: [r]),
        spots=spot.map(lambda s: [s]),
        networks=network.map(lambda n: [n]),
        communicators=st.tuples(module, module, module_2_id).map(
            lambda m: [m[0], m[1].model_copy(update={"id": m[2]})]
        ),
        considered=st.lists(st.one_of([part(k) for k in CHOSEN_FROM]), max_size=3, unique=True),
        supply=st.none() | models(sites.Supply, part=part(parts.SupplyPart)),
        battery=st.none() | models(sites.FittedBattery, part=part(parts.BatteryPart)),
        cables=run.map(lambda c: [c]),
    )


def _place(floors: list[str]) -> Drawn:
    at = st.tuples(st.floats(-512.0, 512.0), st.floats(-512.0, 512.0))
    placed = st.fixed_dictionaries(
        {"floor": st.sampled_from(floors or [""]), "at": at, "height_m": st.floats(0.0, 2.0)}
    )
    nowhere = st.just({"floor": None, "at": None})
    return placed | nowhere if floors else nowhere


def _nowhere(kind: type[BaseModel]) -> dict[str, Drawn]:
    return {name: st.none() for name in ("floor", "at", "between") if name in kind.model_fields}


def _moved(thing_and_place: tuple[Any, dict[str, Any]]) -> Any:
    thing, place = thing_and_place
    return thing.model_copy(update=place)


def _floors_of(floors: list[str], of: Drawn) -> Drawn:
    corner = st.floats(-512.0, 511.0)
    ring = st.tuples(corner, corner).map(lambda c: [c, (c[0] + 1, c[1]), (c[0], c[1] + 1)])

    def slab(name: str) -> Drawn:
        outline = st.none() | ring
        return models(
            Slab, id=st.just(name), construction=of, outline=st.none(), holes=st.just([])
        ).flatmap(lambda s: outline.map(lambda o: s.model_copy(update={"outline": o})))

    return st.tuples(
        *(
            models(
                sites.Floor,
                id=st.just(name),
                height_m=st.floats(3.0, 100.0),
                slabs=slab(f"{name}s").map(lambda s: [s]),
            )
            for name in floors
        )
    ).map(list)


def _walls(floors: list[str], of: Drawn) -> Drawn:
    return models(
        Wall,
        floor=st.sampled_from(floors),
        start=st.tuples(st.floats(-512.0, 0.0), st.floats(-512.0, 512.0)),
        end=st.tuples(st.floats(1.0, 512.0), st.floats(-512.0, 512.0)),
        construction=of,
        base_m=st.none() | st.floats(-50.0, 0.0),
        top_m=st.none() | st.floats(0.1, 100.0),
        openings=openings().map(lambda o: [o]),
    ).map(lambda w: w.model_copy(update={"openings": [
        o.model_copy(update={"id": f"{w.id[:60]}_o"}) for o in w.openings
    ]}))  # fmt: skip


# What has to hold

few = settings(max_examples=30, suppress_health_check=list(HealthCheck))


@few
@given(jobs())
def test_written_and_read_is_the_same(job: Job) -> None:
    again = parse_job(dump_job(job), Library())
    assert again == job
    assert dump_job(again) == dump_job(job)
    # The hash is of the content, not of the text.
    data = json.loads(dump_job(job.model_copy(update={"hash": content_hash(job)})))
    backwards = dict(reversed(data.items()))
    backwards["site"] = dict(reversed(data["site"].items()))
    assert not parse_job(json.dumps(backwards), Library()).changed_outside
    backwards["site"]["service_life_years"] = 49.5 if job.site.service_life_years == 50 else 50
    assert parse_job(json.dumps(backwards), Library()).changed_outside


@few
@given(st.sampled_from(get_args(get_args(entries.Entry)[0])).flatmap(models))
def test_every_kind_of_entry(entry: Any) -> None:
    record = [entry.model_copy(update={"replaces": None})]
    job = Job(site=Site(name="x", profile="p"), record=record)
    library = Library(profiles={"p": Profile(id="p", title="p", text="")})
    assert parse_job(dump_job(job), library).record == record


@few
@given(st.sampled_from(PARTS).flatmap(values))
def test_every_kind_of_part(part: Any) -> None:
    assert type(part).model_validate_json(part.model_dump_json(), strict=True) == part


@given(st.binary(max_size=200))
def test_bytes_are_refused_in_a_sentence(content: bytes) -> None:
    _only_job_errors(content)


plain = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner),
    max_leaves=6,
)


@settings(max_examples=300)
@given(st.randoms(use_true_random=False), plain)
def test_anything_in_place_of_anything(random: Any, value: Any) -> None:
    """The sample with something else at one place is read or refused, and nothing else."""
    data = json.loads(SAMPLE)
    holder: Any = data
    key = random.choice(list(data))
    while isinstance(holder[key], dict | list) and holder[key] and random.random() < 0.9:
        holder = holder[key]
        key = random.choice(list(holder) if isinstance(holder, dict) else range(len(holder)))
    if random.random() < 0.2:
        del holder[key]
    else:
        holder[key] = value
    _only_job_errors(json.dumps(data))


def _only_job_errors(content: str | bytes) -> None:
    try:
        parse_job(content, Library(), "a.json")
    except JobError as error:
        lines = str(error).splitlines()
        assert lines[0].startswith("a.json ")
        assert len(lines) <= 12
        assert all(line.startswith("  ") and line.isprintable() for line in lines[1:])
