"""A panel's or phone's own scale: bars, percent or words."""

from collections.abc import Mapping

from pathproof.instruments._reading import Reading
from pathproof.job import Library, Scale, ScaleStep
from pathproof.protocol.modem import Level, shown
from pathproof.terms import InvalidInputError, PathproofError


def scales_of(known: Library) -> dict[str, Scale]:
    """The scales of the parts that have one of their own, by the part's id."""
    scales = {i: getattr(part, "scale", None) for i, part in known.parts.items()}
    return {i: scale for i, scale in scales.items() if isinstance(scale, Scale)}


def hinting_at_scales(
    error: PathproofError, text: str, scales: Mapping[str, Scale], option: str = ""
) -> PathproofError:
    """The error, with the scales that have a line of the text as a step, where any has.

    Parameters
    ----------
    error : PathproofError
        Why the text is no reading in levels.
    text : str
        What was given.
    scales : mapping
        Scales by the part's id.
    option : str
        What stands before the parts, such as the option that takes one.
    """
    lines = {_same(line) for line in text.splitlines()}
    having = [i for i, s in scales.items() if any(_same(step.name) in lines for step in s.steps)]
    if not having:
        return error
    return InvalidInputError(
        f"{error} If a panel or phone shows it so, say whose scale it is: {option}"
        f"{' or '.join(sorted(having))}, or a part of your own."
    )


def read_scale_step(scale: Scale, shows: str) -> Reading:
    """Reading of a step of a scale; no level where the scale is not tied to levels.

    Parameters
    ----------
    scale : Scale
        The scale as the catalogue gives it.
    shows : str
        The step as the panel or phone shows it; case and blanks do not matter.

    Raises
    ------
    InvalidInputError
        Not a step of this scale.
    """
    place = next((i for i, s in enumerate(scale.steps) if _same(s.name) == _same(shows)), None)
    if place is None:
        allowed = ", ".join(f"'{step.name}'" for step in scale.steps)
        raise InvalidInputError(
            f"{shown(shows)} is not a step of this scale; allowed are {allowed}. "
            "Check that the right part was chosen."
        )
    step = scale.steps[place]
    levels = _levels(scale, step)
    return Reading(
        levels=levels,
        notes=(_note(scale, step, place, bool(levels)),),
        instrument=f"scale of {len(scale.steps)} steps",
        raw=shows,
        step=None if levels else step.name,
    )


def _same(name: str) -> str:
    return "".join(name.split()).casefold()


def _levels(scale: Scale, step: ScaleStep) -> tuple[Level, ...]:
    if not scale.tied or (step.low is None and step.high is None):
        return ()
    return (Level.from_edges(scale.quantity, step.low, step.high),)


def _note(scale: Scale, step: ScaleStep, place: int, has_level: bool) -> str:
    where = f"'{step.name}' is step {place + 1} of {len(scale.steps)}, weakest first"
    if not has_level:
        return (
            f"{where}, and is not tied to a level: it stands in the record as shown and counts for "
            "nothing; read in dBm what is to count."
        )
    source = " ".join(x for x in (scale.source.ref, scale.source.edition, scale.source.clause) if x)
    return f"{where}; its levels are by {source} ({scale.source.evidence.value})."
