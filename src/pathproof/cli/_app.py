"""The group of commands, loaded when named, and what becomes of errors."""

import errno
import os
import sys
from collections.abc import Mapping
from difflib import get_close_matches
from importlib import import_module
from io import TextIOWrapper
from pathlib import Path
from types import MappingProxyType
from typing import Annotated, Any, Final

import typer
from platformdirs import user_cache_path
from typer.core import TyperGroup

from pathproof import __version__
from pathproof.cli._messages import complain
from pathproof.terms import PathproofError

EXIT_COULD_NOT: Final = 1
EXIT_INTERRUPTED: Final = 130

COMMANDS: Final[Mapping[str, tuple[str, str]]] = MappingProxyType(
    {
        "import": ("plan", "Read walls, openings and floors of a plan into a job file."),
        "underlay": ("underlay", "Put a picture or a page of a PDF under a storey, to scale."),
        "assess": ("assess", "Say of every signal whether it will reach the monitoring centre."),
        "map": (
            "map",
            "Map a storey: where the panel is heard, how well a place is covered, a network's "
            "level.",
        ),
        "choose": (
            "choose",
            "Choose communicator, card, network and antenna, with a reason for each one left out.",
        ),
        "papers": (
            "papers",
            "Write a paper of a job as PDF: the design assessment, or with --sheet another one.",
        ),
        "reading": ("reading", "Say what a mobile reading means, and put it on record."),
        "wall": ("wall", "Work out what a wall takes from a radio link."),
        "feeder": (
            "feeder",
            "Work out what the cable to an antenna takes, and when a better antenna stops helping.",
        ),
        "exposure": ("exposure", "Say how far people should keep from a sending antenna."),
        "standby": (
            "standby",
            "Work out the battery that standby and alarm ask for, and how long one lasts.",
        ),
        "cable": (
            "cable",
            "Work out what a cable takes from direct current, and the smallest that holds.",
        ),
        "record": ("record", "Put on record what happened on site, and list it."),
        "profile": ("profile", "Show the sets of requirements, and confirm limits."),
        "retirements": (
            "retirements",
            "Show which networks and services end, and which communicators that exposes by when.",
        ),
        "catalogue": (
            "catalogue",
            "List parts, constructions and materials, or show one with its sources.",
        ),
        "schema": ("schema", "Print the JSON Schema of the job file or of a piece of it."),
        "serve": ("serve", "Serve the app in the browser until Ctrl-C, on this machine only."),
        "reassess": ("reassess", "Work out jobs of the app whose answer is not of today."),
        "backup": ("backup", "Write everything that the app keeps into one file."),
        "restore": ("restore", "Put a backup of the app back."),
        "demo": ("demo", "Run the whole job on the shipped scenario and write its papers."),
    }
)
"""Name of a command: module that holds it as `app`, and its line in the list of commands."""


class LazyGroup(TyperGroup):
    """Commands that are imported when somebody names them."""

    def list_commands(self, ctx: Any) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        if cmd_name not in COMMANDS:
            near = get_close_matches(cmd_name, COMMANDS, n=1)
            hint = f"Did you mean {near[0]}?" if near else f"There are: {', '.join(COMMANDS)}."
            ctx.fail(f"There is no command {cmd_name!r}. {hint}")
        module = import_module(f"pathproof.cli.{COMMANDS[cmd_name][0]}")
        return typer.main.get_command(module.app)

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """The list of commands, without importing one."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in COMMANDS.items()])

    def invoke(self, ctx: Any) -> Any:
        """Run a command; an error that a person can mend becomes sentences and exit code 1."""
        try:
            return super().invoke(ctx)
        except PathproofError as error:
            message = str(error)
        except OSError as error:
            if error.errno == errno.EPIPE:
                raise
            message = explain_os_error(error)
        complain(message)
        raise typer.Exit(EXIT_COULD_NOT)


app = typer.Typer(
    cls=LazyGroup,
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
)


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"pathproof {__version__}")
        raise typer.Exit


@app.callback()
def pathproof(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Print the version."),
    ] = False,
) -> None:
    """Prove that when a detector trips, the monitoring centre hears it.

    Exit codes: 0 done, 1 could not be done, 2 wrong use; assess: 3 something is lacking,
    4 nothing is lacking but something is undecided; choose: 3 nothing fits, 4 nothing fits yet
    but some cannot be told.
    """


def main() -> None:
    """Run the command line. Compiled kernels are kept in the user's cache folder."""
    try:
        _prepare()
        typer.main.get_command(app)(prog_name="pathproof")
    except KeyboardInterrupt:
        sys.exit(EXIT_INTERRUPTED)
    finally:
        _flush_output()


def _prepare() -> None:
    cache = user_cache_path("pathproof", appauthor=False) / "kernels"
    os.environ.setdefault("NUMBA_CACHE_DIR", str(cache))
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # a name may hold what the terminal cannot show


def explain_os_error(error: OSError) -> str:
    """What the system refused, as a sentence."""
    name = f"{Path(os.fsdecode(error.filename))}: " if error.filename is not None else ""
    return f"{name}{error.strerror or error}. Check the path, its permissions and the free space."


def _flush_output() -> None:
    """Nothing is left for the interpreter to flush where it could only complain."""
    if sys.stdout is None:  # closed by whoever started us
        return
    try:
        sys.stdout.flush()
    except OSError as error:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if error.errno != errno.EPIPE:
            complain(f"The output could not be written: {error.strerror}.")
        sys.exit(EXIT_COULD_NOT)
