"""Arguments and options that several commands share."""

from pathlib import Path
from typing import Annotated, Any

import typer

from pathproof.terms import PathproofError, Quantity, Technology

JobPath = Annotated[Path, typer.Argument(metavar="JOB", help="A job file.", show_default=False)]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON and nothing else.")]
AsciiOnly = Annotated[bool, typer.Option("--ascii", help="Draw with plain ASCII.")]
AsOf = Annotated[
    str | None,
    typer.Option(
        "--as-of",
        metavar="MOMENT",
        help="Day or moment that the answer speaks for, as 2026-11-25 or 2026-11-25T18:00, in "
        "the site's time zone; now if not given. A day counts to its end.",
    ),
]
LeaveOutLater = Annotated[
    bool, typer.Option("--leave-out-later", help="Leave out entries dated after --as-of.")
]


def command_app(**settings: Any) -> typer.Typer:
    """A module's own command or group of commands."""
    return typer.Typer(add_completion=False, rich_markup_mode=None, **settings)


def wrong_use(error: PathproofError | str, option: str) -> typer.BadParameter:
    """An option's value that cannot be used, to be raised: exit code 2."""
    return typer.BadParameter(str(error), param_hint=f"'{option}'")


# What a record entry is made of.

About = Annotated[
    list[str] | None,
    typer.Option(metavar="ID", help="What it is about; several times for several things."),
]
By = Annotated[str, typer.Option(metavar="NAME", help="Who did it.", show_default=False)]
At = Annotated[
    str | None,
    typer.Option(
        metavar="MOMENT",
        help="When, as 2026-11-25 or 2026-11-25T18:00, in the site's time zone; now if not given.",
    ),
]
Instrument = Annotated[str, typer.Option(metavar="TEXT", help="With what.", show_default=False)]
Replaces = Annotated[
    str | None, typer.Option(metavar="ENTRY", help="The entry that this one corrects.")
]
LidShut = Annotated[
    bool | None, typer.Option("--lid-shut/--lid-open", help="The lid of the housing.")
]
FinalPlace = Annotated[
    bool | None,
    typer.Option("--final-place/--other-place", help="Whether the device hung where it stays."),
]
FinalAntenna = Annotated[
    bool | None,
    typer.Option(
        "--final-antenna/--other-antenna",
        help="Whether the antenna and feeder are those that stay.",
    ),
]
Minutes = Annotated[
    float | None, typer.Option(metavar="MIN", help="How long the reading was watched. [min]")
]
NetworkCode = Annotated[
    str | None, typer.Option("--network", metavar="MCC-MNC", help="The network read, as 001-01.")
]
TechnologyRead = Annotated[
    Technology | None,
    typer.Option("--technology", metavar="NAME", help=f"Its technology: {', '.join(Technology)}."),
]
Band = Annotated[str | None, typer.Option(metavar="BAND", help="3GPP band number, as B20 or n78.")]
QuantityRead = Annotated[
    Quantity | None,
    typer.Option(
        "--quantity",
        metavar="NAME",
        help=f"What a number without a name is: {', '.join(Quantity)}.",
    ),
]
ScaleOf = Annotated[
    str | None,
    typer.Option(
        "--scale", metavar="PART", help="Read the text as a step of this part's own scale."
    ),
]


def given(**options: Any) -> dict[str, Any]:
    """Those options that somebody gave."""
    return {name: value for name, value in options.items() if value not in (None, "", [], ())}
