"""The whole dossier: the recommendation, and what is needed to run and to buy it. See docs/order.md."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from gristwright.basics import Band, Problem, Tick, no_tick
from gristwright.casework.bench.grounds import assumptions, named
from gristwright.casework.claim.claim import claim
from gristwright.casework.claim.give_and_gain import arms_of_offers, give_and_gain
from gristwright.casework.mash_house.change_over import STEPS, annual, change_over
from gristwright.casework.mash_house.mash_part import mash_part
from gristwright.casework.mash_house.order import mash_order
from gristwright.casework.mash_house.sensitivity import sensitivity
from gristwright.casework.recommend.cask_outlook import cask_outlook
from gristwright.casework.recommend.recommend import answer_on_bench
from gristwright.numerics import draws as drawing
from gristwright.records.ageing import ClaimAnswer
from gristwright.records.bill import Bill
from gristwright.records.enquiry import Enquiry
from gristwright.records.give_gain import GiveGain
from gristwright.records.lot import Lot
from gristwright.records.order import AnnualLine, ChangeOver, Dossier, MashOrder, Sensitivity
from gristwright.records.results import BillResult, Offer, Recommendation


def dossier(
    enquiry: Enquiry,
    lots: Sequence[Lot],
    inputs: Sequence[tuple[str, str]] = (),
    warnings: Sequence[Problem] = (),
    members: int = drawing.MEMBERS,
    seed: int = drawing.SEED,
    tick: Tick = no_tick,
    order_for: str = "",
    bagged: Collection[str] | None = None,
    steps: int = STEPS,
) -> Dossier:
    """An enquiry answered in full. `order_for` is the letter of the offer to order; else the one to be tried first.

    Without an offer the order is for the present bill and there is nothing to change over to. Raises Refused.
    """
    bench, answer = answer_on_bench(enquiry, lots, inputs, warnings, members, seed, tick)
    letter, result = ordered(answer, order_for)
    bills: list[tuple[str, Bill]] = [(mark, offer.result.bill) for mark, offer in beside_today(answer)]
    order = mash_order(bench, enquiry, result, letter, bagged, enquiry.record)
    way = change_over(bench, enquiry.present, result.bill, steps, bagged) if letter else None
    best = [(mark, bill) for mark, bill in bills if not mark.startswith("Bill ")]
    years, moves = annual(bench, enquiry, bills), sensitivity(bench, enquiry, best)
    wood = cask_outlook(bench)
    mashed = mash_part(bench, result.bill, tick)
    names = {assumption.name for assumption in answer.assumptions} | _names(order, way, years, moves)
    of_grid = mashed.grid.assumptions if mashed.grid else ()
    of_wash = mashed.wash.assumptions if mashed.wash else ()
    names |= {assumption.name for assumption in (*mashed.run.assumptions, *of_grid, *of_wash)}
    said = assumptions(bench, names | set(wood.rests_on), enquiry.currency, enquiry)
    ages = _ages(enquiry)
    losses = wood.losses
    gain = _gain(enquiry, answer, lots, ages, losses.alcohol_of_remaining if losses else None)
    return Dossier(answer, order, way, years, moves, said, wood, mashed, gain, ages)


def _ages(enquiry: Enquiry) -> ClaimAnswer | None:
    """What the casks that go with an enquiry carry, None where none go with it."""
    asked = enquiry.claim
    if asked is None:
        return None
    return claim(asked.ladder, asked.arms, asked.claims, model=asked.model, count=asked.count, issued=enquiry.date)


def _gain(
    enquiry: Enquiry, answer: Recommendation, lots: Sequence[Lot], ages: ClaimAnswer | None, forecast: Band | None
) -> GiveGain:
    """The plane of the offers, with money where the enquiry has prices at release."""
    known = ages.answers if ages else ()
    grists = enquiry.claim.grists if enquiry.claim else ()
    arms = arms_of_offers(answer.offers, known, grists, lots, enquiry.laid_down.years)
    return give_and_gain(answer, enquiry, enquiry.release, arms, forecast)


def _names(order: MashOrder, way: ChangeOver | None, years: Sequence[AnnualLine], moves: Sensitivity) -> set[str]:
    """Every assumption a figure beside the recommendation rests on."""
    figures = [figure for line in years for figure in line.figures.values()]
    figures += [order.rounding] if order.rounding else []
    figures += [step.lpa_per_t for step in way.steps if step.lpa_per_t] if way else []
    figures += [figure for one in moves.one_percent for figure in (one.lpa_per_t, one.cost_per_lpa)]
    figures += [flip.price for flip in moves.flips if flip.price is not None]
    return named(figures)


def beside_today(answer: Recommendation) -> list[tuple[str, Offer]]:
    """Every bill by what it is called that is not today's own."""
    return [(mark, one) for mark, one in answer.told if not one.result.bill.same_grist(answer.present.bill)]


def ordered(answer: Recommendation, letter: str = "") -> tuple[str, BillResult]:
    """Letter and result of the bill to order: the one asked for, else the one to be tried first, else today's."""
    named = dict(beside_today(answer))
    if letter in named:
        return letter, named[letter].result
    tried = answer.trial.offer if answer.trial else ""
    for mark, offer in named.items():
        if offer.result.bill.name == tried:
            return mark, offer.result
    return "", answer.present
