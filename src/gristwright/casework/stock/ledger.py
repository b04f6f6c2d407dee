"""From the lines of a ledger to the casks that lie full on a day. See docs/stock.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from gristwright.basics import Address, Problem, Tick, no_tick
from gristwright.casework.stock import checks
from gristwright.records.cask import CaskKind, Climate
from gristwright.records.law import CaskStay
from gristwright.records.stock import CaskEvent, LedgerEntry, Stock, StockCask, UnknownCask
from gristwright.stages.cask.content import is_new_wood

VAT = "vat"
# So many stays in wood behind the spirit of one cask, of all its components together: rackings of rackings double them.
MOST_STAYS = 2_000
LINES_A_TELLING = 5_000  # from one telling how far it is to the next


@dataclass
class Filling:
    """One filling while its lines are read; `lpa_L` is what the lines so far leave in it."""

    entry: LedgerEntry
    kind: CaskKind | None  # None where the ledger does not say it
    litres: float
    store: str
    lpa_L: float
    volume_L: float
    entry_abv_pct: float
    gauged_abv_pct: float
    components: list[tuple[CaskStay, ...]]
    place: str = ""
    events: list[CaskEvent] = field(default_factory=list)
    emptied: dt.date | None = None
    added_since: bool = False  # topped since the last gauge
    drawn: list[tuple[str, dt.date, Address]] = field(default_factory=list)  # cask it had spirit from, when, which line

    def stay(self) -> CaskStay:
        """The stay of what is in it, still open."""
        kind = self.kind
        if kind is None:
            return CaskStay(None, None, None, None, self.entry.date, self.emptied)
        return CaskStay(kind.wood, kind.capacity_L, kind.charred, is_new_wood(kind), self.entry.date, self.emptied)

    def paths(self, out: dt.date) -> list[tuple[CaskStay, ...]]:
        """The stays of every component when it leaves on a day."""
        return [(*path[:-1], _ended(path[-1], out)) for path in self.components]


@dataclass
class FillingBook:
    """The fillings while the lines are read: those that lie open by cask, those that were emptied in order, and the
    latest of every cask, open or emptied."""

    open_: dict[str, Filling] = field(default_factory=dict)
    done: list[Filling] = field(default_factory=list)
    latest: dict[str, Filling] = field(default_factory=dict)


def _ended(stay: CaskStay, out: dt.date) -> CaskStay:
    return replace(stay, date_out=stay.date_out or out)


def assemble(
    entries: Sequence[LedgerEntry],
    climates: dict[str, Climate],
    on: dt.date,
    problems: Iterable[Problem] = (),
    tick: Tick = no_tick,
) -> Stock:
    """The stock on a day. A line that cannot be is set aside with its reason, and all others go on.

    `climates` by store; the one under an empty name serves every store that has none of its own. Lines after the day
    are not read. Problems of the reading are passed through. `tick` may raise to stop.
    """
    faults = list(problems)
    readable = [entry for entry in entries if entry.date <= on]
    if len(readable) < len(entries):
        what = f"{len(entries) - len(readable)} lines lie after {on} and are not read."
        faults.append(Problem("ledger", what, "", warning=True))
    in_order = checks.in_order(readable, faults)
    book = FillingBook()
    for number, entry in enumerate(sorted(in_order, key=lambda e: (e.date, e.what == "emptied"))):
        if number % LINES_A_TELLING == 0:
            tick(number, len(in_order), "following the casks line by line")
        _enter(entry, book, climates, faults)
    faults += _counted_twice(book)
    lying = list(book.open_.values())
    casks = [cask for filling in lying if (cask := _forecastable(filling, climates, faults)) is not None]
    faults += checks.of_small(casks)
    own = _climates_of(casks, climates, faults)
    gone = [cask for filling in book.done if (cask := _cask(filling)) is not None]
    unknown = tuple(_unknown(filling) for filling in lying if filling.kind is None)
    return Stock(on, tuple(casks), own, tuple(gone), tuple(faults), unknown)


def _unknown(filling: Filling) -> UnknownCask:
    """A cask of no kind that is said, with what its lines leave in it."""
    entry = filling.entry
    held = filling.volume_L, filling.lpa_L
    return UnknownCask(entry.cask, entry.spirit, filling.store, entry.date, *held, entry.where)


def _counted_twice(book: FillingBook) -> list[Problem]:
    """Fillings and toppings out of casks that have no line saying so: their spirit would be counted twice."""
    fillings = [*book.done, *book.open_.values()]
    gave = {(f.entry.cask, event.date) for f in fillings for event in f.events if event.what in ("sampled", "emptied")}
    problems = []
    for filling in fillings:
        for name, day, where in filling.drawn:
            if (name, day) not in gave:
                what = f"{filling.entry.cask} has spirit of {name} from {day}, and no line says that {name} gave any."
                way_out = f"Add {name}, emptied or sampled, on that day: it is counted twice meanwhile."
                problems.append(Problem(where.to("from"), what, way_out, warning=True))
    return problems


def _climates_of(casks: Sequence[StockCask], climates: dict[str, Climate], faults: list[Problem]) -> dict[str, Climate]:
    """The climate of every store a cask lies or lay in; one left long ago may borrow that of the present store."""
    own: dict[str, Climate] = {}
    for cask in casks:
        here = climates.get(cask.store) or climates[""]
        for store in (cask.store, cask.first_store, *(event.store for event in cask.events)):
            if store not in climates and "" not in climates and store not in own:
                what = f"the climate of {store or 'an earlier store'} is not given; that of {cask.store} stands for it."
                faults.append(Problem(cask.where, what, "Add its twelve months.", warning=True))
            own.setdefault(store, climates.get(store) or climates.get("") or here)
    return own


def _enter(
    entry: LedgerEntry,
    book: FillingBook,
    climates: dict[str, Climate],
    problems: list[Problem],
) -> None:
    """One line, in the order of time."""
    filling = book.open_.get(entry.cask)
    held = {name: book.latest[name].lpa_L for name in entry.sources if name in book.latest}
    if entry.what == "filled":
        faults = checks.of_filling(entry, filling is not None, held)
    else:
        state = None if filling is None else _state(filling, climates)
        faults = checks.of_event(entry, state, entry.cask in book.latest, held)
    faults += _too_many_stays(entry, filling, book)
    problems += faults
    if any(not fault.warning for fault in faults):
        return
    if entry.what == "filled":
        book.open_[entry.cask] = book.latest[entry.cask] = _filled(entry, book)
    elif filling is not None:
        _happened(entry, filling, book)


def _too_many_stays(entry: LedgerEntry, filling: Filling | None, book: FillingBook) -> list[Problem]:
    """The fault of a line that draws on spirit with more behind it than is followed; else nothing."""
    drawn = [
        path for name in dict.fromkeys(entry.sources) if name in book.latest for path in book.latest[name].components
    ]
    held = filling.components if filling is not None and entry.what == "topped" else []
    stays = sum(map(len, held)) + sum(len(path) + 1 for path in drawn)
    if not drawn or stays <= MOST_STAYS:
        return []
    what = f"{entry.cask} is {entry.what} from {' + '.join(entry.sources)}, with {stays} stays in wood behind it, and "
    way_out = "Leave the column empty: its age then counts from this line on."
    return [Problem(entry.where.to("from"), f"{what}{MOST_STAYS} fit.", way_out)]


def _state(filling: Filling, climates: dict[str, Climate]) -> checks.StateBefore:
    return checks.StateBefore(
        filling.entry.date,
        filling.kind,
        filling.store,
        filling.place,
        filling.lpa_L,
        filling.volume_L,
        filling.entry_abv_pct,
        filling.gauged_abv_pct,
        filling.added_since,
        climates.get(filling.store, climates.get("")),
    )


def _filled(entry: LedgerEntry, book: FillingBook) -> Filling:
    """A filling begun. Spirit out of casks brings their stays along; new spirit begins with this cask."""
    assert entry.abv_pct is not None
    litres = checks.litres_at_20(entry)
    filling = Filling(
        entry,
        entry.kind,
        litres,
        entry.store,
        litres * entry.abv_pct / 100.0,
        litres,
        entry.abv_pct,
        entry.abv_pct,
        [],
        entry.place,
        drawn=[(name, entry.date, entry.where) for name in entry.sources],
    )
    filling.components = [(*path, filling.stay()) for path in _brought(entry, book) or [()]]
    return filling


def _brought(entry: LedgerEntry, book: FillingBook) -> list[tuple[CaskStay, ...]]:
    """The components that the sources of a line give on its day, those alike once: of the filling open then, else of
    the last one emptied."""
    known = (book.latest[name] for name in dict.fromkeys(entry.sources) if name in book.latest)
    return list(dict.fromkeys(path for filling in known for path in filling.paths(entry.date)))


def _happened(entry: LedgerEntry, filling: Filling, book: FillingBook) -> None:
    litres, abv = checks.litres_at_20(entry), entry.abv_pct
    if entry.what == "gauged":
        assert abv is not None
        filling.lpa_L, filling.gauged_abv_pct, filling.added_since = litres * abv / 100.0, abv, False
        filling.volume_L = litres
    elif entry.what == "sampled":
        filling.lpa_L -= litres * filling.gauged_abv_pct / 100.0
        filling.volume_L -= litres
    elif entry.what == "topped":
        assert abv is not None
        filling.lpa_L += litres * abv / 100.0
        filling.volume_L += litres
        filling.entry_abv_pct, filling.added_since = max(filling.entry_abv_pct, abv), True
        filling.drawn += [(name, entry.date, entry.where) for name in entry.sources]
        new = replace(filling.stay(), date_in=entry.date)
        filling.components = list(
            dict.fromkeys([*filling.components, *((*path, new) for path in _brought(entry, book) or [()])])
        )
    elif entry.what == "emptied":
        filling.emptied = entry.date
        filling.components = filling.paths(entry.date)
        book.done.append(book.open_.pop(entry.cask))
    filling.store, filling.place = entry.store or filling.store, entry.place or filling.place
    filling.events.append(
        CaskEvent(entry.date, entry.what, litres, abv or 0.0, entry.method, filling.store, entry.where, entry.degC)
    )


def _forecastable(filling: Filling, climates: dict[str, Climate], faults: list[Problem]) -> StockCask | None:
    """The cask, unless its kind is not known, it is a vat, or its store has no climate."""
    if filling.kind is None:
        return None
    if filling.kind.name == VAT:
        what = f"{filling.entry.cask} is a vat: no loss is forecast and its time does not count as age."
        faults.append(Problem(filling.entry.where, what, "", warning=True))
        return None
    if filling.store in climates or "" in climates:
        return _cask(filling)
    what = f"{filling.entry.cask} lies in {filling.store or 'no store that is named'}, whose climate is not given."
    known = ", ".join(sorted(climates)) or "none"
    faults.append(Problem(filling.entry.where, what, f"Stores with a climate: {known}. Add its twelve months."))
    return None


def _cask(filling: Filling) -> StockCask | None:
    """The filling as a cask of the stock; None where its kind is not known."""
    entry = filling.entry
    if filling.kind is None:
        return None
    return StockCask(
        entry.cask,
        filling.kind,
        entry.spirit,
        entry.date,
        filling.litres,
        entry.abv_pct or 0.0,
        entry.method,
        filling.store,
        filling.place,
        tuple(filling.events),
        tuple(filling.components),
        entry.sources,
        entry.rejuvenated,
        filling.emptied,
        entry.where,
        entry.store,
        entry.degC,
    )


def contents_of(stock: Stock) -> tuple[np.ndarray, np.ndarray]:
    """Litres and strength of every cask at its last gauge, each (casks,)."""
    last = [cask.last_gauge for cask in stock.casks]
    return np.array([gauge[1] for gauge in last]), np.array([gauge[2] for gauge in last])
