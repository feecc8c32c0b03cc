"""Devices typed or pasted as a list, for a job without a plan."""

from pathproof.plans.listed._lines import MAX_LINES, MAX_TEXT
from pathproof.plans.listed._proposed import Ids, things_of
from pathproof.plans.listed._reader import put_listed, read_device_list
from pathproof.plans.listed._result import ListedDevices, NamedLine

__all__ = [
    "MAX_LINES",
    "MAX_TEXT",
    "Ids",
    "ListedDevices",
    "NamedLine",
    "put_listed",
    "read_device_list",
    "things_of",
]
