"""One bill of a recommendation as its view: shares, figures, ledger, boards, law."""

from __future__ import annotations

from collections import Counter

from gristwright.basics import Band, Light, Verdict
from gristwright.charts.ledger import DECIMALS, UNIT, row_text
from gristwright.documents.entries import (
    RUNS,
    STATED,
    View,
    date_entry,
    entry,
    fewest_decimals,
    figure_entry,
    percent,
    sentence,
    single,
    withheld_entries,
    withheld_view,
)
from gristwright.quantities.shown import capital
from gristwright.records.law import CategoryAnswer, RuleAnswer
from gristwright.records.results import BillResult, Board, Ledger, LedgerRow
from gristwright.stages.grist.boards import AMBER_SHARE, RED_SHARE

ADDS_UP = "difference or sum of the rows above it in the reference run"


def bill_view(result: BillResult, letter: str) -> View:
    """Everything computed for one bill; `letter` is how tables call it."""
    return {
        "letter": letter,
        "name": result.bill.name,
        "shares": [share_view(*label) for label in result.labels],
        "figures": {key: figure_entry(figure) for key, figure in result.figures.items()}
        | withheld_entries(result.withheld),
        "withheld": withheld_view(result.withheld),
        "ledger": ledger_view(result.ledger) if result.ledger else None,
        "boards": [board_view(board) for board in result.boards],
        "worst_board": worst_board(result.boards),
        "law": [category_view(answer) for answer in result.law],
        "law_summary": law_summary(result.law),
        "cautions": list(result.cautions),
    }


def share_view(lot_id: str, what: str, pct: float) -> View:
    """A lot's share of the grist as it is weighed."""
    return single(
        lot_id,
        capital(f"{what} {lot_id}"),
        "% of the grist as it is weighed",
        pct,
        max(1, fewest_decimals(pct)),
        STATED,
    )


def ledger_view(ledger: Ledger) -> View:
    """The rows of the litres ledger and how exactly they close."""
    return {
        "unit": UNIT,
        "rows": [ledger_row(row) for row in ledger.rows],
        "closure": f"{ledger.closure:.0e}".replace("-", "−"),
    }


def ledger_row(row: LedgerRow) -> View:
    """A row: the reference run's value, which adds up, and the band beside it; losses carry a minus sign."""
    loss = row.kind == "loss"
    band = Band(-row.band.high, -row.band.middle, -row.band.low) if loss and row.band.middle > 0 else row.band
    number = entry(
        row.key, capital(row.label), UNIT, band, DECIMALS, row.rests_on, basis="" if row.rests_on else ADDS_UP
    )
    reference = -row.reference if loss else row.reference
    return {**number, "kind": row.kind, "reference": reference, "reference_text": row_text(row)}


def board_view(board: Board) -> View:
    """A board with the chance that it is not in order."""
    return {
        "key": board.key,
        "title": capital(board.title),
        "light": board.light.value,
        "probability_red": board.probability_red,
        "chance": board_chance(board.probability_red),
        "basis": RUNS,
        "rests_on": list(board.figure.rests_on) if board.figure else [],
        "figure": figure_entry(board.figure) if board.figure else None,
        "sentence": board.sentence,
        "remedy": board.remedy,
        "standing": board.standing,
        "source": board.source,
    }


def board_chance(probability: float) -> str:
    """The chance that a board is not in order; what rounding would put on a line says on which side of it it lies."""
    for line in (AMBER_SHARE, RED_SHARE):
        if probability != line and round(100.0 * probability) == round(100.0 * line):
            return f"{'over' if probability > line else 'under'} {percent(line)}"
    return percent(probability)


def worst_board(boards: tuple[Board, ...]) -> View:
    """The board most likely not in order, in words."""
    if not boards:
        return {"text": "none computed", "title": "", "light": Light.UNKNOWN.value, "chance": ""}
    worst = max(boards, key=lambda board: board.probability_red)
    chance = "" if worst.light is Light.UNKNOWN else board_chance(worst.probability_red)
    return {"text": f"{worst.title}: {worst.light.value}", "title": capital(worst.title), "light": worst.light.value,
            "chance": chance}  # fmt: skip


def category_view(answer: CategoryAnswer) -> View:
    """What one category says of the bill, rule by rule."""
    return {
        "category": answer.category,
        "title": answer.title,
        "market": answer.market,
        "verdict": answer.verdict.value,
        "version_date": date_entry(answer.version_date),
        "read_on": date_entry(answer.read_on),
        "answers": [rule_view(rule) for rule in answer.answers],
        "warnings": list(answer.warnings),
    }


def rule_view(rule: RuleAnswer) -> View:
    """One rule with its reason."""
    return {
        "rule": rule.rule_id,
        "verdict": rule.verdict.value,
        "reason": rule.reason,
        "source": rule.source,
        "flag": sentence(rule.flag),
    }


def law_summary(law: tuple[CategoryAnswer, ...]) -> View:
    """All categories of a bill in a few words, the bad news first."""
    counts = Counter(answer.verdict for answer in law)
    if set(counts) == {Verdict.PASS}:
        return {"text": "all pass", "under": ""}
    order = (Verdict.FAIL, Verdict.UNKNOWN, Verdict.DEPENDS, Verdict.PASS)
    said = [f"{counts[verdict]}\u00a0{verdict.value}" for verdict in order if counts[verdict]]
    return {"text": said[0], "under": ", ".join(said[1:])} if said else {"text": "none asked", "under": ""}
