"""Settings of the app for tests: the real ones in a folder of their own, with quick passwords."""

import atexit
import os
import tempfile

_HOME = tempfile.TemporaryDirectory(prefix="pathproof-tests-", ignore_cleanup_errors=True)
atexit.register(_HOME.cleanup)
os.environ["PATHPROOF_HOME"] = _HOME.name

from pathproof.web.settings import *  # noqa: E402, F403
from pathproof.web.settings import DATA, DATABASES  # noqa: E402

if "sqlite3" in DATABASES["default"]["ENGINE"]:
    # A file as in earnest: in memory, threads would share one connection and its locks.
    DATABASES["default"]["TEST"] = {"NAME": DATA / "test.sqlite3"}

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
