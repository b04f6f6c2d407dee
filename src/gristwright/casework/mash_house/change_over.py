"""From today's bill to the offered one in steps, and what a year of each bill gives and costs. See docs/order.md."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np

from gristwright.basics import FloatArray, Problem, Refused, at
from gristwright.casework.bench.bench import Bench
from gristwright.casework.bench.boards import why_of, why_withheld
from gristwright.casework.bench.capacity import year_t
from gristwright.casework.bench.grounds import HOUSE, PSY
from gristwright.casework.bench.withheld import first_of, of_figures
from gristwright.casework.mash_house.mash_bench import set_out
from gristwright.casework.mash_house.order_aims import has_weak_worts
from gristwright.casework.mash_house.weighing import of_plan, weighed_bill
from gristwright.economics.new_make import cost_per_lpa
from gristwright.records.bill import WHOLE, Bill, Share
from gristwright.records.enquiry import Enquiry
from gristwright.records.order import Action, AnnualLine, ChangeOver, ChangeStep
from gristwright.records.results import Figure
from gristwright.records.said import Said, said
from gristwright.reference import csv_rows

STEPS = 3
MOST_STEPS = 20
WEAK = "weak"  # the rule on weak worts of the bill before
# What a year costs by the tonnes mashed, whatever they give.
BY_TONNES = ("annual_cost", "change_cost")


def change_over(
    bench: Bench, present: Bill, bill: Bill, steps: int = STEPS, bagged: Collection[str] | None = None
) -> ChangeOver:
    """Equal steps from the present bill to another, the last one that bill itself; one step changes at once.

    Raises Refused for less than one step or more than twenty.
    """
    if not 1 <= steps <= MOST_STEPS:
        what = f"{steps} steps are outside 1 to {MOST_STEPS}."
        raise Refused([Problem(at("change-over", "steps"), what, "Three are usual; one changes at once.")])
    house = "grain-in" if bench.plant.grain_in else "separated"
    weak = has_weak_worts(set_out(bench, bill, bench.middles).programme)
    rules = tuple(
        Action(
            Said(f"order.seen.over_{row['key']}"), Said(f"order.do.over_{row['key']}"), row["standing"], row["source"]
        )
        for row in csv_rows("tables/change_over.csv")
        if row["house"] in ("both", house) and (weak or row["key"] != WEAK)
    )
    way = tuple(_step(bench, present, bill, k, steps, bagged) for k in range(1, steps + 1))
    return ChangeOver(bill.name, way, rules)


def between(present: Bill, bill: Bill, done: int, steps: int) -> Bill:
    """The bill so far on the way, in hundredths of a per cent that add up."""
    if done == steps:
        return bill
    lots = list(dict.fromkeys(share.lot_id for share in (*present.shares, *bill.shares)))
    exact = [present.parts_of(lot) + (bill.parts_of(lot) - present.parts_of(lot)) * done / steps for lot in lots]
    parts = [int(value) for value in exact]
    order = sorted(range(len(lots)), key=lambda k: (parts[k] - exact[k], lots[k]))
    for k in order[: WHOLE - sum(parts)]:
        parts[k] += 1
    name = f"step {done} of {steps}"
    return Bill(name, tuple(Share(lot, count) for lot, count in zip(lots, parts, strict=True) if count))


def _step(bench: Bench, present: Bill, bill: Bill, done: int, steps: int, bagged: Collection[str] | None) -> ChangeStep:
    asked = between(present, bill, done, steps)
    weighed = of_plan(bench, asked, bagged, bench.plant.mash.rounding_pct)
    here = weighed_bill(asked, weighed)
    made, unit = bench.made_near(here, bill), "L pure alcohol/t"
    figure = Figure.of("lpa_per_t", "new spirit", unit, made.spirit.lpa_per_t, 1, bench.runs, PSY, HOUSE)
    said = why_withheld(bench, here, made.grist, made.wort, wash=made.wash) is None
    return ChangeStep(
        _when(done, steps),
        weighed,
        figure if said else None,
        _do(done, steps),
    )


def _when(done: int, steps: int) -> Said:
    if done == steps:
        return said("order.over.from_then_on")
    return said("order.over.first") if done == 1 else said("order.over.next")


def _do(done: int, steps: int) -> Said:
    return said("order.over.go_on") if done < steps else said("order.over.stands")


def annual(bench: Bench, enquiry: Enquiry, bills: Sequence[tuple[str, Bill]]) -> tuple[AnnualLine, ...]:
    """A year of today's bill and of each of `bills` (letter, bill): same tonnes, and same litres as today."""
    today = _year(bench, enquiry, enquiry.present)
    lines = [_annual(bench, enquiry, "", enquiry.present, today, today)]
    return (*lines, *(_annual(bench, enquiry, letter, b, _year(bench, enquiry, b), today) for letter, b in bills))


def _year(bench: Bench, enquiry: Enquiry, bill: Bill) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Litres, money for grist and processing, money a litre, and tonnes mashed, each (members,)."""
    made = bench.made(bill)
    tonnes, processing = year_t(bench.plant, made.wort, bench.draws), enquiry.processing_cost_per_t
    litres, grist = made.spirit.lpa_per_t, made.grist.malt_cost_per_t
    spent = (grist + processing) * tonnes + 0.0 * litres
    return litres * tonnes, spent, cost_per_lpa(grist, processing, litres), tonnes


def _annual(
    bench: Bench,
    enquiry: Enquiry,
    letter: str,
    bill: Bill,
    year: tuple[FloatArray, FloatArray, FloatArray, FloatArray],
    today: tuple[FloatArray, FloatArray, FloatArray, FloatArray],
) -> AnnualLine:
    money = enquiry.currency
    litres, spent, cost, mashed = year
    tonnes = bench.runs.band(mashed).middle
    alike = "same tonnes" if np.array_equal(mashed, today[3]) else "with the tonnes that its run-off leaves time for"
    prices = tuple(f"input.price.{share.lot_id}" for share in bill.shares)
    still = (PSY, HOUSE, "input.tonnes_per_year")
    paid = (*prices, "input.processing", "input.tonnes_per_year")
    rows = [
        ("annual_lpa", "new spirit", "L pure alcohol", litres, still),
        ("annual_cost", "grist and processing", money, spent, paid),
    ]
    if letter:
        both = (*still, *prices, "input.processing")
        rows += [
            ("change_lpa", f"change in new spirit, {alike}", "L pure alcohol", litres - today[0], still),
            ("change_cost", f"change in grist and processing, {alike}", money, spent - today[1], paid),
            ("same_litres", "more to pay for as many litres as today", money, (cost - today[2]) * today[0], both),
            ("tonnes_for_same", "grist for as many litres as today", "t", mashed * today[0] / litres, still),
        ]
    figures = [Figure.of(key, label, unit, v, 0, bench.runs, *on) for key, label, unit, v, on in rows]
    why, own = first_of(why_of(bench, bill), why_of(bench, enquiry.present) if letter else None), why_of(bench, bill)
    kept = [f for f in figures if why is None or f.key in BY_TONNES or (f.key == "annual_lpa" and own is None)]
    return AnnualLine(
        letter,
        bill.name,
        tuple((s.lot_id, s.parts / WHOLE * tonnes) for s in bill.shares),
        {figure.key: figure for figure in kept},
        of_figures(why, [figure for figure in figures if figure not in kept]) if why else None,
    )
