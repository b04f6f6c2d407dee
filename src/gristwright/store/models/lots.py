"""Certificates: the file as it came and as it was mended, and the lots taken over from it."""

from __future__ import annotations

import hashlib
import uuid

from django.conf import settings
from django.db import models
from django.utils import timezone

from gristwright.store.columns import Float, Integer, Placed, text, words
from gristwright.store.models.enquiries import EnquiryRow

# Characters of the name of a lot.
LONGEST_NAME = 80


class CertificateFile(models.Model):
    """A file of certificates. `received` never changes; `content` is the same file with cells mended."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    enquiry = models.ForeignKey(EnquiryRow, models.CASCADE, related_name="certificate_files")
    name = text("File")
    received = models.BinaryField()
    content = models.BinaryField()
    mends = words("Cells mended")
    headings = words("Headings explained")
    taken = words("Lots taken over")
    sent_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True)
    sent_at = models.DateTimeField(auto_now_add=True)
    taken_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ("-sent_at",)

    def __str__(self) -> str:
        return self.name

    @property
    def sha256(self) -> str:
        """Fingerprint of the file as it is read now."""
        return hashlib.sha256(bytes(self.content)).hexdigest()


class LotRow(models.Model):
    """A lot; known in the trade by supplier, lot number and crop, here by its name: two of one delivery may be kept."""

    enquiry = models.ForeignKey(EnquiryRow, models.CASCADE, related_name="lots")
    place = models.PositiveIntegerField(default=0)
    lot_id = text("Lot", LONGEST_NAME)
    material = text("Material", 80, needed=False)
    supplier = text("Supplier", needed=False)
    lot_number = text("Lot number", needed=False)
    crop = Integer("Crop", null=True, blank=True)
    certificate = text("Certificate, SHA-256", 64, needed=False)
    where = Placed("Where it stood", default=dict, blank=True)

    class Meta:
        db_table = "store_lot"
        ordering = ("place", "id")
        constraints = (models.UniqueConstraint(fields=("enquiry", "lot_id"), name="one_lot_a_name"),)

    def __str__(self) -> str:
        return self.lot_id


class AnalysisRow(models.Model):
    """One value of a certificate in the unit it was printed in."""

    lot = models.ForeignKey(LotRow, models.CASCADE, related_name="analyses")
    place = models.PositiveIntegerField(default=0)
    field = text("Field", 60)
    value = Float("Value")
    unit = text("Unit", 40, needed=False)
    basis = text("Basis", 40, needed=False)
    method = text("Method", 120, needed=False)
    standing = text("Standing", 20)
    where = Placed("Where it stood", default=dict, blank=True)

    class Meta:
        db_table = "store_analysis"
        ordering = ("place", "id")

    def __str__(self) -> str:
        return f"{self.field} {self.value:g} {self.unit}"


class LotStep(models.Model):
    """One thing done to the lots of an enquiry, with what went and what came by it, so that it can be undone.

    `told` are the sentences of what was done; `lines` those of the history that no certificate file keeps; of a step
    undone in part `went` and `came` hold what is left of it.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    enquiry = models.ForeignKey(EnquiryRow, models.CASCADE, related_name="lot_steps")
    file = models.ForeignKey(CertificateFile, models.SET_NULL, null=True, related_name="steps")
    told = words("What was done")
    lines = words("Lines of the history")
    went = words("Lots that went")
    came = words("Lots that came")
    by = text("By")
    at = models.DateTimeField(default=timezone.now)
    undone_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ("-at",)

    def __str__(self) -> str:
        return " ".join(self.told)


class Remembered(models.Model):
    """What somebody said once of a word in certificates: of one supplier's, or of files with one set of headings.

    `key` finds it again: the supplier's name folded, or the fingerprint of the headings.
    """

    key = models.CharField(max_length=200)
    supplier = text("Supplier")
    what = text("What", 20)
    word = text("Word")
    means = text("Means")
    by = text("By")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ("supplier", "key", "what", "word")
        constraints = (models.UniqueConstraint(fields=("key", "what", "word"), name="one_meaning_a_word"),)

    def __str__(self) -> str:
        return f"{self.word}: {self.means}"


class FileStanding(models.Model):
    """How a certificate file stood when it was read last: a list of files does not read every one of them again."""

    file = models.OneToOneField(CertificateFile, models.CASCADE, related_name="standing")
    faults = models.PositiveIntegerField(default=0)
    lots = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.faults} fault{'s' * (self.faults != 1)}" if self.faults else "waiting"
