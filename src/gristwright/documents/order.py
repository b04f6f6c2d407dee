"""The mash-house order and the change-over as views, in a language. See docs/order.md."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from gristwright.charts.changes import lettered
from gristwright.documents.entries import (
    STATED,
    Entry,
    figure_entry,
    sentence,
    single,
    withheld_entry,
)
from gristwright.documents.lots import LotsView, lots_view
from gristwright.documents.speech import Speech, speech
from gristwright.quantities.shown import capital, fewest_decimals
from gristwright.records import order as o
from gristwright.records.customer import called
from gristwright.records.lot import LotIdentity
from gristwright.records.said import Amount, Name, Said, said

HOUSE = "plant file"
SHARE = "% of the grist as it is weighed"
ROUNDED = "share of the bill, rounded to what can be weighed"
BALANCE = "heat and volume balance of the order"
GROUPS = ("mill", "mash", "run-off", "wort", "fermentation")
BLANKS = ("mash_no", "date", "washback", "seen", "by")
LOT_HEADS = ("lot", "supplier", "lot_number", "crop", "type", "certificate")
# Everything the sheet says beside the order's own sentences.
LABELS = (
    *BLANKS, *LOT_HEADS, "kettle", "weigh", "asked", "kg", "how", "weighed", "was_kg", "together", "lots", "lots_note",
    "steps", "minute", "step", "grain_kg", "liquor_L", "liquor_degC", "settled", "was", "balance", "notes", "keep",
    "what", "aim", "outside", "standing", "if_seen", "seen_head", "do", "mind", "sheet_note", "rounding_note",
    "fill_in", "sources", "order", "page", "of", "inputs", "planning_aid", "invented",
)  # fmt: skip
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
    material: str


@dataclass(frozen=True)
class StepView:
    """One step by the clock; `said` are what and why as they were said."""

    at: Entry
    what: str
    kg: Entry | None
    litres: Entry | None
    liquor: Entry | None
    settled: Entry | None
    why: str
    rests: str
    standing: str
    source: str
    said: tuple[Said, ...]


@dataclass(frozen=True)
class AimView:
    """What is aimed at and written down, and outside what limits something is done; `said` are title and words."""

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
    said: tuple[Said, ...]


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
class ActionView:
    """If this is seen, that is done; `said` are the two as they were said."""

    seen: str
    do: str
    rests: str
    standing: str
    source: str
    said: tuple[Said, Said]


@dataclass(frozen=True)
class OrderView:
    """One mash as the mash house runs it."""

    bill: str
    letter: str
    name: str
    title: str
    grain_in: bool
    brews: bool
    words: dict[str, str]
    blanks: tuple[str, ...]
    mash: Entry
    weighings: tuple[WeighingView, ...]
    lots_table: LotsView
    rounding: Entry | None
    rounding_text: str
    bags: tuple[str, ...]
    steps: tuple[StepView, ...]
    balance: tuple[str, ...]
    aims: tuple[AimGroup, ...]
    sources: tuple[SourceView, ...]
    actions: tuple[ActionView, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    said: tuple[Said, ...]  # of the balance, the notes and the cautions


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
    rules: tuple[ActionView, ...]


def named(letter: str, bill: str) -> str:
    """How a bill is called in the dossier."""
    head = lettered(letter) if letter else TODAY
    return head if bill in ("", letter, head, head.lower()) else f"{head}: {bill}"


def _named(letter: str, bill: str, tongue: Speech) -> str:
    """The same in a language."""
    head = tongue.say(called(letter) if letter else said("order.today"))
    alone = ("", letter, f"Offer {letter}", f"offer {letter}", TODAY, TODAY.lower())
    return head if bill in alone else f"{head}: {bill}"


def order_view(
    order: o.MashOrder, lots: Mapping[str, LotIdentity], tongue: Speech | None = None, alone: bool = False
) -> OrderView:
    """The order as a view in a language, English unless said; of the `lots` those that are weighed.

    `alone` it stands for a bill that is no answer to an enquiry, and is called by that bill's own name.
    """
    tongue = tongue or speech()
    weighed = {line.lot_id: lots[line.lot_id] for line in order.weighings if line.lot_id in lots}
    name = order.bill if alone else _named(order.letter, order.bill, tongue)
    grist = Amount(order.kg_per_mash, "kg", _kg(order.kg_per_mash))
    change = Amount.of_figure(order.rounding, change=True) if order.rounding else None
    blanks = [one if one != "washback" or not order.brews else "kettle" for one in BLANKS]
    return OrderView(
        bill=order.bill,
        letter=order.letter,
        name=name,
        title=tongue.say(said("order.title", name=name, grist=grist)),
        grain_in=order.grain_in,
        brews=order.brews,
        words={key: _label(key, tongue) for key in LABELS},
        blanks=tuple(_label(one, tongue) for one in blanks),
        mash=_entry(tongue, "kg_per_mash", "grist of one mash", "kg", order.kg_per_mash, _kg(order.kg_per_mash), HOUSE),
        weighings=tuple(weighing_view(line, tongue) for line in order.weighings),
        lots_table=_lots(weighed, order, tongue),
        rounding=figure_entry(order.rounding, difference=True) if order.rounding else None,
        rounding_text=tongue.say(said("order.rounding", change=change)) if change else "",
        bags=_all(order.bags, tongue),
        steps=tuple(_step(step, tongue) for step in order.steps),
        balance=_all(order.balance, tongue),
        aims=tuple(_group(key, order.aims, tongue) for key in GROUPS if _of(key, order.aims)),
        sources=_sources(order, tongue),
        actions=tuple(action_view(action, tongue) for action in order.actions),
        notes=_all(order.notes, tongue),
        cautions=_all(order.cautions, tongue),
        said=(*order.bags, *order.balance, *order.notes, *order.cautions),
    )


def _label(key: str, tongue: Speech) -> str:
    return tongue.say(Said(f"order.label.{key}"))


def _all(lines: Sequence[Said], tongue: Speech) -> tuple[str, ...]:
    return tuple(tongue.say(line) for line in lines)


def _lots(weighed: Mapping[str, LotIdentity], order: o.MashOrder, tongue: Speech) -> LotsView:
    """The table of lots with its heads and the types of malt in the language."""
    made = lots_view(weighed)
    types = {line.lot_id: capital(_type(line, tongue)) for line in order.weighings}
    rows = tuple(replace(row, type=types.get(row.lot, row.type)) for row in made.rows)
    heads = tuple(_label(key, tongue) for key in LOT_HEADS)
    return LotsView(heads, rows, _label("lots_note", tongue))


def _type(line: o.Weighing, tongue: Speech) -> str:
    return tongue.name(Name("type", line.material)) if line.material else line.title


def _kg(value: float) -> int:
    return fewest_decimals(value, 2)


def _entry(tongue: Speech, key: str, label: str, unit: str, value: float, decimals: int, basis: str) -> Entry:
    """A number as the language writes it."""
    made, at = single(key, label, unit, value, decimals, basis), tongue.number(Amount(value, unit, decimals))
    return replace(made, at=at, text=at, unit=made.unit if unit == SHARE else tongue.unit(unit))


def weighing_view(line: o.Weighing, tongue: Speech | None = None) -> WeighingView:
    """A lot that is weighed as a view."""
    tongue, share = tongue or speech(), max(1, fewest_decimals(line.asked_pct))
    return WeighingView(
        lot=line.lot_id,
        title=capital(_type(line, tongue)),
        asked=_entry(tongue, "asked_pct", "share asked", SHARE, line.asked_pct, share, STATED),
        asked_kg=_entry(tongue, "asked_kg", "exactly", "kg", line.asked_kg, _kg(line.asked_kg), STATED),
        kg=_entry(tongue, "kg", "weigh", "kg", line.kg, _kg(line.kg), ROUNDED),
        unit=_entry(tongue, "unit_kg", "steps of", "kg", line.unit_kg, _kg(line.unit_kg), HOUSE),
        weighed=_entry(tongue, "weighed_pct", "share weighed", SHARE, line.weighed_pct, 2, ROUNDED),
        how=how(line, tongue),
        material=line.material,
    )


def how(line: o.Weighing, tongue: Speech) -> str:
    """How it comes: whole bags and what is loose beside them, or from the silo."""
    unit = Amount(line.unit_kg, "kg", _kg(line.unit_kg))
    if not line.bags:
        return tongue.say(said("order.weigh.silo", unit=unit))
    parts = [tongue.say(said("order.weigh.bags", n=line.full, unit=unit))] if line.full else []
    if line.loose_kg > 1e-6:
        parts.append(tongue.say(said("order.weigh.loose", loose=Amount(line.loose_kg, "kg", _kg(line.loose_kg)))))
    return tongue.together(parts)


def _step(step: o.MashStep, tongue: Speech) -> StepView:
    return StepView(
        at=_entry(tongue, "at_min", "from mashing in", "min", step.at_min, 0, BALANCE),
        what=capital(tongue.say(step.what)),
        kg=None if step.kg is None else _entry(tongue, "kg", "grain in", "kg", step.kg, _kg(step.kg), ROUNDED),
        litres=_number(tongue, "litres", "liquor", "L", step.litres, 0),
        liquor=_number(tongue, "liquor_degC", "liquor", "degC", step.liquor_degC, 1),
        settled=_number(tongue, "settled_degC", "settled mash", "degC", step.settled_degC, 1),
        why=tongue.say(step.why) if step.why else "",
        rests=_rests(step.standing, tongue),
        standing=step.standing,
        source=step.source,
        said=tuple(one for one in (step.what, step.why) if one),
    )


def _number(tongue: Speech, key: str, label: str, unit: str, value: float | None, decimals: int) -> Entry | None:
    return None if value is None else _entry(tongue, key, label, unit, value, decimals, BALANCE)


def _of(group: str, aims: Sequence[o.Aim]) -> list[o.Aim]:
    return [aim for aim in aims if aim.group == group]


def _group(key: str, aims: Sequence[o.Aim], tongue: Speech) -> AimGroup:
    title = tongue.say(Said(f"order.group.{key}"))
    return AimGroup(key, title, tuple(_aim(aim, tongue) for aim in _of(key, aims)))


def _aim(aim: o.Aim, tongue: Speech) -> AimView:
    return AimView(
        key=aim.key,
        title=capital(tongue.say(aim.title)),
        unit=tongue.unit(aim.unit),
        aim=_bound(aim, aim.aim, tongue),
        low=_bound(aim, aim.low, tongue),
        high=_bound(aim, aim.high, tongue),
        limits=limits_text(aim, tongue),
        words=tongue.say(aim.words) if aim.words else "",
        rests=_rests(aim.standing, tongue),
        standing=aim.standing,
        source=aim.source,
        said=tuple(one for one in (aim.title, aim.words) if one),
    )


def _bound(aim: o.Aim, value: float | None, tongue: Speech) -> Entry | None:
    basis = f"{aim.standing}: {aim.source}"
    return None if value is None else _entry(tongue, aim.key, aim.title.key, aim.unit, value, aim.decimals, basis)


def limits_text(aim: o.Aim, tongue: Speech) -> str:
    """Limits of action in words."""
    low, high = (None if end is None else Amount(end, aim.unit, aim.decimals) for end in (aim.low, aim.high))
    if low and high:
        return tongue.say(said("order.limits.between", low=low, high=high))
    if low:
        return tongue.say(said("order.limits.least", low=low))
    return tongue.say(said("order.limits.most", high=high)) if high else ""


def _sources(order: o.MashOrder, tongue: Speech) -> tuple[SourceView, ...]:
    """Each source that says more than its standing, once, with what rests on it."""
    held: dict[str, list[str]] = {}
    rests = [(step.what, step.standing, step.source) for step in order.steps if step.litres is not None]
    for title, standing, source in [*rests, *((aim.title, aim.standing, aim.source) for aim in order.aims)]:
        text = tongue.say(title)
        if source not in (standing, HOUSE) and text not in held.setdefault(source, []):
            held[source].append(text)
    return tuple(SourceView(capital(", ".join(titles)), source) for source, titles in held.items())


def _rests(standing: str, tongue: Speech) -> str:
    """The standing; of what the house states, that it does."""
    return tongue.name(Name("standing", standing))


def action_view(action: o.Action, tongue: Speech | None = None) -> ActionView:
    """If this is seen, do that: said as a sentence."""
    tongue = tongue or speech()
    seen, do = tongue.say(action.seen), sentence(tongue.say(action.do))
    rests = _rests(action.standing, tongue)
    return ActionView(seen, do, rests, action.standing, action.source, (action.seen, action.do))


def change_over_view(way: o.ChangeOver | None, tongue: Speech | None = None) -> ChangeOverView | None:
    """The change-over as a view; None where there is none."""
    if way is None:
        return None
    tongue = tongue or speech()
    steps = tuple(_change(step, tongue) for step in way.steps)
    return ChangeOverView(way.to_bill, steps, tuple(action_view(rule, tongue) for rule in way.rules))


def _change(step: o.ChangeStep, tongue: Speech) -> ChangeStepView:
    litres = figure_entry(step.lpa_per_t) if step.lpa_per_t else withheld_entry(*STEP, NOT_CONVERTED)
    weighed = tuple(weighing_view(line, tongue) for line in step.weighed)
    return ChangeStepView(capital(tongue.say(step.when)), weighed, litres, tongue.say(step.what))
