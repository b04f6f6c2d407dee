"""A document as somebody kept it: written once, the next one beside it."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import models
from django.utils import timezone

from gristwright.store.columns import Json


class Version(models.Model):
    """A document as somebody kept it, whole or half filled in; it never changes."""

    number = models.PositiveIntegerField()
    document = Json("What it says", default=dict)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        abstract = True
        ordering = ("number",)

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write it once. Raises TypeError for one that is written already."""
        if self.pk and not self._state.adding:
            raise TypeError("a version never changes: keep another one")
        super().save(*args, **kwargs)
