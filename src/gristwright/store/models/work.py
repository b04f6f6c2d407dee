"""Long jobs and what they leave: answers, frozen once they are written, and simulated mashes of a bill tried."""

from __future__ import annotations

import uuid
from typing import Any

from django.conf import settings
from django.db import models
from django.utils import timezone

from gristwright.store.columns import Char, Flag, Json, Text, text, words
from gristwright.store.models.enquiries import EnquiryRow


class State(models.TextChoices):
    """How a job stands."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    STOPPED = "stopped"
    REFUSED = "refused"
    FAILED = "failed"
    INTERRUPTED = "interrupted"


OPEN = (State.WAITING, State.RUNNING)


class Kind(models.TextChoices):
    """What a job does."""

    SEARCH = "search"
    MASH = "mash"
    MAP = "map"


class Job(models.Model):
    """Work that takes a while: how far it is, what it says, whether somebody asked it to stop.

    `asked` is what a mash or a map was asked for beside the enquiry: the shares tried, the steps of the map.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    enquiry = models.ForeignKey(EnquiryRow, models.CASCADE, related_name="jobs")
    kind = Char(max_length=20, choices=Kind.choices, default=Kind.SEARCH)
    asked = Json(default=dict)
    state = Char(max_length=20, choices=State.choices, default=State.WAITING)
    members = models.PositiveIntegerField(default=2048)
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    note = text("Note", 300, needed=False)
    said = words("What it had to say")
    stop_asked = Flag(default=False)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True)
    asked_at = models.DateTimeField(auto_now_add=True)
    began_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ("-asked_at",)

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.asked_at:%Y-%m-%d %H:%M}, {self.state}"

    @property
    def open(self) -> bool:
        """Whether it waits or runs."""
        return self.state in OPEN


class Once(models.Model):
    """A row that is written once."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write it, once. Raises TypeError when it stands already."""
        if not self._state.adding:
            raise TypeError(f"{type(self).__name__} is frozen; write another one.")
        super().save(*args, **kwargs)


class Answer(Once):
    """An answer as it was worked out, a draft until somebody issues it: what went in, what came out, its page.

    `drawn` is all that paper and page are printed from; what earlier releases issued has none.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    enquiry = models.ForeignKey(EnquiryRow, models.CASCADE, related_name="answers")
    job = models.OneToOneField(Job, models.PROTECT, related_name="answer")
    inputs = models.TextField()
    inputs_sha256 = models.CharField(max_length=64)
    view = models.TextField()
    view_sha256 = models.CharField(max_length=64)
    drawn = models.TextField(default="")
    drawn_sha256 = models.CharField(max_length=64, default="")
    # The page of the desk, without its frame.
    shown = models.TextField(default="")
    shown_sha256 = models.CharField(max_length=64, default="")
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True)
    made_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ("-made_at",)

    def __str__(self) -> str:
        return f"Answer of {timezone.localtime(self.made_at):%Y-%m-%d %H:%M}"


class Papers(Once):
    """What was handed over when an answer was issued: its view with the day, PDF, HTML, page of the desk."""

    answer = models.OneToOneField(Answer, models.CASCADE, related_name="papers", primary_key=True)
    view = models.TextField()
    view_sha256 = models.CharField(max_length=64)
    pdf = models.BinaryField()
    pdf_sha256 = models.CharField(max_length=64)
    page = models.TextField(default="")
    page_sha256 = models.CharField(max_length=64, default="")
    shown = models.TextField(default="")
    shown_sha256 = models.CharField(max_length=64, default="")

    def __str__(self) -> str:
        return f"Papers of {self.answer}"


class InOtherLanguage(Once):
    """The papers of an answer once more, with the customer's pages in another language: PDF and page of the desk."""

    papers = models.ForeignKey(Papers, models.CASCADE, related_name="in_others")
    language = models.CharField(max_length=2)
    pdf = models.BinaryField()
    pdf_sha256 = models.CharField(max_length=64)
    shown = models.TextField()
    shown_sha256 = models.CharField(max_length=64)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("papers", "language"), name="one_a_language"),)

    def __str__(self) -> str:
        return f"{self.papers}, {self.language}"


class Decision(models.TextChoices):
    """What may become of an answer."""

    ISSUED = "issued"
    SUPERSEDED = "superseded"
    WITHDRAWN = "withdrawn"


class AnswerStep(Once):
    """A decision about an answer: who decided, when, and why. The last one says how the answer stands."""

    answer = models.ForeignKey(Answer, models.CASCADE, related_name="decisions")
    kind = Char(max_length=20, choices=Decision.choices)
    who = text("Name")
    note = Text("Note", default="", blank=True, max_length=2000)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ("at", "id")

    def __str__(self) -> str:
        return f"{self.answer}, {self.kind}"


class MashTrial(models.Model):
    """What a simulated mash, or a map of mash plans, said of a bill that was tried. The last of each kind is kept."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    enquiry = models.ForeignKey(EnquiryRow, models.CASCADE, related_name="mash_trials")
    job = models.OneToOneField(Job, models.CASCADE, related_name="mash_trial")
    kind = Char(max_length=20, choices=Kind.choices)
    shares = Json(default=dict)
    inputs_sha256 = models.CharField(max_length=64)
    view = models.TextField()
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-made_at",)

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.made_at:%Y-%m-%d %H:%M}"
