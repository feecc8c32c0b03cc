"""How to treat mains, batteries and cells: the words that commands, findings and papers share.

Common practice, no source. Local codes and licensed persons come first.
"""

from typing import Final

MAINS: Final = (
    "Mains voltage kills. Connecting to the mains is for a licensed person, by the local code: "
    "switch off, secure against switching on again, and prove dead before touching."
)
ISOLATE: Final = (
    "Before work inside: mains off and secured, battery disconnected, terminals insulated, dead by "
    "a tester that was tried on something live, capacitors left to empty. Which of mains and "
    "battery comes back first is as the equipment's maker says."
)
BATTERY_TYPE: Final = (
    "Replace a battery only with a type that the equipment is approved with. Blocks in series add "
    "volts, not capacity; in parallel only of one type and age, where the charger's maker allows "
    "it."
)
BATTERY_HANDLING: Final = (
    "A battery can burn or burst when shorted, punctured, wrongly charged or fitted the wrong way "
    "round. Take off rings, keep loose tools away, insulate the terminals, keep the place vented, "
    "and never charge a frozen or swollen block. Used ones go to collection."
)
CELLS: Final = (
    "Replace all cells of a device at once by new ones of the type stated, never mixed in age, "
    "make or type. Never recharge or short a primary cell; insulate the poles of used lithium ones."
)
CELLS_IN_BRIEF: Final = (
    "All cells of a device at once, of the type stated, the used ones to collection."
)
BATTERY_IN_BRIEF: Final = (
    "A type that the equipment is approved with, terminals insulated, the used one to collection."
)
