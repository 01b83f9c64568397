"""The one settings file: development without any variable, production by DEBUG=0 and the rest."""

from pathlib import Path
from typing import Any

from contractor.environment import (
    clock_time,
    development_secret_key,
    environment_read,
    map_url,
    production_refuse_weak,
    whole_days,
)

BASE_DIR = Path(__file__).resolve().parent.parent
env = environment_read(BASE_DIR)

DEBUG: bool = env.bool("DEBUG", default=True)
if not DEBUG:
    production_refuse_weak(env)

DATA_DIR = Path(env.str("DATA_DIR", default=str(BASE_DIR / ".data")))
for folder in ("", "logs", "photos", "mail", "static"):
    (DATA_DIR / folder).mkdir(mode=0o700, parents=True, exist_ok=True)

SECRET_KEY: str = env.str("SECRET_KEY", default="") or development_secret_key(DATA_DIR)
ALLOWED_HOSTS: list[str] = env.list("ALLOWED_HOSTS", default=["127.0.0.1", "localhost"])
SITE_URL: str = env.str("SITE_URL", default="http://127.0.0.1:8000").rstrip("/")
CSRF_TRUSTED_ORIGINS: list[str] = [SITE_URL]

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "axes",
    "django_htmx",
    "django_filters",
    "rest_framework",
    "drf_spectacular",
    "contractor",
    "jobs",
    "scheduling",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "contractor.frame.middleware.SecurityHeadersMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "contractor.phones.session.PhoneMiddleware",
    "contractor.frame.middleware.PersonLanguageMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "contractor.urls"
WSGI_APPLICATION = "contractor.wsgi.application"
TEMPLATES: list[dict[str, Any]] = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "contractor.frame.context.page_frame",
            ],
        },
    },
]

# The data.
_SQLITE_URL = f"sqlite:///{DATA_DIR / 'baywright.sqlite3'}"
DATABASES: dict[str, Any] = {
    "default": env.db_url_config(env.str("DATABASE_URL", default="") or _SQLITE_URL),
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # An acknowledged answer survives a power cut (synchronous=FULL); writers queue, none fails.
    DATABASES["default"]["OPTIONS"] = {
        "timeout": 20,
        "transaction_mode": "IMMEDIATE",
        "init_command": (
            "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;"
        ),
    }
else:
    DATABASES["default"]["CONN_MAX_AGE"] = 60
    DATABASES["default"]["CONN_HEALTH_CHECKS"] = True

# Background work: the rows are the truth, Redis and Celery only a doorbell.
REDIS_URL: str = env.str("REDIS_URL", default="")
CELERY_BROKER_URL = REDIS_URL
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "visibility_timeout": 1800,
    "unacked_restore_interval": 5,
    "unacked_restore_throttle": 1,
}
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_WORKER_SOFT_SHUTDOWN_TIMEOUT = 20
CELERY_TASK_DEFAULT_QUEUE = "default"

# The planner.
SOLVER_SECONDS: int = env.int("SOLVER_SECONDS", default=20)
SOLVER_WORKERS: int = env.int("SOLVER_WORKERS", default=2)
RUN_LEASE_SECONDS: int = env.int("RUN_LEASE_SECONDS", default=15)

# The map that opens in any browser, by coordinates.
MAP_URL: str = map_url(
    "MAP_URL",
    env.str("MAP_URL", default="")
    or "https://www.openstreetmap.org/?mlat={latitude}&mlon={longitude}#map=17/{latitude}/{longitude}",
)

# Mail: files in development; in production it waits until a server is named.
EMAIL_URL: str = env.str("EMAIL_URL", default="")
MAIL_ENABLED: bool = DEBUG or bool(EMAIL_URL)
_MAIL = env.email_url_config(EMAIL_URL or "filemail://")
EMAIL_BACKEND: str = _MAIL["EMAIL_BACKEND"]
EMAIL_FILE_PATH = _MAIL["EMAIL_FILE_PATH"] if EMAIL_URL.startswith("file") else DATA_DIR / "mail"
EMAIL_HOST: str = _MAIL["EMAIL_HOST"] or "localhost"
EMAIL_PORT: int = _MAIL["EMAIL_PORT"] or 25
EMAIL_HOST_USER: str = _MAIL["EMAIL_HOST_USER"] or ""
EMAIL_HOST_PASSWORD: str = _MAIL["EMAIL_HOST_PASSWORD"] or ""
EMAIL_USE_TLS: bool = _MAIL.get("EMAIL_USE_TLS", False)
EMAIL_USE_SSL: bool = _MAIL.get("EMAIL_USE_SSL", False)
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL: str = env.str("MAIL_FROM", default="Baywright <office@localhost>")
# The time of the wall, in the site's zone, from which a superintendent's daily digest goes out.
DIGEST_AT = clock_time("DIGEST_AT", env.str("DIGEST_AT", default="16:30"))

# People.
AUTH_USER_MODEL = "contractor.User"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign-in"
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_TEMPLATE = "contractor/frame/locked_out.html"
AXES_VERBOSE = False

# Words and time. Every branch has a zone of its own; what is stored is UTC.
LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("es", "Español")]
LOCALE_PATHS = [BASE_DIR / "contractor" / "locale"]
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

# Files.
STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
MEDIA_ROOT = DATA_DIR / "photos"
_STATIC_STORAGE = (
    "django.contrib.staticfiles.storage.StaticFilesStorage"
    if DEBUG
    else "contractor.assets.HashedFiles"
)
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": _STATIC_STORAGE},
}
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024

# Security.
SECURE_CSP = {
    "default-src": "'self'",
    "img-src": "'self' data:",
    "object-src": "'none'",
    "base-uri": "'none'",
    "form-action": "'self'",
    "frame-ancestors": "'none'",
}
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_AGE = 60 * 60 * 24 * 14
# How long a phone that a link signed in stays so without being used.
PHONE_DAYS = whole_days("PHONE_DAYS", env.str("PHONE_DAYS", default="180"))
if not DEBUG:
    SECURE_SSL_REDIRECT: bool = env.bool("SECURE_SSL_REDIRECT", default=True)
    SECURE_REDIRECT_EXEMPT = [r"^(livez|readyz)$"]
    SECURE_HSTS_SECONDS = 60 * 60 * 24 * 365
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
    SESSION_COOKIE_NAME = "__Host-sessionid"
    CSRF_COOKIE_NAME = "__Host-csrftoken"
    if env.bool("BEHIND_PROXY", default=False):
        SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

# The API.
REST_FRAMEWORK: dict[str, Any] = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["rest_framework.authentication.SessionAuthentication"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "DEFAULT_PERMISSION_CLASSES": ["contractor.api.access.MayCall"],
    "DEFAULT_PAGINATION_CLASS": "contractor.api.access.Pages",
    "PAGE_SIZE": 50,
    "DEFAULT_FILTER_BACKENDS": ["django_filters.rest_framework.DjangoFilterBackend"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "contractor.api.problems.problem_response",
}
SPECTACULAR_SETTINGS: dict[str, Any] = {
    "TITLE": "Baywright",
    "DESCRIPTION": "Jobs, weeks, crew-days and calls of an insulation contractor.",
    "VERSION": "1",
    "SERVE_INCLUDE_SCHEMA": False,
    "SERVE_PERMISSIONS": ["contractor.api.access.MayCall"],
    # A field `kind` of steps, of spaces and of mail: each choice set has one name everywhere.
    "ENUM_NAME_OVERRIDES": {"StepKindEnum": "jobs.models.Step.Kind", "LanguageEnum": LANGUAGES},
}

LOGGING: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s %(message)s"}},
    "filters": {"links": {"()": "contractor.logs.LinkRedaction"}},
    "handlers": {
        "console": {"class": "logging.StreamHandler", "formatter": "line", "filters": ["links"]},
    },
    "root": {"handlers": ["console"], "level": env.str("LOG_LEVEL", default="WARNING")},
    "loggers": {
        "django.server": {"handlers": ["console"], "level": "INFO", "propagate": False},
    },
}
