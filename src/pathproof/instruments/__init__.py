"""What speaks to or for a measuring thing; gives readings and record entries, never a judgement."""

from pathproof.instruments._entries import by_technology, entry, entry_values
from pathproof.instruments._log import (
    MAX_LOG,
    MAX_READINGS,
    Log,
    NoTimeError,
    Reader,
    TimedReading,
    read_paced_log,
    read_stamped_log,
)
from pathproof.instruments._plain import LIMITS, Limits
from pathproof.instruments._read import MAX_LINES, MAX_TEXT, read, read_many
from pathproof.instruments._reading import Reading
from pathproof.instruments._scales import read_scale_step
from pathproof.instruments._watched import Watched, watched
from pathproof.protocol.modem import Level

__all__ = [
    "LIMITS",
    "MAX_LINES",
    "MAX_LOG",
    "MAX_READINGS",
    "MAX_TEXT",
    "Level",
    "Limits",
    "Log",
    "NoTimeError",
    "Reader",
    "Reading",
    "TimedReading",
    "Watched",
    "by_technology",
    "entry",
    "entry_values",
    "read",
    "read_many",
    "read_paced_log",
    "read_scale_step",
    "read_stamped_log",
    "watched",
]
