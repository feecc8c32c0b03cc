"""`pathproof catalogue`: parts, constructions and materials by the names that are used for them."""

from collections.abc import Iterator, Mapping
from difflib import get_close_matches
from typing import Annotated, Any, Final

import typer

from pathproof.calc.radio import P2040_EDITION, P2040_ROWS
from pathproof.cli._figures import layers_text, main_figures
from pathproof.cli._options import AsJson, command_app, wrong_use
from pathproof.cli._screen import Screen, print_json
from pathproof.job import Construction, Library, Part, Source
from pathproof.job.home import user_library
from pathproof.terms import Material

PART_KINDS: Final = (
    "panel",
    "detector",
    "repeater",
    "communicator",
    "service",
    "antenna",
    "feeder",
    "battery",
    "supply",
    "cable",
    "instrument",
)
CONSTRUCTION: Final = "construction"
MATERIAL: Final = "material"
KINDS: Final = (*PART_KINDS, CONSTRUCTION, MATERIAL)

app = command_app()


@app.command()
def catalogue(
    which: Annotated[
        str | None,
        typer.Argument(
            metavar="KIND|ID",
            help=f"One kind ({', '.join(KINDS)}), or one entry by its id; everything if not given.",
            show_default=False,
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """List parts, constructions and materials, or show one with its sources.

    What ships with Pathproof, and your own TOML files on top.
    """
    known = user_library()
    if which is None or which in KINDS:
        kinds = KINDS if which is None else (which,)
        if as_json:
            print_json(_list_as_json(known, kinds))
        else:
            _list(Screen(), known, kinds)
        return
    found = _entry(known, which)
    if as_json:
        print_json(found)
    else:
        _show(Screen(), found)


def _parts(known: Library, kind: str) -> list[Part]:
    return sorted((p for p in known.parts.values() if p.kind == kind), key=lambda p: p.id)


def _list(screen: Screen, known: Library, kinds: tuple[str, ...]) -> None:
    for kind in kinds:
        rows = list(_rows(known, kind))
        if rows:
            screen.heading(kind.capitalize())
        for name, text, figures in rows:
            screen.paragraph(text, first=(f"{name}  ", "bold"))
            if figures:
                screen.paragraph(figures, first="    ")


def _rows(known: Library, kind: str) -> Iterator[tuple[str, str, str]]:
    """Id, name and the figures that matter, of everything of a kind."""
    if kind == MATERIAL:
        yield from ((str(m), _spans(m), "") for m in sorted(P2040_ROWS))
    elif kind == CONSTRUCTION:
        for name, made in sorted(known.constructions.items()):
            yield name, made.name, layers_text(made)
    else:
        yield from ((p.id, p.name, main_figures(p)) for p in _parts(known, kind))


def _list_as_json(known: Library, kinds: tuple[str, ...]) -> dict[str, list[dict[str, Any]]]:
    parts = [p for kind in kinds if kind in PART_KINDS for p in _parts(known, kind)]
    found: dict[str, list[dict[str, Any]]] = {
        "parts": [
            {"kind": p.kind, "id": p.id, "name": p.name, "figures": main_figures(p)} for p in parts
        ],
        "constructions": [],
        "materials": [],
    }
    if CONSTRUCTION in kinds:
        found["constructions"] = [
            _construction(name, made) for name, made in sorted(known.constructions.items())
        ]
    if MATERIAL in kinds:
        found["materials"] = [_material(m) for m in sorted(P2040_ROWS)]
    return found


def _entry(known: Library, name: str) -> dict[str, Any]:
    """One entry with every figure and its sources."""
    if name in known.parts:
        return known.parts[name].model_dump(mode="json", exclude_defaults=True)
    if name in known.constructions:
        return _construction(name, known.constructions[name])
    if name in set(Material):
        return _material(Material(name))
    everything = [*KINDS, *known.parts, *known.constructions, *Material]
    near = get_close_matches(name, everything, n=4, cutoff=0.4)
    raise wrong_use(
        f"there is no kind, part, construction or material {name!r}; "
        + (f"nearest: {', '.join(near)}." if near else f"kinds are {', '.join(KINDS)}."),
        "KIND|ID",
    )


def _construction(name: str, made: Construction) -> dict[str, Any]:
    content = made.model_dump(mode="json", exclude_defaults=True)
    return {"kind": CONSTRUCTION, "id": name, **content}


def _material(material: Material) -> dict[str, Any]:
    spans = [{"low_hz": r.low_ghz * 1e9, "high_hz": r.high_ghz * 1e9} for r in P2040_ROWS[material]]
    source = {"ref": f"Rec. ITU-R {P2040_EDITION}", "evidence": "restated"}
    return {"kind": MATERIAL, "id": str(material), "known": spans, "source": source}


def _spans(material: Material) -> str:
    rows = P2040_ROWS[material]
    return "known from " + " and ".join(f"{r.low_ghz:g} to {r.high_ghz:g} GHz" for r in rows)


def _show(screen: Screen, entry: Mapping[str, Any]) -> None:
    screen.paragraph((str(entry["id"]), "bold"), f"  {entry.get('name', '')}, {entry['kind']}")
    own = entry.get("sources", {})
    for name, text in _figures(entry):
        source = f"  ({_cited(own[name])})" if name in own else ""
        screen.paragraph(f"{text}{source}", first=f"  {name}: ")
    screen.paragraph(f"Source: {_cited(entry['source'])}.")
    if "note" in entry:
        screen.paragraph(str(entry["note"]))


def _figures(entry: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Fields of an entry by their paths, as `sources` names them."""
    if isinstance(entry, Mapping):
        for name, value in entry.items():
            head = name in ("id", "name", "kind", "source", "sources", "note") and not path
            if not head:
                yield from _figures(value, f"{path}.{name}" if path else name)
    elif isinstance(entry, list) and any(isinstance(item, Mapping) for item in entry):
        for number, item in enumerate(entry):
            yield from _figures(item, f"{path}[{number}]")
    else:
        yield path, ", ".join(map(str, entry)) if isinstance(entry, list) else str(entry)


def _cited(source: Mapping[str, Any]) -> str:
    given = Source.model_validate(source)
    cited = ", ".join(x for x in (given.ref, given.edition, given.clause) if x)
    return f"{cited} ({given.evidence})"
