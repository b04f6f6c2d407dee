"""The house of an enquiry and the cask its spirit is meant for: one document each, and a new one for every change."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import models
from django.utils import timezone

from gristwright.store.columns import Json
from gristwright.store.models.enquiries import EnquiryRow


class Version(models.Model):
    """A document as somebody kept it, whole or half filled in, in the shape of a plant file; it never changes."""

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


class PlantVersion(Version):
    """A house with its mash, washbacks and stills."""

    enquiry = models.ForeignKey(EnquiryRow, models.CASCADE, related_name="plants")

    class Meta(Version.Meta):
        constraints = (models.UniqueConstraint(fields=("enquiry", "number"), name="one_plant_a_number"),)

    def __str__(self) -> str:
        return "The house"


class CaskVersion(Version):
    """What the spirit is filled into, where it lies and how it is bottled."""

    enquiry = models.ForeignKey(EnquiryRow, models.CASCADE, related_name="casks")

    class Meta(Version.Meta):
        constraints = (models.UniqueConstraint(fields=("enquiry", "number"), name="one_cask_a_number"),)

    def __str__(self) -> str:
        return "The cask"
