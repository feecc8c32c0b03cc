"""What a communicator is chosen from: everything that the library and the job hold for it."""

from dataclasses import dataclass
from typing import Any

from pathproof.job.embedded import CHOSEN_FROM
from pathproof.job.file import Job, embed
from pathproof.job.library import Library


@dataclass(frozen=True, kw_only=True)
class Differing:
    """A field of a considered part that is not as the library has it."""

    part: str
    field: str
    job: Any
    """What the job has, as JSON."""
    library: Any

    def as_dict(self) -> dict[str, Any]:
        """Its JSON shape."""
        return {
            "part": self.part,
            "field": self.field,
            "job": self.job,
            "catalogue": self.library,
        }


def differing(job: Job, library: Library) -> tuple[Differing, ...]:
    """Every field of a considered part that the library has another value of, by part.

    Parameters
    ----------
    job : Job
        A job with everything considered embedded; its own parts count.
    library : Library
        What it is held against; parts that it does not have are left out.
    """
    found = []
    for part in job.site.considered:
        if part in library.parts:
            own = job.part(part).model_dump(mode="json")
            there = library.parts[part].model_dump(mode="json")
            found += [
                Differing(part=part, field=name, job=own.get(name), library=there.get(name))
                for name in dict.fromkeys([*own, *there])
                if own.get(name) != there.get(name)
            ]
    return tuple(found)


def considering(job: Job, library: Library) -> Job:
    """The job with every communicator, service, antenna and feeder at hand considered.

    Those that it considers already come first, in their order; then what else it embeds and the
    library has, by id. Where both have a part, the job's own counts. Nothing is saved.

    Parameters
    ----------
    job : Job
        A job; how it stands is not changed.
    library : Library
        Where other parts come from, and what is known of their ends.

    Returns
    -------
    considered : Job
        The same job with `site.considered` filled and everything in it embedded.

    Raises
    ------
    JobError
        The job refers to something that is neither in it nor in the library.
    """
    parts = {**library.parts, **job.embedded.catalogue}
    at_hand = sorted(i for i, part in parts.items() if part.kind in CHOSEN_FROM)
    every = dict.fromkeys([*job.site.considered, *at_hand])
    site = job.site.model_copy(update={"considered": list(every)})
    return embed(job.model_copy(update={"site": site}), library)
