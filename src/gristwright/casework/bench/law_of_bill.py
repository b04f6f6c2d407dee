"""What the law would call a bill made in its house: names asked for and those of its markets. See docs/law.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from gristwright.basics import Problem, Refused, at, refuse_if_any
from gristwright.casework.bench import limits, whisky
from gristwright.casework.bench.believing import believe_lots
from gristwright.casework.bench.laid_down import laid_down_problems
from gristwright.casework.bench.law_in_short import headlines
from gristwright.records.bill import WHOLE
from gristwright.records.enquiry import BillSheet, CaskPlan
from gristwright.records.law import CategoryAnswer, LawHeadlines
from gristwright.records.lot import Lot
from gristwright.records.plant import Plant
from gristwright.rules import law
from gristwright.stages.grist.certificate import LotBelief


@dataclass(frozen=True)
class Made:
    """What the law asks of a job: no rule asks a draw, nor whether house and cask can be forecast."""

    lots: tuple[LotBelief, ...]
    plant: Plant
    cask: CaskPlan


@dataclass(frozen=True)
class LotShare:
    """A lot's share of the grist as weighed and dry [%]; dry is None when a moisture is missing."""

    lot_id: str
    title: str
    asis_pct: float
    dry_pct: float | None


@dataclass(frozen=True)
class LawOfBill:
    """A bill's shares on both bases, and what every category judged says of it."""

    bill: str
    on: dt.date
    shares: tuple[LotShare, ...]
    asked: tuple[CategoryAnswer, ...]  # by name
    beside: tuple[CategoryAnswer, ...]  # for the house's country and the markets named, or because all were wanted
    warnings: tuple[Problem, ...]
    notes: tuple[str, ...] = ()  # what is not judged, and why

    @property
    def answers(self) -> tuple[CategoryAnswer, ...]:
        """Every answer, those asked for first."""
        return (*self.asked, *self.beside)

    @property
    def headlines(self) -> LawHeadlines:
        """The same in short."""
        return headlines(self.asked, self.beside)


def law_of_bill(
    sheet: BillSheet,
    lots: Sequence[Lot],
    categories: Sequence[str] = (),
    on: dt.date | None = None,
    every: bool = False,
) -> LawOfBill:
    """A bill with its house and cask plan under the rules of a day: the names it asks for and those of its markets.

    `categories` are judged in place of all these, `every` adds all others. The cask is taken as filled on that day.
    House and cask need not be such as can be forecast. Beer is not judged. Raises Refused with every fault, unknown
    names and markets among them.
    """
    day = on or sheet.date
    if sheet.purpose == "beer":
        return LawOfBill(sheet.bill.name, day, (), (), (), (), (law.NOT_OF_BEER,))
    in_bill = {share.lot_id for share in sheet.bill.shares}
    faults = limits.sheet_problems(sheet, lots) + limits.category_problems(categories, at("category"))
    if sheet.cask is None:
        raise Refused([*faults, Problem(at("plant", "cask"), "is missing.", "Say what the spirit is filled into.")])
    chosen = sorted((lot for lot in lots if lot.lot_id in in_bill), key=lambda lot: lot.lot_id)
    beliefs, of_lots = believe_lots(chosen)
    warnings = refuse_if_any([*faults, *of_lots, *laid_down_problems(sheet.cask)])
    bench = Made(beliefs, sheet.plant, sheet.cask)
    parts = [sheet.bill.parts_of(belief.lot.lot_id) for belief in bench.lots]
    dry = whisky.dry_parts(bench.lots, parts)
    shares = tuple(
        LotShare(b.lot.lot_id, b.material.title, 100.0 * as_is / WHOLE, None if d is None else 100.0 * d / WHOLE)
        for b, as_is, d in zip(bench.lots, parts, dry, strict=True)
    )
    asked = list(dict.fromkeys(categories or sheet.categories))
    wanted = [key for key, _, _ in law.categories()] if every else law.unasked(sheet.plant.country, sheet.markets)
    beside = [key for key in wanted if key not in asked and (every or not categories)]
    judged = [whisky.judge(bench, sheet.bill, keys, day) for keys in (asked, beside)]
    notes = () if categories or every else law.market_notes(sheet.plant.country, sheet.markets)
    return LawOfBill(sheet.bill.name, day, shares, judged[0], judged[1], warnings, notes)
