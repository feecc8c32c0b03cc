"""Walk tests of many devices in one table, each an entry of its own."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from pathproof.job import PANEL_ID, Job
from pathproof.job.adding import Draft
from pathproof.job.fingerprint import radio_ways
from pathproof.terms import InvalidInputError, PathproofError, RecordKind
from pathproof.web.folder import open_folder, show
from pathproof.web.saving import member, save
from pathproof.web.signals.event_form import ON_TEST
from pathproof.web.signals.evidence import EvidenceForm, called
from pathproof.web.signals.fields import Decimal, Tick, Whole
from pathproof.web.signals.places import back_to, job_seen
from pathproof.web.signals.radio_forms import asked_messages
from pathproof.web.signals.views import adding, refused


@dataclass(frozen=True, kw_only=True)
class WalkRow:
    """One device of the table, with what was typed for it."""

    about: str
    name: str
    ways: tuple[tuple[str, str], ...]
    via: str
    received: str
    error: str = ""


class WalksForm(EvidenceForm):
    """What all rows share; each row says how many messages were received, and by whom."""

    kind = RecordKind.WALK
    caption = "Walk tests"
    caution = ON_TEST
    conditions = ("lid_shut", "final_place")

    due = Whole(label="Messages due", required=True)
    in_hand_db = Decimal(label="Power in hand", unit="dB", example="6", min_value=0)
    lid_shut = Tick(label="All lids were shut")
    final_place = Tick(label="All hung in their final places")

    def prepare(self) -> None:
        asked = asked_messages(self.job)
        if asked is not None:
            self.initial.setdefault("due", asked)

    def drafts(self, by: str) -> list[Draft]:
        return [draft for draft, _ in self._typed_rows(by) if draft is not None]

    def rows(self) -> list[WalkRow]:
        """Every wireless device and repeater."""
        return list(_rows(self.job, self.data, {}))

    def rows_with_errors(self) -> list[WalkRow]:
        """The same, each with what is wrong in it."""
        errors = {about: error for _, (about, error) in self._typed_rows("") if error}
        return list(_rows(self.job, self.data, errors))

    def _typed_rows(self, by: str) -> Iterator[tuple[Draft | None, tuple[str, str]]]:
        """A draft or an error for each row in which something was typed."""
        for row in _rows(self.job, self.data, {}):
            if not row.received:
                continue
            try:
                yield self._draft_of(row, by), (row.about, "")
            except InvalidInputError as error:
                yield None, (row.about, str(error))

    def _draft_of(self, row: WalkRow, by: str) -> Draft:
        due = self.cleaned_data["due"]
        if not re.fullmatch("[0-9]{1,5}", row.received) or int(row.received) > due:
            raise InvalidInputError(
                f"Received was given as {row.received!r}; allowed: a whole number from 0 to the "
                f"{due} that were due."
            )
        values = {
            "due": due,
            "received": int(row.received),
            "in_hand_db": self.cleaned_data["in_hand_db"] or 0.0,
            "via": row.via,
        }
        return Draft(
            kind=self.kind,
            values=values,
            about=[row.about],
            at=self.moment,
            by=by,
            conditions=self.told_conditions(),
        )


def page(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The table; sent, it puts each row with a figure on record."""
    if request.method == "POST":
        return _put_on_record(request, job_id)
    opened = open_folder(job_id)
    form = WalksForm(job=opened.job, now=timezone.now())
    return show(request, "signals/walks.html", opened, here="prove", form=form, rows=form.rows())


def _put_on_record(request: HttpRequest, job_id: UUID) -> HttpResponse:
    form = WalksForm(request.POST, job=job_seen(request, job_id), now=timezone.now())
    rows = form.rows()
    if form.is_valid():
        rows = form.rows_with_errors()
        drafts = form.drafts(member(request).name)
        if any(row.error for row in rows):
            form.add_error(None, "Nothing is on record yet: put right the rows that say so.")
        elif not drafts:
            form.add_error(None, "No row has a figure; type how many messages were received.")
        else:
            try:
                what = f"walk tests of {len(drafts)} devices"
                then = back_to(request, job_id, "")
                return save(request, job_id, adding(drafts), what=what, then=then)
            except PathproofError as error:
                form.add_error(None, str(error))
    return refused(request, job_id, "signals/walks.html", form=form, rows=rows)


def _rows(job: Job, typed: Any, errors: dict[str, str]) -> Iterator[WalkRow]:
    names = called(job.site)
    senders = [*(d.id for d in job.site.devices), *(r.id for r in job.site.repeaters)]
    for sender in senders:
        ways = tuple((to, names[to]) for start, to in radio_ways(job, sender) if start == sender)
        if ways:
            via = typed.get(f"via-{sender}", PANEL_ID)
            yield WalkRow(
                about=sender,
                name=names[sender],
                ways=ways,
                via=via if via in dict(ways) else PANEL_ID,
                received=typed.get(f"received-{sender}", "").strip(),
                error=errors.get(sender, ""),
            )
