"""Settings of this desk: those of every desk, and its own data folder. See docs/desk.md."""

from __future__ import annotations

from gristwright.workbench import home
from gristwright.workbench.every_desk import *  # noqa: F403

HOME = home.folder()
SECRET_KEY = home.secret_key()
STATICFILES_DIRS = [home.static()]
DATABASES = {
    "default": {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": HOME / "desk.sqlite3",
        "OPTIONS": {
            "timeout": 20,
            "transaction_mode": "IMMEDIATE",
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
        },
    }
}
