"""The houses that the desk knows, and what became of one under other enquiries. See docs/desk.md."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db.models import Max

from gristwright.records.plant import Plant
from gristwright.store.models import EnquiryRow, PlantVersion
from gristwright.store.versions import later_plant
from gristwright.workbench.changes import of_versions


@dataclass(frozen=True)
class KnownHouse:
    """A house of this desk to choose from."""

    key: str
    name: str
    told: str


def known_houses() -> list[KnownHouse]:
    """Every house that has a name, the one changed last first."""
    newest = PlantVersion.objects.values("house").annotate(last=Max("id")).values("last")
    versions = PlantVersion.objects.filter(pk__in=newest).order_by("-at")
    named = [(version, str(version.document.get("name", ""))) for version in versions]
    return [KnownHouse(str(v.house_id), name, f"version {v.number}") for v, name in named if name]


def elsewhere(enquiry: EnquiryRow) -> dict[str, Any]:
    """Which other enquiries are about this house, and what one of them changed in it since, field by field."""
    if enquiry.plant is None:
        return {}
    others = EnquiryRow.objects.filter(plant__house=enquiry.plant.house, binned_at=None).exclude(pk=enquiry.pk)
    later = later_plant(enquiry)
    changed = list(of_versions(Plant, [enquiry.plant, later]))[1:] if later else []
    return {"others": others, "later": later, "changed": changed}
