"""The list of enquiries: which are shown, in what words their work stands, page by page."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from django.core.paginator import Page, Paginator
from django.db.models import Count, F, Prefetch, Q, QuerySet
from django.http import QueryDict
from django.utils import timezone

from gristwright.store.models import Answer, EnquiryRow, Job
from gristwright.store.models.work import Kind, State

ON_A_PAGE = 50
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
    page: Page[EnquiryRow]
    lines: tuple[Listed, ...]
    shelves: tuple[Shelf, ...]

    def address(self, number: int) -> str:
        """The address of another page of the same list."""
        return "?" + urlencode({"list": self.shelf, "words": self.words, "page": number})

    @property
    def before(self) -> str:
        """The address of the page before this one; nothing on the first."""
        return self.address(self.page.number - 1) if self.page.has_previous() else ""

    @property
    def after(self) -> str:
        """The address of the page behind this one; nothing on the last."""
        return self.address(self.page.number + 1) if self.page.has_next() else ""


def listing(asked: QueryDict) -> Listing:
    """The page of the list that an address asks for, newest first; anything unknown is the first of the open ones."""
    shelf = asked.get("list", "open")
    shelf = shelf if shelf in SHELVES else "open"
    words = asked.get("words", "").strip()
    found = _found(_rows().filter(SHELVES[shelf][1]), words)
    page = Paginator(found, ON_A_PAGE).get_page(asked.get("page"))
    return Listing(shelf, words, page, tuple(_line(row) for row in page), _shelves())


def _shelves() -> tuple[Shelf, ...]:
    """The lists with how many are on each, counted at once."""
    counts = EnquiryRow.objects.aggregate(**{key: Count("pk", filter=which) for key, (_, which) in SHELVES.items()})
    return tuple(Shelf(key, name, counts[key]) for key, (name, _) in SHELVES.items())


def _rows() -> QuerySet[EnquiryRow]:
    searches = Prefetch("jobs", Job.objects.filter(kind=Kind.SEARCH))
    answers = Prefetch("answers", Answer.objects.only("enquiry_id", "made_at").prefetch_related("decisions"))
    rows = EnquiryRow.objects.select_related("customer").annotate(house=F("plant__document__name"))
    return rows.prefetch_related(searches, answers, "offered")


def _found(rows: QuerySet[EnquiryRow], words: str) -> QuerySet[EnquiryRow]:
    """Enquiries in which every word occurs; compared here, for the database knows capitals from A to Z."""
    if not words:
        return rows
    wanted = words.casefold().split()
    texts = rows.prefetch_related(None).values_list(
        "pk", "title", "customer__name", "adviser", "question", "plant__document__name"
    )
    keys = [key for key, *said in texts if all(word in " ".join(map(str, said)).casefold() for word in wanted)]
    return rows.filter(pk__in=keys)


def _line(row: EnquiryRow) -> Listed:
    return Listed(row, getattr(row, "house", None) or "", state_of(row))


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
        return STATES[State(job.state)]
    if not row.offered.all():
        return "Nothing on offer yet"
    return "No search yet"
