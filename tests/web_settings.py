"""Settings of the app for tests: the real ones in a folder of their own, with quick passwords."""

import os
import tempfile

os.environ["PATHPROOF_HOME"] = tempfile.mkdtemp(prefix="pathproof-tests-")

from pathproof.web.settings import *  # noqa: F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
