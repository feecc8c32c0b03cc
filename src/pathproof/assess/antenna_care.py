"""How to treat connectors and feeders: the words that commands, findings and papers share.

Common practice, no source.
"""

from typing import Final

CARE: Final = (
    "Use plugs made for this very cable and crimp or solder them as their maker says; a screen "
    "that is only pushed on costs more than metres of cable.",
    "Match size and gender of plug and socket: look-alikes with pin and hole the other way round "
    "screw together and do not touch. One right cable beats a chain of adapters.",
    "Screw them clean and dry, by hand first and then with the torque that the maker states. Never "
    "turn the cable with the nut.",
    "No bends sharper than the cable's papers allow, no staples through the cable, no cable for "
    "television: its impedance differs.",
    "Outside, wrap the plugs with self-amalgamating tape, and let the cable hang in a loop before "
    "it goes into the wall, so that water drips off.",
    "Cap a socket that stays spare, against dirt and water.",
    "Keep the module off while the antenna is not connected. An antenna outside needs the earthing "
    "and lightning protection that the rules of the place ask for, often by a licensed person.",
)
"""Sentences, in the order of the work."""

CARE_IN_BRIEF: Final = (
    "Plugs clean, dry, tight and matched to the socket in size and gender, no chains of adapters, "
    "no sharp bends; outside under self-amalgamating tape and with a drip loop; spare sockets "
    "capped."
)
"""The same in a sentence."""
