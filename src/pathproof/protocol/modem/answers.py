"""Signal answers of a module, TS 27.007 +CSQ and +CESQ: text in, codes and levels out.

Text may be a whole pasted text: echo whole or in part, CR CR LF or any other line end, final OK,
unsolicited lines in between, stray bytes from power-up. All code here is scalar.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from pathproof.protocol.modem.refusals import refusal_meaning
from pathproof.protocol.modem.tables import (
    CESQ_FIELDS,
    CESQ_FIELDS_NR,
    CSQ_FIELDS,
    CodeTable,
    Level,
)
from pathproof.terms import Evidence, Quantity, RemoteProtocolError, Technology

MAX_TEXT: Final = 20_000
"""Longest text that is looked at; a pasted text of both commands has some 200 characters."""

_ANSWER: Final = re.compile(r"(?<![A-Za-z])(CE?SQ) ?: ?(.*?)(?: OK)?$", re.IGNORECASE)
_REFUSAL: Final = re.compile(r"ERROR|\+CM[ES] ERROR: ?.*", re.IGNORECASE)
_NUMBER: Final = re.compile(r"[+-]?[0-9]{1,6}")
# Echo whole or in part, final OK, another report such as "+CEREG: 1".
_BY_THE_WAY: Final = re.compile(
    r"(?:A?T)?\+?CE?SQ|AT[^: ]*|OK|[+^*%](?!CE?SQ)[A-Z0-9]+ ?:.*", re.IGNORECASE
)
_STRAY: Final = "\ufffd\u00ff"  # what an undecodable byte and 0xFF become

_FIELDS: Final = {"+CSQ": (CSQ_FIELDS,), "+CESQ": (CESQ_FIELDS, CESQ_FIELDS_NR)}
_CLAUSE: Final = {"+CSQ": "TS 27.007 clause 8.5", "+CESQ": "TS 27.007 clause 8.69"}
# Fields that only one technology fills. RSRP and RSRQ are LTE, LTE-M or NB-IoT: cannot tell.
_TECHNOLOGY: Final = {
    Quantity.RXLEV_DBM: Technology.GSM,
    Quantity.RSCP_DBM: Technology.UMTS,
    Quantity.ECNO_DB: Technology.UMTS,
    Quantity.RSRP_DBM: None,
    Quantity.RSRQ_DB: None,
    Quantity.SS_RSRP_DBM: Technology.NR,
    Quantity.SS_RSRQ_DB: Technology.NR,
    Quantity.SS_SINR_DB: Technology.NR,
}


@dataclass(frozen=True, kw_only=True)
class SignalAnswer:
    """One +CSQ or +CESQ answer."""

    command: str
    """"+CSQ" or "+CESQ"."""
    codes: tuple[int, ...]
    """Codes as reported, in the order of the fields."""
    levels: tuple[Level, ...]
    """Levels of the fields that are known."""
    notes: tuple[str, ...]
    """What the codes do not say by themselves, in plain sentences."""
    technology: Technology | None
    """Technology, where the filled fields leave no choice; LTE, LTE-M and NB-IoT share theirs."""


def parse_signal_answers(text: str) -> tuple[SignalAnswer, ...]:
    """Every +CSQ and +CESQ answer in a text, in order; empty when it holds none.

    Parameters
    ----------
    text : str
        What the module said, at most `MAX_TEXT` characters.

    Returns
    -------
    answers : tuple of SignalAnswer
        Codes, levels with their bins, and notes.

    Raises
    ------
    RemoteProtocolError
        An answer with a wrong number of fields, something that is not a number or a code outside
        its table; a refusal (ERROR) and no answer; a text that is too long.

    Notes
    -----
    Lines that are no answer are passed over; `other_lines` gives those that were not expected.

    Examples
    --------
    >>> (answer,) = parse_signal_answers("AT+CSQ\\r\\r\\n+CSQ: 16,99\\r\\n\\r\\nOK\\r\\n")
    >>> answer.levels[0].value
    -81.0

    References
    ----------
    .. [1] 3GPP TS 27.007, clauses 8.5 (Rel-18, read) and 8.69 (as restated in module manuals; its
       last three fields from memory).
    """
    lines = _lines(text)
    answers = tuple(
        _answer(f"+{match[1].upper()}", match[2])
        for match in map(_ANSWER.search, lines)
        if match is not None
    )
    refusal = next((line for line in lines if _REFUSAL.fullmatch(line)), None)
    if refusal is not None and not answers:
        raise RemoteProtocolError(_refused(refusal))
    return answers


def _refused(refusal: str) -> str:
    meaning = refusal_meaning(refusal)
    if meaning:
        return (
            f"The module answered {shown(refusal)}: {meaning}. It holds no level; a +CSQ or +CESQ "
            "answer is needed."
        )
    return (
        f"The module answered {shown(refusal)}, which holds no level; a +CSQ or +CESQ answer "
        "is needed. Check that the module is switched on and that the command is "
        "AT+CSQ or AT+CESQ."
    )


def other_lines(text: str) -> tuple[str, ...]:
    """Lines, or starts of lines, that are no signal answer and not what commonly stands around one.

    Parameters
    ----------
    text : str
        What the module said, at most `MAX_TEXT` characters.

    Returns
    -------
    lines : tuple of str
        Lines without stray bytes, blanks made single.

    Raises
    ------
    RemoteProtocolError
        A text that is too long.

    Notes
    -----
    Passed over are echo, whole or in part, a final OK and other reports such as "+CEREG: 1".
    """
    rests = map(_without_answer, _lines(text))
    return tuple(rest for rest in rests if rest and not _BY_THE_WAY.fullmatch(rest))


def shown(text: str, limit: int = 60) -> str:
    """Text in quotes for a message: one line, printable, shortened.

    Parameters
    ----------
    text : str
        Anything.
    limit : int
        Longest text that is shown whole. [characters]

    Returns
    -------
    quoted : str
        Text in single quotes.

    Notes
    -----
    For people to read; nothing parses it.
    """
    line = _one_line(text)
    return f"'{line}'" if len(line) <= limit else f"'{line[:limit]}...'"


def _one_line(text: str) -> str:
    """Text with stray bytes gone and blanks made single."""
    return " ".join(
        "".join(c if c.isprintable() and c not in _STRAY else " " for c in text).split()
    )


def _lines(text: str) -> list[str]:
    if len(text) > MAX_TEXT:
        raise RemoteProtocolError(
            f"The text has {len(text)} characters; {MAX_TEXT} are read at once. "
            "Paste only the answer to AT+CSQ or AT+CESQ."
        )
    lines = (_one_line(line) for line in re.split(r"[\r\n]+", text))
    return [line for line in lines if line]


def _without_answer(line: str) -> str:
    match = _ANSWER.search(line)
    return line if match is None else line[: match.start()].rstrip("+ ")


def _answer(command: str, values: str) -> SignalAnswer:
    fields = [field.strip() for field in values.split(",")]
    tables = next((t for t in _FIELDS[command] if len(t) == len(fields)), None)
    if tables is None:
        raise RemoteProtocolError(
            f"{command} had {len(fields)} fields, {shown(values)}; {_CLAUSE[command]} has "
            f"{_counts(command)}. Copy the whole answer to AT{command}, without '=?'."
        )
    codes = tuple(_code(table, field) for table, field in zip(tables, fields, strict=True))
    levels = [table.level(code) for table, code in zip(tables, codes, strict=True)]
    known = tuple(level for level in levels if level is not None)
    return SignalAnswer(
        command=command,
        codes=codes,
        levels=known,
        notes=tuple(_notes(command, tables, codes)),
        technology=_technology(level.quantity for level in known),
    )


def _counts(command: str) -> str:
    return " or ".join(
        f"{len(tables)} ({', '.join(_short(table) for table in tables)})"
        for tables in _FIELDS[command]
    )


def _short(table: CodeTable) -> str:
    return table.name.split()[-1]


def _code(table: CodeTable, field: str) -> int:
    if not _NUMBER.fullmatch(field):
        raise RemoteProtocolError(
            f"{table.name} was {shown(field)}, not a whole number; {table.source} allows "
            f"{table.allowed}. Copy the answer as it stands."
        )
    return int(field)


def _notes(command: str, tables: Sequence[CodeTable], codes: Sequence[int]) -> Iterable[str]:
    pairs = list(zip(tables, codes, strict=True))
    unknown = [f"{_short(t)} ({code})" for t, code in pairs if code == t.unknown]
    if command == "+CSQ":
        if codes[0] == tables[0].unknown:
            yield (
                f"rssi not known ({codes[0]}): LTE-M and NB-IoT modules commonly answer so; "
                "read +CESQ."
            )
        if codes[1] == tables[1].unknown:
            yield f"ber not known ({codes[1]})."
    elif len(unknown) == len(tables):
        yield (
            f"Not known: {', '.join(unknown)}. The module has measured nothing, as while it "
            "searches: read again once it is registered."
        )
    elif unknown:
        yield (
            f"Not known: {', '.join(unknown)}. Fields of a technology that is not serving read so."
        )
    recalled = [_short(t) for t, code in pairs if t.evidence(code) is Evidence.MEMORY]
    if recalled:
        yield (
            f"{', '.join(recalled)}: field order and codes are from memory: check your copy of "
            f"{_CLAUSE[command]}."
        )


def _technology(quantities: Iterable[Quantity]) -> Technology | None:
    served = {_TECHNOLOGY[q] for q in quantities if q in _TECHNOLOGY}
    return served.pop() if len(served) == 1 else None
