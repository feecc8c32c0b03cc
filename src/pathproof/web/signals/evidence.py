"""The forms for evidence: one for each kind of record entry that is typed in the app."""

import re
from datetime import datetime
from typing import Any, ClassVar, Final
from zoneinfo import ZoneInfo

from django import forms

from pathproof.job import PANEL_ID, Job, Site
from pathproof.job.adding import Draft
from pathproof.job.record import Entry
from pathproof.terms import InvalidInputError, RecordKind
from pathproof.web.signals.fields import Lines
from pathproof.web.signals.moments import moment_of, typed_moment

Choices = list[tuple[str, str]]
_OF_FIELD: Final = re.compile(r"\s*(?:values|conditions)\.(\w+): (.+)")
"""A line of a refusal that names a field of the entry."""


class EvidenceForm(forms.Form):
    """What all of them have: when, what it corrects, and what it is about."""

    kind: ClassVar[RecordKind]
    caption: ClassVar[str]
    caution: ClassVar[str] = ""
    """What comes first, where there is danger in it."""
    where: ClassVar[str | None] = None
    """The field that a refusal of the whole belongs to."""
    conditions: ClassVar[tuple[str, ...]] = ()
    """Fields that are conditions."""
    passed_on: ClassVar[tuple[str, ...]] = ()
    """Fields that are values by the same name."""
    folded: ClassVar[tuple[str, ...]] = ()
    """Fields that are seldom needed."""

    replaces = forms.CharField(required=False, widget=forms.HiddenInput)
    at = forms.CharField(required=False, widget=forms.HiddenInput)
    """The moment of typing, where the page kept it for a while."""
    when = forms.CharField(
        label="When, if not just now",
        required=False,
        widget=forms.TextInput(attrs={"type": "datetime-local", "step": "1"}),
    )

    def __init__(self, *args: Any, job: Job, now: datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.job, self.now = job, now
        self.fields["when"] = self.fields.pop("when")  # comes last
        self.prepare()

    def prepare(self) -> None:
        """Choices that depend on the job."""

    @property
    def shown(self) -> list[forms.BoundField]:
        """The fields that are always in sight."""
        return [f for f in self.visible_fields() if f.name not in self.folded]

    @property
    def hidden_away(self) -> list[forms.BoundField]:
        """The fields that are seldom needed."""
        return [f for f in self.visible_fields() if f.name in self.folded]

    @property
    def folded_told(self) -> bool:
        """Whether something stands in one of those, or is wrong there."""
        return any(f.value() or f.errors for f in self.hidden_away)

    def clean_when(self) -> datetime | None:
        """The moment told, of the site's clocks."""
        text = self.cleaned_data["when"]
        if not text:
            return None
        try:
            return moment_of(text, self.job.site.time_zone, self.now)
        except InvalidInputError as error:
            raise forms.ValidationError(str(error)) from error

    def clean_at(self) -> datetime | None:
        """The moment at which it was typed; now where a phone's clock makes no sense."""
        return typed_moment(self.cleaned_data["at"], self.now)

    @property
    def moment(self) -> datetime:
        """When it happened."""
        told: datetime = self.cleaned_data["when"] or self.present
        return told

    @property
    def present(self) -> datetime:
        """The moment at which it was typed."""
        typed: datetime = self.cleaned_data["at"] or self.now
        return typed

    def things(self) -> list[str]:
        """Ids of what it is about."""
        about = self.cleaned_data.get("about")
        return [about] if about else []

    def drafts(self, by: str) -> list[Draft]:
        """What goes on record.

        Raises
        ------
        PathproofError
            It makes no sense; said in a sentence.
        """
        return [self.draft(by)]

    def draft(self, by: str) -> Draft:
        """The one entry."""
        return Draft(
            kind=self.kind,
            values=self.values(),
            about=self.things(),
            at=self.moment,
            by=by,
            conditions=self.told_conditions(),
            replaces=self.cleaned_data["replaces"] or None,
        )

    def values(self) -> dict[str, Any]:
        """Values of the entry."""
        return self.given(self.passed_on)

    def told_conditions(self) -> dict[str, Any]:
        """Conditions of the entry."""
        return self.given(self.conditions)

    def refuse(self, said: str) -> None:
        """Put what a refusal says beside the fields that it names, and the rest with the whole."""
        placed = [(m[1], m[2]) for line in said.splitlines() if (m := _OF_FIELD.match(line))]
        placed = [(name, why) for name, why in placed if name in self.fields]
        if not placed:
            self.add_error(self.where, said)
        for name, why in placed:
            self.add_error(name, f"{why[:1].upper()}{why[1:].rstrip('.')}.")

    def given(self, names: tuple[str, ...]) -> dict[str, Any]:
        """What was typed in some fields, by their names."""
        typed = {name: self.cleaned_data.get(name) for name in names}
        return {name: x for name, x in typed.items() if x not in (None, "")}

    @classmethod
    def of(cls, entry: Entry, time_zone: str) -> dict[str, Any]:
        """What to show in the form for correcting an entry."""
        at = entry.at.astimezone(ZoneInfo(time_zone)).replace(tzinfo=None)
        values = entry.values.model_dump(mode="json", exclude_none=True)
        told = entry.conditions.model_dump(mode="json", exclude_none=True)
        return {
            "replaces": entry.id,
            "about": ",".join(entry.about),
            "when": at.isoformat(timespec="seconds"),
            **{name: x for name, x in {**told, **values}.items() if not isinstance(x, list | dict)},
        }


class NoteForm(EvidenceForm):
    """A note."""

    kind = RecordKind.NOTE
    caption = "Note"
    where = "text"
    passed_on = ("text",)

    about = forms.CharField(required=False, widget=forms.HiddenInput)
    text = Lines(label="Note", max_length=200, rows=3)


class AcceptForm(EvidenceForm):
    """A link accepted as it is."""

    kind = RecordKind.OVERRIDE
    caption = "Accept a link as it is"
    where = "reason"
    passed_on = ("link", "reason")

    link = forms.CharField(widget=forms.HiddenInput)
    reason = forms.CharField(
        label="Why it is accepted",
        max_length=200,
        help_text="It changes no word: the link stays what it is, and papers show who accepted it.",
    )
    until = forms.DateField(
        label="Until when",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text="Empty where it is for good.",
        error_messages={"invalid": "This is no date; give it as 2026-11-25."},
    )

    def values(self) -> dict[str, Any]:
        until = self.cleaned_data["until"]
        return {**super().values(), **({} if until is None else {"until": until.isoformat()})}


def called(site: Site) -> dict[str, str]:
    """Names of the things that evidence is about, by their ids."""
    alone = len(site.communicators) == 1
    return {
        PANEL_ID: "Panel",
        **{d.id: d.name for d in site.devices},
        **{r.id: r.name for r in site.repeaters},
        **{s.id: s.name for s in site.spots},
        **{c.id: "Module" if alone else f"Module {c.id}" for c in site.communicators},
    }
