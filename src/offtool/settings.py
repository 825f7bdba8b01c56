"""Django's settings for one user on their own computer; PostgreSQL for a team by DATABASE_URL.

Nothing here calls home, and pages load nothing from elsewhere.
"""

from __future__ import annotations

from csp.constants import NONE, SELF
from django.utils.functional import SimpleLazyObject

from offtool.exchange.readings.limits import MAX_BYTES, MAX_FILES
from offtool.records import place

DATABASES = {"default": place.database()}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# made when a page first needs it, so that commands leave no key behind
SECRET_KEY = SimpleLazyObject(place.secret_key)
DEBUG = False
ALLOWED_HOSTS = ["127.0.0.1", "localhost", "[::1]"]

ROOT_URLCONF = "offtool.web.urls"
INSTALLED_APPS = [
    "django.contrib.contenttypes",
    "django.contrib.auth",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "simple_history",
    "csp",
    "offtool.records",
    "offtool.web",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "simple_history.middleware.HistoryRequestMiddleware",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    }
]

# served from the packages themselves: nothing to collect before the first page
STATIC_URL = "/static/"
WHITENOISE_USE_FINDERS = True

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:"],
        "object-src": [NONE],
        "base-uri": [NONE],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}

# A form may bring as much as the reader takes. A tool with 8 cavities and 60 features has some 1,500 fields
# of steel sizes on one form.
DATA_UPLOAD_MAX_MEMORY_SIZE = MAX_BYTES
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000
DATA_UPLOAD_MAX_NUMBER_FILES = MAX_FILES

LANGUAGE_CODE = "en"
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

# with DEBUG off Django would mail errors to nobody: say them on the terminal
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"terminal": {"class": "logging.StreamHandler"}},
    "loggers": {"django": {"handlers": ["terminal"], "level": "WARNING", "propagate": False}},
}
