"""The app as a WSGI callable."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pathproof.web.settings")
application = get_wsgi_application()
