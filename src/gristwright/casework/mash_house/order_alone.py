"""The order of a bill without an enquiry: a distiller's or a brewer's sheet. See docs/order.md."""

from __future__ import annotations

from collections.abc import Sequence

from gristwright.basics import Problem
from gristwright.casework.beer import brewed, brewing_bench
from gristwright.casework.bench import assess, set_up, set_up_spirit
from gristwright.casework.bench.limits import sheet_problems
from gristwright.casework.mash_house.order import mash_order
from gristwright.numerics import draws as drawing
from gristwright.records.enquiry import BillSheet, Limits
from gristwright.records.lot import Lot
from gristwright.records.order import MashOrder


def ordered_alone(
    sheet: BillSheet, lots: Sequence[Lot], members: int = drawing.MEMBERS, seed: int = drawing.SEED
) -> tuple[MashOrder, tuple[Problem, ...]]:
    """The order of a bill in its house, and what was odd. Raises Refused with every fault."""
    faults = sheet_problems(sheet, lots)
    in_bill = {share.lot_id for share in sheet.bill.shares}
    chosen = [lot for lot in lots if lot.lot_id in in_bill]
    if sheet.purpose == "beer":
        brewhouse = brewing_bench(sheet, chosen, faults, members, seed)
        return mash_order(brewhouse, sheet, brewed(brewhouse, sheet)), brewhouse.warnings
    if sheet.cask is None:
        bench = set_up_spirit(chosen, sheet.prices, sheet.plant, faults, members, seed, behind=sheet.bill)
    else:
        bench = set_up(chosen, sheet.prices, sheet.plant, sheet.cask, faults, members, seed, behind=sheet.bill)
    result = assess(bench, sheet.bill, sheet.categories, sheet.date, Limits(), "")
    return mash_order(bench, sheet, result), bench.warnings
