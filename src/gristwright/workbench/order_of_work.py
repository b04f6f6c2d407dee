"""The order of work in an enquiry: each page with what is still missing on it. See docs/desk.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import Count, Exists, OuterRef, QuerySet, Subquery, Sum
from django.urls import reverse

from gristwright.basics import Problem, at
from gristwright.files.record_in import MISSING
from gristwright.records.bill import WHOLE
from gristwright.store.mapping import missing
from gristwright.store.models import (
    AgedCasks,
    Answer,
    AnswerStep,
    BillShare,
    CaskVersion,
    EnquiryRow,
    NamedLot,
    OfferedLot,
    PlantVersion,
    Release,
)
from gristwright.store.models.work import Decision
from gristwright.store.versions import cask_problems, newest, plant_problems
from gristwright.workbench.faults import field_of, link

DONE, OPEN, NEITHER = "✓", "○", ""
MOST_STEPS = 5
# Fields that a step names.
MOST_NAMED = 4
# Pages on which something that must be given may be missing.
ASKED = ("question", "house", "certificates", "offer", "bill", "cask")


@dataclass(frozen=True)
class PageOfWork:
    """A page of an enquiry: what stands beside its name, and the first fields that are missing, each with its link."""

    page: str
    title: str
    stands: str = ""
    sign: str = NEITHER
    link: str = ""
    wants: tuple[tuple[str, str], ...] = ()
    more: int = 0


# Of an answer: that it was superseded or withdrawn.
HOLDS_NO_MORE = AnswerStep.objects.filter(
    answer=OuterRef("pk"), kind__in=[Decision.SUPERSEDED, Decision.WITHDRAWN]
).order_by()


@dataclass(frozen=True)
class Counted:
    """What of an enquiry is counted at once."""

    lots: int
    offered: int
    priced: int
    parts: int
    answers: int
    issued: int
    past: int
    release: bool
    aged: bool
    cask: dict[str, Any]


def counted(enquiry: EnquiryRow) -> Counted:
    """Lots, offers, shares and answers of an enquiry, and its cask, in one query."""
    of = OuterRef("pk")
    row = (
        EnquiryRow.objects.filter(pk=enquiry.pk)
        .order_by()
        .values_list(
            _count(NamedLot.objects.filter(enquiry=of, version__isnull=False)),
            _count(OfferedLot.objects.filter(enquiry=of)),
            _count(OfferedLot.objects.filter(enquiry=of, price_per_t__isnull=False)),
            Subquery(
                BillShare.objects.filter(enquiry=of).order_by().values("enquiry").annotate(n=Sum("parts")).values("n")
            ),
            _count(Answer.objects.filter(enquiry=of)),
            _count(Answer.objects.filter(enquiry=of, papers__isnull=False)),
            _count(Answer.objects.filter(Exists(HOLDS_NO_MORE), enquiry=of)),
            Exists(Release.objects.filter(enquiry=of)),
            Exists(AgedCasks.objects.filter(enquiry=of)),
            Subquery(CaskVersion.objects.filter(enquiry=of).order_by("-number").values("document")[:1]),
        )
        .get()
    )
    lots, offered, priced, parts, answers, issued, past = (count or 0 for count in row[:7])
    release, aged, cask = row[7:]
    return Counted(lots, offered, priced, parts, answers, issued, past, release, aged, cask or {})


def _count(rows: QuerySet[Any]) -> Subquery:
    return Subquery(rows.order_by().values("enquiry").annotate(n=Count("pk")).values("n"))


def order_of_work(enquiry: EnquiryRow) -> list[PageOfWork]:
    """Every page of an enquiry in the order in which it is filled in."""
    have = counted(enquiry)
    filled = _filled_in(enquiry, have)
    ready = all(step.sign == DONE for step in filled if step.page != "cask")
    question, house, lots, offer, cask = filled
    return [
        question, house, lots, offer,
        PageOfWork("bill", "Bill", _bill(enquiry, ready), DONE if ready else OPEN),
        _answers(have),
        *([] if enquiry.brews else [cask, _age(have)]),
        PageOfWork("changes", "Changes"),
        PageOfWork("keeping", "Files, copy"),
    ]  # fmt: skip


def _bill(enquiry: EnquiryRow, ready: bool) -> str:
    stands = "can be tried" if ready else "waits"
    return f"{stands}, {len(enquiry.asked)} asked about" if enquiry.asked else stands


def _answers(have: Counted) -> PageOfWork:
    drafts = have.answers - have.issued
    stands = have.issued - have.past
    said = [f"{stands} issued" if stands else "", f"{drafts} draft{'s' * (drafts > 1)}" if drafts else ""]
    none = f"{have.past} that hold{'s' * (have.past == 1)} no more" if have.past else "none yet"
    return PageOfWork("answers", "Answers", ", ".join(filter(None, said)) or none, DONE if stands else OPEN)


def _age(have: Counted) -> PageOfWork:
    later = " and ".join(word for word, there in (("prices", have.release), ("claim", have.aged)) if there)
    return PageOfWork("age", "Release and age", later or "if wanted", DONE if later else NEITHER)


def _filled_in(enquiry: EnquiryRow, have: Counted) -> tuple[PageOfWork, PageOfWork, PageOfWork, PageOfWork, PageOfWork]:
    house = plant_problems(newest(PlantVersion, enquiry), not enquiry.brews)
    return (
        _of_problems(enquiry, "question", "Question", missing(enquiry, at("question"), "Question")),
        _of_problems(enquiry, "house", "House", house),
        _lots(enquiry, have),
        _offer(enquiry, have),
        _of_problems(enquiry, "cask", "Cask", cask_problems(have.cask)),
    )


def _of_problems(enquiry: EnquiryRow, page: str, title: str, problems: Sequence[Problem]) -> PageOfWork:
    """How a page of fields stands: what is missing counted, what is wrong beside it."""
    absent = sum(problem.what == MISSING for problem in problems)
    wrong = len(problems) - absent
    said = [f"{absent} missing" if absent else "", f"{wrong} to mend" if wrong else ""]
    return PageOfWork(
        page,
        title,
        ", ".join(filter(None, said)) or "done",
        OPEN if problems else DONE,
        reverse(page, args=[enquiry.pk]),
    )


def _lots(enquiry: EnquiryRow, have: Counted) -> PageOfWork:
    there = f"{reverse('certificates', args=[enquiry.pk])}#file"
    return PageOfWork(
        "certificates", "Lots", f"{have.lots} here" if have.lots else "none yet", DONE if have.lots else OPEN, there
    )


def _offer(enquiry: EnquiryRow, have: Counted) -> PageOfWork:
    """Prices, and today's bill, which stand on one page."""
    said = ", ".join(filter(None, (_prices(have), _today(have))))
    return PageOfWork("offer", "On offer", said or "done", OPEN if said else DONE, reverse("offer", args=[enquiry.pk]))


def _prices(have: Counted) -> str:
    absent = have.offered - have.priced
    if not have.offered:
        return "no lot yet"
    return f"{absent} {'price' if absent == 1 else 'prices'} missing" if absent else ""


def _today(have: Counted) -> str:
    return "" if have.parts == WHOLE else f"today's bill at {have.parts / 100:g} %"


def next_steps(enquiry: EnquiryRow, problems: Sequence[Problem] = ()) -> list[PageOfWork]:
    """What is to be filled in next, the first things first, with the fields that these problems name."""
    have = counted(enquiry)
    question, house, lots, offer, cask = _filled_in(enquiry, have)
    prices, today = _prices(have), _today(have).removeprefix("today's bill ")
    steps = [
        question, house, lots,
        PageOfWork("offer", "Prices and ranges", prices or "done", OPEN if prices else DONE, f"{offer.link}#main"),
        PageOfWork("offer", "Today's bill", today or "done", OPEN if today else DONE, f"{offer.link}#today"),
        *([] if enquiry.brews else [cask]),
    ]  # fmt: skip
    waiting = [problem for problem in problems if waits(problem)]
    return [_with_fields(step, waiting, enquiry) for step in steps if step.sign == OPEN][:MOST_STEPS]


def _with_fields(step: PageOfWork, waiting: Sequence[Problem], enquiry: EnquiryRow) -> PageOfWork:
    """A step that leads to the first field that is missing, and names the first few."""
    own = [problem for problem in waiting if _step_of(problem) == (step.page, step.title == "Today's bill")]
    if step.page == "certificates" or not own:
        return step
    wants = tuple((_name(problem), link(problem, enquiry)) for problem in own[:MOST_NAMED])
    return replace(step, link=wants[0][1], wants=wants, more=len(own) - len(wants))


def _step_of(problem: Problem) -> tuple[str, bool]:
    """The page of a problem, and whether it is one of today's bill."""
    field = field_of(problem.address)
    return field.page if field else "", problem.address.path[:2] == ("enquiry", "present")


def _name(problem: Problem) -> str:
    """The field of a problem without its page."""
    field = field_of(problem.address)
    return (field.words.removeprefix(f"{field.page}, ")) if field else ""


def waits(problem: Problem) -> bool:
    """Whether something has only not been filled in yet, and the next steps name it."""
    if problem.address.file or problem.warning:
        return False
    path = problem.address.path
    unsaid = problem.what == MISSING or path == ("lots",) or path == ("enquiry", "present", "shares")
    return unsaid and _step_of(problem)[0] in ASKED
