"""The Django app of the store."""

from __future__ import annotations

from django.apps import AppConfig


class StoreConfig(AppConfig):
    """Tables of the desk."""

    name = "gristwright.store"
    label = "store"
    default_auto_field = "django.db.models.BigAutoField"
