"""The mash-house order and the change-over as views. See docs/order.md."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from gristwright.basics import Standing
from gristwright.documents.entries import (
    STATED,
    Entry,
    figure_entry,
    sentence,
    single,
    withheld_entry,
)
from gristwright.documents.lots import LotsView, lots_view
from gristwright.quantities.shown import capital, fewest_decimals, plain
from gristwright.records import order as o
from gristwright.records.lot import LotIdentity
from gristwright.records.plant import WATERS

HOUSE = "plant file"
SHARE = "% of the grist as it is weighed"
ROUNDED = "share of the bill, rounded to what can be weighed"
BALANCE = "heat and volume balance of the order"
GROUPS = {
    "mill": "Mill",
    "mash": "Mash",
    "run-off": "Run-off",
    "wort": "Wort",
    "fermentation": "Fermentation",
}
BLANKS = ("Mash no.", "Date", "Washback", "Lots seen and right", "By")
TODAY = "Today"
STEP = ("lpa_per_t", "new spirit", "L pure alcohol/t")
NOT_CONVERTED = "The mash of this step may not convert: its litres are withheld."


@dataclass(frozen=True)
class WeighingView:
    """A lot: what was asked, what is weighed, and how."""

    lot: str
    title: str
    asked: Entry
    asked_kg: Entry
    kg: Entry
    unit: Entry
    weighed: Entry
    how: str


@dataclass(frozen=True)
class WaterView:
    """One water: how much, how warm, and where its wort goes."""

    name: str
    L_per_kg: Entry
    litres: Entry
    liquor: Entry
    settled: Entry
    goes_to: str
    rests: str
    standing: str
    source: str


@dataclass(frozen=True)
class CookView:
    """One step of the cooking."""

    number: str
    what: str
    kg: Entry | None
    litres: Entry | None
    degC: Entry | None
    why: str
    rests: str
    standing: str
    source: str


@dataclass(frozen=True)
class ClockView:
    """One step of a mash by the clock."""

    at: Entry
    what: str
    settled: Entry


@dataclass(frozen=True)
class AimView:
    """What is aimed at and written down, and outside what limits something is done."""

    key: str
    title: str
    unit: str
    aim: Entry | None
    low: Entry | None
    high: Entry | None
    limits: str
    words: str
    rests: str
    standing: str
    source: str


@dataclass(frozen=True)
class AimGroup:
    """The aims of one part of the house."""

    key: str
    title: str
    rows: tuple[AimView, ...]


@dataclass(frozen=True)
class SourceView:
    """A source, and what rests on it."""

    titles: str
    source: str


@dataclass(frozen=True)
class OrderView:
    """One mash as the mash house runs it."""

    bill: str
    letter: str
    name: str
    grain_in: bool
    blanks: tuple[str, ...]
    mash: Entry
    weighings: tuple[WeighingView, ...]
    lots_table: LotsView
    rounding: Entry | None
    waters: tuple[WaterView, ...]
    cooking: tuple[CookView, ...]
    clock: tuple[ClockView, ...]
    aims: tuple[AimGroup, ...]
    sources: tuple[SourceView, ...]
    actions: tuple[o.Action, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class ChangeStepView:
    """Some mashes on the way from today's bill to the ordered one."""

    when: str
    weighed: tuple[WeighingView, ...]
    litres: Entry
    what: str


@dataclass(frozen=True)
class ChangeOverView:
    """The steps from today's bill to the ordered one."""

    to: str
    steps: tuple[ChangeStepView, ...]
    rules: tuple[o.Action, ...]


def named(letter: str, bill: str) -> str:
    """How a bill is called in the dossier."""
    head = f"Offer {letter}" if letter else TODAY
    return head if bill in ("", letter, head, head.lower()) else f"{head}: {bill}"


def order_view(order: o.MashOrder, lots: Mapping[str, LotIdentity]) -> OrderView:
    """The order as a view; of the `lots` those that are weighed, so that each can be checked."""
    weighed = {line.lot_id: lots[line.lot_id] for line in order.weighings if line.lot_id in lots}
    return OrderView(
        bill=order.bill,
        letter=order.letter,
        name=named(order.letter, order.bill),
        grain_in=order.grain_in,
        blanks=BLANKS,
        mash=single("kg_per_mash", "grist of one mash", "kg", order.kg_per_mash, _kg(order.kg_per_mash), HOUSE),
        weighings=tuple(weighing_view(line) for line in order.weighings),
        lots_table=lots_view(weighed),
        rounding=figure_entry(order.rounding, difference=True) if order.rounding else None,
        waters=tuple(_water(line) for line in order.waters),
        cooking=tuple(_cook(number, step) for number, step in enumerate(order.cooking, start=1)),
        clock=tuple(_clock(step) for step in order.clock),
        aims=tuple(_group(key, title, order.aims) for key, title in GROUPS.items() if _of(key, order.aims)),
        sources=_sources(order),
        actions=tuple(action_view(action) for action in order.actions),
        notes=order.notes,
        cautions=order.cautions,
    )


def _kg(value: float) -> int:
    return fewest_decimals(value, 1)


def weighing_view(line: o.Weighing) -> WeighingView:
    """A lot that is weighed as a view."""
    share = max(1, fewest_decimals(line.asked_pct))
    return WeighingView(
        lot=line.lot_id,
        title=capital(line.title),
        asked=single("asked_pct", "share asked", SHARE, line.asked_pct, share, STATED),
        asked_kg=single("asked_kg", "exactly", "kg", line.asked_kg, _kg(line.asked_kg), STATED),
        kg=single("kg", "weigh", "kg", line.kg, _kg(line.kg), ROUNDED),
        unit=single("unit_kg", "steps of", "kg", line.unit_kg, _kg(line.unit_kg), HOUSE),
        weighed=single("weighed_pct", "share weighed", SHARE, line.weighed_pct, 2, ROUNDED),
        how=how(line),
    )


def how(line: o.Weighing) -> str:
    """How it comes: whole bags and what is loose beside them, or from the silo."""
    unit = plain(line.unit_kg, _kg(line.unit_kg))
    loose = f"{plain(line.loose_kg, _kg(line.loose_kg))} kg weighed out" if line.loose_kg > 1e-6 else ""
    if not line.bags:
        return f"silo, weigher in {unit} kg"
    whole = f"{line.full} bag{'s' if line.full > 1 else ''} of {unit} kg" if line.full else ""
    return " and ".join(part for part in (whole, loose) if part)


def _water(line: o.WaterLine) -> WaterView:
    return WaterView(
        name=capital(line.name),
        L_per_kg=single("L_per_kg", "liquor", "L/kg", line.L_per_kg, 2, BALANCE),
        litres=single("litres", "liquor", "L", line.litres, 0, BALANCE),
        liquor=single("liquor_degC", "liquor", "degC", line.liquor_degC, 1, BALANCE),
        settled=single("settled_degC", "settled mash", "degC", line.settled_degC, 1, line.standing),
        goes_to=line.goes_to,
        rests=_rests(line.standing, line.source),
        standing=line.standing,
        source=line.source,
    )


def _cook(number: int, step: o.CookStep) -> CookView:
    return CookView(
        number=str(number),
        what=capital(step.what),
        kg=None if step.kg is None else single("kg", "weigh", "kg", step.kg, _kg(step.kg), ROUNDED),
        litres=None if step.litres is None else single("litres", "liquor", "L", step.litres, 0, BALANCE),
        degC=None if step.degC is None else single("degC", "temperature", "degC", step.degC, 1, step.standing),
        why=step.why,
        rests=_rests(step.standing, step.source),
        standing=step.standing,
        source=step.source,
    )


def _clock(step: o.ClockStep) -> ClockView:
    return ClockView(
        at=single("at_min", "from mashing in", "min", step.at_min, 0, BALANCE),
        what=capital(step.what),
        settled=single("settled_degC", "settled mash", "degC", step.settled_degC, 1, BALANCE),
    )


def _of(group: str, aims: Sequence[o.Aim]) -> list[o.Aim]:
    return [aim for aim in aims if aim.group == group]


def _group(key: str, title: str, aims: Sequence[o.Aim]) -> AimGroup:
    return AimGroup(key, title, tuple(_aim(aim) for aim in _of(key, aims)))


def _aim(aim: o.Aim) -> AimView:
    low, high = _bound(aim, aim.low), _bound(aim, aim.high)
    return AimView(
        key=aim.key,
        title=capital(aim.title),
        unit=aim.unit,
        aim=_bound(aim, aim.aim),
        low=low,
        high=high,
        limits=limits_text(low, high),
        words=aim.words,
        rests=_rests(aim.standing, aim.source),
        standing=aim.standing,
        source=aim.source,
    )


def _bound(aim: o.Aim, value: float | None) -> Entry | None:
    basis = f"{aim.standing}: {aim.source}"
    return None if value is None else single(aim.key, aim.title, aim.unit, value, aim.decimals, basis)


def limits_text(low: Entry | None, high: Entry | None) -> str:
    """Limits of action in words."""
    if low and high:
        return f"{low.at} to {high.at}"
    return f"at least {low.at}" if low else f"at most {high.at}" if high else ""


def _sources(order: o.MashOrder) -> tuple[SourceView, ...]:
    """Each source that says more than its standing, once, with what rests on it."""
    held: dict[str, list[str]] = {}
    rests = [(_liquor_name(line.name), line.standing, line.source) for line in order.waters]
    rests += [(step.what, step.standing, step.source) for step in order.cooking]
    for title, standing, source in [*rests, *((aim.title, aim.standing, aim.source) for aim in order.aims)]:
        if source not in (standing, HOUSE) and title not in held.setdefault(source, []):
            held[source].append(title)
    return tuple(SourceView(capital(", ".join(titles)), source) for source, titles in held.items())


def _liquor_name(name: str) -> str:
    """A water by its number; mashing in and sparges have names of their own."""
    return f"{name} water" if name in WATERS else name


def _rests(standing: str, source: str) -> str:
    """The standing; of what the house states, where it states it."""
    return source if standing == Standing.MEASURED.value else standing


def action_view(action: o.Action) -> o.Action:
    """If this is seen, do that: said as a sentence."""
    return replace(action, do=sentence(action.do))


def change_over_view(way: o.ChangeOver | None) -> ChangeOverView | None:
    """The change-over as a view; None where there is none."""
    if way is None:
        return None
    steps = tuple(_step(step) for step in way.steps)
    return ChangeOverView(way.to_bill, steps, tuple(action_view(rule) for rule in way.rules))


def _step(step: o.ChangeStep) -> ChangeStepView:
    litres = figure_entry(step.lpa_per_t) if step.lpa_per_t else withheld_entry(*STEP, NOT_CONVERTED)
    return ChangeStepView(capital(step.when), tuple(weighing_view(line) for line in step.weighed), litres, step.what)
