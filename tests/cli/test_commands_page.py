"""docs/commands.md names every command and every option, and nothing that is not there."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer

from pathproof.cli import app

PAGE = (Path(__file__).parents[2] / "docs" / "commands.md").read_text("utf-8")


def commands() -> Iterator[tuple[str, Any]]:
    """Every command that does something, with its full name."""
    group: Any = typer.main.get_command(app)
    context = typer.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        if hasattr(command, "commands"):
            yield from ((f"{name} {sub}", c) for sub, c in command.commands.items())
        else:
            yield name, command


def section(name: str) -> str:
    """What the page says of a command."""
    found = re.search(
        rf"^(#+) `pathproof {name}`\n(.*?)(?=^#+ `|\Z)", PAGE, re.DOTALL | re.MULTILINE
    )
    assert found, f"docs/commands.md has no section for {name}"
    return found[2]


COMMANDS = dict(commands())


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_stands_in_its_section(name: str) -> None:
    text = section(name)
    for parameter in COMMANDS[name].params:
        for option in (*parameter.opts, *parameter.secondary_opts):
            if option.startswith("-") and option != "--help":
                assert f"`{option}`" in text, f"{name}: {option} is not documented"


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_an_example(name: str) -> None:
    assert re.search(rf"```\npathproof {name}\b", section(name))


@pytest.mark.parametrize("name", COMMANDS)
def test_the_page_names_no_option_that_is_not_there(name: str) -> None:
    known = {o for p in COMMANDS[name].params for o in (*p.opts, *p.secondary_opts)}
    of_others = {"--working", "--signal"} if name == "assess" else set()
    assert set(re.findall(r"`(--?[a-z][a-z-]*)`", section(name))) <= known | of_others
