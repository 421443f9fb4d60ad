"""Settings, in a fixed order: places, who may call, apps, data, sign-in, pages, files, words."""

import contextlib
import os
import secrets
import sys
from pathlib import Path
from urllib.parse import urlsplit

from csp.constants import NONE, SELF

from company.env import Environment

env = Environment(os.environ)


# Places

BASE_DIR = Path(__file__).resolve().parent.parent


def find_data_dir() -> Path:
    """`.data` in the checkout where that can be written, else the user's own data folder."""
    if os.access(BASE_DIR, os.W_OK):
        return BASE_DIR / ".data"
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData/Local")) / "Strung"
    if sys.platform == "darwin":
        return Path.home() / "Library/Application Support/Strung"
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local/share") / "strung"


DATA_DIR = env.folder("DATA_DIR", find_data_dir())


# Who may call

DEBUG = env.switch("DEBUG", False)
SITE_URL = env.site("SITE_URL", "http://127.0.0.1:8000")
IS_SITE_URL_SET = bool(env.text("SITE_URL"))
IS_HTTPS = SITE_URL.startswith("https://")
SITE_HOST = urlsplit(SITE_URL).hostname or ""
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", SITE_HOST, *env.words("ALLOWED_HOSTS")]
CSRF_TRUSTED_ORIGINS = [SITE_URL] if IS_HTTPS else []
TRUSTED_PROXY = env.text("TRUSTED_PROXY", "127.0.0.1")
TODAY = env.instant("TODAY")


def read_secret_key(folder: Path) -> str:
    """The key kept in the folder, made there at the first start, readable by its owner alone."""
    file = folder / "secret-key"
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    with contextlib.suppress(FileExistsError):
        # Written under another name and linked into place, so that of two first starts at once
        # neither reads a half-written key.
        fresh = folder / f".secret-key-{secrets.token_hex(8)}"
        fresh.touch(mode=0o600)
        fresh.write_text(secrets.token_urlsafe(48), encoding="ascii")
        try:
            os.link(fresh, file)
        finally:
            fresh.unlink()
    return file.read_text(encoding="ascii").strip()


try:
    SECRET_KEY = env.text("SECRET_KEY") or read_secret_key(DATA_DIR)
except OSError as error:
    SECRET_KEY = ""
    env.problems.append(f"DATA_DIR {str(DATA_DIR)!r} cannot be written: {error.strerror}.")


# Apps

INSTALLED_APPS = [
    "company",
    "scenes",
    "builds",
    "whitenoise.runserver_nostatic",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.forms",
    "axes",
    "csp",
    "django_htmx",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "csp.middleware.CSPMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "company.middleware.SignInMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "company.middleware.CompanyTimeMiddleware",
    "company.middleware.StaleEditMiddleware",
    "axes.middleware.AxesMiddleware",
]
ROOT_URLCONF = "company.urls"
WSGI_APPLICATION = "company.wsgi.application"
FORM_RENDERER = "company.rendering.FormRenderer"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    }
]


# Data

DATABASES = {"default": env.database("DATABASE_URL", DATA_DIR)}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATABASES["default"]["OPTIONS"] = {
        # Writers queue at BEGIN instead of failing half way; a commit survives a power cut.
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"


# Sign-in

AUTH_USER_MODEL = "company.User"
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
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]
LOGIN_URL = "company:sign_in"
LOGIN_REDIRECT_URL = "/"
LOGOUT_REDIRECT_URL = "company:sign_in"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 30
SESSION_COOKIE_NAME = "strung_session"
CSRF_COOKIE_NAME = "strung_csrf"
CSRF_COOKIE_HTTPONLY = False
AXES_USERNAME_FORM_FIELD = "username"
AXES_USERNAME_CALLABLE = "company.services.sign_in.attempted_name"
AXES_FAILURE_LIMIT = 6
AXES_COOLOFF_TIME = 0.25
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False
AXES_LOCKOUT_TEMPLATE = "company/locked_out.html"
AXES_VERBOSE = False


# Pages: one strict policy, and everything secure at once where the site is https

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF],
        "object-src": [NONE],
        "base-uri": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_SECURE = IS_HTTPS
CSRF_COOKIE_SECURE = IS_HTTPS
SECURE_SSL_REDIRECT = IS_HTTPS
SECURE_HSTS_SECONDS = 60 * 60 * 24 * 365 if IS_HTTPS else 0
SILENCED_SYSTEM_CHECKS = [
    "auth.W004",  # `login_key` is what is unique: all spellings of a sign-in name are one.
    # The neighbours of this host may have no certificates: this site cannot speak for them.
    "security.W005",
    "security.W021",
]


# Files

STATIC_URL = "/static/"
STATIC_ROOT = DATA_DIR / "static"
MEDIA_ROOT = DATA_DIR / "media"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if DEBUG
        else "company.static_storage.CollectedStaticStorage"
    },
}
FILE_UPLOAD_PERMISSIONS = 0o600
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
DATA_UPLOAD_MAX_MEMORY_SIZE = 4 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000
MAX_REQUEST_BYTES = 64 * 1024 * 1024


# Long jobs: each is a `company.work.Job`, named by its dotted path and called in turn by
# the worker. It does the next job of its sort, if there is one, and says whether there was.

WORKER_JOBS: list[str] = ["builds.tasks.improve_next_plan"]

# What a new company is given on its first day: each is called with `company` and `user`, inside
# the transaction that makes the company.

COMPANY_STARTERS: list[str] = ["builds.services.routes.add_default_routes"]

# What the plot asks of the workshop, which it may not import: each is called with the show.

ASKED_OF_WORKSHOP: dict[str, str] = {
    "build_minutes": "builds.queries.build_minutes.read_build_minutes",
    "last_days": "builds.queries.last_days.read_last_days",
}


# Words, time and talk

LANGUAGE_CODE = "en-gb"
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["stderr"], "level": "WARNING"},
    "loggers": {
        "django": {"handlers": [], "propagate": True},
        # Refused forms and mistyped addresses are told to the person, not to the log.
        "django.request": {"level": "ERROR"},
    },
}

env.stop_if_wrong()
