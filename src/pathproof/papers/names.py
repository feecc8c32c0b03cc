"""What things, links and signals are called on paper: a number and a name instead of an id."""

import re
from collections.abc import Iterator, Sequence

from pathproof.assess.strip import radio_words
from pathproof.assess.types import Action, Assessment
from pathproof.job import PANEL_ID, DetectorPart, Device, Job, Site
from pathproof.papers._text import listed, ranges, shorten, with_dates
from pathproof.terms import Word

NAME_CHARACTERS = 60
"""A long name of a device is cut in lists; the signal sheet has the whole."""
MOST_NAMES = 12
"""Names in one cell or sentence; then their number."""
_FEW_NAMES = 2

_LINK_ID = re.compile(r"\b(?:radio|mobile|reporting):[\w.>-]*\w")
_BRACKETED_IDS = re.compile(r"\(([\w.-]+(?:, [\w.-]+)*)(?= and \d+ more\)|\))")


class Names:
    """Numbers and names of a job's things."""

    def __init__(self, job: Job, assessment: Assessment) -> None:
        site = job.site
        self._job = job
        self._networks = {n.mcc_mnc: n.label for n in site.networks}
        self._links = {x.id: x for x in assessment.links}
        known = radio_words(assessment)
        self.words = {d.id: known.get(d.id, Word.UNDECIDED) for d in wireless_devices(job)}
        """Word of each wireless device's way to the panel."""
        self.keys = keys_of(site)
        self.full = {d.id: d.name for d in site.devices}
        self.full |= {r.id: r.name for r in site.repeaters}
        self.full |= {s.id: s.name for s in site.spots}
        alone = len(site.communicators) == 1
        self.full |= {c.id: "Module" if alone else f"Module {c.id}" for c in site.communicators}
        self.full |= {PANEL_ID: "Panel"}
        self.short = {i: shorten(n, NAME_CHARACTERS) for i, n in self.full.items()}
        self.numbered = {
            i: f"{n} ({self.keys[i]})" if i in self.keys else n for i, n in self.short.items()
        }
        """Names with their numbers behind, for the ends of links."""
        odd = [re.escape(i) for i in self.keys if not i.isalpha()]
        self._ids = re.compile(rf"(?<![\w.-])(?:{'|'.join(odd) or '(?!)'})(?![\w.-])")
        self._zones = {z.number: z.name for z in site.zones}

    def zone(self, about: str, number: int | None) -> str:
        """The zone of a thing's signals, and that the thing is wired where it is."""
        parts = []
        if number is not None:
            parts.append(f"zone {number}, {self._zones.get(number, '')}".rstrip(", "))
        if about in self.keys and about not in self.words:
            parts.append("by wire to the panel")
        return ", ".join(parts)

    def about(self, about: str) -> str:
        """Ids with commas between as numbers and names, the first of them where there are many."""
        return ", ".join(at_most([self.named(part) for part in about.split(", ")]))

    def places(self, things: Sequence[str]) -> str:
        """Numbers and names of a few things; of more, their numbers alone where they have some."""
        if len(things) <= _FEW_NAMES:
            return self.about(", ".join(things))
        keys = [self.keys.get(thing, thing) for thing in things]
        numbers = ranges(int(key) for key in keys if key.isdecimal())
        others = at_most([key for key in keys if not key.isdecimal()])
        return ", ".join([numbers, *others] if numbers else others)

    def named(self, thing: str) -> str:
        """Number and name of a thing."""
        name = self.short.get(thing, thing)
        return f"{self.keys[thing]} {name}" if thing in self.keys else name

    def network(self, code: str) -> str:
        """Label and code of a network; the code alone where it has no other label."""
        label = self._networks.get(code, code)
        return code if label == code else f"{label} ({code})"

    def networks(self, codes: Sequence[str]) -> str:
        """Several networks, the first of them where there are many."""
        return listed(at_most([self.network(code) for code in codes]))

    def by_code(self, text: str) -> str:
        """The text with networks by their code alone."""
        for code in self._networks:
            text = text.replace(self.network(code), code)
        return text

    def part(self, part: str, most: int = NAME_CHARACTERS) -> str:
        """Name of a catalogue entry, cut to so many characters, with its id."""
        name = shorten(self._job.part(part).name, most)
        return part if name == part else f"{name} ({part})"

    def plain(self, text: str) -> str:
        """The text with ids of links and things, and dates, put in words."""
        text = with_dates(_LINK_ID.sub(lambda m: self.link(m[0]), text))
        return _BRACKETED_IDS.sub(lambda m: f"({self._keys(m[1])}", text)

    def spoken(self, text: str) -> str:
        """The text put in words as `plain` does, ids of things outside brackets as well.

        Ids that are words of the language stay as they are.
        """
        return self._ids.sub(lambda m: self.named(m[0]), self.plain(text))

    def link(self, link_id: str) -> str:
        """Both ends of a link; its id where the job has no such link."""
        link = self._links.get(link_id)
        if link is None:
            return link_id
        return f"{self.named(link.start)} to {self.named(link.end)}"

    def _keys(self, things: str) -> str:
        return ", ".join(self.keys.get(thing, thing) for thing in things.split(", "))

    def without_name(self, action: Action) -> str:
        """An action's text with "it" for the device that it is about."""
        if action.about not in self.keys:
            return self.plain(action.text)
        thing = re.escape(action.about)
        name = re.escape(self.full[action.about])
        return self.plain(re.sub(rf"{name} \({thing}\)|\b{thing}\b", "it", action.text))


def at_most(names: list[str], most: int = MOST_NAMES) -> list[str]:
    """The first names, then the number of the others."""
    if len(names) <= most:
        return names
    return [*names[:most], f"{len(names) - most} more"]


def keys_of(site: Site) -> dict[str, str]:
    """The number of each device, repeater and spot in lists and on plans, by its id."""
    keys = {d.id: str(i) for i, d in enumerate(site.devices, start=1)}
    keys |= {r.id: f"R{i}" for i, r in enumerate(site.repeaters, start=1)}
    return keys | {s.id: f"S{i}" for i, s in enumerate(site.spots, start=1)}


def wireless_devices(job: Job) -> Iterator[Device]:
    """Devices whose part has a radio."""
    for device in job.site.devices:
        part = job.part(device.part)
        if isinstance(part, DetectorPart) and part.radio is not None:
            yield device
