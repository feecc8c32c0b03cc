"""Settings of the app. All that differs between machines comes from `_environment`."""

from pathproof.web import _environment

DATA = _environment.data_folder()
TLS = _environment.tls()

SECRET_KEY = _environment.kept_secret(DATA / "secret_key")
DEBUG = False
ALLOWED_HOSTS = _environment.hosts()
DATABASES = {"default": _environment.database(DATA)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "axes",
    "django_htmx",
    "pathproof.web",
    "pathproof.web.people",
    "pathproof.web.jobs",
]
MIDDLEWARE = [
    "pathproof.web.middleware.security_headers",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "pathproof.web.middleware.kept_forms",
    "pathproof.web.faults.faults_on_top",
    "pathproof.web.middleware.AccessMiddleware",
    "axes.middleware.AxesMiddleware",
]
ROOT_URLCONF = "pathproof.web.urls"
WSGI_APPLICATION = "pathproof.web.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
            "builtins": ["pathproof.web.templatetags.words"],
        },
    }
]

AUTH_USER_MODEL = "people.Person"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
     "OPTIONS": {"user_attributes": ["username", "name"]}},
]  # fmt: skip
LOGIN_URL = "people:sign_in"
LOGIN_REDIRECT_URL = "listing:jobs"
LOGOUT_REDIRECT_URL = "people:sign_in"

AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False  # who is told to wait waits no longer
AXES_LOCKOUT_TEMPLATE = "people/too_many.html"
AXES_ENABLE_ACCESS_FAILURE_LOG = False
AXES_VERBOSE = False

SESSION_COOKIE_AGE = 14 * 24 * 3600
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = TLS
CSRF_COOKIE_SECURE = TLS
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_FAILURE_VIEW = "pathproof.web.errors.stale_form"
SECURE_SSL_REDIRECT = TLS
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SILENCED_SYSTEM_CHECKS = [
    # The certificate is of our own making. A browser that was told to insist on TLS would then
    # refuse the page outright after any change of certificate, with no way on.
    "security.W004",
    # Without TLS the app answers on this machine's loopback addresses only (`_environment.hosts`).
    *([] if TLS else ["security.W008", "security.W012", "security.W016"]),
]

STATIC_URL = "static/"
STATIC_ROOT = DATA / "static"
STATICFILES_FINDERS = ["pathproof.web.statics.ChosenFiles"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}
WHITENOISE_MAX_AGE = 3600

DATA_UPLOAD_MAX_MEMORY_SIZE = 8 * 2**20
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 2**20

USE_TZ = True
TIME_ZONE = "UTC"
USE_I18N = False
LANGUAGE_CODE = "en-gb"

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "filters": {"secrets": {"()": "pathproof.web.customer.redaction.WithoutSecrets"}},
    "handlers": {
        "stderr": {"class": "logging.StreamHandler", "formatter": "line", "filters": ["secrets"]}
    },
    "loggers": {
        "django": {"handlers": ["stderr"], "level": "WARNING", "propagate": False},
        "axes": {"handlers": ["stderr"], "level": "WARNING", "propagate": False},
        "pathproof": {"handlers": ["stderr"], "level": "INFO", "propagate": False},
    },
}
