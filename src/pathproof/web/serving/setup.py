"""The app's settings, chosen for the way it is about to run."""

import os
from collections.abc import Sequence

import django
from django.core.exceptions import ImproperlyConfigured

from pathproof.terms import ServingError
from pathproof.web._environment import HOSTS_VARIABLE, TLS_VARIABLE


def set_up(*, hosts: Sequence[str] = (), tls: bool = False) -> None:
    """Set Django up to answer to these names and addresses besides this machine's own.

    Raises
    ------
    ServingError
        The environment names settings that cannot be used.
    """
    os.environ[HOSTS_VARIABLE] = ",".join(hosts)
    os.environ[TLS_VARIABLE] = "1" if tls else "0"
    os.environ["DJANGO_SETTINGS_MODULE"] = "pathproof.web.settings"
    try:
        django.setup()
    except ImproperlyConfigured as error:
        raise ServingError(str(error)) from error
