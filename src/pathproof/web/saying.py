"""Pages of a job in the app's words.

What assessments, papers, plans and refusals say is written once, for terminal, paper and page.
Where it names a command, an option, a place in the job file, an id or a date by its figures, a page
says the page, the field, the thing or the day instead, and leads there.
"""

import html
import re
from collections import Counter
from collections.abc import Iterator
from enum import StrEnum
from functools import cached_property
from typing import Final

from django.urls import reverse

from pathproof import terms
from pathproof.job import Library
from pathproof.job.home import user_library
from pathproof.papers import with_dates
from pathproof.papers.names import Names, keys_of
from pathproof.terms import LimitName
from pathproof.web.doing import DOING, PAGES
from pathproof.web.jobs.answers import Answer

AS_WRITTEN: Final = {"24h": "24 h", "gsm": "GSM", "umts": "UMTS", "lte": "LTE", "lte_m": "LTE-M",
                     "nb_iot": "NB-IoT", "nr": "NR", "mains_recharged": "mains, battery recharged",
                     "mains_not_recharged": "mains, battery not recharged"}  # fmt: skip
"""Words of the vocabulary that people do not write as they stand there."""

_MARKUP: Final = re.compile(r"<!--.*?-->|</?([a-zA-Z][\w-]*)(?:\"[^\"]*\"|'[^']*'|[^'\">])*>", re.S)
_AS_IT_STANDS: Final = {"textarea", "script", "style", "code", "title"}
_NO_LINK_IN: Final = {"a", "button", "summary", "option", "label", "legend", "datalist"}
_TO_SAY: Final = re.compile(
    r"pathproof |--[a-z]|[0-9]{4}-[0-9]{2}|\w_\w|\bsite\.|job file|in its |-[0-9]"
)
"""Text without any of these is for people already."""
_TOKEN: Final = re.compile(
    r"(?<![\w./@-])(\()?([A-Za-z0-9]+(?:_[A-Za-z0-9]+)+)(\))?(?!\.\w|[\w/@-])"
)
_PAGE: Final = re.compile(rf"\[({'|'.join(PAGES)})\]")
_MINUS: Final = re.compile(r"(?<![\w.-])-(?=[0-9.]+ (?:dB|dBm|dBi|°C|V|A)\b)")
_PATH: Final = re.compile(r"\bsite(?:\.\w+(?:\[\d+\])?(?: \([\w.-]+\))?)+")
_STEP: Final = re.compile(r"\.(\w+)(?:\[(\d+)\])?(?: \(([\w.-]+)\))?")
_UNIT: Final = re.compile(r"_(?:m|db|dbm|dbi|hz|s|h|v|a|w|ah|degc|deg|ratio|mm2)$")
_CLOCK: Final = re.compile(r"(?<=[0-9]{4}-[0-9]{2}-[0-9]{2})[ T](?=[0-9]{2}:[0-9]{2})")
_LINK: Final = re.compile("\x02(.*?)\x03(.*?)\x04")
"""A link in the making: where to, and its words."""
_NOTHING: Final = "\x05"
_LIMITS: Final = {str(name): name for name in LimitName}

_WORDS: Final = {
    str(member): AS_WRITTEN.get(member, member.replace("_", " "))
    for kind in vars(terms).values()
    if isinstance(kind, type) and issubclass(kind, StrEnum) and kind is not LimitName
    for member in kind
    if "_" in member
}


def word_of(value: object) -> str:
    """A word of the vocabulary as people read it."""
    text = str(value)
    return AS_WRITTEN.get(text, text.replace("_", " "))


class Saying:
    """How pages say things: those of one job, or those that know of none and so lead nowhere."""

    def __init__(self, opened: Answer | None = None) -> None:
        self._opened = opened

    def page(self, markup: str) -> str:
        """The page with its text in the app's words; markup and what was typed stay as they are."""
        return "".join(self._parts(markup))

    def sentence(self, text: str) -> str:
        """A sentence in the app's words, without links."""
        return _LINK.sub(r"\2", self._said(text))

    def _parts(self, markup: str) -> Iterator[str]:
        at, within = 0, {name: 0 for name in _AS_IT_STANDS | _NO_LINK_IN}
        for tag in _MARKUP.finditer(markup):
            yield self._text(markup[at : tag.start()], within)
            yield tag[0]
            name, at = (tag[1] or "").lower(), tag.end()
            if name in within:
                within[name] += -1 if tag[0].startswith("</") else 1
        yield self._text(markup[at:], within)

    def _text(self, escaped: str, within: dict[str, int]) -> str:
        if not _TO_SAY.search(escaped) or any(within[name] > 0 for name in _AS_IT_STANDS):
            return escaped
        said = html.escape(self._said(html.unescape(escaped)), quote=False)
        if any(within[name] > 0 for name in _NO_LINK_IN):
            return _LINK.sub(r"\2", said)
        return _LINK.sub(r'<a href="\1">\2</a>', said)

    def _said(self, text: str) -> str:
        said = re.sub(r"[\x02-\x05]", "", text)
        for pattern, words in DOING:
            said = pattern.sub(words, said)
        said = _PAGE.sub(lambda m: self._link(PAGES[m[1]], m[1]), said)
        said = _PATH.sub(lambda m: self._place(m[0]), said)
        said = _TOKEN.sub(self._token, said)
        said = _MINUS.sub("−", said)
        return with_dates(_CLOCK.sub(", ", said)).replace(f" {_NOTHING}", "")

    def _link(self, url_name: str, words: str, *more: str) -> str:
        if self._opened is None:
            return words
        url = reverse(url_name, args=[self._opened.stored.pk, *more])
        return f"\x02{url}\x03{words}\x04"

    def _token(self, found: re.Match[str]) -> str:
        opens, token, closes = found.groups(default="")
        name = self._name(token)
        if not name:
            return found[0]
        if opens and closes and found.start() and found.string[found.start() - 1] == " ":
            if token in self._keys:
                return f"({self._keys[token]})"
            if found.string[: found.start() - 1].endswith(name):
                return _NOTHING
        return f"{opens}{name}{closes}"

    def _name(self, token: str) -> str:
        """What people call what a token stands for; empty where it is nothing of ours."""
        if token in _LIMITS:
            return self._limit(_LIMITS[token])
        name = self._called.get(token) or _WORDS.get(token)
        if name is None and token in self._library.parts:
            return self._library.parts[token].name
        return name or ""

    def _limit(self, name: LimitName) -> str:
        """The text of a limit; it leads to where a limit from memory is confirmed."""
        limit = None if self._opened is None else self._opened.job.profile.limits.get(name)
        if limit is None:
            return _UNIT.sub("", name).replace("_", " ")
        text = limit.text.partition(";")[0]
        words = f"“{text[:1].lower()}{text[1:]}”"
        return words if limit.usable else self._link("specify:confirm", words, name)

    def _place(self, path: str) -> str:
        """A place in the job file as the thing and its field."""
        told: list[str] = []
        for name, index, thing in _STEP.findall(path):
            if thing:
                told.append(self._called.get(thing, thing))
            else:
                words = _UNIT.sub("", name).replace("_", " ")
                told.append(f"{words} {int(index) + 1}" if index else words)
        return ", ".join(told)

    @cached_property
    def _library(self) -> Library:
        return user_library()

    @cached_property
    def _keys(self) -> dict[str, str]:
        return {} if self._opened is None else keys_of(self._opened.job.site)

    @cached_property
    def _called(self) -> dict[str, str]:
        """Names of things by their ids, where people gave them one."""
        if self._opened is None:
            return {}
        job, names = self._opened.job, Names(self._opened.job, self._opened.assessment)
        called = {p.id: p.name for p in job.embedded.catalogue.values()}
        called[job.profile.id] = f"“{job.profile.title}”"
        called |= {f.id: f.name for f in job.site.floors}
        called |= {p.id: f"partition {p.number}" for p in job.site.partitions}
        called |= {z.id: f"zone {z.number}" for z in job.site.zones}
        called |= {thing: names.named(thing) for thing in names.full}
        fed = Counter(c.to for c in job.site.cables)
        alone = [c for c in job.site.cables if fed[c.to] == 1]
        return called | {c.id: f"to {called.get(c.to, c.to)}" for c in alone}
