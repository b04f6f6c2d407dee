"""The houses that the desk knows, and what became of one under other enquiries. See docs/desk.md."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db.models import BooleanField, Case, CharField, F, Func, Max, Value, When
from django.db.models.fields.json import KT

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
    whole = Func(F("document"), function="json_valid", output_field=BooleanField())
    named = Case(When(whole, then=KT("document__name")), default=Value(""), output_field=CharField())
    versions = PlantVersion.objects.filter(pk__in=newest).order_by("-at").annotate(called=named)
    found = versions.values_list("house_id", "called", "number")
    return [KnownHouse(str(house), str(name), f"version {number}") for house, name, number in found if name]


def elsewhere(enquiry: EnquiryRow) -> dict[str, Any]:
    """Which other enquiries are about this house, and what one of them changed in it since, field by field."""
    if enquiry.plant is None:
        return {}
    others = EnquiryRow.objects.filter(plant__house=enquiry.plant.house, binned_at=None).exclude(pk=enquiry.pk)
    later = later_plant(enquiry)
    changed = list(of_versions(Plant, [enquiry.plant, later]))[1:] if later else []
    return {"others": others, "later": later, "changed": changed}
