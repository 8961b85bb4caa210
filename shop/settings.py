"""The project's settings. What differs between machines comes from `environment`."""

from datetime import timedelta
from pathlib import Path

import font_source_sans_pro
import font_source_serif_pro

from shop import environment

BASE_DIR = Path(__file__).resolve().parent.parent
DATA = environment.data_folder()

SECRET_KEY = environment.secret_key(DATA)
DEBUG = environment.debug()
DEMO = environment.demo()
PUBLIC_URL = environment.public_url()
ALLOWED_HOSTS = environment.hosts()
CSRF_TRUSTED_ORIGINS = environment.trusted_origins()
TRUSTED_PROXY = environment.trusted_proxy()

INSTALLED_APPS = [
    "shop.keeping",
    "shop.bench",
    "shop.books",
    "shop.commissions",
    "shop.sales",
    "provenance.public",
    "provenance.cards",
    "provenance.drying",
    "provenance.pieces",
    "provenance.trees",
    "provenance.people",
    "provenance.record",
    "provenance.maker",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_htmx",
    "axes",
    "csp",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "shop.keeping.middleware.NotTooMuch",
    "shop.keeping.middleware.SecureCookies",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "shop.keeping.middleware.PrivateUnlessSaid",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "shop.keeping.middleware.ShopClock",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "shop.urls"
WSGI_APPLICATION = "shop.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": False,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "provenance.maker.context.shop",
            ],
            "builtins": ["provenance.record.templatetags.words"],
        },
    },
]

DATABASES = {"default": environment.database(DATA)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "maker.User"
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
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
]
LOGIN_URL = "maker:sign_in"
LOGIN_REDIRECT_URL = "bench:bench"

# By address only: counting by name would let a stranger lock the owner out.
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False  # the page promises a quarter of an hour
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_PARAMETERS = ["ip_address"]
AXES_LOCKOUT_CALLABLE = "provenance.maker.views.locked_out"
AXES_DISABLE_ACCESS_LOG = True  # who signed in from where is nothing that we need to keep
AXES_VERBOSE = False

# Browsers share cookies between ports: demo and book, open side by side, must not sign each other
# out.
SESSION_COOKIE_NAME = "bolebook-demo" if DEMO else "bolebook"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 60
CSRF_COOKIE_NAME = f"{SESSION_COOKIE_NAME}-form"
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_FAILURE_VIEW = "provenance.maker.views.form_expired"
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
SILENCED_SYSTEM_CHECKS = [
    # HSTS and the redirect to HTTPS belong to the proxy that holds the certificate: on this machine
    # and on a plain local network the same shop is served over HTTP, and must stay reachable.
    "security.W004",
    "security.W008",
    # Cookies are marked Secure by `SecureCookies` whenever the page came over HTTPS.
    "security.W012",
    "security.W016",
]

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'none'"],
        "script-src": ["'self'"],
        "style-src": ["'self'"],
        "font-src": ["'self'"],
        "connect-src": ["'self'"],
        "form-action": ["'self'"],
        "manifest-src": ["'self'"],
        "img-src": ["'self'", "data:", "blob:"],
        "base-uri": ["'none'"],
        "frame-ancestors": ["'none'"],
        "object-src": ["'none'"],
    }
}

LANGUAGE_CODE = "en"
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"  # the shop's own zone is in its profile
LOCALE_PATHS = [BASE_DIR / "shop" / "locale", BASE_DIR / "provenance" / "locale"]
FORMAT_MODULE_PATH: list[str] = []

STATIC_URL = "/static/"
STATIC_ROOT = DATA / "static"
STATICFILES_DIRS = [
    BASE_DIR / "static",
    ("fonts/serif", Path(font_source_serif_pro.__file__).parent / "files"),
    ("fonts/sans", Path(font_source_sans_pro.__file__).parent / "files"),
]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}
PHOTO_ROOT = DATA / "photos"
PHOTO_MAX_BYTES = 25 * 1024 * 1024
# A whole form with its photos; static/js/shots.js keeps a browser below it.
FORM_MAX_BYTES = 32 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024

# Nothing private goes into a log: no query strings, no form data, no messages of exceptions (a
# database puts the refused value into its own), no names or addresses of those who sign in.
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "discreet": {
            "()": "shop.keeping.logs.Discreet",
            "format": "{asctime} {levelname} {name}: {message}",
            "style": "{",
        }
    },
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "discreet"}},
    "root": {"handlers": ["stderr"], "level": "WARNING"},
    "loggers": {
        # Django sets handlers of its own on this one; ours replaces them.
        "django": {"handlers": ["stderr"], "level": "WARNING", "propagate": False},
        # Wrong addresses and refused forms are no faults, and their paths may hold one-time links.
        "django.request": {"level": "ERROR"},
        "django.security": {"level": "CRITICAL"},
        "axes": {"level": "ERROR"},
        "waitress.queue": {"level": "ERROR"},
    },
}
