"""A job's bench set up from its lots, house and plan: believed, drawn and checked. See docs/casework.md."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from gristwright.basics import Problem, at, refuse_if_any
from gristwright.casework.bench.believing import believe_lots
from gristwright.casework.bench.bench import Bench, GristBench, SpiritBench, lay
from gristwright.casework.bench.capacity import usual_hours
from gristwright.casework.bench.laid_down import laid_down_problems
from gristwright.casework.bench.paced import paced
from gristwright.numerics import draws as drawing
from gristwright.numerics.weights import equal_weights
from gristwright.records.bill import Bill
from gristwright.records.enquiry import CaskPlan
from gristwright.records.lot import Lot
from gristwright.records.plant import Plant
from gristwright.reference import process_priors
from gristwright.stages.mash.limits import mash_problems
from gristwright.stages.mash.limits_plan import plan_problems
from gristwright.stages.mash.limits_run_off import enzyme_problems
from gristwright.stages.still import column_doubler
from gristwright.stages.still import limits as still_limits
from gristwright.stages.wash.limits import washback_problems


def set_up_grist(
    lots: Sequence[Lot],
    prices: Mapping[str, float],
    plant: Plant,
    problems: list[Problem],
    members: int = drawing.MEMBERS,
    seed: int = drawing.SEED,
    *,
    behind: Bill | None = None,
) -> GristBench:
    """Believe the lots and draw every parameter. Raises Refused with every fault found so far.

    `behind` is the bill that the house's measured course of fermentation belongs to.
    """
    # In an order of their own, so that the order of a file moves no figure and no sentence.
    beliefs, faults = believe_lots(sorted(lots, key=lambda lot: lot.lot_id))
    warnings = refuse_if_any([*problems, *faults, *_house_problems(plant)])
    hours = usual_hours().ranges.values()
    priors = (*process_priors(), *hours, *(prior for belief in beliefs for prior in belief.priors))
    bench = GristBench(
        lots=beliefs,
        prices=tuple(prices.get(belief.lot.lot_id, float("nan")) for belief in beliefs),
        plant=plant,
        priors=priors,
        draws=drawing.sample(priors, members, seed),
        weights=equal_weights(members),
        middles=drawing.middles(priors),
        seed=seed,
        warnings=warnings,
    )
    return paced(bench, behind)


def set_up_spirit(
    lots: Sequence[Lot],
    prices: Mapping[str, float],
    plant: Plant,
    problems: list[Problem],
    members: int = drawing.MEMBERS,
    seed: int = drawing.SEED,
    *,
    behind: Bill | None = None,
) -> SpiritBench:
    """The bench of a distiller who has not said what the spirit is filled into. Raises Refused with every fault."""
    return SpiritBench(**vars(set_up_grist(lots, prices, plant, problems, members, seed, behind=behind)))


def set_up(
    lots: Sequence[Lot],
    prices: Mapping[str, float],
    plant: Plant,
    plan: CaskPlan,
    problems: list[Problem],
    members: int = drawing.MEMBERS,
    seed: int = drawing.SEED,
    *,
    behind: Bill | None = None,
) -> Bench:
    """The grist bench of a distiller with its cask laid down. Raises Refused with every fault found so far."""
    grist = set_up_grist(lots, prices, plant, [*problems, *laid_down_problems(plan)], members, seed, behind=behind)
    return Bench(**vars(grist), cask=plan, lain=lay(plan, grist.draws), lain_middle=lay(plan, grist.middles))


def _house_problems(plant: Plant) -> list[Problem]:
    place = at("plant", "mash")
    problems = mash_problems(plant.mash, place) + plan_problems(plant.mash, place, plant.grain_in)
    problems += enzyme_problems(plant.mash, plant.enzymes, place)
    problems = list(dict.fromkeys(problems))
    problems += washback_problems(plant.washbacks, at("plant", "washbacks"), plant.wort_boiled)
    problems += still_limits.check_stills(plant.pot_stills) if plant.pot_stills else []
    problems += column_doubler.check(plant.column) if plant.column else []
    return problems
