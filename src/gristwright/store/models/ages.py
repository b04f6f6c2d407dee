"""What comes after the still in money, and the casks of known age that go with an enquiry."""

from __future__ import annotations

from django.db import models
from simple_history.models import HistoricalRecords

from gristwright.casework.claim import MODELS
from gristwright.records.give_gain import ReleasePrices
from gristwright.store.columns import Json, choice, of, text, words
from gristwright.store.models.enquiries import EnquiryRow

# An empty price is as the record has it when nothing is said.
EMPTY = {"null": True, "blank": True}


class Release(models.Model):
    """The customer's own prices at release; an empty one is nothing, an empty evaporation is forecast."""

    enquiry = models.OneToOneField(EnquiryRow, models.CASCADE, related_name="release")
    energy_per_t = of(ReleasePrices, "energy_per_t", **EMPTY)
    cask_price = of(ReleasePrices, "cask_price", **EMPTY)
    fills = of(ReleasePrices, "fills", **EMPTY)
    rent_per_cask_year = of(ReleasePrices, "rent_per_cask_year", **EMPTY)
    interest_pct_per_year = of(ReleasePrices, "interest_pct_per_year", **EMPTY)
    evaporation_low_pct_per_year = of(ReleasePrices, "evaporation_low_pct_per_year", **EMPTY)
    evaporation_high_pct_per_year = of(ReleasePrices, "evaporation_high_pct_per_year", **EMPTY)
    bottling_loss_pct = of(ReleasePrices, "bottling_loss_pct", **EMPTY)
    dry_goods_per_L = of(ReleasePrices, "dry_goods_per_L", **EMPTY)
    new_make_cost_per_lpa = of(ReleasePrices, "new_make_cost_per_lpa", **EMPTY)
    history = HistoricalRecords()

    def __str__(self) -> str:
        return "Prices at release"


class AgedCasks(models.Model):
    """A claim of age with both tables of casks as they were read; `told` names the files and their fingerprints."""

    enquiry = models.OneToOneField(EnquiryRow, models.CASCADE, related_name="aged")
    claims = words("Claims")
    model = choice("How markers go with age", MODELS, "line")
    count = words("Markers of the user's own read for age")
    grists = words("What each arm was mashed from")
    told = text("Files", 400, needed=False)
    ladder = Json("Reference casks", default=dict)
    arms = Json("Arms", default=dict)
    history = HistoricalRecords(excluded_fields=["ladder", "arms"])

    class Meta:
        verbose_name_plural = "aged casks"

    def __str__(self) -> str:
        return "Casks of known age"


class Dosing(models.Model):
    """A series of doses that is asked, as its file says it."""

    enquiry = models.OneToOneField(EnquiryRow, models.CASCADE, related_name="dosing")
    asked = Json("Doses", default=dict)

    class Meta:
        verbose_name_plural = "dosings"

    def __str__(self) -> str:
        return "How much of a malt, for how long"
