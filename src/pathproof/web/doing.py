"""What is done by a command or an option in a terminal, and where it is done in the app."""

import re
from collections.abc import Mapping
from typing import Final

PAGES: Final[Mapping[str, str]] = {
    "Profile": "specify:profile",
    "Communicator": "specify:communicator",
    "Import a plan": "survey:import",
    "the record": "signals:record",
    "Prove": "signals:page",
}
"""URL of each page by its name, as sentences below name it in brackets."""

_OPTION: Final = r"(?<![\w-])--"

DOING: Final[tuple[tuple[re.Pattern[str], str], ...]] = tuple(
    (re.compile(pattern), words)
    for pattern, words in (
        (r"; see pathproof profile confirm\b", "; confirm it under [Profile]"),
        (r"(?::|,)?\s+pathproof profile confirm\b", " under [Profile]"),
        (r" \(pathproof retirements shows what is known\)", ""),
        (r"(recorded) with\s+pathproof record add\b", r"\1 under [Prove]"),
        (r"pathproof choose JOB --take N keeps it", "taking an offer under [Communicator] does"),
        (r": pathproof choose JOB --take \w+", " under [Communicator]"),
        (r"pathproof choose JOB --all shows", "[Communicator] shows"),
        (r"read its plan with pathproof import, or lay a picture under it with pathproof underlay",
         "read its plan, or lay a picture under it, with [Import a plan]"),
        (r" \(--about, --replaces\)", ": correct it in [the record]"),
        (r" \(pathproof underlay\)", " with [Import a plan]"),
        (r"\bpathproof underlay\b", "[Import a plan]"),
        (r"(?:import it|Use): pathproof import\b", "send it to [Import a plan]"),
        (rf"such as {_OPTION}walls '([^']*)'", r"such as \1"),
        (rf"{_OPTION}walls takes them", "“Layers that hold walls” takes them"),
        (rf"{_OPTION}walls\b", "“Layers that hold walls”"),
        (rf"{_OPTION}without\b", "“Layers to leave out”"),
        (rf"\b[Ii]mport again with {_OPTION}unit (\w+)", r"Read it again with \1 in “Drawn in”"),
        (rf", or {_OPTION}unit (\w+)", r", or with \1"),
        (rf"Give its unit: {_OPTION}unit ", "Give its unit in “Drawn in”: "),
        (rf"`?{_OPTION}unit\b`?", "“Drawn in”"),
        (rf"{_OPTION}storey-height\b", "“From floor to floor”"),
        (rf"{_OPTION}page\b", "“Page of the PDF”"),
        (rf"; where walls are drawn as one line, give their thickness under \[single_lines\]\s+in "
         rf"{_OPTION}notes", "; walls drawn as one line cannot be read here"),
        (rf"Walls of one line go under \[single_lines\] in {_OPTION}notes",
         "Walls drawn as one line cannot be read here"),
        (rf"write thickest_wall_m = ([\d.]+) into {_OPTION}notes",
         r"they are up to \1 m thick, and cannot be read here"),
        (rf"name the storeys in {_OPTION}notes",
         "name the storeys in “What a drawing leaves open”"),
        (r"In the job file give the floor '[^']*' the name and elevation_m of the one it is now, "
         r"then import again",
         "Give it the name and height of the one it is now, then import again"),
        (r"delete what is drawn there from the job file", "take out what is drawn there"),
        (r"(Correct that) in the job file", r"\1"),
        (r"import it into a job file of its own", "import it into a job of its own"),
        (r"once \"profile\" in its \"site\" is \"(\w+)\"",
         r"once it is judged by \1 under [Profile]"),
    )
)  # fmt: skip
"""Sentences as they are written for the terminal, and what a page says; the first that fits."""
