"""Fingerprints: what moves voids its own evidence, and order is nothing."""

from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pathproof.job import (
    Construction,
    DetectorPart,
    Device,
    Floor,
    Job,
    Library,
    Panel,
    PanelPart,
    Profile,
    Radio,
    Repeater,
    RepeaterPart,
    Site,
    Source,
    Wall,
    embed,
)
from pathproof.job.fingerprint import Fingerprints
from pathproof.terms import DeviceKind, Evidence

SOURCE = Source(ref="r", evidence=Evidence.PRACTICE)
RADIO = Radio(family="f", frequency_hz=868e6)
LIBRARY = Library(
    parts={
        "p": PanelPart(id="p", kind="panel", name="p", source=SOURCE, radios=[RADIO]),
        "r": RepeaterPart(id="r", kind="repeater", name="r", source=SOURCE, radios=[RADIO]),
        "d": DetectorPart(
            id="d", kind="detector", name="d", source=SOURCE, what=DeviceKind.OTHER, radio=RADIO
        ),
    },
    constructions={
        c: Construction(name=c, fixed_loss_db=float(loss), source=SOURCE)
        for loss, c in enumerate(["light", "heavy"], start=3)
    },
    profiles={"house_targets": Profile(id="house_targets", title="t", text="")},
)

# Few different places, so that ways run along walls, through corners and through joints.
points = st.tuples(st.integers(-4, 4), st.integers(-4, 4)).map(lambda p: (p[0] / 2, p[1] / 2))


@st.composite
def walls(draw: st.DrawFn) -> list[Wall]:
    drawn = draw(
        st.lists(
            st.tuples(points, points, st.sampled_from(["light", "heavy"])).filter(
                lambda w: w[0] != w[1]
            ),
            max_size=8,
        )
    )
    return [
        Wall(id=f"w{i}", floor="g", start=start, end=end, construction=of)
        for i, (start, end, of) in enumerate(drawn)
    ]


def job(walls: list[Wall], places: list[Any], **panel: Any) -> Job:
    """A job with a panel, a repeater and devices at these places."""
    first, second, *others = places
    site = Site(
        name="x",
        floors=[Floor(id="g", name="g", elevation_m=0.0, height_m=3.0)],
        walls=walls,
        panel=Panel(part="p", floor="g", at=first, **panel),
        repeaters=[Repeater(id="rep", name="r", part="r", floor="g", at=second)],
        devices=[
            Device(id=f"d{i}", name="d", part="d", floor="g", at=at) for i, at in enumerate(others)
        ],
    )
    return embed(Job(site=site), LIBRARY)


def fingerprints(of: Job) -> dict[str, str]:
    prints = Fingerprints(of)
    senders = [d.id for d in of.site.devices]
    names = [
        "radio:rep>panel",
        *(f"radio:{d}>{to}" for d in senders for to in ("panel", "rep")),
        *(f"signal:{about}:alarm" for about in (*senders, "panel")),
    ]
    return {name: prints.of(name) for name in names}


quick = settings(max_examples=100, suppress_health_check=[HealthCheck.too_slow])
places = st.lists(points, min_size=5, max_size=5)


@quick
@given(walls(), places, st.randoms(use_true_random=False))
def test_order_and_ends_of_walls_are_nothing(found: list[Wall], at: Any, random: Any) -> None:
    shuffled = [
        wall.model_copy(update={"start": wall.end, "end": wall.start})
        if random.random() < 0.5
        else wall
        for wall in random.sample(found, len(found))
    ]
    assert fingerprints(job(shuffled, at)) == fingerprints(job(found, at))


@quick
@given(walls(), places, points)
def test_a_moved_device_voids_its_own_and_nothing_else(
    found: list[Wall], at: list[Any], to: Any
) -> None:
    before = fingerprints(job(found, at))
    after = fingerprints(job(found, [*at[:-1], to]))
    moved = f"d{len(at) - 3}"
    own = {name for name in before if moved in name.replace(">", ":").split(":")}
    differing = {name for name in before if before[name] != after[name]}
    assert differing == (own if to != at[-1] else set())


@quick
@given(walls(), places, st.sampled_from(["light", "heavy"]), st.integers(0, 7))
def test_rebuilding_a_wall_voids_only_what_crosses_it(
    found: list[Wall], at: Any, of: str, which: int
) -> None:
    rebuilt = [
        wall.model_copy(update={"construction": of}) if i == which else wall
        for i, wall in enumerate(found)
    ]
    before, after = job(found, at), job(rebuilt, at)
    without = job([wall for i, wall in enumerate(found) if i != which], at)
    crossing = {
        name
        for name, now in fingerprints(without).items()
        if name.startswith("radio") and now != fingerprints(before)[name]
    }
    differing = {
        name
        for name, now in fingerprints(after).items()
        if name.startswith("radio") and now != fingerprints(before)[name]
    }
    same = which >= len(found) or found[which].construction == of
    assert differing == (set() if same else crossing)
