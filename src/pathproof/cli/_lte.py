"""The LTE channel that was read, as options tell it."""

from typing import Annotated, Any, Final

import typer

from pathproof.assess.lte_words import told_band
from pathproof.calc.mobile import LTE_RESOURCE_BLOCKS
from pathproof.cli._options import as_number, as_whole_number, given, wrong_use
from pathproof.terms import InvalidInputError

_BANDWIDTHS: Final = ", ".join(f"{hz / 1e6:g}" for hz in LTE_RESOURCE_BLOCKS)


def as_bandwidth_mhz(text: str) -> float:
    """The bandwidth of an LTE channel that an option was given. [MHz]

    Raises
    ------
    typer.BadParameter
        No LTE channel has it.
    """
    bandwidth_mhz = as_number(text)
    if bandwidth_mhz * 1e6 not in LTE_RESOURCE_BLOCKS:
        raise typer.BadParameter(f"given {text!r}; allowed: {_BANDWIDTHS}.")
    return bandwidth_mhz


Earfcn = Annotated[
    int | None,
    typer.Option(
        parser=as_whole_number,
        metavar="N",
        help="Downlink channel number (EARFCN) that the module shows, as 6300; gives the band.",
    ),
]
BandwidthMhz = Annotated[
    float | None,
    typer.Option(
        parser=as_bandwidth_mhz,
        metavar="MHZ",
        help=f"Bandwidth of the LTE channel: {_BANDWIDTHS}; shows levels that cannot be. [MHz]",
    ),
]


def channel_values(
    band: str | None, earfcn: int | None, bandwidth_mhz: float | None
) -> dict[str, Any]:
    """Band and bandwidth of a reading, as a record entry holds them.

    Raises
    ------
    typer.BadParameter
        No band has this channel number, or another band than the one given.
    """
    return given(
        band=_band(band, earfcn),
        bandwidth_hz=None if bandwidth_mhz is None else bandwidth_mhz * 1e6,
    )


def _band(band: str | None, earfcn: int | None) -> str | None:
    if earfcn is None:
        return band
    try:
        return told_band(earfcn, band)
    except InvalidInputError as error:
        option = "--band" if str(error).startswith("band was") else "--earfcn"
        raise wrong_use(error, option) from error
