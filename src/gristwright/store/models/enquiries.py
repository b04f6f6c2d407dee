"""An enquiry: the question, the limits, what is on offer, today's bill."""

from __future__ import annotations

import uuid
from typing import Any

from django.conf import settings
from django.db import models
from simple_history.models import HistoricalRecords

from gristwright.records.enquiry import Enquiry, Limits, Offered
from gristwright.records.fields import fields_of
from gristwright.records.plant import PlantRecord
from gristwright.store.columns import Date, Flag, Integer, Json, Text, labelled, of, parts, text, words

# The house's own average may not be known at all.
UNSAID = {"null": True, "blank": True}
PURPOSES = [("whisky", "whisky, distilled from the wash"), ("beer", "beer, of boiled wort")]
LANGUAGES = [("en", "English"), ("de", "German")]
# Characters of the name of a lot.
LONGEST_NAME = 80


class EnquiryRow(models.Model):
    """One question. `tried` is the bill somebody is trying out, lot to 0.01 %; it is no part of the record."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, editable=False, null=True)
    made_at = models.DateTimeField(auto_now_add=True)

    title = text(labelled(Enquiry, "title"))
    customer = models.ForeignKey("store.Customer", models.PROTECT, null=True, blank=True, related_name="enquiries")
    plant = models.ForeignKey("store.PlantVersion", models.PROTECT, null=True, blank=True, related_name="enquiries")
    question = Text(labelled(Enquiry, "question"), blank=True, default="", max_length=2000)
    adviser = text(labelled(Enquiry, "adviser"), needed=False)
    date = Date(labelled(Enquiry, "date"), null=True, help_text=fields_of(Enquiry)["date"].said.help)
    valid_days = of(Enquiry, "valid_days")
    categories = words(labelled(Enquiry, "categories"), blank=True)
    markets = words(labelled(Enquiry, "markets"), blank=True)
    purpose = text(labelled(Enquiry, "purpose"), 20, default="whisky", choices=PURPOSES)
    target_attenuation_pct = of(Enquiry, "target_attenuation_pct")
    currency = text(labelled(Enquiry, "currency"), 3, help_text=fields_of(Enquiry)["currency"].said.help)
    processing_cost_per_t = of(Enquiry, "processing_cost_per_t")
    grid_parts = Integer(
        "Step of the search",
        default=500,
        choices=[(step, f"{step / 100:g} %") for step in (100, 200, 250, 400, 500, 1000, 2000, 2500)],
    )
    most_materials = of(Enquiry, "most_materials")
    invented = Flag(labelled(Enquiry, "invented"), default=False)
    language = text(labelled(Enquiry, "language"), 2, default="en", choices=LANGUAGES)
    # Bills asked about: each a name, and its parts [0.01 %] by the keys of lots as the enquiry names them.
    asked = Json(default=list, editable=False)

    least_lpa_per_t = of(Limits, "least_lpa_per_t")
    most_cost_per_lpa = of(Limits, "most_cost_per_lpa")
    least_wash_abv_pct = of(Limits, "least_wash_abv_pct")
    most_original_gravity_sg = of(Limits, "most_original_gravity_sg")
    least_original_gravity_degP = of(Limits, "least_original_gravity_degP")
    most_original_gravity_degP = of(Limits, "most_original_gravity_degP")
    least_colour_EBC = of(Limits, "least_colour_EBC")
    most_colour_EBC = of(Limits, "most_colour_EBC")
    least_limit_attenuation_pct = of(Limits, "least_limit_attenuation_pct")
    least_extract_yield_pct = of(Limits, "least_extract_yield_pct")
    least_fan_mg_per_L = of(Limits, "least_fan_mg_per_L")
    most_beta_glucan_mg_per_L = of(Limits, "most_beta_glucan_mg_per_L")
    most_cost_per_hL = of(Limits, "most_cost_per_hL")

    present_name = text("Name of today's bill", default="today")
    record_mean_lpa_per_t = of(PlantRecord, "mean_lpa_per_t", **UNSAID)
    record_sd_lpa_per_t = of(PlantRecord, "sd_lpa_per_t", **UNSAID)
    record_mashes = of(PlantRecord, "mashes", **UNSAID)

    tried = Json(default=dict, editable=False)
    tried_rest = text("Lot that makes up the rest", editable=False)

    archived_at = models.DateTimeField("archived", null=True, blank=True)
    binned_at = models.DateTimeField("put into the bin", null=True, blank=True)
    history = HistoricalRecords(excluded_fields=["tried", "tried_rest", "plant"], table_name="store_historicalenquiry")

    class Meta:
        db_table = "store_enquiry"
        verbose_name = "enquiry"
        ordering = ("-made_at",)

    def __str__(self) -> str:
        return self.title or "Enquiry without a title"

    @property
    def brews(self) -> bool:
        """Whether beer is asked about; then stills, cask and release are asked of nobody."""
        return self.purpose == "beer"


class NamedLot(models.Model):
    """A lot inside an enquiry, by the name it goes by there; without a version it is named only."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    enquiry = models.ForeignKey(EnquiryRow, models.CASCADE, related_name="named")
    place = models.PositiveIntegerField(default=0)
    name = text("Name", LONGEST_NAME)
    version = models.ForeignKey("store.LotVersion", models.PROTECT, null=True, related_name="uses")
    history = HistoricalRecords()

    class Meta:
        ordering = ("place", "name")
        constraints = (models.UniqueConstraint(fields=("enquiry", "name"), name="one_lot_a_name"),)

    def __str__(self) -> str:
        return f"Lot {self.name}"


class WithName(models.Manager[Any]):
    """Rows with the name of their lot."""

    def get_queryset(self) -> models.QuerySet[Any]:
        """Every row, its lot's name read with it."""
        return super().get_queryset().select_related("named")


class OfferedLot(models.Model):
    """A lot on offer: price, least and most of it."""

    enquiry = models.ForeignKey(EnquiryRow, models.CASCADE, related_name="offered")
    named = models.ForeignKey(NamedLot, models.CASCADE, related_name="offers")
    place = models.PositiveIntegerField(default=0)
    price_per_t = of(Offered, "price_per_t")
    least_parts = parts("Least", 0)
    most_parts = parts("Most", 10_000)
    for_character = Flag(labelled(Offered, "for_character"), null=True, blank=True, default=None)
    objects = WithName()
    history = HistoricalRecords()

    class Meta:
        ordering = ("place", "id")
        constraints = (models.UniqueConstraint(fields=("enquiry", "named"), name="one_offer_a_lot"),)

    def __str__(self) -> str:
        return f"Lot {self.lot_id} on offer"

    @property
    def lot_id(self) -> str:
        """The name of the lot in this enquiry; empty while nothing says which lot it is."""
        return self.named.name if self.named_id else ""


class LotGroup(models.Model):
    """A bound on several lots together; `keys` are those of the lots as they are named in the enquiry."""

    enquiry = models.ForeignKey(EnquiryRow, models.CASCADE, related_name="groups")
    place = models.PositiveIntegerField(default=0)
    name = text("Name", 80)
    keys = words("Lots")
    least_parts = parts("Least", 0)
    most_parts = parts("Most", 10_000)
    history = HistoricalRecords()

    class Meta:
        ordering = ("place", "id")

    def __str__(self) -> str:
        return f"Group {self.name}"


class BillShare(models.Model):
    """A lot's part of today's bill."""

    enquiry = models.ForeignKey(EnquiryRow, models.CASCADE, related_name="shares")
    named = models.ForeignKey(NamedLot, models.CASCADE, related_name="shares")
    place = models.PositiveIntegerField(default=0)
    parts = parts("Share", 0)
    objects = WithName()
    history = HistoricalRecords()

    class Meta:
        ordering = ("place", "id")
        constraints = (models.UniqueConstraint(fields=("enquiry", "named"), name="one_share_a_lot"),)

    def __str__(self) -> str:
        return f"Lot {self.lot_id} in today's bill"

    @property
    def lot_id(self) -> str:
        """The name of the lot in this enquiry."""
        return self.named.name
