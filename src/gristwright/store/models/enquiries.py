"""An enquiry: the question, the limits, what is on offer, today's bill."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from simple_history.models import HistoricalRecords

from gristwright.store.columns import Date, Flag, Integer, Json, Text, maybe, number, parts, text, whole, words

LAW_DAY = "The law is read as it stands on this day. An answer is issued on the day it is found."


class EnquiryRow(models.Model):
    """One question. `tried` is the bill somebody is trying out, lot to 0.01 %; it is no part of the record."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, editable=False, null=True)
    made_at = models.DateTimeField(auto_now_add=True)

    title = text("Title")
    customer = text("Customer", needed=False)
    question = Text("Question", blank=True, default="", max_length=2000)
    adviser = text("Adviser", needed=False)
    date = Date("Date of the enquiry", null=True, help_text=LAW_DAY)
    valid_days = whole("Days the answer holds", "days", 1, 730, default=90)
    categories = words("Names the spirit should be allowed to carry", blank=True)
    purpose = text("Purpose", 20, default="whisky", editable=False)
    currency = text("Currency", 3, help_text="Three letters, such as EUR.")
    processing_cost_per_t = number("Processing cost of a tonne mashed", "money a tonne", 0, 5000, default=0.0)
    grid_parts = Integer(
        "Step of the search",
        default=500,
        choices=[(step, f"{step / 100:g} %") for step in (100, 200, 250, 400, 500, 1000, 2000, 2500)],
    )
    most_materials = whole("Most materials in one bill", "materials", 1, 8, default=5)
    invented = Flag("Everything in it is invented", default=False)

    least_lpa_per_t = maybe("At least, pure alcohol from a tonne", "L/t", 0, 500)
    most_cost_per_lpa = maybe("At most, malt and processing for a litre of it", "money a litre", 0, 1000)
    least_wash_abv_pct = maybe("At least, strength of the wash", "%vol", 0, 20)
    most_original_gravity_sg = maybe("At most, original gravity", "SG", 1.0, 1.15)

    present_name = text("Name of today's bill", default="today")
    record_mean_lpa_per_t = maybe("Average, pure alcohol from a tonne", "L/t", 200, 480)
    record_sd_lpa_per_t = maybe("Standard deviation between mashes", "L/t", 0.1, 100)
    record_mashes = whole("Mashes behind the average", "mashes", 1, 100_000, null=True, blank=True)

    tried = Json(default=dict, editable=False)
    tried_rest = text("Lot that makes up the rest", editable=False)
    history = HistoricalRecords(excluded_fields=["tried", "tried_rest"], table_name="store_historicalenquiry")

    class Meta:
        db_table = "store_enquiry"
        verbose_name = "enquiry"
        ordering = ("-made_at",)

    def __str__(self) -> str:
        return self.title or "Enquiry without a title"


class OfferedLot(models.Model):
    """A lot on offer: price, least and most of it."""

    enquiry = models.ForeignKey(EnquiryRow, models.CASCADE, related_name="offered")
    place = models.PositiveIntegerField(default=0)
    lot_id = text("Lot", 80)
    price_per_t = number("Price a tonne", "money a tonne", 0, 20_000)
    least_parts = parts("Least", 0)
    most_parts = parts("Most", 10_000)
    for_character = Flag("Bought for character", null=True, blank=True, default=None)
    history = HistoricalRecords()

    class Meta:
        ordering = ("place", "id")
        constraints = (models.UniqueConstraint(fields=("enquiry", "lot_id"), name="one_offer_a_lot"),)

    def __str__(self) -> str:
        return f"Lot {self.lot_id} on offer"


class LotGroup(models.Model):
    """A bound on several lots together."""

    enquiry = models.ForeignKey(EnquiryRow, models.CASCADE, related_name="groups")
    place = models.PositiveIntegerField(default=0)
    name = text("Name", 80)
    lot_ids = words("Lots")
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
    place = models.PositiveIntegerField(default=0)
    lot_id = text("Lot", 80)
    parts = parts("Share", 0)
    history = HistoricalRecords()

    class Meta:
        ordering = ("place", "id")
        constraints = (models.UniqueConstraint(fields=("enquiry", "lot_id"), name="one_share_a_lot"),)

    def __str__(self) -> str:
        return f"Lot {self.lot_id} in today's bill"
