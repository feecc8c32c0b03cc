"""Settings of the app for tests: the real ones in a folder of their own, with quick passwords."""

import atexit
import os
import tempfile

_HOME = tempfile.TemporaryDirectory(prefix="pathproof-tests-", ignore_cleanup_errors=True)
atexit.register(_HOME.cleanup)
os.environ["PATHPROOF_HOME"] = _HOME.name

from pathproof.web.settings import *  # noqa: F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
