"""Settings of the site, read from the environment: see README.md for the names a person may set."""

import os
from pathlib import Path

from api.components import COMPONENTS
from hilum.plugins.starting import started
from hilum.settings.database import database_from
from hilum.settings.networks import networks_from
from hilum.settings.rates import rate_from
from hilum.settings.secret import secret_kept_in

BASE_DIR = Path(__file__).resolve().parent.parent.parent
DATA_DIR = Path(os.environ.get("HILUM_DATA") or BASE_DIR / "data").absolute()

DEBUG = os.environ.get("HILUM_DEBUG") == "1"
SECRET_KEY = os.environ.get("HILUM_SECRET_KEY") or secret_kept_in(DATA_DIR)
HILUM_BIND = os.environ.get("HILUM_BIND") or "127.0.0.1:8000"
ALLOWED_HOSTS = [
    host.strip() for host in (os.environ.get("HILUM_HOSTS") or "127.0.0.1,localhost,[::1]").split(",") if host.strip()
]
# What printed codes for phones begin with: "http://seeds.example:8000". Empty: the address by which the printing page
# was reached.
HILUM_ADDRESS = (os.environ.get("HILUM_ADDRESS") or "").rstrip("/")
# Pages of other sites whose scripts may ask the API from a browser: "https://lab.example". Empty: none may.
CORS_ALLOWED_ORIGINS = [one.strip() for one in (os.environ.get("HILUM_API_ORIGINS") or "").split(",") if one.strip()]
CORS_URLS_REGEX = r"^/(api|brapi)/"
CORS_ALLOW_HEADERS = ("accept", "authorization", "content-type", "idempotency-key", "if-match", "if-none-match")
CORS_EXPOSE_HEADERS = ("etag", "location", "retry-after", "idempotency-replayed", "x-request-id")
# Networks of one's own to which webhooks may go: "192.168.10.0/24, fd00:12::/64". Nothing else that is private is told.
HILUM_WEBHOOK_NETWORKS = networks_from(os.environ.get("HILUM_WEBHOOK_NETWORKS") or "")
# Plugins of our own, by module; others come from installed packages and are switched on by `manage.py plugins enable`.
# HILUM_PLUGINS_RAISE lets a test run see a plugin's fault as a fault; a site leaves that plugin's answer out and names
# it.
HILUM_PLUGINS = ("grading.plugin",)
HILUM_PLUGINS_RAISE = False
HILUM_STARTED = started(DATA_DIR)
HILUM_BOOKS = "inventory.plugin.StationBooks"  # what `hilum.plugins.books()` answers with

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "corsheaders",
    "rest_framework",
    "django_filters",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "django_htmx",
    "hilum",
    "inventory",
    "grading",
    "api",
    *HILUM_STARTED.apps,
]

MIDDLEWARE = [
    "corsheaders.middleware.CorsMiddleware",
    "hilum.request_ids.named_requests",
    "hilum.security.readable_path",
    "hilum.security.content_policy",
    "hilum.uploads.body_limit",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "inventory.pages.carrying.SignInFirst",
    "inventory.pages.preferences.in_their_manner",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]

ROOT_URLCONF = "hilum.urls"
WSGI_APPLICATION = "hilum.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "hilum" / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "inventory.pages.frame.frame",
                "api.readings.taking.scales",
            ]
        },
    }
]

# A file that is sent: 16 MB, and a little for the form around it. What is larger than 1 MB goes to a temporary file.
LARGEST_FILE = 16 * 1024 * 1024
LARGEST_BODY = LARGEST_FILE + 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = 1024 * 1024
DATA_UPLOAD_MAX_MEMORY_SIZE = 4 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FILES = 10

DATABASES = {"default": database_from(os.environ.get("DATABASE_URL", ""), DATA_DIR / "hilum.sqlite3")}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTHENTICATION_BACKENDS = ["inventory.pages.accounts.CountingBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign-in"
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SAMESITE = "Lax"

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["api.authentication.BearerAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": [
        "rest_framework.permissions.IsAuthenticated",
        "api.authentication.HasScope",
        "api.plugins.permission.PluginIsOn",
    ],
    "DEFAULT_THROTTLE_CLASSES": ["api.authentication.EachKey"],
    "DEFAULT_THROTTLE_RATES": {"key": rate_from(os.environ.get("HILUM_API_RATE") or "1200")},
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["api.parsers.ExactJSON"],
    "EXCEPTION_HANDLER": "api.problems.answer_with_problem",
    "DEFAULT_SCHEMA_CLASS": "api.schema.Described",
    "URL_FORMAT_OVERRIDE": None,  # an export's form is read by its own address
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Hilum",
    "DESCRIPTION": "Seed lots, where they came from, where they went, and how they grade. Masses are exact texts in "
    "kilograms, instants are UTC. Every act needs an Idempotency-Key.",
    "VERSION": "1",
    "OAS_VERSION": "3.1.0",
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "POSTPROCESSING_HOOKS": [],
    "APPEND_COMPONENTS": COMPONENTS,
}

LANGUAGE_CODE = "en"
USE_I18N = True
LANGUAGES = [("en", "English"), ("fr", "français"), ("es", "español")]
LOCALE_PATHS = [BASE_DIR / "hilum" / "locale"]
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
