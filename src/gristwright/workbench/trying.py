"""The bill being tried, against today's: first on few draws, then on those of a usual search. See docs/desk.md.

It asks the same function as the terminal, the recommendation and the dossier; on as many draws it gives their figures.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from gristwright.basics import FloatArray, Problem, Refused, at
from gristwright.casework import bench as benches
from gristwright.casework.bench import SpiritBench, enquiry_problems, first_of, needed_lots, set_up, set_up_spirit
from gristwright.charts.ledger import ledger_chart
from gristwright.charts.theme import Chart
from gristwright.documents.bills import BillView, BoardView, LedgerRowView, bill_view
from gristwright.documents.entries import Entry, entry, readable, withheld_entry
from gristwright.documents.lots import LotsView, lots_of, lots_view
from gristwright.documents.markers import MarkersTable, markers_table
from gristwright.economics.new_make import cost_per_lpa
from gristwright.flowsheet.line import NewMake
from gristwright.numerics.weights import band
from gristwright.quantities.shown import lower, plain
from gristwright.records.bill import WHOLE, Bill, Share
from gristwright.records.enquiry import Enquiry, SpiritEnquiry
from gristwright.records.lot import Lot
from gristwright.records.results import BillResult, Withheld
from gristwright.store import models
from gristwright.store.frozen import inputs_text, sha256
from gristwright.workbench.last_few import LastFew

# The first figures come at once, the final ones behind them.
FIRST, MEMBERS = 256, 2048
# key of the figure, decimals of its change
COMPARED = (
    ("lpa_per_t", 1),
    ("cost_per_lpa", 3),
    ("wash_abv_pct", 2),
    ("original_gravity_sg", 4),
    ("psy_lpa_per_t", 1),
    ("annual_lpa", 0),
)
HEADLINE = ("lpa_per_t", "cost_per_lpa", "wash_abv_pct")
ROW_HEIGHT, WIDTH = 21, 480


@dataclass(frozen=True)
class Ready:
    """A bench with today's bill worked out on it, where the house's own average puts it."""

    asked: SpiritEnquiry
    bench: SpiritBench
    anchored: str
    today: BillResult
    made: NewMake


_ready: LastFew[Ready] = LastFew(12)


def ready(asked: SpiritEnquiry, given: tuple[Lot, ...], members: int = MEMBERS) -> Ready:
    """The bench of these inputs, made once and kept while they are the last few. Raises Refused with every fault."""
    key = (sha256(inputs_text(asked, given)), members)
    return _ready.of(key, lambda: _set_up(asked, given, members))


def _set_up(asked: SpiritEnquiry, given: tuple[Lot, ...], members: int) -> Ready:
    bench = replace(bench_of(asked, given, members), present=asked.present)
    bench, anchored = benches.anchor(bench, asked.present, asked.record)
    made = bench.made(asked.present)
    return Ready(asked, bench, anchored.sentence, result_of(bench, asked, asked.present), made)


def bench_of(asked: SpiritEnquiry, given: tuple[Lot, ...], members: int) -> SpiritBench:
    """The bench of an enquiry, not yet moved to where the house runs. Raises Refused."""
    needed = needed_lots(asked)
    chosen = [lot for lot in given if lot.lot_id in needed]
    problems, prices = enquiry_problems(asked, given), prices_of(asked)
    if isinstance(asked, Enquiry):
        return set_up(chosen, prices, asked.plant, asked.laid_down, problems, members, behind=asked.present)
    return set_up_spirit(chosen, prices, asked.plant, problems, members, behind=asked.present)


def prices_of(asked: SpiritEnquiry) -> dict[str, float]:
    """What a tonne of each lot on offer costs."""
    return {offered.lot_id: offered.price_per_t for offered in asked.offered}


def result_of(bench: SpiritBench, asked: SpiritEnquiry, bill: Bill) -> BillResult:
    """Everything computed for one bill of an enquiry."""
    cost = asked.processing_cost_per_t
    return benches.assess(bench, bill, asked.categories, asked.date, asked.limits, asked.currency, cost, asked.present,
                          asked.markets)  # fmt: skip


@dataclass(frozen=True)
class Tried:
    """Shares as they were entered [0.01 %], the lot that makes up the rest, and what they add up to."""

    parts: Mapping[str, int]
    rest: str

    @property
    def full(self) -> dict[str, int]:
        """The shares with the rest given to the lot that makes it up; what is over stays over."""
        if self.rest not in self.parts:
            return dict(self.parts)
        others = sum(count for lot, count in self.parts.items() if lot != self.rest)
        return {**self.parts, self.rest: max(0, WHOLE - others)}

    @property
    def left(self) -> str:
        """What is still to be shared out, or too much, in words."""
        parts = WHOLE - sum(self.full.values())
        return f"{'left' if parts > 0 else 'too much'}: {abs(parts) / 100:g} %" if parts else "nothing left"

    @property
    def bill(self) -> Bill:
        """The bill. Raises Refused when the shares do not add up to 100 %."""
        total = sum(self.full.values())
        if total != WHOLE:
            short = f"{abs(WHOLE - total) / 100:g} % {'too much' if total > WHOLE else 'missing'}"
            raise Refused([Problem(at("shares"), f"add to {total / 100:g} %: {short}.", "They must add to 100 %.")])
        shares = tuple(Share(lot, count) for lot, count in self.full.items() if count)
        return Bill(" + ".join(f"{share.pct:g} % {share.lot_id}" for share in shares), shares)


def kept_try(enquiry: models.EnquiryRow) -> Tried:
    """The bill tried last; today's when none was."""
    today = {share.lot_id: share.parts for share in enquiry.shares.all()}
    kept = enquiry.tried or today
    offered = [offer.lot_id for offer in enquiry.offered.all()]
    largest = max(today, key=lambda lot: today[lot], default="")
    rest = enquiry.tried_rest if enquiry.tried else largest
    return Tried({lot: int(kept.get(lot, 0)) for lot in offered}, rest if rest in offered else "")


@dataclass(frozen=True)
class Compared:
    """A figure of a bill, today's, and the paired change."""

    this: Entry
    today: Entry
    change: Entry


@dataclass(frozen=True)
class TriedView:
    """A bill and today's side by side: figures and their paired changes, boards, law, ledger, chart."""

    this: BillView
    today: BillView
    same: bool
    figures: tuple[Compared, ...]
    boards: tuple[tuple[BoardView, BoardView | None], ...]
    lots_table: LotsView
    markers: MarkersTable
    ledger: tuple[tuple[LedgerRowView, LedgerRowView | None], ...]
    withheld: list[str]
    warnings: list[str]
    anchored: str
    members: str
    final: bool
    chart: Chart | None

    @property
    def headline(self) -> tuple[Compared, ...]:
        """What is read first."""
        return tuple(row for row in self.figures if row.this.key in HEADLINE)

    @property
    def said(self) -> str:
        """The headline in one sentence, to be spoken."""
        return spoken(self.headline, self.this)


def spoken(headline: tuple[Compared, ...], this: BillView) -> str:
    """What is read first of a bill, and its worst board, in one sentence."""
    told = [f"{row.this.label} {row.this.at}{unit_of(row.this)}" for row in headline]
    worst = this.worst_board
    return f"{'; '.join(told)}. Worst board: {worst.title} {worst.light}".rstrip() + "."


def unit_of(number: Entry) -> str:
    """The unit behind a number; nothing where none is given."""
    return "" if number.middle is None else f" {number.unit}"


def tried_view(on: Ready, bill: Bill) -> TriedView:
    """A bill and today's side by side."""
    result = result_of(on.bench, on.asked, bill)
    this, today = readable(bill_view(result, "This bill")), readable(bill_view(on.today, "Today"))
    why, same = first_of(on.today.withheld, result.withheld), bill.shares == on.asked.present.shares
    changed = _changes(on, on.bench.made(bill), why)
    shown = [key for key, _ in COMPARED if key in this.figures]
    return TriedView(
        this=this,
        today=today,
        same=same,
        figures=tuple(Compared(this.figures[key], today.figures[key], changed[key]) for key in shown),
        boards=paired(this, today),
        lots_table=readable(lots_view(lots_of([result, on.today]))),
        markers=markers_table([("Today", on.today.markers), ("This bill", result.markers)], ()),
        ledger=_ledger_rows(this, today),
        withheld=readable(withheld_said(*([result] if same else [result, on.today]))),
        warnings=list(dict.fromkeys((*result.warnings, *(p.sentence() for p in on.bench.warnings)))),
        anchored=on.anchored,
        members=plain(len(on.bench.weights), 0),
        final=len(on.bench.weights) == MEMBERS,
        chart=ledger_chart(result.ledger, row_height=ROW_HEIGHT, width=WIDTH) if result.ledger else None,
    )


def paired(this: BillView, today: BillView) -> tuple[tuple[BoardView, BoardView | None], ...]:
    """The boards of a bill, each with today's; those of the law stand in a table of their own."""
    before = {board.key: board for board in today.boards}
    return tuple((board, before.get(board.key)) for board in this.boards if not board.key.startswith("law."))


def _ledger_rows(this: BillView, today: BillView) -> tuple[tuple[LedgerRowView, LedgerRowView | None], ...]:
    """The rows of this bill beside those of today's; none where this bill's litres are withheld."""
    before = {row.key: row for row in today.ledger.rows} if today.ledger else {}
    return tuple((row, before.get(row.key)) for row in this.ledger.rows) if this.ledger else ()


def withheld_said(*results: BillResult) -> list[str]:
    """Of which bills the litres are withheld, and why; each once."""
    said = [f"Of {one.bill.name}: {lower(one.withheld.sentence)}" for one in results if one.withheld]
    return list(dict.fromkeys(said))


def _values(on: Ready, made: NewMake) -> dict[str, FloatArray]:
    """What is compared, on every draw."""
    litres = made.spirit.lpa_per_t
    return {
        "lpa_per_t": litres,
        "cost_per_lpa": cost_per_lpa(made.grist.malt_cost_per_t, on.asked.processing_cost_per_t, litres),
        "wash_abv_pct": made.wash.abv_pct,
        "original_gravity_sg": made.wort.original_gravity_sg,
        "psy_lpa_per_t": made.grist.psy_lpa_per_t,
        "annual_lpa": litres * benches.year_t(on.asked.plant, made.wort, on.bench.draws),
    }


def _changes(on: Ready, made: NewMake, why: Withheld | None) -> dict[str, Entry]:
    """Differences draw by draw, so that what both bills share cancels; none where the litres of either are withheld."""
    if why is not None:
        return {key: withheld_entry(key, "change", "", why.sentence) for key, _ in COMPARED}
    this, today = _values(on, made), _values(on, on.made)
    return {
        key: entry(key, "change", "", band(this[key] - today[key], on.bench.weights), digits, difference=True)
        for key, digits in COMPARED
    }
