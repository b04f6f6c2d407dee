"""What a bill may be called, as a view. See docs/law.md."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from gristwright.basics import Problem
from gristwright.casework.bench import LawOfBill, basis_words
from gristwright.documents.bills import CategoryView, category_view
from gristwright.documents.lots import LotsView, lots_view
from gristwright.records.law import CategoryAnswer
from gristwright.records.lot import LotIdentity
from gristwright.rules.hazard import cautions

FORMAT = "gristwright.law/1"


@dataclass(frozen=True)
class LawShareView:
    """A lot's share of the mash as it is weighed and of the dry mass."""

    lot: str
    title: str
    asis_pct: float
    dry_pct: float | None


@dataclass(frozen=True)
class SourcedCategory(CategoryView):
    """What one category says, and where its text stands."""

    source: str
    confidence: str
    asked: bool


@dataclass(frozen=True)
class LawView:
    """What every category judged says of a bill; `basis` is what hangs on shares as weighed or dry."""

    format: str
    bill: str
    on: str
    shares: tuple[LawShareView, ...]
    basis: tuple[str, ...]
    categories: tuple[SourcedCategory, ...]
    notes: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    lots_table: LotsView


def law_view(judged: LawOfBill, lots: Mapping[str, LotIdentity], warnings: Sequence[Problem] = ()) -> LawView:
    """The answers as a view, with the `lots` of the bill."""
    return LawView(
        format=FORMAT,
        bill=judged.bill,
        on=judged.on.isoformat(),
        shares=tuple(LawShareView(s.lot_id, s.title, s.asis_pct, s.dry_pct) for s in judged.shares),
        basis=basis_words(judged.asked, judged.beside),
        categories=tuple(_sourced(answer, answer in judged.asked) for answer in judged.answers),
        notes=judged.notes,
        warnings=tuple(problem.sentence() for problem in (*warnings, *judged.warnings)),
        cautions=tuple(caution.text for caution in cautions("label")),
        lots_table=lots_view(lots),
    )


def _sourced(answer: CategoryAnswer, asked: bool) -> SourcedCategory:
    shown = vars(category_view(answer))
    return SourcedCategory(**shown, source=answer.source, confidence=answer.confidence, asked=asked)
