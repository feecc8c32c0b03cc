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
from pathproof.instruments._pasted import heard_values, read_pasted, reading_drafts, told_of
from pathproof.instruments._plain import LIMITS, Limits
from pathproof.instruments._read import MAX_LINES, MAX_TEXT, read, read_many
from pathproof.instruments._reading import Reading
from pathproof.instruments._scales import hinting_at_scales, read_scale_step, scales_of
from pathproof.instruments._signal_columns import Columns, guess_columns
from pathproof.instruments._signal_list import SeenSignal, SignalList, UnreadLine, read_signals
from pathproof.instruments._signal_match import (
    LONGEST_DELAY,
    KnownLine,
    MatchedLine,
    MatchedList,
    SiteSignal,
    UnmatchedLine,
    event_drafts,
    match_signals,
    site_signals,
    with_delays,
)
from pathproof.instruments._signal_table import SignalTable, TableRow, table_of
from pathproof.instruments._signal_times import DateOrder
from pathproof.instruments._watched import Watched, watched
from pathproof.protocol.modem import Level

__all__ = [
    "LIMITS",
    "LONGEST_DELAY",
    "MAX_LINES",
    "MAX_LOG",
    "MAX_READINGS",
    "MAX_TEXT",
    "Columns",
    "DateOrder",
    "KnownLine",
    "Level",
    "Limits",
    "Log",
    "MatchedLine",
    "MatchedList",
    "NoTimeError",
    "Reader",
    "Reading",
    "SeenSignal",
    "SignalList",
    "SignalTable",
    "SiteSignal",
    "TableRow",
    "TimedReading",
    "UnmatchedLine",
    "UnreadLine",
    "Watched",
    "by_technology",
    "entry",
    "entry_values",
    "event_drafts",
    "guess_columns",
    "heard_values",
    "hinting_at_scales",
    "match_signals",
    "read",
    "read_many",
    "read_paced_log",
    "read_pasted",
    "read_scale_step",
    "read_signals",
    "read_stamped_log",
    "reading_drafts",
    "scales_of",
    "site_signals",
    "table_of",
    "told_of",
    "watched",
    "with_delays",
]
