"""Settings of the desk for tests: a data folder of their own, gone when the tests end."""

from __future__ import annotations

import os

from run_folders import own_folder

os.environ["GRISTWRIGHT_HOME"] = own_folder("gristwright-desk-")
# Where processes of one run keep what only one of them needs to work out; the first makes it, and takes it away.
if "GRISTWRIGHT_TEST_SHELF" not in os.environ:
    os.environ["GRISTWRIGHT_TEST_SHELF"] = own_folder("gristwright-shelf-")
# The browser's driver keeps an event loop in a process of tests; nothing of the desk runs in one.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
# Tests run side by side, one to a core: a second thread for small matrices waits for the others more than it works.
# Set here, because nothing that counts is loaded before these settings.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from gristwright.workbench.settings import *  # noqa: F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
DATABASES = {"default": {"ENGINE": "django.db.backends.sqlite3", "NAME": ":memory:"}}
TIME_ZONE = "UTC"
