"""Which form takes which kind of record entry."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from pathproof.web.signals.event_form import EventForm
from pathproof.web.signals.evidence import AcceptForm, EvidenceForm, NoteForm
from pathproof.web.signals.mobile_form import ReadingForm
from pathproof.web.signals.radio_forms import LevelForm, WalkForm
from pathproof.web.signals.supply_form import SupplyTestForm

FORMS: Final[Mapping[str, type[EvidenceForm]]] = MappingProxyType(
    {
        str(form.kind): form
        for form in (
            ReadingForm,
            WalkForm,
            LevelForm,
            EventForm,
            SupplyTestForm,
            NoteForm,
            AcceptForm,
        )
    }
)
