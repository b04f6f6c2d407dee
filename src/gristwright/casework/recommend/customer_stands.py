"""How a bill stands, as sentences for the customer: its boards, demands and names. See docs/casework.md."""

from __future__ import annotations

from collections.abc import Iterator

from gristwright.basics import Light, Verdict
from gristwright.casework.bench.law_in_short import headlines
from gristwright.casework.recommend.work import most_risk
from gristwright.records.customer import Verdict as Standing
from gristwright.records.results import BillResult, Board, Figure, Offer
from gristwright.records.said import Amount, Name, Said, said

SELDOM = 0.005  # a chance that would read as 0 %
# Boards that are told in a sentence of their own, good or bad.
TOLD = ("enzymes", "bed", "handling")


class Stands:
    """How bills stand on boards and before the law, so that what was told of one is not told again of another."""

    def __init__(self) -> None:
        self._told: dict[tuple[tuple[str, str], ...], Said] = {}

    def of(self, result: BillResult, label: Said) -> tuple[Said, ...]:
        """How a bill stands, or as which it does."""
        lights = [(board.key, board.light.value) for board in result.boards]
        known = tuple(lights + [(answer.category, answer.verdict.value) for answer in result.law])
        if known in self._told and result.withheld is None:
            return (said("customer.as", which=self._told[known]),)
        self._told.setdefault(known, label)
        return (*boards_said(result), *law_said(result))


def verdict_of_offer(offer: Offer) -> Standing:
    """How a bill stands in one word: its mash, the demands, and the names asked for."""
    own = verdict_of(offer.result)
    if own in ("no", "withheld") or any(one.said.key != "demand.name" for one in offer.unmet):
        return own if own == "withheld" else "no"
    if offer.unmet:
        return "name"
    return own if offer.sound else "watch"


def verdict_of(result: BillResult) -> Standing:
    """How the mash of a bill stands in one word."""
    if result.withheld is not None:
        return "withheld"
    lights = {board.light for board in result.boards if not board.key.startswith("law.")}
    return "no" if Light.RED in lights else "watch" if Light.AMBER in lights else "good"


def boards_said(result: BillResult) -> Iterator[Said]:
    """How it converts and runs off, and every other board that is not in order."""
    boards = {board.key: board for board in result.boards}
    for key in TOLD:
        if key in boards and boards[key].light is not Light.UNKNOWN:
            yield _board(boards[key])
    for board in result.boards:
        if board.light is Light.RED and board.key not in TOLD and not board.key.startswith("law."):
            yield said("board.red", board=Name("board", board.key), chance=chance(board.probability_red))
    watch = [b for b in result.boards if b.light is Light.AMBER and b.key not in TOLD and not b.key.startswith("law.")]
    if watch:
        yield said("board.watch", boards=tuple(Name("board", board.key) for board in watch))


def _board(board: Board) -> Said:
    """A board that is told in a sentence of its own, with its figure where it has one."""
    most = most_risk(board.key)
    if board.key == "enzymes" and board.light is not Light.RED and board.probability_red > most:
        return said(f"board.{board.key}.risky", chance=chance(board.probability_red), most=chance(most))
    light = {Light.GREEN: "green", Light.AMBER: "amber", Light.RED: "red"}[board.light]
    figure = _figure_of(board)
    if board.light is Light.AMBER and board.probability_red < SELDOM:
        return said(f"board.{board.key}.amber.seldom")
    if figure is None:
        return said(f"board.{board.key}.{light}", chance=chance(board.probability_red))
    odds = chance(board.probability_red)
    return said(f"board.{board.key}.{light}.with", figure=Amount.of_figure(figure), chance=odds)


def _figure_of(board: Board) -> Figure | None:
    """The figure of a board, where its sentence has one."""
    return board.figure if board.key == "bed" else None


def chance(probability: float) -> Amount:
    """A chance as a share of the runs."""
    return Amount(100.0 * probability, "%")


def unmet_said(offer: Offer) -> Iterator[Said]:
    for one in offer.unmet:
        if one.said.key != "demand.name":
            yield said("customer.unmet", demand=one.said, by=one.by)


def law_said(result: BillResult) -> Iterator[Said]:
    """What it may be called: names that pass together, each other by itself; where none is asked, the best that fit."""
    short = headlines(result.law, result.law_beside).entries
    told = [one for one in short if one.asked] or list(short)
    good = tuple(Name("category", one.category) for one in told if one.verdict is Verdict.PASS)
    if good:
        yield said("law.pass", names=good)
    for one in told:
        if one.verdict is not Verdict.PASS:
            yield said(f"law.{one.verdict.name.lower()}", name=Name("category", one.category))
