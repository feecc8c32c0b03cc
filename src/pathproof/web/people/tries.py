"""Wrong passwords counted more widely than by name and address together.

One address that tries many names, and one name tried from many addresses, stay below five wrong
tries of each pair. Counted over the same quarter of an hour as those five.
"""

from datetime import timedelta
from typing import Final

from axes.models import AccessAttempt
from django.conf import settings
from django.db.models import Q, Sum
from django.http import HttpRequest
from django.utils import timezone

from pathproof.web.access import from_this_machine

MOST_FROM_ADDRESS: Final = 40
"""Wrong tries of one address; an office behind one address mistypes far less. House choice."""
MOST_FOR_NAME: Final = 40
"""Wrong tries of one name from anywhere; at this machine itself one may still sign in, so that
nobody can be kept out of their own office. House choice."""


def too_many(request: HttpRequest, username: str) -> bool:
    """Whether so many were wrong that the next is not looked at."""
    if _wrong(Q(ip_address=request.META.get("REMOTE_ADDR"))) >= MOST_FROM_ADDRESS:
        return True
    return not from_this_machine(request) and _wrong(Q(username=username)) >= MOST_FOR_NAME


def _wrong(which: Q) -> int:
    since = timezone.now() - timedelta(hours=settings.AXES_COOLOFF_TIME)
    tries = AccessAttempt.objects.filter(which, attempt_time__gte=since)
    return tries.aggregate(sum=Sum("failures_since_start"))["sum"] or 0
