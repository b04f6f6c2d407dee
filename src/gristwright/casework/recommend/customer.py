"""An answer for the customer: each bill in plain sentences, one table, what to do on Monday. See docs/casework.md.

Sentences are `Said`: keys with typed quantities, put in a language where they are printed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from gristwright.basics import Light, Verdict
from gristwright.casework.recommend.customer_flavour import brings_flavour, dose_lines, felt
from gristwright.casework.recommend.lifting import lifts, way_of
from gristwright.casework.recommend.work import most_risk
from gristwright.records.customer import Bar, BillAnswer, Cell, CustomerPages, CustomerRow, Picture
from gristwright.records.customer import Verdict as Standing
from gristwright.records.results import BillResult, Board, Figure, Offer, Recommendation
from gristwright.records.said import Amount, Name, Said, said
from gristwright.stages.grist.materials import materials

# So many bills stand beside today's on the two pages; the annex has all.
MOST_BILLS = 5
MOST_RESTS, MOST_SETTLED = 5, 2
OF_DISTILLERS = ("planning", "spirit", "co2", "dust", "liquor", "licence", "label")
OF_BREWERS = ("planning", "co2", "dust", "liquor")
SELDOM = 0.005  # a chance that would read as 0 %
# What the table has of a bill, and of which the change stands beside it.
OF_SPIRIT, OF_BEER = (
    ("lpa_per_t", "cost_per_lpa", "wash_abv_pct"),
    ("extract_yield_pct", "cost_per_hL", "original_gravity_degP", "apparent_attenuation_pct", "colour_EBC"),
)
# The two sentences of what a bill gives and costs.
GAIN, COST = {"whisky": "lpa_per_t", "beer": "extract_yield_pct"}, {"whisky": "cost_per_lpa", "beer": "cost_per_hL"}
# Boards that are told in a sentence of their own, good or bad.
TOLD = ("enzymes", "bed", "handling")


def customer_pages(answer: Recommendation) -> CustomerPages:
    """The two pages of a recommendation."""
    told = _told(answer)
    shown: list[tuple[Said, str, Offer | None]] = [] if answer.asked else [(said("customer.today"), "", None)]
    shown += [(_column(letter), letter, offer) for letter, offer in told]
    bills, stands = [], _Stands()
    for label, letter, offer in shown:
        bills.append(_bill(answer, label, letter, offer, stands))
    results = [answer.present, *(offer.result for _, offer in told if not _same(answer, offer))]
    return CustomerPages(
        language=answer.language,
        question=answer.question,
        headline=_headline(answer, [bill for bill in bills if bill.letter]),
        bills=tuple(bills),
        columns=(said("customer.today"), *(_column(letter) for letter, one in told if not _same(answer, one))),
        rows=tuple(_rows(answer, results)),
        picture=_picture(answer, told),
        dose=dose_lines(answer.dose),
        monday=tuple(_monday(answer, bills)),
        rests_on=tuple(_rests_on(answer))[:MOST_RESTS],
        cautions=tuple(said(f"caution.{key}") for key in _cautions(answer)),
    )


def _told(answer: Recommendation) -> list[tuple[str, Offer]]:
    """The bills that are spoken of: those asked about, else the offers at both ends, else the ends of the ranges."""
    asked = [pair for pair in answer.told if pair[0].startswith("Asked")]
    if asked:
        return asked[:MOST_BILLS]
    offers = [pair for pair in answer.told if len(pair[0]) == 1]
    return (offers or list(answer.told))[:MOST_BILLS]


def _same(answer: Recommendation, offer: Offer) -> bool:
    return offer.result.bill.same_grist(answer.present.bill)


def _column(letter: str) -> Said:
    kind, _, number = letter.partition(" ")
    if kind == "Asked":
        return said("customer.asked", number=number)
    return said("customer.end", number=number) if number else said("customer.offer", letter=letter)


# A bill


class _Stands:
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
        return (*_boards(result), *_law(result))


def _bill(answer: Recommendation, label: Said, letter: str, offer: Offer | None, stands: _Stands) -> BillAnswer:
    result = answer.present if offer is None else offer.result
    own = offer is None or _same(answer, offer)
    verdict = _verdict_of(result) if offer is None else _verdict(offer)
    lines = [*(_of_today(answer) if own or offer is None else _changes(answer, offer)), *stands.of(result, label)]
    lines += [*(_unmet(offer) if offer is not None else ()), *felt(result)]
    return BillAnswer(letter, result.bill.name, verdict, tuple(lines), lifts(result))


def _of_today(answer: Recommendation) -> Iterator[Said]:
    yield from _gives(answer.purpose, answer.present)


def _gives(purpose: str, result: BillResult) -> Iterator[Said]:
    """What a bill gives and costs by itself."""
    gain, cost = (result.figures.get(keys[purpose]) for keys in (GAIN, COST))
    if gain is None:
        yield said("customer.withheld", because=_because(result))
    elif cost is None:
        yield said("customer.gives", gain=Amount.of_figure(gain))
    else:
        yield said("customer.gives_and_costs", gain=Amount.of_figure(gain), cost=Amount.of_figure(cost))


def _verdict(offer: Offer) -> Standing:
    if offer.result.withheld is not None:
        return "withheld"
    own = _verdict_of(offer.result)
    if offer.unmet or own == "no":
        return "no"
    return own if offer.sound else "watch"


def _verdict_of(result: BillResult) -> Standing:
    if result.withheld is not None:
        return "withheld"
    lights = {board.light for board in result.boards if not board.key.startswith("law.")}
    return "no" if Light.RED in lights else "watch" if Light.AMBER in lights else "good"


def _changes(answer: Recommendation, offer: Offer) -> Iterator[Said]:
    """What it gives and costs against today."""
    if GAIN[answer.purpose] not in offer.result.figures:
        yield said("customer.withheld", because=_because(offer.result))
        return
    if not offer.changes and answer.present.withheld is not None:
        yield from _gives(answer.purpose, offer.result)
        yield said("customer.no_change", because=_because(answer.present))
        return
    for which, keys in (("gain", GAIN), ("cost", COST)):
        key = keys[answer.purpose]
        figure, change = offer.result.figures.get(key), offer.changes.get(key)
        if figure is None:
            continue
        now = Amount.of_figure(figure)
        if change is None:
            yield said(f"customer.{which}.alone", now=now)
        elif change.band.includes_zero:
            yield said(f"customer.{which}.same", now=now, change=Amount.of_figure(change, change=True))
        else:
            more = change.band.middle > 0.0
            yield said(f"customer.{which}.{'more' if more else 'less'}", now=now, by=_size(change))


def _size(change: Figure) -> Amount:
    """How much a change is, without its sign."""
    band = change.band
    low, high = sorted((abs(band.low), abs(band.high)))
    return Amount(abs(band.middle), change.unit, change.decimals, low, high)


def _because(result: BillResult) -> tuple[Said, ...]:
    """Why figures are withheld, by those that decide it."""
    why = result.withheld
    return tuple(said(f"withheld.{one.key}", value=Amount.of_figure(one)) for one in why.reasons) if why else ()


def _boards(result: BillResult) -> Iterator[Said]:
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


def _unmet(offer: Offer) -> Iterator[Said]:
    for one in offer.unmet:
        if one.said.key != "demand.name":
            yield said("customer.unmet", demand=one.said, by=one.by)


def _law(result: BillResult) -> Iterator[Said]:
    """What it may be called: names that pass together, each other by itself."""
    good = tuple(Name("category", a.category) for a in result.law if a.verdict is Verdict.PASS)
    if good:
        yield said("law.pass", names=good)
    for answer in result.law:
        if answer.verdict is not Verdict.PASS:
            yield said(f"law.{answer.verdict.name.lower()}", name=Name("category", answer.category))


# The table and the picture


def _rows(answer: Recommendation, results: Sequence[BillResult]) -> Iterator[CustomerRow]:
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


def _picture(answer: Recommendation, told: Sequence[tuple[str, Offer]]) -> Picture | None:
    """What each bill gives, today's with them; of one bill that a board stops, what lifts it."""
    key = GAIN[answer.purpose]
    bills = [(said("customer.today"), answer.present, True)]
    bills += [(_column(letter), one.result, False) for letter, one in told if not _same(answer, one)]
    bars = tuple(Bar(label, Amount.of_figure(one.figures[key]), now) for label, one, now in bills if key in one.figures)
    if len(bars) > 1:
        return Picture(said("picture.gives", what=Name("figure", key), unit=Name("unit", bars[0].amount.unit)), bars)
    return _of_lifts(answer)


def _of_lifts(answer: Recommendation) -> Picture | None:
    """The hours of run-off as they are and with each way that shortens them."""
    board = next((one for one in answer.present.boards if one.key == "bed" and one.remedies), None)
    if board is None or board.figure is None:
        return None
    now = Amount.of_figure(board.figure)
    bars = [Bar(said("picture.as_asked"), Amount(now.value, now.unit, now.decimals), True)]
    for remedy in board.remedies:
        if remedy.gain.figure_after is not None:
            after = Amount(remedy.gain.figure_after, now.unit, now.decimals)
            bars.append(Bar(way_of(remedy), after))
    return Picture(said("picture.run_off"), tuple(bars)) if len(bars) > 1 else None


# What to do, what it rests on


def _headline(answer: Recommendation, bills: Sequence[BillAnswer]) -> Said:
    """The answer in one sentence."""
    if answer.asked:
        counts = {kind: sum(bill.verdict == kind for bill in bills) for kind in ("good", "watch", "no", "withheld")}
        return _asked_headline(bills, counts)
    if answer.offers:
        return said("headline.offers", n=len(answer.offers))
    if answer.search.conflict:
        return said("headline.conflict", demands=tuple(one.said for one in answer.search.conflict))
    if answer.search.stopped:
        boards = tuple(Name("board", one.board.key) for one in answer.search.stopped)
        return said("headline.stopped", boards=boards)
    return said("headline.none")


def _asked_headline(bills: Sequence[BillAnswer], counts: Mapping[str, int]) -> Said:
    if len(bills) == 1:
        return said(f"headline.one.{bills[0].verdict}", name=bills[0].name)
    good = tuple(bill.name for bill in bills if bill.verdict in ("good", "watch"))
    bad = tuple(bill.name for bill in bills if bill.verdict in ("no", "withheld"))
    if good and bad:
        return said("headline.some", good=good, bad=bad)
    return said("headline.all_good", n=len(good)) if good else said("headline.all_bad", n=len(bad))


def _monday(answer: Recommendation, bills: Sequence[BillAnswer]) -> Iterator[Said]:
    trial = answer.trial
    stopped = [bill for bill in bills if bill.verdict == "no" and bill.lifts]
    if trial is not None:
        yield said("monday.trial", name=trial.offer, n=trial.mashes_each)
        yield said("monday.trial_stop", mashes=2 * trial.mashes_each)
    elif stopped:
        yield said("monday.lift", name=stopped[0].name)
    measured = [parts for line in answer.measure_next if (parts := line.assumption.split("."))[0] == "lot"]
    if measured:
        _, lot, *field = measured[0]
        yield said("monday.measure_lot", field=Name("field", field[-1]), lot=".".join([lot, *field[:-1]]))
    elif answer.measure_next:
        yield said("monday.measure_house")
    verdicts = {a.verdict for one in (answer.present, *(o.result for o in answer.asked)) for a in one.law}
    if verdicts & {Verdict.UNKNOWN, Verdict.DEPENDS}:
        yield from _settled(answer)
    yield said("monday.order")


def _settled(answer: Recommendation) -> Iterator[Said]:
    """What settles the names that are open, by the line that is to be written; else that the authority is asked."""
    results = (answer.present, *(offer.result for offer in answer.asked))
    open_answers = [a for one in results for a in one.law if a.verdict is Verdict.UNKNOWN]
    lines = dict.fromkeys(one.words for a in open_answers for rule in a.answers for one in rule.settled_by)
    for line in list(lines)[:MOST_SETTLED]:
        yield said("monday.settle", line=line)
    if not lines:
        yield said("monday.law")


def _rests_on(answer: Recommendation) -> Iterator[Said]:
    anchor = answer.anchor
    if anchor.used and anchor.observed_lpa_per_t is not None:
        yield said("rests.record", average=Amount(anchor.observed_lpa_per_t, "L pure alcohol/t", 1))
    else:
        yield said("rests.no_record")
    yield said("rests.draws", n=answer.provenance.members)
    yield said("rests.mash")
    if any(brings_flavour(offer.result) for _, offer in answer.told):
        yield said("rests.markers")
    if answer.typical_lots:
        yield said("rests.typical", lots=answer.typical_lots)
    if answer.present.law or any(one.result.law for one in answer.asked):
        yield said("rests.law", day=answer.provenance.judged_on)
    yield said("rests.annex")


def _cautions(answer: Recommendation) -> tuple[str, ...]:
    return OF_BREWERS if answer.purpose == "beer" else OF_DISTILLERS
