"""What tests of the specification's pages share: forms as a browser would send them."""

import re
from html import unescape
from uuid import uuid4

from django.http import HttpResponse
from django.test import Client

from pathproof.job import Job
from pathproof.web.jobs import store
from pathproof.web.jobs.models import StoredJob


def send(browser: Client, url: str, stored: StoredJob, **typed) -> HttpResponse:
    """A form made on the job's present revision unless `based_on` says another."""
    head = {"based_on": StoredJob.objects.get(pk=stored.pk).revision, "key": str(uuid4())}
    return browser.post(url, {**head, **typed})


def now(stored: StoredJob) -> Job:
    """The job as it is stored."""
    return store.load(stored.pk)


def text_of(response: HttpResponse) -> str:
    """The words of a page."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())
