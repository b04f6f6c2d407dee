"""The Django app of the desk's pages."""

from __future__ import annotations

from django.apps import AppConfig


class WorkbenchConfig(AppConfig):
    """Pages, forms and templates; tables are in the store."""

    name = "gristwright.workbench"
    label = "workbench"
