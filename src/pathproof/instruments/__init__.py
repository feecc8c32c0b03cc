"""What speaks to or for a measuring thing; gives readings and record entries, never a judgement."""

from pathproof.instruments._entries import entry
from pathproof.instruments._plain import LIMITS, Limits
from pathproof.instruments._read import MAX_LINES, MAX_TEXT, read, read_many
from pathproof.instruments._reading import Reading
from pathproof.instruments._scales import read_scale_step
from pathproof.protocol.modem import Level

__all__ = [
    "LIMITS",
    "MAX_LINES",
    "MAX_TEXT",
    "Level",
    "Limits",
    "Reading",
    "entry",
    "read",
    "read_many",
    "read_scale_step",
]
