"""Certificates: the file as it came and as it was mended, and the lots that the desk knows."""

from __future__ import annotations

import hashlib
import uuid

from django.conf import settings
from django.db import models
from django.utils import timezone

from gristwright.store.columns import Integer, text, words
from gristwright.store.models.enquiries import EnquiryRow
from gristwright.store.models.versions import Version


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
    """A lot as the trade knows it: supplier, lot number and crop. What is said of it stands in its versions."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    key = models.CharField(max_length=500, null=True)
    supplier = text("Supplier", needed=False)
    lot_number = text("Lot number", needed=False)
    crop = Integer("Crop", null=True, blank=True)

    class Meta:
        db_table = "store_lot_known"
        constraints = (models.UniqueConstraint(fields=("key",), name="one_lot_an_identity"),)

    def __str__(self) -> str:
        said = (self.supplier, self.lot_number, str(self.crop or ""))
        return " ".join(filter(None, said)) or "A lot without a number"


class LotVersion(Version):
    """What one certificate says of a lot; `digest` is that of the document, so that the same is kept once."""

    lot = models.ForeignKey(LotRow, models.CASCADE, related_name="versions")
    digest = models.CharField(max_length=64, unique=True)

    class Meta(Version.Meta):
        constraints = (models.UniqueConstraint(fields=("lot", "number"), name="one_version_a_lot"),)

    def __str__(self) -> str:
        return f"{self.lot}, certificate {self.number}"


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
