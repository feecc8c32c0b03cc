"""What a new job without a plan starts with: a name, and parts that may be chosen later."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, TypeVar

from pydantic import ValidationError

from pathproof.job._problems import explain
from pathproof.job.catalogue import (
    BatteryPart,
    CommunicatorPart,
    DetectorPart,
    PanelPart,
    Part,
    SupplyPart,
)
from pathproof.job.library import Library
from pathproof.job.site import Communicator, FittedBattery, Panel, Site, Supply
from pathproof.terms import JobError

P = TypeVar("P")

MODULE_ID: Final = "module"
"""Id of a new job's communicator."""
# What panels are commonly built for: common practice, no source.
_USUAL_CAPACITY_AH: Final = 7.0


@dataclass(frozen=True, kw_only=True)
class Chosen:
    """Ids of the parts that a job starts with; none for what is chosen later."""

    panel: str | None = None
    communicator: str | None = None
    supply: str | None = None
    battery: str | None = None


def of_kind(library: Library, kind: type[P]) -> list[P]:
    """The library's parts of one kind, in its order."""
    return [part for part in library.parts.values() if isinstance(part, kind)]


def usual(library: Library) -> Chosen:
    """Parts to propose: the first panel, communicator and supply, and a battery for that panel."""
    panel = _first(of_kind(library, PanelPart))
    volts = None if panel is None else panel.nominal_v
    batteries = [b for b in of_kind(library, BatteryPart) if b.nominal_v == volts]
    batteries.sort(key=lambda b: abs(b.capacity_ah - _USUAL_CAPACITY_AH))
    return Chosen(
        panel=_id(panel),
        communicator=_id(_first(of_kind(library, CommunicatorPart))),
        supply=_id(_first(of_kind(library, SupplyPart))),
        battery=_id(_first(batteries)),
    )


def detectors_for(library: Library, panel: str | None) -> list[DetectorPart]:
    """Detectors to choose from: those that the panel hears, then wired ones.

    Of all families where no panel is chosen yet.
    """
    return heard_by(library.parts.get(panel or ""), library.parts.values())


def heard_by(panel: Part | None, parts: Iterable[Part]) -> list[DetectorPart]:
    """Detectors among some parts that a panel hears, then wired ones; all where there is none."""
    every = [part for part in parts if isinstance(part, DetectorPart)]
    if not isinstance(panel, PanelPart):
        return every
    heard = {radio.family for radio in panel.radios}
    wireless = [d for d in every if d.radio is not None and d.radio.family in heard]
    return wireless + [d for d in every if d.radio is None]


def new_site(about: dict[str, str], chosen: Chosen, library: Library) -> Site:
    """A site with a name and those parts.

    Parameters
    ----------
    about : dict
        Name, reference, country, time zone, currency, by their names in a job file; what is not
        given stays at its default.
    chosen : Chosen
        Parts.
    library : Library
        Where a supply's kind stands.

    Raises
    ------
    JobError
        What was given, and what is allowed.
    """
    parts: dict[str, object] = {}
    if chosen.panel:
        parts["panel"] = Panel(part=chosen.panel)
    if chosen.communicator:
        parts["communicators"] = [Communicator(id=MODULE_ID, part=chosen.communicator)]
    supply = library.parts.get(chosen.supply or "")
    if isinstance(supply, SupplyPart):
        parts["supply"] = Supply(part=supply.id, kind=supply.types[0])
    if chosen.battery:
        parts["battery"] = FittedBattery(part=chosen.battery)
    given = {**about, **parts}
    try:
        return Site.model_validate(given)
    except ValidationError as error:
        raise JobError(explain(error, given)) from error


def _first(parts: Iterable[P]) -> P | None:
    return next(iter(parts), None)


def _id(part: Part | None) -> str | None:
    return None if part is None else part.id
