"""From a form that was sent to a save, and from a save to where the browser goes next."""

import hashlib
import json
import re
from typing import Final
from uuid import UUID, uuid4

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse

from pathproof.terms import JobError
from pathproof.web.jobs import store
from pathproof.web.people.models import Person

_NOT_TYPED: Final = ("csrfmiddlewaretoken", "key")


def member(request: HttpRequest) -> Person:
    """Who is signed in, on a page that only members open."""
    if not isinstance(request.user, Person):
        raise Http404
    return request.user


def new_key() -> UUID:
    """A key for a form on a page that is about to be shown."""
    return uuid4()


def based_on(request: HttpRequest) -> int:
    """The revision that whoever sent the form saw.

    Raises
    ------
    JobError
        The form does not say.
    """
    given = request.POST.get("based_on", "")
    if not re.fullmatch("[0-9]{1,10}", given):
        raise JobError("The form does not say which revision it was made on. Open the page again.")
    return int(given)


def save(
    request: HttpRequest, job_id: UUID, change: store.Change, *, what: str, then: str
) -> HttpResponse:
    """Save what a form changed and go on to `then`, or to both sides where others were first.

    The form carries `based_on` and `key` (`includes/form_head.html`).

    Raises
    ------
    JobError
        The changed job is not sound; nothing was saved, and the form shows why.
    """
    outcome = store.save(
        job_id,
        change,
        based_on=based_on(request),
        by=member(request),
        what=what,
        typed=typed(request),
    )
    if isinstance(outcome, store.Contested):
        return HttpResponseRedirect(reverse("history:contest", args=[job_id, outcome.contest]))
    return HttpResponseRedirect(then)


def typed(request: HttpRequest) -> store.Typed | None:
    """What was sent, by its key; none where the page made no key."""
    try:
        key = UUID(request.POST.get("key", ""))
    except ValueError:
        return None
    said = [
        (request.path, *sorted((n, v) for n, v in request.POST.lists() if n not in _NOT_TYPED)),
        *sorted(
            (name, [hashlib.sha256(f.read()).hexdigest() for f in files])
            for name, files in request.FILES.lists()
        ),
    ]
    for _, files in request.FILES.lists():
        for file in files:
            file.seek(0)
    return store.Typed(key=key, digest=hashlib.sha256(json.dumps(said).encode()).hexdigest())
