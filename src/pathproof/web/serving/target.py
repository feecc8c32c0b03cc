"""What the process that answers requests loads: the app, and a watch on who started it."""

import os
from multiprocessing import parent_process
from multiprocessing.connection import wait
from threading import Thread

from django.conf import settings

from pathproof.web.serving.receiving import Received
from pathproof.web.wsgi import application as app

application = Received(app, settings.SESSION_COOKIE_NAME)


def _end_with_parent() -> None:
    """A server that was killed leaves nobody behind who holds its port."""
    parent = parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(1)


Thread(target=_end_with_parent, daemon=True).start()
