"""Arguments and options that several commands share."""

from collections.abc import Callable
from difflib import get_close_matches
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any, TypeVar

import typer

from pathproof.terms import CalcError, PathproofError, Quantity, Technology

Choice = TypeVar("Choice", bound=StrEnum)


def as_number(text: str) -> float:
    """The number that an option was given.

    Raises
    ------
    typer.BadParameter
        Not a number.
    """
    try:
        return float(text)
    except ValueError as error:
        raise typer.BadParameter(
            f"given {text!r}; allowed: a number, without its unit, such as 2.5 or 868.42e6."
        ) from error


def as_whole_number(text: str) -> int:
    """The whole number that an option was given.

    Raises
    ------
    typer.BadParameter
        Not a whole number.
    """
    try:
        return int(text)
    except ValueError as error:
        raise typer.BadParameter(
            f"given {text!r}; allowed: a whole number in digits, such as 5."
        ) from error


def one_of(choices: type[Choice]) -> Callable[[str], Choice]:
    """A reader of options that name one of several things."""

    def choice(text: str) -> Choice:
        if text in set(choices):
            return choices(text)
        near = get_close_matches(text, list(choices), n=1)
        hint = f" Did you mean {near[0]}?" if near else ""
        raise typer.BadParameter(f"given {text!r}; allowed: {', '.join(choices)}.{hint}")

    return choice


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


def output_file(path: Path, suffix: str, *, also: str = "") -> Path:
    """The path of a file that is to be written, checked before any work is done.

    Parameters
    ----------
    path : Path
        What --output was given.
    suffix : str
        What its name has to end in, as .png.
    also : str
        What else the option takes, as ", or a folder that is there".

    Raises
    ------
    typer.BadParameter
        A folder, another ending, or the file's folder is not there.
    """
    if path.is_dir():
        raise wrong_use(f"'{path}' is a folder; name a file in it, ending in {suffix}.", "--output")
    if path.suffix.lower() != suffix:
        raise wrong_use(
            f"given '{path}'; allowed: a file whose name ends in {suffix}{also}. Write "
            f"'{path}{suffix}'.",
            "--output",
        )
    if not path.parent.is_dir():
        raise wrong_use(
            f"there is no folder '{path.parent}'. Make it first, or write elsewhere.", "--output"
        )
    return path


def wrong_value(error: CalcError) -> typer.BadParameter:
    """A value that a calculation refused, where options carry the names of its parameters."""
    parameter = str(error).split(" ", 1)[0]
    return wrong_use(error, f"--{parameter.replace('_', '-')}")


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
    float | None,
    typer.Option(parser=as_number, metavar="MIN", help="How long the reading was watched. [min]"),
]
MinutesSinceRegistration = Annotated[
    float | None,
    typer.Option(
        parser=as_number,
        metavar="MIN",
        help="How long the module had been registered then; it settles first. [min]",
    ),
]
Attempt = Annotated[
    int | None,
    typer.Option(
        parser=as_whole_number,
        metavar="N",
        help="Which try it was: the more tries, the surer each has to be.",
    ),
]
NetworkCode = Annotated[
    str | None, typer.Option("--network", metavar="MCC-MNC", help="The network read, as 001-01.")
]
TechnologyRead = Annotated[
    Technology | None,
    typer.Option(
        "--technology",
        parser=one_of(Technology),
        metavar="NAME",
        help=f"Its technology: {', '.join(Technology)}.",
    ),
]
Band = Annotated[str | None, typer.Option(metavar="BAND", help="3GPP band number, as B20 or n78.")]
QuantityRead = Annotated[
    Quantity | None,
    typer.Option(
        "--quantity",
        parser=one_of(Quantity),
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
