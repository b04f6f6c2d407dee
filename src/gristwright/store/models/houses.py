"""Who asks, their house, and the cask a spirit is meant for; house and cask are documents, a new one a change."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models

from gristwright.store.columns import text
from gristwright.store.models.versions import Version


class Customer(models.Model):
    """Somebody who asks, by name."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    name = text("Customer")

    class Meta:
        ordering = ("name",)
        constraints = (models.UniqueConstraint(fields=("name",), name="one_customer_a_name"),)

    def __str__(self) -> str:
        return self.name


class House(models.Model):
    """A distillery or a brewery; several enquiries may be about one. What it is stands in its versions."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    def __str__(self) -> str:
        newest = self.versions.last()
        return (newest and str(newest.document.get("name", ""))) or "House without a name"


class PlantVersion(Version):
    """A house with its mash, washbacks and stills, in the shape of a plant file."""

    house = models.ForeignKey(House, models.CASCADE, related_name="versions")

    class Meta(Version.Meta):
        constraints = (models.UniqueConstraint(fields=("house", "number"), name="one_plant_a_number"),)

    def __str__(self) -> str:
        return "The house"


class CaskVersion(Version):
    """What the spirit is filled into, where it lies and how it is bottled."""

    enquiry = models.ForeignKey("store.EnquiryRow", models.CASCADE, related_name="casks")

    class Meta(Version.Meta):
        constraints = (models.UniqueConstraint(fields=("enquiry", "number"), name="one_cask_a_number"),)

    def __str__(self) -> str:
        return "The cask"
