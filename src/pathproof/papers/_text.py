"""Words for paper: what people typed made printable, figures, dates."""

import re
import unicodedata
from collections.abc import Iterable
from datetime import date, datetime
from zoneinfo import ZoneInfo

from pathproof.assess.wording import decimals

ELLIPSIS = "\N{HORIZONTAL ELLIPSIS}"
NO_BREAK = "\N{NO-BREAK SPACE}"
MINUS = "\N{MINUS SIGN}"
_SOFT_BREAK = "\N{ZERO WIDTH SPACE}"
_JOINERS = "\N{ZERO WIDTH NON-JOINER}\N{ZERO WIDTH JOINER}"  # Persian and Indic scripts need them
_LONGEST_RUN = 24
_SIGNS = {"deg": "°", "degC": "°C", "dBuV/m": "dBµV/m", "mm2": "mm²"}
_MONTHS = [
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
]
_DAY = re.compile(r"(?<![\w-])[0-9]{4}-[0-9]{2}-[0-9]{2}(?![\w-])")
_MONTH = re.compile(r"(?<=\bin )([0-9]{4})-(0[1-9]|1[0-2])(?![\w-])")


def printable(text: str) -> str:
    """The text with nothing in it that paper cannot show.

    Control and direction-changing characters go, so that text cannot pose as other text; a picture
    character that the fonts lack gives way to its name in brackets; a run too long for any column
    may break.
    """
    if len(text) <= _LONGEST_RUN and text.isascii() and text.isprintable():
        return text
    shown = text if text.isascii() and text.isprintable() else "".join(_shown(c) for c in text)
    return " ".join(_breakable(word) for word in shown.split(" "))


def shorten(text: str, most: int) -> str:
    """The text cut to at most so many characters, with an ellipsis where something is missing."""
    return text if len(text) <= most else text[: max(most - 1, 0)].rstrip() + ELLIPSIS


def figure(value: float, unit: str) -> str:
    """A figure as calculation sheets show it, without its unit; nought has no sign."""
    value += 0.0
    if unit == "" and value == int(value):
        text = f"{value:.0f}"
    elif abs(value) >= 10_000:
        text = f"{value:,.0f}".replace(",", "\N{NARROW NO-BREAK SPACE}")
    elif unit == "MHz":
        text = f"{value:.6g}"
    elif value and abs(value) < 0.001:
        text = f"{value:.2g}"
    elif unit in ("", "ratio") and 0.9995 <= value < 1:
        text = "> 0.999"  # odds are never rounded up to certainty
    elif unit in ("", "ratio"):
        text = f"{value:.3f}"
    else:
        text = _trimmed(f"{value:.{decimals(value, unit)}f}")
    return text.replace("-", MINUS)


def with_unit(value: float | str, unit: str) -> str:
    """A figure with its unit, or words as they stand."""
    if isinstance(value, str):
        return value
    blank = "" if unit == "deg" else " "
    return f"{figure(value, unit)}{blank}{unit_sign(unit)}".rstrip()


def unit_sign(unit: str) -> str:
    """A unit as it is printed."""
    sign = _SIGNS.get(unit, unit).replace("ohm", "Ω")
    return f"µ{sign[1:]}" if sign in ("uA", "uF") else sign


def day(moment: datetime, time_zone: str) -> str:
    """The date at the site, such as "2 March 2026"; the same in every locale."""
    return date_text(moment.astimezone(ZoneInfo(time_zone)).date())


def date_text(on: date) -> str:
    """A date, such as "2 March 2026"; the same in every locale."""
    return f"{on.day} {_MONTHS[on.month - 1]} {on.year}"


def with_dates(text: str) -> str:
    """The text with its days and months as paper writes them: "1 July 2029", "in July 2029"."""
    return _MONTH.sub(lambda m: f"{_MONTHS[int(m[2]) - 1]} {m[1]}", _DAY.sub(_day_in_words, text))


def _day_in_words(found: re.Match[str]) -> str:
    try:
        return date_text(date.fromisoformat(found[0]))
    except ValueError:
        return found[0]


def counted(number: int, one: str, many: str | None = None) -> str:
    """A number with its noun, such as "1 device" or "3 devices"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def listed(words: list[str]) -> str:
    """Words as a list with "and" before the last."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def ranges(numbers: Iterable[int]) -> str:
    """Numbers in order, neighbours as a range: "2–5, 9"."""
    runs: list[list[int]] = []
    for n in sorted(set(numbers)):
        if runs and n == runs[-1][-1] + 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    return ", ".join(f"{r[0]}–{r[-1]}" if len(r) > 2 else ", ".join(map(str, r)) for r in runs)


def _trimmed(text: str) -> str:
    """A decimal figure without noughts at its end, but for the first two decimals."""
    whole, _, part = text.partition(".")
    return f"{whole}.{part[:2]}{part[2:].rstrip('0')}"


def _shown(character: str) -> str:
    category = unicodedata.category(character)
    if character in "\t\n\r" or category in ("Zl", "Zp"):
        return " "
    if category in ("Cc", "Cf") and character not in _JOINERS:
        return ""
    if category in ("Cs", "Co", "Cn"):
        return "\N{REPLACEMENT CHARACTER}"
    if ord(character) >= 0x1F000 and category in ("So", "Sk"):
        return f"[{unicodedata.name(character, 'sign').lower()}]"
    return character


def _breakable(word: str) -> str:
    if len(word) <= _LONGEST_RUN:
        return word
    step = _LONGEST_RUN // 3
    return _SOFT_BREAK.join(word[i : i + step] for i in range(0, len(word), step))
