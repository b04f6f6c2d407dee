"""How much of a malt, for how long: a series of doses, what each gives up, and the cheapest way to find out.

See docs/ageing.md.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from gristwright.basics import Band, Light, Refused, Tick, Verdict, refuse_if_any
from gristwright.casework.bench.bench import Bench
from gristwright.casework.bench.dosing import dose_bills, dose_problems, dosed_lots
from gristwright.casework.bench.withheld import first_of, of_figures
from gristwright.casework.claim.give_and_gain import give_and_gain
from gristwright.casework.claim.looks import casks_cost, last_look, looks
from gristwright.casework.claim.plan_proof import Asked, cost_of, older_of, plan_proof
from gristwright.casework.recommend import dose_words
from gristwright.casework.recommend.work import most_risk, work_of
from gristwright.records.ageing import ProofOption, ProofPlan
from gristwright.records.bill import Bill
from gristwright.records.dose import DoseAsked, DosePlan, DoseStage, DoseStep
from gristwright.records.enquiry import Enquiry
from gristwright.records.results import BillResult, Figure, Offer, Recommendation

# A bill on the bench of an answer, and what it changes against today's.
Dosed = Callable[[Bill], tuple[BillResult, list[Figure]]]


@dataclass(frozen=True)
class _Trial:
    """The trial that every dose takes for itself: its size, its looks, what they cost."""

    asked: Asked
    plan: ProofPlan
    older: ProofOption | None
    casks: int
    stages: tuple[DoseStage, ...]

    @property
    def cost(self) -> float | None:
        """Casks and all looks; None without any price."""
        paid = [casks_cost(self.asked, self.casks), *(stage.cost for stage in self.stages)]
        return None if all(one is None for one in paid) else sum(one or 0.0 for one in paid)


def dose_plan(bench: Bench, enquiry: Enquiry, answer: Recommendation, dosed: Dosed, tick: Tick) -> DosePlan:
    """The series that an enquiry asks for; every dose is followed on the answer's own draws. Raises Refused."""
    asked = enquiry.dose
    assert asked is not None
    refuse_if_any(dose_problems(enquiry))
    bills, offers, left_out = dose_bills(enquiry, asked), [], []
    for done, (pct, bill) in enumerate(bills):
        tick(done, len(bills), "following the doses")
        try:
            offers.append((pct, _offer(answer.present, *dosed(bill))))
        except Refused as refused:  # such a grist has no balance: it is no fault of the other doses
            left_out.append((pct, refused))
    if not offers:
        raise left_out[0][1]
    needed = _needed(enquiry, answer, [offer for _, offer in offers])
    trial = _trial(asked, bench.seed)
    found = [_step(bench, enquiry, pct, offer, needed.get(offer.result.bill.name), trial) for pct, offer in offers]
    steps = _in_order(found)
    titles = {belief.lot.lot_id: belief.material.title for belief in bench.lots}
    plan = DosePlan(
        asked=asked,
        titles=tuple(f"{titles[lot]} {lot}" for lot in dosed_lots(enquiry, asked)),
        answer=(),
        steps=steps,
        casks=trial.casks,
        stages=trial.stages,
        older=trial.older,
        reads=trial.plan.chosen,
        largest=trial.plan.options[-1],
        reads_years=trial.plan.reads_years,
        together_cost=_together(trial, steps),
        facts=dose_words.facts(),
        left_out=tuple(f"{pct:g} %: {refused.problems[0].sentence()}" for pct, refused in left_out),
        currency=enquiry.currency,
    )
    return replace(plan, answer=dose_words.answer(plan, enquiry.present.name))


def _offer(present: BillResult, result: BillResult, figures: list[Figure]) -> Offer:
    """A dose as an offer is held: without changes where litres are withheld."""
    why = first_of(present.withheld, result.withheld)
    changes = {} if why else {figure.key: figure for figure in figures}
    return Offer(result, changes, "", (), of_figures(why, figures) if why else None)


def _needed(enquiry: Enquiry, answer: Recommendation, offers: Sequence[Offer]) -> dict[str, Band]:
    """Years older than its age that each dose must stand in for, by bill; none without prices at release."""
    said = tuple(offer for offer in offers if offer.changes)
    if enquiry.release is None or answer.present.withheld is not None or not said:
        return {}
    costs = give_and_gain(replace(answer, offers=said), enquiry, enquiry.release).costs
    return {cost.name: cost.needed_years for cost in costs if cost.needed_years is not None}


def _trial(asked: DoseAsked, seed: int) -> _Trial:
    """The smallest trial that shows "older than it is"; where none does, the largest that was looked at."""
    one = Asked(
        asked.claim,
        power=asked.power_pct / 100.0,
        ladder_ages=asked.ladder_years,
        markers=asked.markers,
        assessors=asked.assessors,
        cask_cost=asked.cask_cost,
        analysis_cost=asked.analysis_cost,
        sitting_cost=asked.sitting_cost,
    )
    plan = plan_proof(one, seed=seed)
    older = older_of(plan.options, one, asked.least_casks)
    size = older or plan.options[-1]
    stages = (*looks(one, size.casks_per_arm, seed), last_look(one, size))
    return _Trial(one, plan, older, size.casks_per_arm, stages)


def _step(bench: Bench, enquiry: Enquiry, pct: float, offer: Offer, needed: Band | None, trial: _Trial) -> DoseStep:
    """One dose with what it gives up and what its own proof takes."""
    filled = bench.cask.kind.capacity_L * bench.cask.entry_abv_pct / 100.0 * trial.casks
    lpa = bench.runs.band(bench.made(offer.result.bill).spirit.lpa_per_t).middle
    more = offer.changes.get("cost_per_lpa")
    spirit = None if more is None else max(more.band.middle, 0.0) * filled
    cost = None if trial.cost is None else trial.cost + (spirit or 0.0)
    return DoseStep(
        pct=pct,
        result=offer.result,
        changes=offer.changes,
        withheld=offer.withheld,
        needed_years=needed,
        felt=_felt(offer.result),
        mashes=math.ceil(filled / (lpa * enquiry.plant.mash.kg_per_mash / 1000.0)),
        spirit_cost=spirit,
        cost=cost,
        order=0,
        stopped_by=_stopped(enquiry, offer.result),
    )


def _felt(result: BillResult) -> tuple[str, ...]:
    """Markers that are likely felt and surely more than today."""
    return tuple(
        one.title
        for one in result.markers
        if one.verdict == "likely_felt" and (one.against_today is None or one.against_today.low > 1.0)
    )


def _stopped(enquiry: Enquiry, result: BillResult) -> tuple[str, ...]:
    """Boards that stop such a bill, limits of the customer's that it does not keep, names that it may not carry."""
    limits = [
        f"not {limit.words}"
        for limit in work_of(enquiry).limits
        if (figure := result.figures.get(limit.key)) is not None
        and (figure.band.middle < limit.bound if limit.least else figure.band.middle > limit.bound)
    ]
    boards = [
        board.title
        for board in result.boards
        if board.light is Light.RED
        and board.probability_red > most_risk(board.key)
        and not board.key.startswith("law.")
    ]
    withheld = [result.withheld.because] if result.withheld else []
    return (*boards, *limits, *withheld, *(one.title for one in result.law if one.verdict is Verdict.FAIL))


def _in_order(steps: Sequence[DoseStep]) -> tuple[DoseStep, ...]:
    """The doses that may be mashed, cheapest first, numbered; behind them the others."""

    def dearness(step: DoseStep) -> tuple[float, float]:
        given_up = step.changes["lpa_per_t"].band.middle if step.changes else -math.inf
        return (step.cost or 0.0, -given_up)

    sound = sorted((step for step in steps if not step.stopped_by), key=dearness)
    numbered = [replace(step, order=place) for place, step in enumerate(sound, start=1)]
    return (*numbered, *(step for step in steps if step.stopped_by))


def _together(trial: _Trial, steps: Sequence[DoseStep]) -> float | None:
    """All sound doses in one trial, which share today's arm and the references [money]."""
    sound = [step for step in steps if step.order]
    if trial.cost is None or not sound:
        return None
    every = replace(trial.asked, arms=len(sound) + 1)
    looked = sum(stage.cost or 0.0 for stage in looks(every, trial.casks))
    return (cost_of(every, trial.casks) or 0.0) + looked + sum(step.spirit_cost or 0.0 for step in sound)
