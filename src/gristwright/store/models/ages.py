"""What comes after the still in money, and the casks of known age that go with an enquiry."""

from __future__ import annotations

from django.db import models
from simple_history.models import HistoricalRecords

from gristwright.casework.claim import MODELS
from gristwright.store.columns import Json, choice, maybe, text, words
from gristwright.store.models.enquiries import EnquiryRow


class Release(models.Model):
    """The customer's own prices at release; an empty one is nothing, an empty evaporation is forecast."""

    enquiry = models.OneToOneField(EnquiryRow, models.CASCADE, related_name="release")
    energy_per_t = maybe("Energy of a tonne mashed, where processing does not hold it", "money a tonne", 0, 5000)
    cask_price = maybe("Price of a cask", "money a cask", 0, 20_000)
    fills = maybe("Fills that pay for it", "fills", 1, 10)
    rent_per_cask_year = maybe("Rent of a cask for a year", "money", 0, 2000)
    interest_pct_per_year = maybe("Interest", "% a year", 0, 50)
    evaporation_low_pct_per_year = maybe("Evaporation of alcohol, low", "% a year", 0, 20)
    evaporation_high_pct_per_year = maybe("Evaporation of alcohol, high", "% a year", 0, 20)
    bottling_loss_pct = maybe("Lost in bottling", "%", 0, 20)
    dry_goods_per_L = maybe("Bottling and dry goods, duty-free", "money a litre as bottled", 0, 500)
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
