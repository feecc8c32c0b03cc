"""A list of devices, read into parts of a site."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from pydantic import ValidationError

from pathproof.job import Between, Construction, DetectorPart, Device, Site, explain
from pathproof.plans.listed._between import between_of
from pathproof.plans.listed._distance import distance_m
from pathproof.plans.listed._lines import EXAMPLE, ListedLine, lines_of
from pathproof.plans.listed._parts import FoundPart, part_for
from pathproof.plans.listed._proposed import Ids, Zones, things_of
from pathproof.plans.listed._result import ListedDevices, NamedLine
from pathproof.plans.report import ReportBuilder
from pathproof.terms import PlanError, ZoneKind

_LONGEST: Final = 200  # what a name in a job file can hold
_MOST_ITEMS: Final = 40
_SHOWN: Final = 60
_MOST_LINES: Final = 12
_WIRED: Final = "the part is wired, so it has no way through the air"
_BY_KIND: Final = "by the kind of device"
_BY_KIND_IMMEDIATE: Final = f"{_BY_KIND}; make it entry/exit where people come in"


def read_device_list(
    text: str,
    *,
    site: Site,
    parts: Sequence[DetectorPart],
    constructions: Mapping[str, Construction],
) -> ListedDevices:
    """The devices in a list, with what stands between each and the panel, and proposed zones.

    Parameters
    ----------
    text : str
        A device a line: what, where, how far, what stands between, with tabs, semicolons or commas
        in between, as ``door contact, Back door, 12 m, 2 brick, 1 floor``. Distances are metres
        unless feet are written. Where the site has storeys, a line without distance and without
        anything between is of a device that is placed on the plan later.
    site : Site
        Whose ids and zone numbers are not used again, and whose first partition the zones are in.
    parts : sequence of DetectorPart
        To choose from; of each kind of device the usual one first.
    constructions : mapping
        The library's constructions by id; those of the site come on top.

    Returns
    -------
    listed : ListedDevices
        Where it has problems, its devices are those of the lines that are fine.

    Raises
    ------
    PlanError
        Nothing in it, or too much.
    """
    found = lines_of(text)
    reader = _Reader(site, parts, {**constructions, **site.constructions})
    if found.heading:
        reader.report.left_out(found.heading[:_LONGEST], "the heading of the list")
    for line in found.lines:
        reader.take(line)
    return reader.finish()


def put_listed(site: Site, listed: ListedDevices) -> Site:
    """The site with the devices of a list and their zones.

    Raises
    ------
    PlanError
        The list has problems, or the site has changed so that they do not fit it any more.
    """
    if listed.problems:
        raise PlanError(
            "Nothing was taken of the list, as not all of it can be:\n" + "\n".join(listed.problems)
        )
    proposed = [] if listed.partition is None else [listed.partition]
    parts = {
        "partitions": [*site.partitions, *proposed],
        "zones": [*site.zones, *listed.zones],
        "devices": [*site.devices, *listed.devices],
    }
    try:
        return Site.model_validate({**dict(site), **parts})
    except ValidationError as error:
        raise PlanError(
            f"The list does not fit the site:\n{explain(error, {**dict(site), **parts})}\n"
            "Read the list again."
        ) from error


@dataclass(slots=True)
class _Told:
    """What one line was taken for; counted only if the whole line is fine."""

    found: list[tuple[str, str, str]] = field(default_factory=list)

    def __call__(self, what: str, as_: str, guess: str) -> None:
        self.found.append((what, as_, guess))


class _Reader:
    """Takes line after line."""

    def __init__(
        self,
        site: Site,
        parts: Sequence[DetectorPart],
        constructions: Mapping[str, Construction],
    ) -> None:
        self.report = ReportBuilder()
        self._parts = parts
        self._constructions = constructions
        self._on_plan = bool(site.floors)
        self._ids = Ids(things_of(site))
        self._zones = Zones(site)
        self._devices: list[Device] = []
        self._problems: dict[str, list[int]] = {}
        self._mapped: Counter[tuple[str, str]] = Counter()

    def take(self, line: ListedLine) -> None:
        """One more device, or one more problem."""
        told = _Told()
        try:
            _check_said(line)
            found = part_for(line.what, self._parts)
            told(line.what, f"{found.part.name} ({found.part.id})", found.guess)
            between = self._between(line, found, told)
            zone = self._zones.next_for(line.where, found.part) if found.part.signals else None
        except PlanError as error:
            self._problems.setdefault(str(error), []).append(line.number)
            return
        self._devices.append(
            Device(
                id=self._ids.of(line.where),
                name=line.where,
                part=found.part.id,
                zone=None if zone is None else zone.id,
                between=between,
            )
        )
        self._report(line, found, told)
        if zone is not None:
            why = _BY_KIND_IMMEDIATE if zone.kind is ZoneKind.IMMEDIATE else _BY_KIND
            what = f"zone of a device of the kind {found.part.what}"
            self.report.guessed(what, zone.kind.replace("_", " "), why)

    def finish(self) -> ListedDevices:
        """What became of the list."""
        report = self.report.finish(storeys=0, walls=0, openings=0, slabs=0)
        return ListedDevices(
            devices=tuple(self._devices),
            zones=tuple(self._zones.made),
            partition=self._zones.partition if self._zones.made else None,
            problems=tuple(f"{_lines(at)}: {said}." for said, at in self._problems.items()),
            mapped=tuple(NamedLine(*names, n) for names, n in self._mapped.most_common()),
            guessed=report.guessed,
            left_out=report.left_out,
        )

    def _between(self, line: ListedLine, found: FoundPart, told: _Told) -> Between | None:
        if found.part.radio is None or (self._on_plan and not (line.distance or line.between)):
            return None
        far_m = distance_m(line.distance)
        return between_of(far_m, line.between, self._constructions, told)

    def _report(self, line: ListedLine, found: FoundPart, told: _Told) -> None:
        for what, as_, guess in told.found:
            if guess:
                self.report.guessed(what, as_, guess)
            else:
                self._mapped[what, as_] += 1
        if found.part.radio is None and line.distance:
            self.report.left_out(f"how far {line.where!r} is", _WIRED)


def _lines(numbers: list[int]) -> str:
    """Which lines have one fault."""
    if len(numbers) == 1:
        return f"Line {numbers[0]}"
    shown = ", ".join(str(n) for n in numbers[:_MOST_LINES])
    more = len(numbers) - _MOST_LINES
    return f"Lines {shown}{f' and {more} more' if more > 0 else ''}"


def _check_said(line: ListedLine) -> None:
    """Refuses a line without what and where, or with too much in it."""
    if not line.what or not line.where:
        given = (line.what or line.where or "nothing")[:_SHOWN]
        raise PlanError(
            f"given {given!r} alone; allowed: what, where, how far and what stands between, as "
            f"{EXAMPLE}"
        )
    longest = max(map(len, (line.what, line.where, line.distance, *line.between)))
    if longest > _LONGEST:
        raise PlanError(
            f"a part of it has {longest} characters; allowed: {_LONGEST}. Shorten it, or put "
            "commas between the parts"
        )
    if len(line.between) > _MOST_ITEMS:
        raise PlanError(
            f"{len(line.between)} things stand between; allowed: {_MOST_ITEMS}. Write equal ones "
            "together, as 2 brick"
        )
