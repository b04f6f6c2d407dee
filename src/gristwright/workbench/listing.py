"""The list of enquiries: which are shown, in what words their work stands, page by page."""

from __future__ import annotations

import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page
from django.db.models import (
    BooleanField,
    Case,
    CharField,
    Count,
    Exists,
    F,
    Func,
    OuterRef,
    Prefetch,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.fields.json import KeyTextTransform
from django.http import QueryDict
from django.utils import timezone

from gristwright.reference.typeface import spelled
from gristwright.store.models import Answer, EnquiryRow, Job, OfferedLot
from gristwright.store.models.work import Kind, State
from gristwright.workbench.kept_rows import title_of
from gristwright.workbench.paging import Leaf, leaf

SHELVES = {
    "open": ("Open", Q(archived_at=None, binned_at=None)),
    "archived": ("Archived", Q(archived_at__isnull=False, binned_at=None)),
    "bin": ("Bin", Q(binned_at__isnull=False)),
}
STATES = {
    State.WAITING: "A search waits for its turn",
    State.RUNNING: "A search is running",
    State.DONE: "Searched",
    State.STOPPED: "The last search was stopped",
    State.REFUSED: "The last search was refused",
    State.FAILED: "The last search failed",
    State.INTERRUPTED: "The last search was interrupted",
}


@dataclass(frozen=True)
class Shelf:
    """One of the lists: its key, its name, how many are on it."""

    key: str
    name: str
    count: int


@dataclass(frozen=True)
class Listed:
    """An enquiry on the list."""

    row: EnquiryRow
    house: str
    state: str


@dataclass(frozen=True)
class Listing:
    """A page of a list, the words it was filtered by, the lists there are."""

    shelf: str
    words: str
    leaf: Leaf
    lines: tuple[Listed, ...]
    shelves: tuple[Shelf, ...]

    @property
    def page(self) -> Page[uuid.UUID]:
        """The keys of the enquiries on this page."""
        return self.leaf.page


def listing(asked: QueryDict) -> Listing:
    """The page of the list that an address asks for, newest first; anything unknown is the first of the open ones."""
    shelf = asked.get("list", "open")
    shelf = shelf if shelf in SHELVES else "open"
    words = asked.get("words", "").strip()
    keys = _found(EnquiryRow.objects.filter(SHELVES[shelf][1]), words)
    found = leaf(keys, asked)
    return Listing(shelf, words, found, tuple(_lines(list(found))), _shelves())


def _shelves() -> tuple[Shelf, ...]:
    """The lists with how many are on each, counted at once."""
    counts = EnquiryRow.objects.aggregate(**{key: Count("pk", filter=which) for key, (_, which) in SHELVES.items()})
    return tuple(Shelf(key, name, counts[key]) for key, (name, _) in SHELVES.items())


# The name in a document that is one; another is no reason not to show the list.
_WHOLE = Func(F("plant__document"), function="json_valid", output_field=BooleanField())
HOUSE = Case(
    When(_WHOLE, then=KeyTextTransform("name", "plant__document")), default=Value(""), output_field=CharField()
)
# Lists and documents of an enquiry, none of which a line of the list shows.
UNSHOWN = ("categories", "markets", "asked", "tried")


def _rows() -> QuerySet[EnquiryRow]:
    """Enquiries with the newest search and answer of each."""
    of_same = {"enquiry": OuterRef("enquiry")}
    last_job = Job.objects.filter(kind=Kind.SEARCH, **of_same).order_by("-asked_at").values("pk")[:1]
    last_answer = Answer.objects.filter(**of_same).order_by("-made_at").values("pk")[:1]
    searches = Prefetch("jobs", Job.objects.filter(pk=Subquery(last_job)).only("enquiry_id", "state"))
    newest = Answer.objects.filter(pk=Subquery(last_answer)).only("enquiry_id", "made_at")
    answers = Prefetch("answers", newest.prefetch_related("decisions"))
    offers = Exists(OfferedLot.objects.filter(enquiry=OuterRef("pk")))
    rows = EnquiryRow.objects.select_related("customer").annotate(house=HOUSE, offers=offers).defer(*UNSHOWN)
    return rows.prefetch_related(searches, answers)


def _found(rows: QuerySet[EnquiryRow], words: str) -> Any:
    """The keys of the enquiries in which every word occurs; compared here, for the database knows capitals from A to Z
    alone."""
    if not words:
        return rows.values_list("pk", flat=True)
    wanted = words.casefold().split()
    texts = rows.annotate(house=HOUSE).values_list("pk", "title", "customer__name", "adviser", "question", "house")
    return [key for key, *said in texts if all(word in " ".join(map(str, said)).casefold() for word in wanted)]


def _lines(keys: Sequence[uuid.UUID]) -> Iterator[Listed]:
    """A line for each key; all at once, or one by one where some row cannot be read."""
    try:
        rows = {row.pk: row for row in _rows().filter(pk__in=keys)}
        yield from [Listed(rows[key], rows[key].house or "", state_of(rows[key])) for key in keys if key in rows]  # type: ignore[attr-defined]
    except Exception:  # one damaged row takes no other off the list
        for key in keys:
            yield _alone(key)


def _alone(key: uuid.UUID) -> Listed:
    try:
        row = _rows().get(pk=key)
        return Listed(row, row.house or "", state_of(row))  # type: ignore[attr-defined]
    except Exception:
        return Listed(EnquiryRow(pk=key, title=spelled(title_of(key))[:200]), "", "Cannot be read")


def _told_of(answer: Answer) -> str:
    """How the newest answer stands, and since when."""
    last = next(iter(reversed(answer.decisions.all())), None)
    day = timezone.localtime(last.at if last else answer.made_at)
    return f"{'Answer ' + last.kind if last else 'Draft of'} {day.day} {day:%B %Y}"


def state_of(row: EnquiryRow) -> str:
    """How the work on an enquiry stands, in words."""
    job, answer = next(iter(row.jobs.all()), None), next(iter(row.answers.all()), None)
    if answer is not None and (job is None or job.state == State.DONE):
        return _told_of(answer)
    if job is not None:
        return STATES[State(job.state)] if job.state in State.values else "A search of a kind that is not known here"
    if not row.offers:  # type: ignore[attr-defined]
        return "Nothing on offer yet"
    return "No search yet"
