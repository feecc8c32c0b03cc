"""What a customer sees through a link.

The address is the secret: pages from here send no referrer, set no cookie, lead nowhere else, and
their addresses stay out of the logs (`redaction`).
"""

from collections.abc import Callable
from functools import wraps

from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import render

from pathproof.papers import build
from pathproof.papers.summary import PLAIN_ANSWER, plain_strip_layout
from pathproof.terms import JobError
from pathproof.web.handover.kinds import Kind, file_name
from pathproof.web.handover.links import link_of, seen
from pathproof.web.handover.making import fresh_pdf
from pathproof.web.handover.views import pdf_response
from pathproof.web.jobs import answers
from pathproof.web.jobs.answers import Answer
from pathproof.web.jobs.models import StoredJob
from pathproof.web.works import StillWorkingError

Shown = Callable[[HttpRequest, str, Answer], HttpResponse]


def _through_link(view: Shown) -> Callable[[HttpRequest, str], HttpResponse]:
    """Shows the view while the link counts; wrong, ended and withdrawn ones look alike."""

    @wraps(view)
    def respond(request: HttpRequest, secret: str) -> HttpResponse:
        response = _shown(view, request, secret)
        response["Referrer-Policy"] = "no-referrer"
        return response

    return respond


def _shown(view: Shown, request: HttpRequest, secret: str) -> HttpResponse:
    if request.method not in ("GET", "HEAD"):
        return HttpResponseNotAllowed(["GET", "HEAD"])
    link = link_of(secret)
    try:
        if link is None:
            raise StoredJob.DoesNotExist
        response = view(request, secret, answers.answer(link.job_id))
    except StoredJob.DoesNotExist:
        return render(request, "customer/no_answer.html", status=404)
    except JobError:
        return render(request, "customer/no_answer_now.html", status=503)
    except StillWorkingError as working:
        context = {"progress": working.progress}
        return render(request, "customer/working.html", context, status=202)
    seen(link)
    return response


@_through_link
def answer(request: HttpRequest, secret: str, opened: Answer) -> HttpResponse:
    """One job's plain answer, while the link counts."""
    job, assessment = opened.job, opened.assessment
    context = {
        "secret": secret,
        "site": job.site,
        "as_of": assessment.as_of,
        "word": assessment.word,
        "plain_answer": PLAIN_ANSWER[assessment.word],
        "strip_layout": plain_strip_layout(assessment),
        "paper": build(job, assessment, for_customer=True),
    }
    return render(request, "customer/answer.html", context)


@_through_link
def paper(request: HttpRequest, secret: str, opened: Answer) -> HttpResponse:
    """The customer's version of the design assessment, as of today."""
    pdf = fresh_pdf(opened, Kind.CUSTOMER, who="")
    name = file_name(Kind.CUSTOMER, opened.job.site.name, opened.stored.revision)
    return pdf_response(pdf, name)
