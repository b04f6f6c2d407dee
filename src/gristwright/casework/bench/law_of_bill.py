"""What the law would call a bill made in its house: every category asked, on one day. See docs/law.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from gristwright.basics import Problem, Refused, at
from gristwright.casework.bench import limits, whisky
from gristwright.casework.bench.bench import set_up
from gristwright.records.bill import WHOLE
from gristwright.records.enquiry import BillSheet
from gristwright.records.law import CategoryAnswer
from gristwright.records.lot import Lot
from gristwright.rules import law

# No rule asks a draw; the bench is set up for its checks and its types alone.
FEWEST_MEMBERS = 8


@dataclass(frozen=True)
class LotShare:
    """A lot's share of the grist as weighed and dry [%]; dry is None when a moisture is missing."""

    lot_id: str
    title: str
    asis_pct: float
    dry_pct: float | None


@dataclass(frozen=True)
class LawOfBill:
    """A bill's shares on both bases and the answer of every category asked."""

    bill: str
    on: dt.date
    shares: tuple[LotShare, ...]
    answers: tuple[CategoryAnswer, ...]
    warnings: tuple[Problem, ...]


def law_of_bill(
    sheet: BillSheet, lots: Sequence[Lot], categories: Sequence[str] = (), on: dt.date | None = None
) -> LawOfBill:
    """A bill with its house and cask plan by some categories, by all when none is named, under the rules of a day.

    The cask is taken as filled on that day. Raises Refused with every fault, unknown categories among them.
    """
    in_bill = {share.lot_id for share in sheet.bill.shares}
    faults = limits.sheet_problems(sheet, lots) + limits.category_problems(categories, at("category"))
    if sheet.cask is None:
        raise Refused([*faults, Problem(at("plant", "cask"), "is missing.", "Say what the spirit is filled into.")])
    chosen = [lot for lot in lots if lot.lot_id in in_bill]
    bench = set_up(chosen, sheet.prices, sheet.plant, sheet.cask, faults, FEWEST_MEMBERS)
    parts = [sheet.bill.parts_of(belief.lot.lot_id) for belief in bench.lots]
    dry = whisky.dry_parts(bench.lots, parts)
    shares = tuple(
        LotShare(b.lot.lot_id, b.material.title, 100.0 * as_is / WHOLE, None if d is None else 100.0 * d / WHOLE)
        for b, as_is, d in zip(bench.lots, parts, dry, strict=True)
    )
    day = on or sheet.date
    keys = list(dict.fromkeys(categories)) or [key for key, _, _ in law.categories()]
    return LawOfBill(sheet.bill.name, day, shares, whisky.judge(bench, sheet.bill, keys, day), bench.warnings)
