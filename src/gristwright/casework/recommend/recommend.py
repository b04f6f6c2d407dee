"""The adviser's main job: an enquiry in, a recommendation out. See docs/casework.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from gristwright.basics import Band, Problem, Refused, Tick, no_tick
from gristwright.casework.bench import influence, limits
from gristwright.casework.bench.anchor import anchor
from gristwright.casework.bench.assess import assess
from gristwright.casework.bench.bench import Bench
from gristwright.casework.bench.capacity import year_t
from gristwright.casework.bench.grounds import HOUSE, PSY, assumptions, named, of_result
from gristwright.casework.bench.setting_up import set_up
from gristwright.casework.bench.withheld import first_of, of_figures
from gristwright.casework.bench.words import bill_cautions, result_warnings, typical_lots
from gristwright.casework.recommend import character, search, words
from gristwright.casework.recommend.beside import BesideToday, asked_about, at_an_end, unasked
from gristwright.casework.recommend.dose import dose_plan
from gristwright.casework.recommend.for_beer import advise_beer
from gristwright.casework.recommend.provenance import provenance
from gristwright.casework.recommend.search import Candidate
from gristwright.casework.recommend.size import too_heavy
from gristwright.casework.recommend.trial import first_trial
from gristwright.casework.recommend.work import work_of
from gristwright.economics.new_make import cost_per_lpa
from gristwright.numerics import draws as drawing
from gristwright.records.bill import Bill
from gristwright.records.enquiry import Enquiry
from gristwright.records.lot import Lot
from gristwright.records.results import Anchor, BillResult, Figure, Offer, Recommendation, Search
from gristwright.rules.hazard import cautions

CAUTIONS = ("planning", "spirit", "co2", "dust", "liquor", "licence", "label")


def advise(
    enquiry: Enquiry,
    lots: Sequence[Lot],
    inputs: Sequence[tuple[str, str]] = (),
    warnings: Sequence[Problem] = (),
    members: int = drawing.MEMBERS,
    seed: int = drawing.SEED,
    tick: Tick = no_tick,
) -> Recommendation:
    """Answer an enquiry. `inputs` are file names with their sha256. Raises Refused with every fault of the input."""
    if enquiry.brews:
        return advise_beer(enquiry, lots, inputs, warnings, members, seed, tick)
    return answer_on_bench(enquiry, lots, inputs, warnings, members, seed, tick)[1]


def answer_on_bench(
    enquiry: Enquiry,
    lots: Sequence[Lot],
    inputs: Sequence[tuple[str, str]] = (),
    warnings: Sequence[Problem] = (),
    members: int = drawing.MEMBERS,
    seed: int = drawing.SEED,
    tick: Tick = no_tick,
) -> tuple[Bench, Recommendation]:
    """The bench, weighted by the plant's own average, and the answer worked out on it."""
    prices = {offered.lot_id: offered.price_per_t for offered in enquiry.offered}
    faults = limits.enquiry_problems(enquiry, lots) + limits.brewing_problems(enquiry)
    faults += filter(None, [too_heavy(enquiry, members)])
    if enquiry.brews:
        raise Refused([*faults, *limits.dossier_problems(enquiry)])
    needed = limits.needed_lots(enquiry)
    chosen = [lot for lot in lots if lot.lot_id in needed]
    bench = set_up(chosen, prices, enquiry.plant, enquiry.laid_down, faults, members, seed, behind=enquiry.present)
    bench = replace(bench, present=enquiry.present)
    plain, anchored = anchor(bench, enquiry.present, enquiry.record)
    bench = plain.traced()
    present = _assess(bench, enquiry, enquiry.present)
    candidates, searched = search.find(plain, enquiry, tick)
    named_bills = search.compared(plain, enquiry, enquiry.asked)
    ends = search.compared(plain, enquiry, searched.ends)
    beside = BesideToday(
        asked=tuple(asked_about(plain, enquiry, one, _offer(bench, enquiry, one, [], present)) for one in named_bills),
        offers=tuple(_offer(bench, enquiry, one, candidates, present) for one in unasked(candidates, enquiry)),
        shown=tuple(at_an_end(plain, enquiry, one, _offer(bench, enquiry, one, [], present)) for one in ends),
    )
    tick(1, 1, "finding what to measure next")
    answer = _recommendation(bench, enquiry, anchored, present, beside, searched, inputs, warnings)
    if enquiry.dose is None:
        return bench, answer

    def dosed(bill: Bill) -> tuple[BillResult, list[Figure]]:
        return _assess(bench, enquiry, bill), _changes(bench, enquiry, bill)

    return bench, replace(answer, dose=dose_plan(bench, enquiry, answer, dosed, tick))


def _assess(bench: Bench, enquiry: Enquiry, bill: Bill) -> BillResult:
    return assess(
        bench,
        bill,
        enquiry.categories,
        enquiry.date,
        enquiry.limits,
        enquiry.currency,
        enquiry.processing_cost_per_t,
        enquiry.present,
        enquiry.markets,
    )


def _offer(bench: Bench, enquiry: Enquiry, candidate: Candidate, others: list[Candidate], present: BillResult) -> Offer:
    result = _assess(bench, enquiry, candidate.bill)
    figures = _changes(bench, enquiry, candidate.bill)
    why = first_of(present.withheld, result.withheld)
    changes = {} if why else {figure.key: figure for figure in figures}
    sound = candidate.strain <= 1.0
    return Offer(
        result=result,
        changes=changes,
        reason=words.reason(candidate, others, work_of(enquiry)),
        words=words.offer_words(enquiry, result, changes, present),
        withheld=of_figures(why, figures) if why else None,
        sound=sound,
    )


def _changes(bench: Bench, enquiry: Enquiry, bill: Bill) -> list[Figure]:
    """What a bill changes against the present one, paired."""
    made, now = (bench.made(b) for b in (bill, enquiry.present))
    costs = [
        cost_per_lpa(m.grist.malt_cost_per_t, enquiry.processing_cost_per_t, m.spirit.lpa_per_t) for m in (made, now)
    ]
    litres = made.spirit.lpa_per_t - now.spirit.lpa_per_t
    years = [year_t(bench.plant, m.wort, bench.draws) * m.spirit.lpa_per_t for m in (made, now)]
    annual = years[0] - years[1]
    lots = {share.lot_id for share in (*bill.shares, *enquiry.present.shares)}
    prices = tuple(f"input.price.{lot_id}" for lot_id in sorted(lots))
    given = (PSY, HOUSE, *(("input.record",) if enquiry.record else ()))
    rows = (
        ("lpa_per_t", "change in new spirit", "L pure alcohol/t", litres, 1, given),
        (
            "cost_per_lpa",
            "change in malt and processing",
            f"{enquiry.currency}/L pure alcohol",
            costs[0] - costs[1],
            3,
            (*given, *prices, "input.processing"),
        ),
        (
            "annual_lpa",
            "change in new spirit a year",
            "L",
            annual,
            0,
            (*given, "input.tonnes_per_year"),
        ),
    )
    return [
        Figure.of(key, label, unit, values, digits, bench.runs, *on) for key, label, unit, values, digits, on in rows
    ]


def _recommendation(
    bench: Bench,
    enquiry: Enquiry,
    anchored: Anchor,
    present: BillResult,
    beside: BesideToday,
    searched: Search,
    inputs: Sequence[tuple[str, str]],
    warnings: Sequence[Problem],
) -> Recommendation:
    results = (present, *(offer.result for offer in beside.all))
    names = _names(present, beside.all)
    on_offer = [offered.lot_id for offered in enquiry.offered]
    processes = character.processes_on(bench, on_offer)
    # Of litres that are not given nothing can move and no measurement narrows anything.
    said = present.withheld is None
    tried = beside.to_try if said else None
    subject = tried.result.bill if tried and not tried.result.bill.same_grist(enquiry.present) else None
    effects: dict[str, Band] = {}
    if subject is not None:
        effects = bench.runs.effects(influence.change(bench, enquiry.present, subject))
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
        answer=words.answer(enquiry, present, beside.asked, beside.offers, searched, processes),
        search=searched,
        anchor=anchored,
        will_not=character.will_not(processes),
        assumptions=assumptions(bench, names, enquiry.currency, enquiry),
        effects=effects,
        measure_next=influence.measure_next(bench, enquiry.present, subject, enquiry.record) if said else (),
        trial=first_trial(tried, enquiry.record, enquiry.present.name) if tried and subject else None,
        warnings=tuple(problem.sentence() for problem in (*warnings, *bench.warnings))
        + result_warnings(bench, results),
        cautions=(*(caution.text for caution in cautions(*CAUTIONS)), *bill_cautions(results)),
        provenance=provenance(bench, enquiry, present, inputs),
        shown=beside.shown,
        asked=beside.asked,
        language=enquiry.language,
        typical_lots=typical_lots(bench, results),
        trade=character.trade_says(processes),
    )


def _names(present: BillResult, offers: tuple[Offer, ...]) -> set[str]:
    """Every assumption any figure, ledger row or board rests on."""
    of_results = [of_result(result) for result in (present, *(offer.result for offer in offers))]
    return set().union(*of_results, *(named(offer.changes.values()) for offer in offers))
