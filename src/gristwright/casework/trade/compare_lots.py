"""One lot exchanged for another in a bill, on the same draws: what changes, and what to adjust. See docs/trade.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from gristwright.basics import Draws, FloatArray, Problem, Refused, at
from gristwright.casework.bench import influence, limits
from gristwright.casework.bench.assess import assess
from gristwright.casework.bench.bench import Bench, SpiritBench
from gristwright.casework.bench.grounds import HOUSE, PSY, assumptions, named
from gristwright.casework.bench.setting_up import set_up
from gristwright.casework.bench.withheld import first_of, of_figures
from gristwright.casework.bench.words import assumed_words, change_words
from gristwright.economics.new_make import cost_per_lpa
from gristwright.flowsheet.effects import HouseEffect
from gristwright.flowsheet.line import NewMake
from gristwright.numerics import draws as drawing
from gristwright.quantities.gravity import WATER_20C_kg_m3
from gristwright.quantities.shown import lower, plain, with_interval
from gristwright.records.bill import Bill, Share
from gristwright.records.enquiry import BillSheet, Limits
from gristwright.records.lot import Lot
from gristwright.records.results import BillResult, Figure, MeasureNext
from gristwright.records.streams import Wort
from gristwright.records.trade import AnalysisDifference, BoardChange, LotComparison
from gristwright.reference import csv_rows
from gristwright.stages.grist.certificate import LotBelief
from gristwright.stages.grist.certificate_units import fields

# Two results of one lot from two laboratories differ by no more than 2.8 standard deviations in 95 cases of a hundred:
# the reproducibility limit of ISO 5725-6.
REPRODUCIBILITY = 2.8
MOST_MEASURED = 4
# What the certificates change whatever the mash makes of it.
OF_THE_GRIST = ("diastatic_power_degLintner", "dextrinising_units")
ROUNDS = 2  # after them the volume that holds a gravity moves by less than a hundredth of a litre
WIDE = (
    "Two certificates of one laboratory share a part of its bias, which would cancel here; their errors are drawn "
    "apart, so the intervals are on the wide side."
)


@dataclass(frozen=True)
class Swap:
    """A bill before and after, on one bench."""

    bench: Bench
    old: Bill
    new: Bill
    old_made: NewMake
    new_made: NewMake


def compare(
    sheet: BillSheet,
    lots: Sequence[Lot],
    old_id: str,
    new_id: str,
    members: int = drawing.MEMBERS,
    seed: int = drawing.SEED,
) -> LotComparison:
    """The bill with lot `old_id` and the same bill with `new_id` at its share, as paired differences (new less old).

    Raises Refused with every fault: lots not given, the old lot not in the bill, and all a forecast refuses.
    """
    needed = {share.lot_id for share in sheet.bill.shares} | {new_id}
    faults = swap_problems(sheet.bill, {lot.lot_id for lot in lots}, old_id, new_id)
    faults += limits.sheet_problems(sheet, lots)
    if sheet.cask is None:
        raise Refused([*faults, Problem(at("plant", "cask"), "is missing.", "Say what the spirit is filled into.")])
    chosen = [lot for lot in lots if lot.lot_id in needed]
    bench = set_up(chosen, sheet.prices, sheet.plant, sheet.cask, faults, members, seed, behind=sheet.bill).traced()
    swap = _swapped(bench, sheet.bill, exchanged(sheet.bill, old_id, new_id))
    currency = sheet.currency if needed <= set(sheet.prices) else ""
    old, new = (assess(bench, bill, sheet.categories, sheet.date, Limits(), currency) for bill in (swap.old, swap.new))
    return _comparison(swap, sheet.bill, old_id, new_id, old, new, currency)


def swap_problems(bill: Bill, given: set[str], old_id: str, new_id: str) -> list[Problem]:
    """A lot exchanged that is not in the bill, or one put in without a certificate."""
    problems = []
    if not bill.parts_of(old_id):
        held = ", ".join(share.lot_id for share in bill.shares) or "none"
        problems.append(Problem(at("bill", "shares"), f"does not hold lot {old_id!r}.", f"Exchange one of: {held}."))
    if new_id not in given:
        known = ", ".join(sorted(given)) or "none"
        problems.append(Problem(at("lots"), f"lot {new_id!r} has no certificate.", f"Add it, or use one of: {known}."))
    return problems


def exchanged(bill: Bill, old_id: str, new_id: str) -> Bill:
    """The bill with the old lot's share given to the new one, which may be in the bill already."""
    if old_id == new_id:
        return bill
    parts = {share.lot_id: share.parts for share in bill.shares}
    parts[new_id] = parts.get(new_id, 0) + parts.get(old_id, 0)
    shares = tuple(Share(lot_id, part) for lot_id, part in parts.items() if lot_id != old_id)
    return Bill(f"{bill.name} with {new_id} for {old_id}", shares)


def _swapped(bench: Bench, old: Bill, new: Bill) -> Swap:
    before, after = (bench.made(bill) for bill in (old, new))
    return Swap(bench, old, new, before, after)


def _comparison(
    swap: Swap, bill: Bill, old_id: str, new_id: str, old: BillResult, new: BillResult, currency: str
) -> LotComparison:
    beliefs = {belief.lot.lot_id: belief for belief in swap.bench.lots}
    figures, why = _changes(swap, currency), first_of(old.withheld, new.withheld)
    changes = {figure.key: figure for figure in figures if why is None or figure.key in OF_THE_GRIST}
    apart = analysis_differences(beliefs[old_id], beliefs[new_id])
    lot_names = [*beliefs[old_id].used, *(beliefs[new_id].used if new_id != old_id else ())]
    return LotComparison(
        old_id=old_id,
        new_id=new_id,
        share_pct=bill.parts_of(old_id) / 100.0,
        old=old,
        new=new,
        changes=changes,
        words=(
            *(f"{figure.label}: {change_words(figure, 'less', 'more')}." for figure in changes.values()),
            *([_whose(old, new)] if why else []),
        ),
        adjust=(*(() if why else gravity_words(swap)), *mill_words(apart)),
        differences=apart,
        boards=_board_changes(old, new),
        measure_next=() if why else measure_next(swap, lot_names),
        assumptions=assumptions(swap.bench, named(changes.values()), currency),
        notes=(WIDE,),
        warnings=tuple(problem.sentence() for problem in swap.bench.warnings)
        + assumed_words(swap.bench, (old, new))
        + tuple(dict.fromkeys((*old.warnings, *new.warnings))),
        withheld=of_figures(replace(why, sentence=_whose(old, new)), [f for f in figures if f.key not in changes])
        if why
        else None,
    )


def _whose(old: BillResult, new: BillResult) -> str:
    """Which of the two bills has litres that are withheld, and why."""
    said = [f"Of {one.bill.name}: {lower(one.withheld.sentence)}" for one in (old, new) if one.withheld]
    return " ".join(dict.fromkeys(said))


def _changes(swap: Swap, currency: str) -> list[Figure]:
    before, after, bench = swap.old_made, swap.new_made, swap.bench
    still = (PSY, HOUSE)
    rows: list[tuple[str, str, str, FloatArray, int, tuple[str, ...]]] = [
        ("lpa_per_t", "New spirit", "L pure alcohol/t", after.spirit.lpa_per_t - before.spirit.lpa_per_t, 1, still),
        ("wash_abv_pct", "Wash strength", "%vol", after.wash.abv_pct - before.wash.abv_pct, 2, still),
        (
            "original_gravity_sg",
            "Original gravity",
            "SG",
            after.wort.original_gravity_sg - before.wort.original_gravity_sg,
            4,
            (HOUSE,),
        ),
        (
            "diastatic_power_degLintner",
            "Diastatic power of the grist",
            "degLintner",
            after.grist.diastatic_power_degLintner - before.grist.diastatic_power_degLintner,
            0,
            (),
        ),
        (
            "dextrinising_units",
            "Dextrinising units of the grist",
            "DU",
            after.grist.dextrinising_units - before.grist.dextrinising_units,
            0,
            (),
        ),
    ]
    if currency:
        cost = _malt_cost(after) - _malt_cost(before)
        prices = tuple(f"input.price.{b.lot.lot_id}" for b in bench.lots)
        rows.append(("cost_per_lpa", "Malt", f"{currency}/L pure alcohol", cost, 3, (*still, *prices)))
    return [
        Figure.of(key, label, unit, values, digits, bench.runs, *given)
        for key, label, unit, values, digits, given in rows
    ]


def _malt_cost(made: NewMake) -> FloatArray:
    return cost_per_lpa(made.grist.malt_cost_per_t, 0.0, made.spirit.lpa_per_t)


def holding_volume_L_per_t(old: Wort, new: Wort) -> FloatArray:
    """Wort (or whole mash) [L/t] that gives the new grist the old original gravity, (members,).

    Extract of the new grist in the old strength, and beside it the room its grains take: that is what the volume
    holds more than the liquid.
    """
    strong_kg_L, weak_kg_L = _extract_kg_L(old), _extract_kg_L(new)
    return np.asarray(new.volume_L_per_t + new.extract_kg_per_t * (1.0 / strong_kg_L - 1.0 / weak_kg_L))


def held_volume_L_per_t(
    bench: SpiritBench, shares: FloatArray, old: Wort, new: Wort, draws: Draws, effect: HouseEffect | None = None
) -> FloatArray:
    """The same once more at those litres, (members,): other wort washes the grain otherwise and gives other extract.

    `shares` (lots,) and `effect` are of the new grist.
    """
    litres = holding_volume_L_per_t(old, new)
    for _ in range(ROUNDS):
        plan = replace(bench.plant.mash, wort_L_per_t=float(np.mean(litres)))
        held = replace(bench, plant=replace(bench.plant, mash=plan))
        litres = holding_volume_L_per_t(old, held.new_make(shares, draws, effect).wort)
    return litres


def _extract_kg_L(wort: Wort) -> FloatArray:
    """Extract in a litre of the liquid [kg/L] from its gravity, (members,)."""
    return np.asarray(wort.original_gravity_degP / 100.0 * wort.original_gravity_sg * WATER_20C_kg_m3 / 1000.0)


def gravity_words(swap: Swap) -> tuple[str, ...]:
    """How to keep the original gravity: other litres at the same grist, or other grist in the same litres."""
    plant, runs = swap.bench.plant, swap.bench.runs
    bench, shares = swap.bench, swap.bench.shares(swap.new)
    effect = bench.house_effect(shares, bench.draws)
    litres = held_volume_L_per_t(bench, shares, swap.old_made.wort, swap.new_made.wort, bench.draws, effect)
    kg = plant.mash.kg_per_mash * plant.mash.wort_L_per_t / litres
    moved = runs.band(litres - plant.mash.wort_L_per_t)
    what = "mash" if plant.grain_in else "wort"
    if moved.includes_zero:
        shown = with_interval(moved, 0, difference=True)
        return (
            f"Original gravity: no sure change ({shown} L of {what} a tonne would hold it); leave the mash as it is.",
        )
    to_litres, to_kg = runs.band(litres), runs.band(kg)
    return (
        f"To hold the original gravity: {with_interval(to_litres, 0)} L of {what} a tonne instead of "
        f"{plain(plant.mash.wort_L_per_t, 0)}; or {with_interval(to_kg, 0)} kg a mash instead of "
        f"{plain(plant.mash.kg_per_mash, 0)} into the same litres.",
    )


def analysis_differences(old: LotBelief, new: LotBelief) -> tuple[AnalysisDifference, ...]:
    """Every field of both certificates in the table's unit, with what two laboratories may differ by on one lot."""
    both = dict.fromkeys(a.field for a in old.lot.analyses if a.field in old.values and a.field in new.values)
    return tuple(_difference(field, old.values[field], new.values[field]) for field in both)


def _difference(field: str, before: float, after: float) -> AnalysisDifference:
    row = next((row for row in csv_rows("tables/laboratory_spread.csv") if row["field"] == field), None)
    limit = None
    if row is not None:
        size = 0.5 * (abs(before) + abs(after)) if row["relative"] == "yes" else 1.0
        limit = REPRODUCIBILITY * float(row["sd"]) * size
    return AnalysisDifference(
        field=field,
        title=fields()[field].title,
        unit=fields()[field].table_unit,
        old=before,
        new=after,
        limit=limit,
        beyond=None if limit is None else abs(after - before) > limit + 1e-12,
        standing=row["standing"] if row else "",
        source=row["source"] if row else "no spread between laboratories is on file",
    )


def mill_words(apart: Sequence[AnalysisDifference]) -> tuple[str, ...]:
    """Notes for mill and mash, only where a difference beyond the laboratories' supports one."""
    notes = {(row["field"], row["direction"]): row for row in csv_rows("tables/lot_change_notes.csv")}
    sentences = []
    for line in apart:
        row = notes.get((line.field, "more" if line.new > line.old else "less"))
        if line.beyond and row is not None:
            sentences.append(f"{row['note']} ({row['standing']})")
    return tuple(sentences)


def _board_changes(old: BillResult, new: BillResult) -> tuple[BoardChange, ...]:
    before = {board.key: board for board in old.boards}
    return tuple(
        BoardChange(board.title, before[board.key].light, board.light, f"{board.sentence} {board.remedy}".rstrip())
        for board in new.boards
        if board.key in before and board.light is not before[board.key].light
    )


def measure_next(swap: Swap, names: Sequence[str]) -> tuple[MeasureNext, ...]:
    """The analyses of the two lots whose halved spread narrows the change in litres most."""
    values = influence.change(swap.bench, swap.old, swap.new)
    resting = [name for name in swap.bench.runs.rests_on(values) if name in names]
    lines = [influence.narrowing(swap.bench, values, name, "the change in litres") for name in resting]
    return influence.best([item for item in lines if item], MOST_MEASURED)
