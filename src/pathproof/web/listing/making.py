"""From what was typed or sent to a new job."""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from pathproof.job import Job, Library
from pathproof.job.site import named_zone
from pathproof.job.starting import Chosen, detectors_for, new_site
from pathproof.plans.listed import ListedDevices, put_listed, read_device_list
from pathproof.simulate import build_demo

ABOUT: Final = ("name", "reference", "country", "time_zone", "currency")
PARTS: Final = ("panel", "communicator", "supply", "battery")
_MOST_SAID: Final = 12


@dataclass(frozen=True, kw_only=True)
class Made:
    """A new job, and what to tell of it."""

    job: Job
    said: tuple[str, ...] = ()
    guessed: tuple[str, ...] = ()


def from_list(given: Mapping[str, Any], library: Library) -> Made:
    """The job of a form: what it is called, its parts, and its devices as a list.

    Raises
    ------
    JobError
        Something about the site; said in a sentence.
    PlanError
        Lines of the list, each said in a sentence.
    """
    chosen = Chosen(**{name: given.get(name) or None for name in PARTS})
    site = new_site({name: given[name] for name in ABOUT if given.get(name)}, chosen, library)
    text = given.get("devices", "")
    if not text.strip():
        return Made(job=Job(site=site))
    listed = read_device_list(
        text,
        site=site,
        parts=detectors_for(library, chosen.panel),
        constructions=library.constructions,
    )
    said = (f"{len(listed.devices)} devices are in the job. Look over what was guessed.",)
    return Made(job=Job(site=put_listed(site, listed)), said=said, guessed=tuple(_guessed(listed)))


def demo() -> Job:
    """The demo's job, its name saying that all of it is invented."""
    job = build_demo()
    site = job.site.model_copy(update={"name": f"{job.site.name} (demo, all invented)"})
    return job.model_copy(update={"site": site, "hash": None, "revision": 0})


def pictures_missing(job: Job) -> str:
    """What to say of an imported job whose plan has pictures; empty where it has none."""
    count = sum(floor.underlay is not None for floor in job.site.floors)
    if not count:
        return ""
    return (
        f"The job's plan has a picture under {count} of its storeys. Pictures are not in the job "
        "file; add them under Survey."
    )


def zone_of_this_machine() -> str:
    """Time zone that this machine's clock shows; UTC where it does not say."""
    named = os.environ.get("TZ", "").removeprefix(":")
    _, _, linked = str(Path("/etc/localtime").resolve()).partition("zoneinfo/")
    for name in (named, linked):
        try:
            return named_zone(name).key
        except ValueError:
            continue
    return "UTC"


def _guessed(listed: ListedDevices) -> list[str]:
    """What was guessed of the devices."""
    lines = [
        f"{line.what} taken as {line.as_}, {line.why}"
        + (f" ({line.count} times)" if line.count > 1 else "")
        + "."
        for line in listed.guessed
    ]
    more = len(lines) - _MOST_SAID
    return [
        *lines[:_MOST_SAID],
        *([f"And {more} more guesses; the devices show what they were taken for."] * (more > 0)),
    ]
