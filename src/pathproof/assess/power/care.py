"""How to treat batteries, cells and the mains: the words that commands, findings and papers share.

Common practice, no source. The local code and licensed persons come first.
"""

from typing import Final

MAINS_CARE: Final = (
    "Connecting to the mains is for a licensed person, by the local code; what is left for others "
    "ends at the plug or the fused spur.",
    "Before you touch what is inside: mains off and locked, battery disconnected, proven dead with "
    "a tester that was itself tried, and a wait for capacitors.",
)
"""Sentences, in the order of the work."""

BATTERY_CARE: Final = (
    "Take off rings, keep loose tools away, insulate the terminals and short nothing.",
    "Fit only a type that the equipment is approved with. Blocks in series add volts, not "
    "capacity; in parallel only of one type and age, where the charger's maker allows it.",
    "Keep the place vented. Never charge a frozen or swollen block, and no lithium one below "
    "freezing or on a charger that is not meant for it.",
    "Battery or mains first at power-up is as the equipment's maker says.",
    "Write the date on the new one, and take the used one to collection.",
)
"""Sentences, in the order of the work."""

CELL_CARE: Final = (
    "Replace all cells of a device at once, by new ones of the type stated: no mixing of makes, "
    "ages or types.",
    "Never recharge a primary cell, short it or open it; mind which way round it goes.",
    "Tell the centre before: opening the lid is a tamper. Test the device afterwards.",
    "Insulate the poles of used lithium cells, and take them to collection.",
)
"""Sentences, in the order of the work."""

BATTERY_CARE_IN_BRIEF: Final = (
    "A type that the equipment is approved with, terminals insulated, the used one to collection."
)
"""The same in a sentence."""

CELL_CARE_IN_BRIEF: Final = (
    "All cells of a device at once, of the type stated, the used ones to collection."
)
"""The same in a sentence."""
