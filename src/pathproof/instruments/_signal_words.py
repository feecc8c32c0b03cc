"""Words in the headings of lists, in five languages. Common practice, no source."""

import re
from typing import Final

TIME_SHOWN: Final = re.compile(r"[0-9]{1,2}:[0-9]{2}")
"""A time of day anywhere in a cell."""

# In this order: "event time" is a time and "zone name" a text, so the general words come last.
_WORDS: Final = {
    "text": "text description message name meaning beschreibung meldung bezeichnung klartext "
    "libelle descripcion texto omschrijving",
    "reference": "reference ref ticket referenz vorgang referencia referentie",
    "account": "account acct client subscriber konto teilnehmer kunde compte abonne cuenta abonado "
    "aansluiting",
    "partition": "partition area bereich teilbereich secteur particion gebied",
    "zone": "zone point loop sensor linie meldelinie zona",
    "time": "time timestamp received zeit uhrzeit zeitpunkt eingang heure horodatage hora tijd "
    "tijdstip",
    "date": "date day datum tag jour fecha dag",
    "code": "code event signal ereignis evenement evento gebeurtenis",
}
_ROLES: Final = {role: frozenset(words.split()) for role, words in _WORDS.items()}
_ACCENTS: Final = str.maketrans("éèêáàâóíúñç", "eeeaaaoiunc")


def role_of(heading: str) -> str | None:
    """What a column holds by its heading: the name of a field of `Columns`; none if no word says.

    Notes
    -----
    Of several words the more particular counts: "date/time" is a time, "zone name" a text.
    """
    words = set(re.findall(r"[^\W\d_]+", heading.casefold().translate(_ACCENTS)))
    return next((role for role, known in _ROLES.items() if words & known), None)
