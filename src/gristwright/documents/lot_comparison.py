"""One lot exchanged for another, as a view. See docs/trade.md."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from gristwright.basics import Problem
from gristwright.documents.assumptions import AssumedView, assumptions_view
from gristwright.documents.data import SPREAD
from gristwright.documents.entries import Entry, entries
from gristwright.documents.lots import LotsView, lots_of, lots_view
from gristwright.records.results import MeasureNext
from gristwright.records.trade import AnalysisDifference, BoardChange, LotComparison

FORMAT = "gristwright.lot_comparison/1"


@dataclass(frozen=True)
class BoardChangeView:
    """How a board stood with the old lot and stands with the new one."""

    title: str
    old: str
    new: str
    sentence: str


@dataclass(frozen=True)
class LotComparisonView:
    """What changes with the new lot, what to adjust, how the certificates differ, what to measure."""

    format: str
    old: str
    new: str
    share_pct: float
    changes: dict[str, Entry]
    lots_table: LotsView
    words: tuple[str, ...]
    adjust: tuple[str, ...]
    analyses: tuple[AnalysisDifference, ...]
    boards: tuple[BoardChangeView, ...]
    measure_next: tuple[MeasureNext, ...]
    assumed: AssumedView = field(metadata=SPREAD)
    notes: tuple[str, ...]
    warnings: tuple[str, ...]


def comparison_view(comparison: LotComparison, warnings: Iterable[Problem] = ()) -> LotComparisonView:
    """The comparison as a view."""
    return LotComparisonView(
        format=FORMAT,
        old=comparison.old_id,
        new=comparison.new_id,
        share_pct=comparison.share_pct,
        changes=entries(comparison.changes, comparison.withheld, difference=True),
        lots_table=lots_view(lots_of([comparison.old, comparison.new])),
        words=comparison.words,
        adjust=comparison.adjust,
        analyses=comparison.differences,
        boards=tuple(_board(board) for board in comparison.boards),
        measure_next=comparison.measure_next,
        assumed=assumptions_view(comparison.assumptions, {}, ""),
        notes=comparison.notes,
        warnings=(*(problem.sentence() for problem in warnings), *comparison.warnings),
    )


def _board(board: BoardChange) -> BoardChangeView:
    return BoardChangeView(board.title, board.old.value, board.new.value, board.sentence)
