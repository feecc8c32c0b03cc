"""What the process that answers requests loads: the app, and a watch on who started it."""

import os
from multiprocessing import parent_process
from multiprocessing.connection import wait
from threading import Thread

from pathproof.web.serving.receiving import Received
from pathproof.web.wsgi import application as app


def _signed_in(cookies: str) -> bool:
    """Whether the cookies are those of somebody who is signed in."""
    from django.conf import settings
    from django.contrib.auth import SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore
    from django.db import close_old_connections
    from django.http.cookie import parse_cookie

    try:
        key = parse_cookie(cookies).get(settings.SESSION_COOKIE_NAME)
        return bool(key) and SESSION_KEY in SessionStore(key)
    finally:
        close_old_connections()


application = Received(app, _signed_in)


def _end_with_parent() -> None:
    """A server that was killed leaves nobody behind who holds its port."""
    parent = parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(1)


Thread(target=_end_with_parent, daemon=True).start()
