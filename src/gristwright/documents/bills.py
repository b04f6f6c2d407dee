"""One bill of a recommendation as its view: shares, figures, ledger, boards, law; and an offered one."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from gristwright.basics import Band, Light, Verdict
from gristwright.casework.bench import basis_words
from gristwright.charts.ledger import DECIMALS, UNIT, row_text
from gristwright.documents.cells import CellView
from gristwright.documents.entries import (
    RUNS,
    STATED,
    DateView,
    Entry,
    WithheldView,
    date_entry,
    entries,
    entry,
    figure_entry,
    percent,
    sentence,
    single,
    withheld_view,
)
from gristwright.documents.markers import MarkerAmountView, marker_views
from gristwright.quantities.shown import capital, fewest_decimals
from gristwright.records.law import CategoryAnswer, RuleAnswer
from gristwright.records.results import BillResult, Board, Ledger, LedgerRow, Offer
from gristwright.rules import law
from gristwright.stages.grist.boards import AMBER_SHARE, RED_SHARE

ADDS_UP = "difference or sum of the rows above it in the reference run"


@dataclass(frozen=True)
class LedgerRowView(Entry):
    """A row: the band, and the reference run's value, which adds up; losses carry a minus sign."""

    kind: str
    reference: float
    reference_text: str


@dataclass(frozen=True)
class LedgerView:
    """The rows of the litres ledger and how exactly they close."""

    unit: str
    rows: tuple[LedgerRowView, ...]
    closure: str


@dataclass(frozen=True)
class BoardView:
    """A board with the chance that it is not in order."""

    key: str
    title: str
    light: str
    probability_red: float
    chance: str
    basis: str
    rests_on: tuple[str, ...]
    figure: Entry | None
    sentence: str
    remedy: str
    standing: str
    source: str


@dataclass(frozen=True)
class WorstBoardView:
    """The board most likely not in order, in words."""

    text: str
    title: str
    light: str
    chance: str


@dataclass(frozen=True)
class RuleView:
    """One rule with its reason."""

    rule: str
    verdict: str
    reason: str
    source: str
    flag: str


@dataclass(frozen=True)
class CategoryView:
    """What one category says of the bill, rule by rule."""

    category: str
    title: str
    market: str
    verdict: str
    version_date: DateView
    read_on: DateView
    answers: tuple[RuleView, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class NamesView:
    """Names judged unasked, for the house's country and its markets: the best that fit, and how all of them stand."""

    best: tuple[CategoryView, ...]
    covered: tuple[str, ...]  # titles of names that a better one says with it
    fails: tuple[str, ...]  # titles; what builds on one of them fails as well
    verdicts: dict[str, str]  # by title, of all of them


@dataclass(frozen=True)
class BillView:
    """Everything computed for one bill; `letter` is how tables call it."""

    letter: str
    name: str
    shares: tuple[Entry, ...]
    figures: dict[str, Entry]
    withheld: WithheldView | None
    ledger: LedgerView | None
    boards: tuple[BoardView, ...]
    worst_board: WorstBoardView
    law: tuple[CategoryView, ...]
    law_summary: CellView
    law_beside: NamesView
    law_basis: tuple[str, ...]  # what hangs on shares as weighed or dry, in sentences
    cautions: tuple[str, ...]
    markers: tuple[MarkerAmountView, ...]


@dataclass(frozen=True)
class OfferView:
    """An offered bill, its differences against the present one, and why it is offered."""

    letter: str
    name: str
    reason: str
    words: tuple[str, ...]
    changes: dict[str, Entry]
    bill: BillView


def offer_view(offer: Offer, letter: str) -> OfferView:
    """An offered bill as a view."""
    return OfferView(
        letter=letter,
        name=offer.result.bill.name,
        reason=sentence(offer.reason),
        words=tuple(sentence(line) for line in offer.words),
        changes=entries(offer.changes, offer.withheld, difference=True),
        bill=bill_view(offer.result, letter),
    )


def bill_view(result: BillResult, letter: str) -> BillView:
    """Everything computed for one bill; `letter` is how tables call it."""
    return BillView(
        letter=letter,
        name=result.bill.name,
        shares=tuple(share_view(*label) for label in result.labels),
        figures=entries(result.figures, result.withheld),
        withheld=withheld_view(result.withheld),
        ledger=ledger_view(result.ledger) if result.ledger else None,
        boards=tuple(board_view(board) for board in result.boards),
        worst_board=worst_board(result.boards),
        law=tuple(category_view(answer) for answer in result.law),
        law_summary=law_summary(result.law),
        law_beside=names_view(result),
        law_basis=basis_words(result.law, result.law_beside),
        cautions=result.cautions,
        markers=marker_views(result.markers),
    )


def share_view(lot_id: str, what: str, pct: float) -> Entry:
    """A lot's share of the grist as it is weighed."""
    return single(
        lot_id,
        capital(f"{what} {lot_id}"),
        "% of the grist as it is weighed",
        pct,
        max(1, fewest_decimals(pct)),
        STATED,
    )


def ledger_view(ledger: Ledger) -> LedgerView:
    """The litres ledger as a view."""
    closure = f"{ledger.closure:.0e}".replace("-", "−")
    return LedgerView(UNIT, tuple(ledger_row(row) for row in ledger.rows), closure)


def ledger_row(row: LedgerRow) -> LedgerRowView:
    """A row of the ledger as a view."""
    loss = row.kind == "loss"
    band = Band(-row.band.high, -row.band.middle, -row.band.low) if loss and row.band.middle > 0 else row.band
    number = entry(
        row.key, capital(row.label), UNIT, band, DECIMALS, row.rests_on, basis="" if row.rests_on else ADDS_UP
    )
    reference = -row.reference if loss else row.reference
    return LedgerRowView(**vars(number), kind=row.kind, reference=reference, reference_text=row_text(row))


def board_view(board: Board) -> BoardView:
    """A board as a view."""
    return BoardView(
        key=board.key,
        title=capital(board.title),
        light=board.light.value,
        probability_red=board.probability_red,
        chance=board_chance(board.probability_red),
        basis=RUNS,
        rests_on=board.figure.rests_on if board.figure else (),
        figure=figure_entry(board.figure) if board.figure else None,
        sentence=board.sentence,
        remedy=board.remedy,
        standing=board.standing,
        source=board.source,
    )


def board_chance(probability: float) -> str:
    """The chance that a board is not in order; what rounding would put on a line says on which side of it it lies."""
    for line in (AMBER_SHARE, RED_SHARE):
        if probability != line and round(100.0 * probability) == round(100.0 * line):
            return f"{'over' if probability > line else 'under'} {percent(line)}"
    return percent(probability)


def worst_board(boards: tuple[Board, ...]) -> WorstBoardView:
    """The board most likely not in order, in words."""
    if not boards:
        return WorstBoardView("none computed", "", Light.UNKNOWN.value, "")
    worst = max(boards, key=lambda board: board.probability_red)
    chance = "" if worst.light is Light.UNKNOWN else board_chance(worst.probability_red)
    return WorstBoardView(f"{worst.title}: {worst.light.value}", capital(worst.title), worst.light.value, chance)


def category_view(answer: CategoryAnswer) -> CategoryView:
    """What one category says of the bill as a view."""
    return CategoryView(
        category=answer.category,
        title=answer.title,
        market=answer.market,
        verdict=answer.verdict.value,
        version_date=date_entry(answer.version_date),
        read_on=date_entry(answer.read_on),
        answers=tuple(rule_view(rule) for rule in answer.answers),
        warnings=answer.warnings,
    )


def names_view(result: BillResult) -> NamesView:
    """The names judged unasked as a view."""
    found = law.fitting(result.law, result.law_beside)
    return NamesView(
        best=tuple(category_view(answer) for answer in found.best),
        covered=tuple(answer.title for answer in found.covered),
        fails=tuple(answer.title for answer in law.first_of(found.fails)),
        verdicts={answer.title: answer.verdict.value for answer in result.law_beside},
    )


def rule_view(rule: RuleAnswer) -> RuleView:
    """One rule with its reason as a view."""
    return RuleView(rule.rule_id, rule.verdict.value, rule.told, rule.source, sentence(rule.flag))


def law_summary(answers: tuple[CategoryAnswer, ...]) -> CellView:
    """All categories of a bill in a few words, the bad news first."""
    counts = Counter(answer.verdict for answer in answers)
    if set(counts) == {Verdict.PASS}:
        return CellView("all pass")
    order = (Verdict.FAIL, Verdict.UNKNOWN, Verdict.DEPENDS, Verdict.PASS)
    said = [f"{counts[verdict]}\u00a0{verdict.value}" for verdict in order if counts[verdict]]
    return CellView(said[0], ", ".join(said[1:])) if said else CellView("none asked")
