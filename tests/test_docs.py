"""Every public function of calc and protocol says what goes in, its unit, and on whose word."""

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from types import ModuleType

import pytest

import pathproof.calc
import pathproof.protocol

UNIT_SUFFIX = re.compile(r"_(dbm|db|dbi|dbd|hz|m|s|h|v|a|w|ah|wh|degc|deg|per_h|bps|ratio)$")
UNIT = re.compile(r"\[[^\]]+\](?!_)")  # [Hz], but not the reference [1]_


def public_modules(package: ModuleType) -> Iterator[ModuleType]:
    yield package
    for found in pkgutil.walk_packages(package.__path__, package.__name__ + "."):
        if not any(part.startswith("_") for part in found.name.split(".")):
            yield importlib.import_module(found.name)


def public_functions() -> dict[str, Callable[..., object]]:
    """Functions named in an ``__all__``, by where they are defined; compiled ones unwrapped."""
    functions: dict[str, Callable[..., object]] = {}
    for room in (pathproof.calc, pathproof.protocol):
        for module in public_modules(room):
            for name in getattr(module, "__all__", ()):
                value = getattr(module, name)
                function = getattr(value, "py_func", value)
                if inspect.isfunction(function):
                    functions[f"{function.__module__}.{name}"] = function
    return functions


def sections(docstring: str) -> dict[str, list[str]]:
    """Lines below each underlined heading of a numpy style docstring."""
    lines = docstring.splitlines()
    found: dict[str, list[str]] = {"": []}
    heading = ""
    for number, line in enumerate(lines):
        following = lines[number + 1] if number + 1 < len(lines) else ""
        if line and re.fullmatch(r"-{3,}", following):
            heading = line
            found[heading] = []
        elif not re.fullmatch(r"-{3,}", line):
            found[heading].append(line)
    return found


def documented_parameters(lines: list[str]) -> dict[str, str]:
    """Text of each entry of a Parameters section; "a, b : float" is two entries."""
    entries: dict[str, str] = {}
    names: list[str] = []
    for line in lines:
        if line and not line[0].isspace():
            names = [name.strip().lstrip("*") for name in line.split(" : ")[0].split(",")]
            entries.update(dict.fromkeys(names, line))
        else:
            entries.update({name: f"{entries[name]}\n{line}" for name in names})
    return entries


FUNCTIONS = public_functions()


def test_there_is_something_to_check() -> None:
    assert len(FUNCTIONS) > 10


@pytest.mark.parametrize("function", FUNCTIONS.values(), ids=FUNCTIONS)
def test_docstring_fits_the_function(function: Callable[..., object]) -> None:
    docstring = inspect.getdoc(function)
    assert docstring, "no docstring"
    found = sections(docstring)
    signature = inspect.signature(function)
    documented = documented_parameters(found.get("Parameters", []))
    assert list(documented) == list(signature.parameters)
    for name, text in documented.items():
        assert not UNIT_SUFFIX.search(name) or UNIT.search(text), f"no unit in [] for {name}"
    assert "Returns" in set(found)
    assert {"References", "Notes"} & set(found), "neither References nor Notes"
