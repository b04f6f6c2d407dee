"""Settings of every desk: one machine, one owner, nothing from outside; none of them makes a file.

See docs/desk.md.
"""

from __future__ import annotations

import datetime as dt

from tzlocal import get_localzone_name

DEBUG = False
ALLOWED_HOSTS = ["127.0.0.1", "localhost"]
ROOT_URLCONF = "gristwright.workbench.urls"
INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "axes",
    "django_htmx",
    "simple_history",
    "gristwright.store",
    "gristwright.workbench.apps.WorkbenchConfig",
]
MIDDLEWARE = [
    "gristwright.workbench.closed.ClosedDoors",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "gristwright.workbench.plain_text.PlainText",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "gristwright.workbench.few_files.FewFiles",
    "gristwright.workbench.way_back.AskWho",
    "gristwright.workbench.way_back.LeadUp",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "simple_history.middleware.HistoryRequestMiddleware",
    "axes.middleware.AxesMiddleware",
    "gristwright.workbench.gone.Gone",
    "gristwright.workbench.no_room.NoRoom",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "gristwright.workbench.look.always",
            ]
        },
    }
]
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in ("UserAttributeSimilarityValidator", "MinimumLengthValidator", "CommonPasswordValidator")
]
LOGIN_URL = "enter"
LOGIN_REDIRECT_URL = "enquiries"
LOGOUT_REDIRECT_URL = "enter"
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = dt.timedelta(minutes=15)
# Everybody comes from this machine, so wrong passwords are counted together whatever name, address and header say.
AXES_LOCKOUT_PARAMETERS = ["ip_address"]
AXES_CLIENT_IP_CALLABLE = "gristwright.workbench.wrong_passwords.one_place"
AXES_HANDLER = "gristwright.workbench.wrong_passwords.OneLock"
# Who goes on trying while the door is closed does not keep it closed.
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False
AXES_LOCKOUT_TEMPLATE = "desk/locked.html"
AXES_RESET_ON_SUCCESS = True
AXES_VERBOSE = False
SESSION_COOKIE_NAME = "gristwright_desk"
SESSION_COOKIE_SAMESITE = "Strict"
CSRF_COOKIE_NAME = "gristwright_form"
CSRF_COOKIE_SAMESITE = "Strict"
CSRF_COOKIE_HTTPONLY = True
CSRF_FAILURE_VIEW = "gristwright.workbench.way_back.too_old"
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
FORM_RENDERER = "gristwright.workbench.fields.Renderer"
USE_TZ = True
# Moments are kept in UTC and shown on the clock of this machine.
TIME_ZONE = get_localzone_name() or "UTC"
LANGUAGE_CODE = "en-gb"
USE_I18N = False
STATIC_URL = "static/"
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False
WHITENOISE_MAX_AGE = 0
MOST_UPLOADED_BYTES = 2_000_000
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
FILE_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
DATA_UPLOAD_MAX_NUMBER_FILES = 8
# Each cell to be mended has two fields: what is typed, and what stood there.
DATA_UPLOAD_MAX_NUMBER_FIELDS = 20_000
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"still": {"()": "gristwright.workbench.logged.StillLines"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "still"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {
        # A foreign host is turned away; that is no fault worth a page of text.
        "django.security.DisallowedHost": {"handlers": [], "level": "CRITICAL", "propagate": False},
        "django.request": {"handlers": ["console"], "level": "ERROR", "propagate": False},
        "django.security": {"handlers": ["console"], "level": "ERROR", "propagate": False},
        # A request that waits for a thread is no fault; six people at once make one.
        "waitress.queue": {"handlers": ["console"], "level": "ERROR", "propagate": False},
        "axes": {"handlers": ["console"], "level": "ERROR", "propagate": False},
    },
}
