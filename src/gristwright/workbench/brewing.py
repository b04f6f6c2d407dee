"""A brewer's bill being tried, against today's: figures of `casework.beer`, paired draw by draw. See docs/desk.md."""

from __future__ import annotations

from dataclasses import dataclass, replace

from gristwright.basics import FloatArray
from gristwright.casework import beer
from gristwright.casework.bench import GristBench, brewing_problems, enquiry_problems, first_of, needed_lots
from gristwright.documents.bills import BillView, BoardView, bill_view
from gristwright.documents.entries import Entry, entry, readable, withheld_entry
from gristwright.documents.lots import LotsView, lots_of, lots_view
from gristwright.numerics.weights import band
from gristwright.quantities.shown import plain
from gristwright.records.bill import Bill
from gristwright.records.enquiry import BillSheet, SpiritEnquiry
from gristwright.records.lot import Lot
from gristwright.records.results import BillResult, Withheld
from gristwright.store.frozen import inputs_text, sha256
from gristwright.workbench.last_few import LastFew
from gristwright.workbench.trying import MEMBERS, Compared, paired, prices_of, spoken, withheld_said

# key of the figure, decimals of its change
COMPARED = {key: digits for key, _, _, digits in (*beer.ROWS, *beer.MONEY)}
# What is read first.
HEADLINE = ("original_gravity_degP", "abv_pct", "cost_per_hL")


@dataclass(frozen=True)
class Kettle:
    """A bench with today's bill brewed on it."""

    asked: SpiritEnquiry
    bench: GristBench
    today: BillResult
    values: dict[str, FloatArray]


@dataclass(frozen=True)
class BrewedView:
    """A brewer's bill and today's side by side: figures and their paired changes, boards."""

    this: BillView
    today: BillView
    same: bool
    figures: tuple[Compared, ...]
    boards: tuple[tuple[BoardView, BoardView | None], ...]
    lots_table: LotsView
    withheld: list[str]
    warnings: list[str]
    members: str
    final: bool

    @property
    def headline(self) -> tuple[Compared, ...]:
        """What is read first."""
        return tuple(row for row in self.figures if row.this.key in HEADLINE)

    @property
    def said(self) -> str:
        """The headline in one sentence, to be spoken."""
        return spoken(self.headline, self.this)


_kettles: LastFew[Kettle] = LastFew(6)


def sheet_of(asked: SpiritEnquiry, bill: Bill) -> BillSheet:
    """A bill of a brewer's enquiry as a sheet of its own."""
    return BillSheet(
        bill=bill,
        plant=asked.plant,
        cask=None,
        prices=prices_of(asked),
        currency=asked.currency,
        date=asked.date,
        purpose="beer",
        target_attenuation_pct=asked.target_attenuation_pct,
    )


def kettle(asked: SpiritEnquiry, given: tuple[Lot, ...], members: int = MEMBERS) -> Kettle:
    """The bench of these inputs, kept while they are the last few. Raises Refused with every fault."""
    key = (sha256(inputs_text(asked, given)), members)
    return _kettles.of(key, lambda: _set_up(asked, given, members))


def _set_up(asked: SpiritEnquiry, given: tuple[Lot, ...], members: int) -> Kettle:
    needed = needed_lots(asked)
    faults = enquiry_problems(asked, given) + brewing_problems(asked)
    chosen = [lot for lot in given if lot.lot_id in needed]
    bench = replace(beer.brewing_bench(sheet_of(asked, asked.present), chosen, faults, members), present=asked.present)
    today = beer.brewed(bench, sheet_of(asked, asked.present))
    return Kettle(asked, bench, today, beer.values_of(bench, asked.present))


def brewed_view(on: Kettle, bill: Bill) -> BrewedView:
    """A brewer's bill and today's side by side."""
    result = beer.brewed(on.bench, sheet_of(on.asked, bill))
    this, today = readable(bill_view(result, "This bill")), readable(bill_view(on.today, "Today"))
    same = bill.shares == on.asked.present.shares
    changed = _changes(on, bill, this, first_of(on.today.withheld, result.withheld))
    return BrewedView(
        this=this,
        today=today,
        same=same,
        figures=tuple(Compared(this.figures[key], today.figures[key], changed[key]) for key in changed),
        boards=paired(this, today),
        lots_table=readable(lots_view(lots_of([result, on.today]))),
        withheld=readable(withheld_said(*([result] if same else [result, on.today]))),
        warnings=list(dict.fromkeys((*result.warnings, *(p.sentence() for p in on.bench.warnings)))),
        members=plain(len(on.bench.weights), 0),
        final=len(on.bench.weights) == MEMBERS,
    )


def _changes(on: Kettle, bill: Bill, this: BillView, why: Withheld | None) -> dict[str, Entry]:
    """Differences draw by draw; of what rests on the mash none where either bill's figures are withheld."""
    values = beer.values_of(on.bench, bill)
    return {
        key: withheld_entry(key, "change", "", why.sentence)
        if why and key not in beer.OF_THE_GRIST
        else _change(on, key, values[key], digits)
        for key, digits in COMPARED.items()
        if key in this.figures
    }


def _change(on: Kettle, key: str, values: FloatArray, digits: int) -> Entry:
    moved = band(values - on.values[key], on.bench.weights)
    return entry(key, "change", "", moved, digits, difference=True)
