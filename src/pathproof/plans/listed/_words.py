"""Words of a list against names of parts and constructions."""

import difflib
import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Final

from pathproof.plans.materials import normalised

_KEPT: Final = 4096
_MOST_WORDS: Final = 6
_LONGEST_WORD: Final = 30


@lru_cache(maxsize=_KEPT)
def plain(text: str) -> str:
    """The text in lower case, without accents, with single spaces in place of other signs."""
    return " ".join(re.findall(r"[^\W_]+", normalised(text)))


@lru_cache(maxsize=_KEPT)
def words(*texts: str) -> frozenset[str]:
    """The words of the texts, each in the singular."""
    return frozenset(_singular(word) for text in texts for word in plain(text).split())


def named(text: str, names: Mapping[str, str]) -> str | None:
    """The id of the thing whose id or name the text is; none where it is no such thing's."""
    wanted = plain(text)
    alike = (i for i, name in names.items() if wanted and wanted in (plain(i), plain(name)))
    return next(alike, None)


def nearest(text: str, names: Mapping[str, str]) -> str:
    """Up to three ids with words that are written alike, as ", such as ..."; empty without one."""
    known = {i: words(i, name) for i, name in names.items()}
    every = sorted(frozenset().union(*known.values()))
    said = sorted(words(text))[:_MOST_WORDS]
    alike = {w for s in said for w in difflib.get_close_matches(s[:_LONGEST_WORD], every, n=1)}
    close = sorted(known, key=lambda i: -len(known[i] & alike))[:3]
    ids = ", ".join(repr(i) for i in close if known[i] & alike)
    return f", such as {ids}" if ids else ""


def _singular(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word
