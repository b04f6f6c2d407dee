"""One bill on the bench: figures, ledger, boards, law."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import replace

from gristwright.basics import FloatArray, Problem, at, refuse_if_any
from gristwright.casework.bench import whisky
from gristwright.casework.bench.bench import Bench, SpiritBench
from gristwright.casework.bench.boards import distillers_boards, why_withheld
from gristwright.casework.bench.capacity import year_t
from gristwright.casework.bench.fermenting import told_of
from gristwright.casework.bench.grounds import HOUSE, PSY
from gristwright.casework.bench.identity import identities
from gristwright.casework.bench.law_in_short import basis_words
from gristwright.casework.bench.ledger import ledger
from gristwright.casework.bench.markers_of_bill import markers_of_bill
from gristwright.casework.bench.withheld import of_figures
from gristwright.economics.new_make import cost_per_lpa
from gristwright.flowsheet.line import NewMake
from gristwright.records.bill import Bill
from gristwright.records.enquiry import Limits
from gristwright.records.law import CategoryAnswer
from gristwright.records.remedies import Alteration
from gristwright.records.results import BillResult, Figure
from gristwright.rules import law
from gristwright.stages.grist.limits import husk_problems
from gristwright.stages.mash import limits_simulation as mash_limits
from gristwright.stages.still import limits as still_limits


def assess(
    bench: SpiritBench,
    bill: Bill,
    categories: Sequence[str],
    date: dt.date,
    limits: Limits,
    currency: str,
    processing_cost_per_t: float = 0.0,
    present: Bill | None = None,
    markets: Sequence[str] = (),
) -> BillResult:
    """Everything computed for one bill on the bench's draws; `present` is the bill the house mashes today.

    Beside the `categories` asked the law judges those of the house's country and of the `markets`.

    On a bench without a cask it ends at new spirit, and no law is asked: what the law asks about is not known.
    """
    made = bench.made(bill)
    why = why_withheld(bench, bill, made.grist, made.wort, wash=made.wash)
    figures = _figures(bench, bill, made, currency, processing_cost_per_t)
    verdicts = whisky.judge(bench, bill, categories, date) if isinstance(bench, Bench) else ()
    beside = whisky.judge_beside(bench, bill, categories, markets, date) if isinstance(bench, Bench) else ()
    unjudged = whisky.why_not_judged(bench, bill, markets, date) if isinstance(bench, Bench) else ()
    boards = distillers_boards(bench, bill, made, limits, verdicts, present, _law_of(bench, bill, verdicts, date))
    told = told_of(bench, bill, made.wort, made.wash.end, why is not None)
    ran = [problem.sentence() for problem in refuse_if_any(_run_problems(bench, bill, made, why is None))]
    return BillResult(
        bill=bill,
        labels=bench.labels(bill),
        figures={} if why else {figure.key: figure for figure in figures},
        ledger=None if why else ledger(bench, bill, made, bench.made_middle(bill)),
        boards=told.among(boards),
        law=verdicts,
        warnings=(*basis_words(verdicts, beside), *ran, *unjudged, *law.market_notes(None, markets)),
        cautions=told.sentences,
        withheld=of_figures(why, figures) if why else None,
        lots=identities(bench, bill),
        law_beside=beside,
        markers=markers_of_bill(bench, bill, made, present, f"{why.because}." if why else ""),
    )


def _law_of(
    bench: SpiritBench, bill: Bill, verdicts: Sequence[CategoryAnswer], date: dt.date
) -> Callable[[Alteration], str] | None:
    """Who asks the law of a remedy; None where no category is asked."""
    if not isinstance(bench, Bench) or not verdicts:
        return None
    on = bench
    return lambda change: whisky.law_of_change(on, bill, verdicts, change, date)


def _run_problems(bench: SpiritBench, bill: Bill, made: NewMake, said: bool) -> list[Problem]:
    """What only the run can tell: a mash that hardly converts, a wash or charge outside the still's balance.

    Of a bill whose litres are not `said` there is no wash to be judged.
    """
    # Of a bill whose litres are withheld for it this is told and no refusal: everything else of it is known.
    left = [problem if said else replace(problem, warning=True) for problem in mash_limits.left_problems(made.wort)]
    left += husk_problems(bill, bench.materials, at("bill"))
    if not said:
        return left
    stills = bench.plant.pot_stills
    if stills is None:
        return [*left, *still_limits.check_wash(made.wash)]
    own = still_limits.check_stills(stills)
    problems = [*left, *still_limits.check(made.wash, stills), *still_limits.check_spirit(made.spirit)]
    return [problem for problem in problems if problem not in own]


def _figures(bench: SpiritBench, bill: Bill, made: NewMake, currency: str, processing: float) -> list[Figure]:
    house, litres, year = (HOUSE,), (PSY, HOUSE), (PSY, HOUSE, "input.tonnes_per_year")
    annual = made.spirit.lpa_per_t * year_t(bench.plant, made.wort, bench.draws)
    rows: list[tuple[str, str, str, FloatArray, int, tuple[str, ...]]] = [
        ("lpa_per_t", "new spirit", "L pure alcohol/t", made.spirit.lpa_per_t, 1, litres),
        ("psy_lpa_per_t", "predicted spirit yield", "L/t", made.grist.psy_lpa_per_t, 1, (PSY,)),
        ("original_gravity_sg", "original gravity", "SG", made.wort.original_gravity_sg, 4, house),
        ("original_gravity_degP", "original extract", "degP", made.wort.original_gravity_degP, 1, house),
        ("final_gravity_sg", "final gravity", "SG", made.wash.final_gravity_sg, 4, litres),
        ("wash_abv_pct", "wash strength", "%vol", made.wash.abv_pct, 2, litres),
        ("annual_lpa", "new spirit a year", "L", annual, 0, year),
    ]
    if isinstance(bench, Bench) and bench.lain is not None:
        bottled, cask = bench.bottled(made), (PSY, HOUSE, "input.cask")
        rows += [
            ("bottled_lpa_per_t", "in the bottle", "L pure alcohol/t", bottled.lpa_per_t, 1, cask),
            ("bottles_per_t", "bottles", "bottles/t", bottled.bottles_per_t, 0, cask),
        ]
    if currency:
        prices = tuple(f"input.price.{b.lot.lot_id}" for b in bench.lots if bill.parts_of(b.lot.lot_id))
        cost = cost_per_lpa(made.grist.malt_cost_per_t, processing, made.spirit.lpa_per_t)
        label = "malt and processing" if processing else "malt"
        paid = (*litres, *prices, *(("input.processing",) if processing else ()))
        rows.append(("cost_per_lpa", label, f"{currency}/L pure alcohol", cost, 3, paid))
    return [
        Figure.of(key, label, unit, values, decimals, bench.runs, *given)
        for key, label, unit, values, decimals, given in rows
    ]
