"""The customer's table and picture: bills side by side, or what lifts what stops one. See docs/casework.md."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from gristwright.basics import Light
from gristwright.casework.recommend.customer_stands import SELDOM, TOLD, chance
from gristwright.casework.recommend.lifting import way_of
from gristwright.records.customer import Cell, CustomerRow, Picture, PictureBar, called
from gristwright.records.results import BillResult, Board, Figure, Offer, Recommendation
from gristwright.records.said import Amount, Name, Said, said
from gristwright.stages.grist.materials import materials

# What the table has of a bill, and of which the change stands beside it.
OF_SPIRIT, OF_BEER = (
    ("lpa_per_t", "cost_per_lpa", "wash_abv_pct"),
    ("extract_yield_pct", "cost_per_hL", "original_gravity_degP", "apparent_attenuation_pct", "colour_EBC"),
)
# The two sentences of what a bill gives and costs.
GAIN, COST = {"whisky": "lpa_per_t", "beer": "extract_yield_pct"}, {"whisky": "cost_per_lpa", "beer": "cost_per_hL"}


def same_as_today(answer: Recommendation, offer: Offer) -> bool:
    """Whether a bill is today's."""
    return offer.result.bill.same_grist(answer.present.bill)


def rows_of(answer: Recommendation, results: Sequence[BillResult]) -> Iterator[CustomerRow]:
    """The rows of the table: shares, figures with their changes, boards, names."""
    changes = {id(offer.result): offer.changes for _, offer in answer.told}
    for lot, title in dict.fromkeys((lot, title) for one in results for lot, title, _ in one.labels):
        shares = [next((pct for name, _, pct in one.labels if name == lot), None) for one in results]
        cells: list[Cell] = [None if pct is None else Amount(pct, "%", 0 if pct == round(pct) else 2) for pct in shares]
        yield CustomerRow(said("row.share", kind=_type_of(title), lot=lot), tuple(cells))
    for key in OF_BEER if answer.purpose == "beer" else OF_SPIRIT:
        if not any(key in one.figures for one in results):
            continue
        yield CustomerRow(_labelled(key, results), tuple(_cell(one.figures.get(key)) for one in results))
        moved = [changes.get(id(one), {}).get(key) for one in results]
        if any(moved):
            yield CustomerRow(said("row.change"), tuple(_change(one) for one in moved))
    yield from _board_rows(results)
    yield from _law_rows(results)


def _type_of(title: str) -> Name | str:
    """A type by its title; the title itself where it is no type's."""
    key = next((key for key, material in materials().items() if material.title == title), None)
    return title if key is None else Name("type", key)


def _labelled(key: str, results: Sequence[BillResult]) -> Said:
    unit = next(one.figures[key].unit for one in results if key in one.figures)
    return said("row.figure", what=Name("figure", key), unit=Name("unit", unit))


def _cell(figure: Figure | None) -> Cell:
    return said("withheld.word") if figure is None else _unitless(Amount.of_figure(figure))


def _change(figure: Figure | None) -> Cell:
    return None if figure is None else _unitless(Amount.of_figure(figure, change=True))


def _unitless(amount: Amount) -> Amount:
    """The amount for a cell whose row says the unit."""
    return Amount(amount.value, "", amount.decimals, amount.low, amount.high, amount.change)


def _board_rows(results: Sequence[BillResult]) -> Iterator[CustomerRow]:
    for key in TOLD:
        boards = [next((board for board in one.boards if board.key == key), None) for one in results]
        if any(boards):
            cells = tuple(None if board is None else _light(board) for board in boards)
            yield CustomerRow(said("row.board", board=Name("board", key)), cells)


def _light(board: Board) -> Said:
    if board.light is Light.AMBER and board.probability_red < SELDOM:
        return said("light.amber.seldom")
    return said(f"light.{board.light.name.lower()}", chance=chance(board.probability_red))


def _law_rows(results: Sequence[BillResult]) -> Iterator[CustomerRow]:
    for key in dict.fromkeys(answer.category for one in results for answer in one.law):
        cells = [next((said(f"verdict.{a.verdict.name.lower()}") for a in one.law if a.category == key), None)
                 for one in results]  # fmt: skip
        yield CustomerRow(said("row.law", name=Name("category", key)), tuple(cells))


def picture_of(answer: Recommendation, told: Sequence[tuple[str, Offer]]) -> Picture | None:
    """What each bill gives, today's with them; of one bill that a board stops, what lifts it."""
    key = GAIN[answer.purpose]
    bills = [(said("customer.today"), answer.present, True)]
    bills += [(called(letter), one.result, False) for letter, one in told if not same_as_today(answer, one)]
    bars = tuple(
        PictureBar(label, Amount.of_figure(one.figures[key]), now) for label, one, now in bills if key in one.figures
    )
    if len(bars) > 1:
        return Picture(said("picture.gives", what=Name("figure", key), unit=Name("unit", bars[0].amount.unit)), bars)
    return _of_lifts(answer)


def _of_lifts(answer: Recommendation) -> Picture | None:
    """The hours of run-off as they are and with each way that shortens them."""
    board = next((one for one in answer.present.boards if one.key == "bed" and one.remedies), None)
    if board is None or board.figure is None:
        return None
    now = Amount.of_figure(board.figure)
    bars = [PictureBar(said("picture.as_asked"), Amount(now.value, now.unit, now.decimals), True)]
    for remedy in board.remedies:
        if remedy.gain.figure_after is not None:
            after = Amount(remedy.gain.figure_after, now.unit, now.decimals)
            bars.append(PictureBar(way_of(remedy), after))
    return Picture(said("picture.run_off"), tuple(bars)) if len(bars) > 1 else None
