"""One bill for one house: what it gives, and how its boards and the law stand. See docs/casework.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from gristwright.basics import Assumption, Problem, Refused, at
from gristwright.casework.bench import limits
from gristwright.casework.bench.assess import assess
from gristwright.casework.bench.capacity import capacity
from gristwright.casework.bench.ferment_hours import hours_words
from gristwright.casework.bench.grounds import assumptions, named, of_result
from gristwright.casework.bench.setting_up import set_up
from gristwright.numerics import draws as drawing
from gristwright.records.enquiry import BillSheet, Limits
from gristwright.records.lot import Lot
from gristwright.records.results import BillResult
from gristwright.records.trade import Capacity


@dataclass(frozen=True)
class Forecast:
    """One bill's result with what it rests on and what was odd."""

    result: BillResult
    assumptions: tuple[Assumption, ...]
    warnings: tuple[Problem, ...]
    capacity: Capacity | None = None  # of a distiller's house
    remarks: tuple[str, ...] = ()  # what holds a brewer's attenuation back


def forecast(
    sheet: BillSheet, lots: Sequence[Lot], members: int = drawing.MEMBERS, seed: int = drawing.SEED
) -> Forecast:
    """What a bill gives in its house, from literature and certificates. Raises Refused with every fault."""
    faults = limits.sheet_problems(sheet, lots)
    if sheet.cask is None:
        raise Refused([*faults, Problem(at("plant", "cask"), "is missing.", "Say what the spirit is filled into.")])
    in_bill = {share.lot_id for share in sheet.bill.shares}
    bench = set_up([lot for lot in lots if lot.lot_id in in_bill], sheet.prices, sheet.plant, sheet.cask, faults,
                   members, seed, behind=sheet.bill).traced()  # fmt: skip
    priced = in_bill <= set(sheet.prices)
    currency = sheet.currency if priced else ""
    result = assess(bench, sheet.bill, sheet.categories, sheet.date, Limits(), currency, markets=sheet.markets)
    said = result.withheld is None
    week = capacity(sheet.plant, bench.made(sheet.bill), bench.runs, bench.draws, said=said)
    week = replace(week, words=week.words + (hours_words(bench, sheet.bill) if said else ()))
    units = [figure for unit in week.units for figure in (unit.hours, unit.mashes_per_week)]
    of_week = {name for name in named((*week.figures.values(), *units)) if not name.startswith("hours.")}
    names = of_result(result) | of_week
    return Forecast(result, assumptions(bench, names, sheet.currency), bench.warnings, week)


def check(sheet: BillSheet, lots: Sequence[Lot]) -> Forecast:
    """The boards and the law of a bill; the same run as `forecast`, for who only wants to know whether it works."""
    return forecast(sheet, lots)
