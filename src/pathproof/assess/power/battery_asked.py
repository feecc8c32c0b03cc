"""Which standby battery is asked for: the lines of the working that somebody orders by."""

from typing import Final

from pathproof.assess.types import Line, Link

__all__ = ["battery_asked"]

_TOLD: Final = ("Capacity asked for", "Next usual size", "Hours it lasts")


def battery_asked(standby: Link) -> tuple[Line, ...]:
    """Capacity asked for, the next usual size, and the hours that what is fitted lasts.

    Parameters
    ----------
    standby : Link
        The link `standby` of an assessment; nothing comes of one that could not be worked out.
    """
    return tuple(line for line in standby.working if line.label.startswith(_TOLD))
