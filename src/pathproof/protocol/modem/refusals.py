"""What a module means by the code with which it refuses a command, as far as one can meet it here.

Codes and their meanings are those of 3GPP TS 27.007, clause 9.2.1: 0 to 5 read (Release 6), the
others restated, as three open tables agree (53 to 57: one). What to do next is common practice, no
source.
"""

import re
from typing import Final

_CODES: Final = {
    0: ("phone failure", "a fault of the module, or it is busy: try once more, then restart it"),
    1: ("no connection to phone", "check that it is the right port"),
    2: ("phone-adaptor link reserved", "something else uses the port"),
    3: ("operation not allowed", "the module is not ready for it, as while the card starts"),
    4: ("operation not supported", "its firmware does not know this command: try the other one"),
    5: ("PH-SIM PIN required", "the module is locked to another card"),
    6: ("PH-FSIM PIN required", "the module is locked to the first card it saw"),
    7: ("PH-FSIM PUK required", "the module is locked to the first card it saw, and blocked"),
    10: ("SIM not inserted", "no card, the wrong way round, not pushed in, or in another slot"),
    11: ("SIM PIN required", "the card asks for its PIN: do not guess it"),
    12: ("SIM PUK required", "the PIN was wrong too often: ask the card's supplier"),
    13: ("SIM failure", "dirty contacts, or a card that is damaged or blocked for good"),
    14: ("SIM busy", "the card is still starting: wait a few seconds"),
    15: ("SIM wrong", "the module does not take this kind of card, or is locked to another"),
    16: ("incorrect password", "a wrong PIN: tries are counted"),
    17: ("SIM PIN2 required", "a second PIN, which readings do not need"),
    18: ("SIM PUK2 required", "a second PIN that is blocked, which readings do not need"),
    30: ("no network service", "not registered: wait, then look at the antenna and the network"),
    31: ("network timeout", "the network did not answer in time, as after a long search"),
    32: (
        "network not allowed - emergency calls only",
        "registration was refused, or the card cannot be used: ask its supplier",
    ),
    40: ("network personalization PIN required", "the module is locked to another network"),
    42: ("network subset personalization PIN required", "the module is locked to other cards"),
    44: ("service provider personalization PIN required", "it is locked to another provider"),
    46: ("corporate personalization PIN required", "it is locked to another account"),
    50: ("incorrect parameters", "a value in the command is wrong"),
    53: (
        "not attached to network due to MT functionality restrictions",
        "the radio is off or restricted: AT+CFUN=1",
    ),
    55: (
        "operation not allowed because of MT functionality restrictions",
        "the radio is off: AT+CFUN=1",
    ),
    57: ("temporarily out of service due to other MT usage", "the radio is busy: wait"),
    100: ("unknown error", "the module has no better code"),
}
_REFUSAL: Final = re.compile(r"\+CME ERROR: ?(?:(?P<code>[0-9]{1,3})|(?P<words>.+))", re.IGNORECASE)


def refusal_meaning(line: str) -> str:
    """What a +CME ERROR means, in words; empty where it is another line or a code not known here.

    Parameters
    ----------
    line : str
        What the module said, with the code or, as some are set, with its meaning in words.

    Returns
    -------
    meaning : str
        Such as "SIM busy (the card is still starting: wait a few seconds)".

    Examples
    --------
    >>> refusal_meaning("+CME ERROR: 14")
    'SIM busy (the card is still starting: wait a few seconds)'

    References
    ----------
    .. [1] 3GPP TS 27.007, clause 9.2.1; read for codes 0 to 5 (Release 6), otherwise restated.
    """
    match = _REFUSAL.fullmatch(line.strip())
    if match is None:
        return ""
    by_words = {words.casefold(): (words, then) for words, then in _CODES.values()}
    if match["code"] is None:
        found = by_words.get(match["words"].strip().casefold())
    else:
        found = _CODES.get(int(match["code"]))
    return "" if found is None else f"{found[0]} ({found[1]})"
