"""Signals of a site as trees of links, each with its word."""

from collections.abc import Mapping

from pathproof.assess.arrival import arrival
from pathproof.assess.context import Context
from pathproof.assess.judge import Judgement, alternatives, judge, leaf, series
from pathproof.assess.types import Link, Path, Signal
from pathproof.job import PANEL_ID, DetectorPart, Device
from pathproof.job import links as names
from pathproof.job.due import due_at_centre
from pathproof.job.fingerprint import radio_ways
from pathproof.terms import PANEL_SIGNALS, SignalKind, Word

_SAID = {
    SignalKind.ALARM: "alarm",
    SignalKind.TAMPER: "tamper",
    SignalKind.SUPERVISION: "supervision",
    SignalKind.LOW_BATTERY: "low battery",
    SignalKind.MAINS_FAIL: "mains fail",
    SignalKind.PATH_FAIL: "path fail",
    SignalKind.SET: "set",
    SignalKind.UNSET: "unset",
}


def all_signals(ctx: Context, links: Mapping[str, Link]) -> list[Signal]:
    """Every signal of every device, then the panel's own."""
    found = []
    for device in ctx.site.devices:
        part = ctx.job.part(device.part)
        kinds = part.signals if isinstance(part, DetectorPart) else []
        path = device_path(ctx, device, links)
        judgement = judge(path, links)
        found += [
            _signal(ctx, device.id, device.name, kind, path, judgement, links) for kind in kinds
        ]
    if ctx.site.panel is not None and ctx.site.devices:
        for kind in PANEL_SIGNALS:
            path = _panel_path(ctx, kind, links)
            judgement = judge(path, links)
            found.append(_signal(ctx, PANEL_ID, "Panel", kind, path, judgement, links))
    return found


def device_path(ctx: Context, device: Device, links: Mapping[str, Link]) -> Path:
    """From a device to the centre."""
    radio = radio_path(ctx, device.id, links)
    onward = _to_centre(ctx, links)
    return onward if radio is None else series(radio, onward)


def radio_path(ctx: Context, about: str, links: Mapping[str, Link]) -> Path | None:
    """From a device to the panel by radio; none for a wired one."""
    direct = links.get(names.radio(about, PANEL_ID))
    if direct is None:
        return None
    ways: list[Path] = [leaf(direct)]
    hops = radio_ways(ctx.job, about)[1:]
    for first, second in zip(hops[::2], hops[1::2], strict=True):
        ways.append(series(leaf(links[names.radio(*first)]), leaf(links[names.radio(*second)])))
    return alternatives(ways, all_needed=ctx.profile.all_paths)


def _to_centre(ctx: Context, links: Mapping[str, Link]) -> Path:
    """Supply, standby and the paths of the communicators."""
    paths = [
        series(leaf(links[names.mobile(c.id)]), leaf(links[names.reporting(c.id)]))
        for c in ctx.site.communicators
    ] or [leaf(links[names.mobile("none")])]
    ways = alternatives(list(paths), all_needed=ctx.profile.all_paths)
    return series(leaf(links[names.SUPPLY]), leaf(links[names.STANDBY]), ways)


def _panel_path(ctx: Context, kind: SignalKind, links: Mapping[str, Link]) -> Path:
    if kind is SignalKind.PATH_FAIL and ctx.site.communicators:
        # The centre notices a lost path by the polls it misses, or hears of it over another one.
        watched: list[Path] = [leaf(links[names.reporting(c.id)]) for c in ctx.site.communicators]
        return alternatives(watched, all_needed=ctx.profile.all_paths)
    return _to_centre(ctx, links)


def _signal(
    ctx: Context,
    about: str,
    name: str,
    kind: SignalKind,
    path: Path,
    judgement: Judgement,
    links: Mapping[str, Link],
) -> Signal:
    seen = arrival(ctx, about, kind)
    due = due_at_centre(ctx.site, about, kind)
    word, why = judgement.word, links[judgement.weakest].why
    if seen.word is Word.LACKING:
        word, why = Word.LACKING, seen.why
    elif word is Word.PROVEN and seen.word is None:
        word, why = Word.PREDICTED, seen.why
    return Signal(
        id=names.signal(about, kind),
        about=about,
        kind=kind,
        name=f"{name}: {_SAID[kind]}",
        zone=due.zone,
        partition=due.partition,
        word=word,
        why=why,
        weakest=judgement.weakest,
        path=path,
        arrival=seen.word,
        evidence=seen.entries,
    )


def radio_links_needed(ctx: Context) -> list[tuple[str, str]]:
    """Sender and receiver of every radio link of the site, each once."""
    return list(
        dict.fromkeys(way for device in ctx.site.devices for way in radio_ways(ctx.job, device.id))
    )
