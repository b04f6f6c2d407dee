"""A bill mashed on a grid of plans: one or two settings varied, all on the same draws. See docs/vary.md."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from gristwright.basics import FloatArray, Problem, Refused
from gristwright.casework.beer import mashed, withheld_of, wort_boards
from gristwright.casework.bench import limits
from gristwright.casework.bench.bench import GristBench, SpiritBench
from gristwright.casework.bench.boards import distillers_boards, why_of
from gristwright.casework.bench.grounds import HOUSE, PSY, assumptions, named
from gristwright.casework.bench.setting_up import set_up, set_up_spirit
from gristwright.casework.mash_house import over_washback
from gristwright.casework.mash_house.mash_bench import grist_bench, quick_course, range_warnings, set_out
from gristwright.casework.mash_house.over import WHERE, axes_problems, stands_at, with_setting
from gristwright.flowsheet.setting_out import in_waters
from gristwright.records.bill import Bill
from gristwright.records.enquiry import BillSheet, Limits
from gristwright.records.lot import Lot
from gristwright.records.mash_trials import Axis, Named, PlanCell, Variation
from gristwright.records.plant import WATERS, Plant, Water
from gristwright.records.results import Board, Figure, Withheld
from gristwright.records.ways import USUAL_STAND_MIN
from gristwright.reference.house_words import for_a_brewer
from gristwright.stages.grist.certificate import column
from gristwright.stages.mash import heat
from gristwright.stages.mash.limits import mash_problems
from gristwright.stages.wash.limits import washback_problems

MEMBERS, SEED = 512, 1
BY_WATERS = ("mash.liquor_L_per_kg", "mash.liquor_degC")
LITRES, FERMENTABILITY, UNCONVERTED = "lpa_per_t", "fermentability_pct", "unconverted_pct"
# Of the simulated wash; a brewer asks how far it attenuates where a distiller asks for litres.
FINAL, ATTENUATION, WARMEST, STOPS = "final_gravity_sg", "apparent_attenuation_pct", "peak_degC", "stops_h"

Tick = Callable[[int, int, str], None]


@dataclass(frozen=True)
class _Plan:
    """One plan computed: values by key, each (members,), its boards and warnings."""

    values: dict[str, FloatArray]
    boards: tuple[Board, ...]
    warnings: tuple[Problem, ...]
    withheld: Withheld | None = None


def vary(
    sheet: BillSheet,
    lots: Sequence[Lot],
    axes: Sequence[Axis],
    members: int = MEMBERS,
    seed: int = SEED,
    tick: Tick | None = None,
) -> Variation:
    """The bill at every point of the grid, each against the plan as it stands.

    `tick(done, total, note)` is called before each point. Raises Refused with every fault of the files and the grid; a
    point that the heat balance or the model refuses stays in the grid with its reason.
    """
    bench = _bench(sheet, lots, axes_problems(sheet.plant, axes), members, seed)
    return vary_on(bench, sheet.bill, axes, tick)


def vary_on(bench: GristBench, bill: Bill, axes: Sequence[Axis], tick: Tick | None = None) -> Variation:
    """A bill of a bench at every point of the grid, each against the plan of the bench's house."""
    points = list(itertools.product(*(axis.values for axis in axes)))
    tick = tick or (lambda done, total, note: None)
    tick(0, len(points), "plan as it stands")
    now = _plan(bench, bill, bench.plant)
    cells = []
    for done, values in enumerate(points):
        tick(done, len(points), point_words(axes, values))
        cells.append(_cell(bench, bill, axes, values, now))
    today = PlanCell((), _figures(bench, now.values), {}, *_worst(now.boards), warnings=_said(now.warnings),
                 withheld=now.withheld.sentence if now.withheld else "")  # fmt: skip
    names = set().union(*(named(cell.figures.values()) for cell in (today, *cells)))
    warnings = tuple(dict.fromkeys((*bench.warnings, *now.warnings)))
    return Variation(
        bill=bill.name,
        house=bench.plant.name,
        axes=tuple(axes),
        standing=_standing(bench, bill, axes),
        today=today,
        cells=tuple(cells),
        assumptions=assumptions(bench, names),
        warnings=warnings,
        members=len(bench.weights),
        seed=bench.seed,
        asked=_named(bench),
    )


def point_words(axes: Sequence[Axis], values: Sequence[float]) -> str:
    """A point of the grid, such as `settled mash 64 degC, liquor 4 L/kg`."""
    return ", ".join(f"{a.setting.meaning} {v:g} {a.setting.unit}" for a, v in zip(axes, values, strict=True))


def _bench(sheet: BillSheet, lots: Sequence[Lot], wrong: list[Problem], members: int, seed: int) -> GristBench:
    """A distiller's bench, with its cask if there is one, or a brewer's; faults of grid and files at once."""
    if sheet.purpose == "beer":
        if wrong:
            raise Refused([*wrong, *limits.sheet_problems(sheet, lots)])
        return grist_bench(sheet, lots, members, seed)
    faults = [*wrong, *limits.sheet_problems(sheet, lots)]
    in_bill = {share.lot_id for share in sheet.bill.shares}
    given = [lot for lot in lots if lot.lot_id in in_bill]
    if sheet.cask is None:
        return set_up_spirit(given, sheet.prices, sheet.plant, faults, members, seed, behind=sheet.bill).traced()
    return set_up(given, sheet.prices, sheet.plant, sheet.cask, faults, members, seed, behind=sheet.bill).traced()


def _cell(bench: GristBench, bill: Bill, axes: Sequence[Axis], values: tuple[float, ...], now: _Plan) -> PlanCell:
    try:
        plant = _plant_at(bench, bill, axes, values)
        planned = _plan(bench, bill, plant)
        of_plan = [p for p in _of_plan(plant) if p.warning]
    except Refused as refused:
        reasons = [problem.sentence() for problem in refused.problems if not problem.warning]
        return PlanCell(values, {}, {}, float("nan"), "", " ".join(dict.fromkeys(reasons)))
    moved = {key: planned.values[key] - now.values[key] for key in planned.values if key in now.values}
    told = _said(now.warnings) + _said(bench.warnings)
    warnings = [text for text in _said((*of_plan, *planned.warnings)) if text not in told]
    figures, changes = _figures(bench, planned.values), _figures(bench, moved)
    why = planned.withheld.sentence if planned.withheld else ""
    return PlanCell(values, figures, changes, *_worst(planned.boards), warnings=tuple(warnings), withheld=why)


def _plant_at(bench: GristBench, bill: Bill, axes: Sequence[Axis], values: Sequence[float]) -> Plant:
    """The plant at one point. What is told by a tun's waters comes last, for they may follow from the other."""
    plant = bench.plant
    for axis, value in sorted(zip(axes, values, strict=True), key=lambda pair: pair[0].key in BY_WATERS):
        if axis.key in BY_WATERS:
            plant = with_waters(bench, bill, plant)
        plant = with_setting(plant, axis.key, value)
    heat_problems(bench, bill, plant)
    return plant


def _of_plan(plant: Plant) -> list[Problem]:
    """What is said of a plan before it is run; warnings are among it."""
    of_washbacks = washback_problems(plant.washbacks, over_washback.WHERE, plant.wort_boiled)
    return mash_problems(plant.mash, WHERE) + of_washbacks


def _standing(bench: GristBench, bill: Bill, axes: Sequence[Axis]) -> tuple[float | None, ...]:
    """What the plan says of each setting; the liquor of a whole mash follows from its volume."""
    plan = with_waters(bench, bill, bench.plant).mash
    if plan.liquor_L_per_kg is None and not plan.waters:
        plan = replace(plan, liquor_L_per_kg=set_out(bench, bill, bench.draws).programme.mashed_in_L_per_kg)
    plan = replace(plan, stand_min=plan.stand_min or USUAL_STAND_MIN)
    return tuple(stands_at(replace(bench.plant, mash=plan), axis.key) for axis in axes)


def with_waters(bench: GristBench, bill: Bill, plant: Plant) -> Plant:
    """The plant with the liquors written out that it leaves open: waters of a tun, what is mashed in before sparges."""
    plan = plant.mash
    if plan.waters or (plan.sparges and plan.liquor_L_per_kg is not None) or not (plan.sparges or in_waters(plant)):
        return plant
    programme = set_out(replace(bench, plant=plant), bill, bench.draws).programme
    if plan.sparges:
        return replace(plant, mash=replace(plan, liquor_L_per_kg=programme.mashed_in_L_per_kg))
    settled = {corner.at_min: corner.settled_degC for corner in programme.corners}
    waters = tuple(
        Water(name, charge.liquor_L_per_kg, settled[charge.at_min])
        for name, charge in zip(WATERS, programme.charges, strict=False)
    )
    return replace(plant, mash=replace(plan, waters=waters, liquor_L_per_kg=None))


def heat_problems(bench: GristBench, bill: Bill, plant: Plant) -> None:
    """Raises Refused where no liquor makes the first water settle as the plan says."""
    plan = with_waters(bench, bill, plant).mash
    if not plan.waters:
        return
    first, shares = plan.waters[0], bench.shares(bill)
    moisture = float(sum(share * np.mean(column) for share, column in zip(shares, _moistures(bench), strict=True)))
    ratio, rise = heat.slaking(moisture)
    heat.liquor_degC(first.settled_degC, plan.grist_degC, first.L_per_kg, ratio, rise, plan.vessel_loss_K)


def _moistures(bench: GristBench) -> list[FloatArray]:
    return [bench.draws[column(belief.lot.lot_id, "moisture_pct")] for belief in bench.lots]


def _said(problems: Sequence[Problem]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(problem.sentence() for problem in problems))


def _plan(bench: GristBench, bill: Bill, plant: Plant) -> _Plan:
    """One plan on the bench's draws."""
    here = bench.with_plant(plant)
    ready = set_out(here, bill, here.draws)
    course = quick_course(ready, here.draws)
    warnings = (*course.warnings, *range_warnings(ready, plant.wort_boiled))
    ferments = course.fermentability
    values = {
        FERMENTABILITY: ferments.now_pct if plant.wort_boiled else ferments.unboiled_pct,
        UNCONVERTED: course.unconverted_pct,
    }
    if not isinstance(here, SpiritBench):
        brewed = mashed(here, bill)
        told = {ATTENUATION: brewed.beer.apparent_attenuation_pct, FINAL: brewed.beer.final_gravity_sg}
        boards, why = for_a_brewer(wort_boards(here, bill, brewed)), withheld_of(here, bill, brewed)
    else:
        made = here.made(bill)
        told = {LITRES: made.spirit.lpa_per_t, FINAL: made.wash.final_gravity_sg}
        boards, why = distillers_boards(here, bill, made, Limits(), ()), why_of(here, bill)
    end = here.house_effect(here.shares(bill), here.draws).wash
    told |= {WARMEST: end.peak_degC, STOPS: end.stops_h}
    return _Plan(({} if why else told) | values, boards, warnings, why)


def _worst(boards: Sequence[Board]) -> tuple[float, str]:
    """How likely the worst board is not in order, and which it is; no name where all are in order for sure."""
    worst = max(boards, key=lambda board: board.probability_red)
    return worst.probability_red, worst.title if worst.probability_red > 0.0 else ""


def _figures(bench: GristBench, values: dict[str, FloatArray]) -> dict[str, Figure]:
    given = {LITRES: (PSY, HOUSE)}
    return {
        key: Figure.of(key, n.label, n.unit, values[key], n.decimals, bench.runs, *given.get(key, (HOUSE,)))
        for key, n in _named(bench).items()
        if key in values
    }


def _named(bench: GristBench) -> dict[str, Named]:
    """What is asked of every plan: litres of a distiller, attenuation of a brewer."""
    boiled = not isinstance(bench, SpiritBench)
    how = "boiled" if bench.plant.wort_boiled else "unboiled"
    vessel = "fermenter" if boiled else "washback"
    first = (
        {ATTENUATION: Named("apparent attenuation", "%", 1)}
        if boiled
        else {LITRES: Named("new spirit", "L pure alcohol/t", 1)}
    )
    return first | {
        FERMENTABILITY: Named(f"fermentable {how}", "% of the extract", 1),
        UNCONVERTED: Named("starch not converted", "% of the starch", 1),
        FINAL: Named("final gravity", "SG", 4),
        WARMEST: Named(f"warmest {vessel}", "degC", 1),
        STOPS: Named("hours until nearly all is made", "h", 0),
    }
