"""A brewer's enquiry answered: bills searched as a distiller's are, weighed by extract and its cost.

See docs/casework.md.
"""

from __future__ import annotations

from collections.abc import Sequence

from gristwright.basics import Light, Problem, Tick
from gristwright.casework import beer
from gristwright.casework.bench import limits
from gristwright.casework.bench.bench import GristBench
from gristwright.casework.bench.grounds import HOUSE, named, of_result
from gristwright.casework.bench.withheld import first_of, of_figures
from gristwright.casework.bench.words import assumed_words, bill_cautions, bill_warnings, change_words, typical_lots
from gristwright.casework.recommend import search, words
from gristwright.casework.recommend.beside import BesideToday, asked_about, at_an_end, unasked
from gristwright.casework.recommend.provenance import provenance
from gristwright.casework.recommend.search import Candidate
from gristwright.casework.recommend.size import too_heavy
from gristwright.casework.recommend.work import sheet_of, work_of
from gristwright.quantities.shown import lower
from gristwright.records.bill import Bill
from gristwright.records.enquiry import Enquiry
from gristwright.records.lot import Lot
from gristwright.records.results import Anchor, BillResult, Fact, Figure, Offer, Recommendation, Search
from gristwright.reference.house_words import for_a_brewer
from gristwright.rules.hazard import cautions

CAUTIONS = ("planning", "co2", "dust", "liquor")
# What an offer changes against today's bill: keys of figures of `beer`, the first three drawn.
COMPARED = (
    "cost_per_hL", "original_gravity_degP", "apparent_attenuation_pct", "colour_EBC", "extract_kg_per_t",
    "cost_per_hL_degP", "fan_mg_per_L", "beta_glucan_mg_per_L",
)  # fmt: skip
NOT_ANCHORED = Anchor(False, "Nothing was measured in this house: figures are expected from the certificates.")
LEFT_OUT = (
    Fact("Bitterness, flavour and the law of beer are not looked at; ask your local beer law of every bill."),
    Fact(
        "Demands are held on one run with every input at its middle, each bill taken to ferment as today's does; an "
        "offer's own figures are simulated, with their bands, and may lie a little to either side."
    ),
)


def advise_beer(
    enquiry: Enquiry,
    lots: Sequence[Lot],
    inputs: Sequence[tuple[str, str]],
    warnings: Sequence[Problem],
    members: int,
    seed: int,
    tick: Tick,
) -> Recommendation:
    """Answer a brewer's enquiry. Raises Refused with every fault of the input."""
    bench = _bench(enquiry, lots, members, seed)
    traced = bench.traced()
    present = beer.brewed(traced, sheet_of(enquiry, enquiry.present), enquiry.present)
    candidates, searched = search.find(bench, enquiry, tick)
    named_bills = search.compared(bench, enquiry, enquiry.asked)
    ends = search.compared(bench, enquiry, searched.ends)
    beside = BesideToday(
        asked=tuple(asked_about(bench, enquiry, one, _offer(traced, enquiry, one, [], present)) for one in named_bills),
        offers=tuple(_offer(traced, enquiry, one, candidates, present) for one in unasked(candidates, enquiry)),
        shown=tuple(at_an_end(bench, enquiry, one, _offer(traced, enquiry, one, [], present)) for one in ends),
    )
    results = (present, *(offer.result for offer in beside.all))
    of_offers = [named(offer.changes.values()) for offer in beside.all]
    names = set().union(*(of_result(result) for result in results), *of_offers)
    said = (*warnings, *bench.warnings)
    return Recommendation(
        title=enquiry.title,
        customer=enquiry.customer,
        plant=enquiry.plant.name,
        adviser=enquiry.adviser,
        question=enquiry.question,
        invented=enquiry.invented,
        currency=enquiry.currency,
        present=present,
        offers=beside.offers,
        answer=for_a_brewer(_answer(present, beside, searched)),
        search=for_a_brewer(searched),
        anchor=NOT_ANCHORED,
        will_not=LEFT_OUT,
        assumptions=beer.assumed(traced, names, enquiry.currency),
        effects={},
        measure_next=(),
        trial=None,
        warnings=tuple(problem.sentence() for problem in said) + assumed_words(bench, results) + bill_warnings(results),
        cautions=(*(one.text for one in for_a_brewer(cautions(*CAUTIONS))), *bill_cautions(results)),
        provenance=provenance(bench, enquiry, present, inputs),
        shown=beside.shown,
        asked=beside.asked,
        language=enquiry.language,
        typical_lots=typical_lots(bench, results),
        purpose="beer",
    )


def _bench(enquiry: Enquiry, lots: Sequence[Lot], members: int, seed: int) -> GristBench:
    faults = limits.enquiry_problems(enquiry, lots) + limits.brewing_problems(enquiry)
    faults += filter(None, [too_heavy(enquiry, members)])
    needed = limits.needed_lots(enquiry)
    chosen = [lot for lot in lots if lot.lot_id in needed]
    sheet = sheet_of(enquiry, enquiry.present)
    return beer.brewing_bench(sheet, chosen, faults, members, seed)


def _offer(
    bench: GristBench, enquiry: Enquiry, candidate: Candidate, others: list[Candidate], present: BillResult
) -> Offer:
    result = beer.brewed(bench, sheet_of(enquiry, candidate.bill), enquiry.present)
    figures = _changes(bench, enquiry, candidate.bill)
    why = first_of(present.withheld, result.withheld)
    changes = {figure.key: figure for figure in figures if why is None or figure.key in beer.OF_THE_GRIST}
    sound = candidate.strain <= 1.0
    return Offer(
        result=result,
        changes=changes,
        reason=words.reason(candidate, others, work_of(enquiry)),
        words=for_a_brewer(_offer_words(result, changes, present)),
        withheld=of_figures(why, [figure for figure in figures if figure.key not in changes]) if why else None,
        sound=sound,
    )


def _changes(bench: GristBench, enquiry: Enquiry, bill: Bill) -> list[Figure]:
    """What a bill changes against today's, paired."""
    made, now = (beer.values_of(bench, one) for one in (bill, enquiry.present))
    rows = {key: (label, unit, digits) for key, label, unit, digits in beer.ROWS}
    rows |= {key: (label, f"{enquiry.currency}/{unit}", digits) for key, label, unit, digits in beer.MONEY}
    lots = {share.lot_id for share in (*bill.shares, *enquiry.present.shares)}
    prices = tuple(f"input.price.{lot_id}" for lot_id in sorted(lots))
    return [
        Figure.of(
            key,
            f"change in {rows[key][0]}",
            *(rows[key][1], made[key] - now[key], rows[key][2], bench.runs, HOUSE),
            *(prices if key.startswith("cost") else ()),
        )
        for key in COMPARED
    ]


def _offer_words(result: BillResult, changes: dict[str, Figure], present: BillResult) -> tuple[str, ...]:
    """A bill against today, a sentence each."""
    said = (
        ("Malt and grain", "cost_per_hL", "less", "more"),
        ("Original extract", "original_gravity_degP", "less", "more"),
        ("Apparent attenuation", "apparent_attenuation_pct", "less", "more"),
        ("Colour", "colour_EBC", "less", "more"),
    )
    lines = [f"{name}: {change_words(changes[key], less, more)}." for name, key, less, more in said if key in changes]
    now = {board.key: board.light for board in present.boards}
    other = [board for board in result.boards if board.light is not now.get(board.key)]
    if other:
        lines.append(f"Other than today: {'; '.join(f'{lower(board.title)} {board.light.value}' for board in other)}.")
    return tuple(lines)


def _answer(present: BillResult, beside: BesideToday, searched: Search) -> tuple[str, ...]:
    """The short answer: of what was asked about first, then of what could be done instead."""
    asked, offers = beside.asked, beside.offers
    lines = [line for offer in asked for line in words.of_asked(offer, present, _money_and_extract)]
    if not offers:
        return (*lines, *words.no_offer(searched, present, asked), *words.withheld_today(present))
    lines += words.withheld_today(present)
    lines += [_money_and_extract(offer, present) for offer in ((offers[0], offers[-1]) if len(offers) > 1 else offers)]
    lines += [f"Not offered: {line}." for line in searched.left_out]
    lines += [f"Cheaper, but not offered, for its figures are withheld: {searched.cheaper}."] * bool(searched.cheaper)
    red = {board.key for board in present.boards if board.light is Light.RED}
    return (*lines, *filter(None, [words.today_stands(red, present)]))


def _money_and_extract(offer: Offer, present: BillResult) -> str:
    name = offer.result.bill.name
    if offer.result.bill.same_grist(present.bill):
        return f"{name} is today's bill."
    money = offer.changes.get("cost_per_hL")
    extract = offer.changes.get("original_gravity_degP")
    if money is None or extract is None:
        return f"{name}: what it changes against today is not given."
    return (
        f"{name} costs {change_words(money, 'less', 'more')} in malt and grain against {present.bill.name}, with "
        f"{change_words(extract, 'less', 'more')} of original extract."
    )
