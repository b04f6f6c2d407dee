"""The tables that lay the present bill and the offers side by side, built from their views."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass

from gristwright.documents.bills import BillView, BoardView, OfferView, WorstBoardView
from gristwright.documents.cells import CellView, RowView, number_row
from gristwright.documents.entries import WithheldEntry
from gristwright.quantities.shown import NOTHING

# What stands above and below the changes, by what is asked about.
MAIN = "lpa_per_t"
OF_SPIRIT = ("wash_abv_pct",)
OF_BEER = ("extract_yield_pct", "limit_attenuation_pct", "abv_pct", "power")


@dataclass(frozen=True)
class ComparisonView:
    """Bills in columns; shares, litres, cost, strength, law and the worst board in rows."""

    columns: tuple[str, ...]
    rows: tuple[RowView, ...]


@dataclass(frozen=True)
class BoardRow(RowView):
    """How one board stands for each bill; under it its standing, and the source of what it rests on."""

    under: str
    rests: str


@dataclass(frozen=True)
class BoardNote:
    """What a board that is not in order says, and of which bills."""

    title: str
    bills: str
    sentence: str
    remedy: str


@dataclass(frozen=True)
class BoardTable:
    """A row for each board, a column for each bill: the word, and how likely it is not in order."""

    columns: tuple[str, ...]
    rows: tuple[BoardRow, ...]
    notes: tuple[BoardNote, ...]


@dataclass(frozen=True)
class LawRow(RowView):
    """What one category says of each bill; under it the dates of its text."""

    under: str


@dataclass(frozen=True)
class LawReason:
    """An answer that is not a plain pass, or a note: the categories and bills it holds for, and why."""

    title: str
    bills: str
    rule: str
    verdict: str
    reason: str
    source: str
    flag: str


@dataclass(frozen=True)
class LawTable:
    """A row for each category, a column for each bill."""

    columns: tuple[str, ...]
    rows: tuple[LawRow, ...]
    reasons: tuple[LawReason, ...]
    also: tuple[str, ...]  # names judged unasked that have no row


def comparison(present: BillView, offers: Sequence[OfferView], brews: bool = False) -> ComparisonView:
    """Today and each offer side by side."""
    bills = [present, *(offer.bill for offer in offers)]
    rows = [_share_row(lot, what, bills) for lot, what in _lots(bills)]
    rows += _figure_row(MAIN, bills)
    for key in dict.fromkeys(key for offer in offers for key in offer.changes):
        unsaid = all(isinstance(offer.changes.get(key), WithheldEntry) for offer in offers)
        # Without a change to be told of, what each bill gives itself still stands there.
        rows += _figure_row(key, bills) if unsaid and key != MAIN else [_change_row(key, present, offers)]
    for key in OF_BEER if brews else OF_SPIRIT:
        rows += _figure_row(key, bills)
    if not brews:
        rows.append(RowView("The categories asked for", "", tuple(bill.law_summary for bill in bills)))
    worst = tuple(_worst(bill.worst_board) for bill in bills)
    rows.append(RowView("Worst board, and the chance it is not in order", "", worst))
    return ComparisonView(_columns(bills), tuple(rows))


def _columns(bills: Iterable[BillView]) -> tuple[str, ...]:
    return tuple(bill.letter for bill in bills)


def _worst(worst: WorstBoardView) -> CellView:
    under = (worst.chance,) if worst.light == "in order" else (worst.title, worst.chance)
    return CellView(worst.light, ", ".join(text for text in under if text))


def _lots(bills: Sequence[BillView]) -> list[tuple[str, str]]:
    return list({share.key: share.label for bill in bills for share in bill.shares}.items())


def _share_row(lot: str, what: str, bills: Sequence[BillView]) -> RowView:
    shares = [next((share for share in bill.shares if share.key == lot), None) for bill in bills]
    return number_row(what, "%", shares)


def _figure_row(key: str, bills: Sequence[BillView]) -> list[RowView]:
    figures = [bill.figures.get(key) for bill in bills]
    first = next((number for number in figures if number), None)
    return [number_row(first.label, first.unit, figures)] if first else []


def _change_row(key: str, present: BillView, offers: Sequence[OfferView]) -> RowView:
    changes = [offer.changes.get(key) for offer in offers]
    first = next(change for change in changes if change)
    today = None if key == MAIN else present.figures.get(key)
    label = first.label if today is None else f"{today.label}: today, then change"
    return number_row(label, first.unit, (today, *changes))


def board_table(bills: Sequence[BillView]) -> BoardTable:
    """How the boards stand; those that repeat a category stand in the table of the law alone."""
    lawful = {answer.title for bill in bills for answer in bill.law}
    titles = {b.key: b for bill in bills for b in bill.boards if b.title not in lawful}
    rows = []
    for key, board in titles.items():
        boards = [next((b for b in bill.boards if b.key == key), None) for bill in bills]
        cells = tuple(_board_cell(b) for b in boards)
        rows.append(BoardRow(board.title, "", cells, under=board.standing, rests=board.source))
    return BoardTable(_columns(bills), tuple(rows), tuple(_board_notes(bills, lawful)))


def _board_cell(board: BoardView | None) -> CellView:
    if board is None:
        return CellView(NOTHING)
    surely = (board.light, board.chance) == ("in order", "0 %")
    return CellView(board.light, "" if surely or board.light == "unknown" else board.chance)


def _grouped(
    bills: Sequence[BillView], rows: Callable[[BillView], list[tuple[str, ...]]]
) -> list[tuple[tuple[str, ...], str]]:
    """Equal lines said once, with the bills they hold for."""
    held: dict[tuple[str, ...], list[str]] = {}
    for bill in bills:
        for line in dict.fromkeys(rows(bill)):
            held.setdefault(line, []).append(bill.letter)
    every = len(bills) > 1
    return [(line, "all" if every and len(on) == len(bills) else ", ".join(on)) for line, on in held.items()]


def _board_notes(bills: Sequence[BillView], lawful: set[str]) -> list[BoardNote]:
    """What each board that is not in order says: once for each word it stands at and each way out, in the words of the
    first bill."""

    def lines(bill: BillView) -> list[tuple[str, ...]]:
        return [_told_apart(b) for b in bill.boards if b.light != "in order" and b.title not in lawful]

    notes = []
    for apart, on in _grouped(bills, lines):
        title, *_ = apart
        said = next(b for bill in bills for b in bill.boards if _told_apart(b) == apart)
        notes.append(BoardNote(title, on, said.sentence, said.remedy))
    return notes


def _told_apart(board: BoardView) -> tuple[str, ...]:
    """What makes a note its own: board, word, way out; one with figures is a bill's own, the first stands for all."""
    return board.title, board.light, "" if re.search("[0-9]", board.remedy) else board.remedy


def law_table(bills: Sequence[BillView]) -> LawTable:
    """How the categories stand, with the dates of their text; the reasons of every answer that is not a pass."""
    titles = {answer.title: answer for bill in bills for answer in bill.law}
    titles |= {one.title: one for bill in bills for one in bill.law_beside.best if one.title not in titles}
    rows = []
    for title, answer in titles.items():
        cells = tuple(CellView(_verdict(bill, title)) for bill in bills)
        dates = f"text of {answer.version_date.text}, read {answer.read_on.text}"
        rows.append(LawRow(title, "", cells, under=dates))
    return LawTable(_columns(bills), tuple(rows), tuple(_law_reasons(bills)), _also(bills, titles))


def _verdict(bill: BillView, title: str) -> str:
    asked = {answer.title: answer.verdict for answer in bill.law}
    return asked.get(title) or bill.law_beside.verdicts.get(title, NOTHING)


def _also(bills: Sequence[BillView], shown: Collection[str]) -> tuple[str, ...]:
    """Names judged unasked that have no row: those that stand with a name that has one, and those that fail."""
    judged = dict.fromkeys(title for bill in bills for title in bill.law_beside.verdicts)
    every = [title for title in judged if title not in shown]
    fails = [title for title in every if all(bill.law_beside.verdicts.get(title) == "fail" for bill in bills)]
    first = [title for title in fails if any(title in bill.law_beside.fails for bill in bills)]
    stands = [title for title in every if all(title in bill.law_beside.covered for bill in bills)]
    rest = [title for title in every if title not in (*fails, *stands)]
    more = ", and names built on them" if len(first) < len(fails) else ""
    named = (("Stand with a name above", stands), ("Not of every bill", rest), ("Also judged, fails", first))
    return tuple(f"{words}: {'; '.join(titles)}{more if titles == first else ''}." for words, titles in named if titles)


def _law_reasons(bills: Sequence[BillView]) -> list[LawReason]:
    """Every answer that is not a plain pass and every note, said once with the categories and bills it holds for."""

    def lines(bill: BillView) -> list[tuple[str, ...]]:
        rules = [(a, r) for a in bill.law for r in a.answers if r.verdict != "pass" or r.flag]
        stated: list[tuple[str, ...]] = [(a.title, r.rule, r.verdict, r.reason, r.source, r.flag) for a, r in rules]
        stated += [
            (a.title, r.rule, r.verdict, r.reason, r.source, r.flag)
            for a in bill.law_beside.best
            for r in a.answers
            if r.verdict != "pass"
        ]
        return stated + [(a.title, "", "note", note, "", "") for a in bill.law for note in a.warnings]

    held: dict[tuple[tuple[str, ...], str], list[str]] = {}
    for line, on in _grouped(bills, lines):
        held.setdefault((line[1:], on), []).append(line[0])
    every = list(dict.fromkeys(answer.title for bill in bills for answer in bill.law))
    return [LawReason(_named(titles, every), on, *line) for (line, on), titles in held.items()]


def _named(titles: list[str], every: list[str]) -> str:
    return "All categories" if len(every) > 1 and len(titles) == len(every) else "; ".join(titles)
