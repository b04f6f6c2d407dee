"""The mash-house order, the change-over, a year of each bill and what moves the answer, as views. See docs/order.md."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from gristwright.basics import Standing
from gristwright.documents.entries import (
    STATED,
    View,
    fewest_decimals,
    figure_entry,
    sentence,
    single,
    withheld_entries,
    withheld_entry,
)
from gristwright.documents.lots import lots_view
from gristwright.quantities.shown import capital, plain
from gristwright.records import order as o
from gristwright.records.lot import LotIdentity

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


def named(letter: str, bill: str) -> str:
    """How a bill is called in the dossier."""
    head = f"Offer {letter}" if letter else TODAY
    return head if bill in ("", letter, head, head.lower()) else f"{head}: {bill}"


def order_view(order: o.MashOrder, lots: Mapping[str, LotIdentity]) -> View:
    """One mash as the mash house runs it; of the `lots` those that are weighed, so that each can be checked."""
    weighed = {line.lot_id: lots[line.lot_id] for line in order.weighings if line.lot_id in lots}
    return {
        "bill": order.bill,
        "letter": order.letter,
        "name": named(order.letter, order.bill),
        "grain_in": order.grain_in,
        "blanks": list(BLANKS),
        "mash": single("kg_per_mash", "grist of one mash", "kg", order.kg_per_mash, _kg(order.kg_per_mash), HOUSE),
        "weighings": [weighing_view(line) for line in order.weighings],
        "lots_table": lots_view(weighed),
        "rounding": figure_entry(order.rounding, difference=True) if order.rounding else None,
        "waters": [_water(line) for line in order.waters],
        "cooking": [_cook(number, step) for number, step in enumerate(order.cooking, start=1)],
        "aims": [_group(key, title, order.aims) for key, title in GROUPS.items() if _of(key, order.aims)],
        "sources": _sources(order),
        "actions": [action_view(action) for action in order.actions],
        "notes": list(order.notes),
        "cautions": list(order.cautions),
    }


def _kg(value: float) -> int:
    return fewest_decimals(value, 1)


def weighing_view(line: o.Weighing) -> View:
    """A lot: what was asked, what is weighed, and how."""
    return {
        "lot": line.lot_id,
        "title": capital(line.title),
        "asked": single(
            "asked_pct", "share asked", SHARE, line.asked_pct, max(1, fewest_decimals(line.asked_pct)), STATED
        ),
        "asked_kg": single("asked_kg", "exactly", "kg", line.asked_kg, _kg(line.asked_kg), STATED),
        "kg": single("kg", "weigh", "kg", line.kg, _kg(line.kg), ROUNDED),
        "unit": single("unit_kg", "steps of", "kg", line.unit_kg, _kg(line.unit_kg), HOUSE),
        "weighed": single("weighed_pct", "share weighed", SHARE, line.weighed_pct, 2, ROUNDED),
        "how": how(line),
    }


def how(line: o.Weighing) -> str:
    """How it comes: whole bags and what is loose beside them, or from the silo."""
    unit = plain(line.unit_kg, _kg(line.unit_kg))
    loose = f"{plain(line.loose_kg, _kg(line.loose_kg))} kg weighed out" if line.loose_kg > 1e-6 else ""
    if not line.bags:
        return f"silo, weigher in {unit} kg"
    whole = f"{line.full} bag{'s' if line.full > 1 else ''} of {unit} kg" if line.full else ""
    return " and ".join(part for part in (whole, loose) if part)


def _water(line: o.WaterLine) -> View:
    return {
        "name": capital(line.name),
        "L_per_kg": single("L_per_kg", "liquor", "L/kg", line.L_per_kg, 2, BALANCE),
        "litres": single("litres", "liquor", "L", line.litres, 0, BALANCE),
        "liquor": single("liquor_degC", "liquor", "degC", line.liquor_degC, 1, BALANCE),
        "settled": single("settled_degC", "settled mash", "degC", line.settled_degC, 1, line.standing),
        "goes_to": line.goes_to,
        "rests": _rests(line.standing, line.source),
        "standing": line.standing,
        "source": line.source,
    }


def _cook(number: int, step: o.CookStep) -> View:
    return {
        "number": str(number),
        "what": capital(step.what),
        "kg": None if step.kg is None else single("kg", "weigh", "kg", step.kg, _kg(step.kg), ROUNDED),
        "litres": None if step.litres is None else single("litres", "liquor", "L", step.litres, 0, BALANCE),
        "degC": None if step.degC is None else single("degC", "temperature", "degC", step.degC, 1, step.standing),
        "why": step.why,
        "rests": _rests(step.standing, step.source),
        "standing": step.standing,
        "source": step.source,
    }


def _of(group: str, aims: Sequence[o.Aim]) -> list[o.Aim]:
    return [aim for aim in aims if aim.group == group]


def _group(key: str, title: str, aims: Sequence[o.Aim]) -> View:
    return {"key": key, "title": title, "rows": [_aim(aim) for aim in _of(key, aims)]}


def _aim(aim: o.Aim) -> View:
    basis = f"{aim.standing}: {aim.source}"
    numbers = {
        name: None if value is None else single(aim.key, aim.title, aim.unit, value, aim.decimals, basis)
        for name, value in (("aim", aim.aim), ("low", aim.low), ("high", aim.high))
    }
    return {
        "key": aim.key,
        "title": capital(aim.title),
        "unit": aim.unit,
        **numbers,
        "limits": limits_text(numbers["low"], numbers["high"]),
        "words": aim.words,
        "rests": _rests(aim.standing, aim.source),
        "standing": aim.standing,
        "source": aim.source,
    }


def limits_text(low: View | None, high: View | None) -> str:
    """Limits of action in words."""
    if low and high:
        return f"{low['at']} to {high['at']}"
    return f"at least {low['at']}" if low else f"at most {high['at']}" if high else ""


def _sources(order: o.MashOrder) -> list[View]:
    """Each source that says more than its standing, once, with what rests on it."""
    held: dict[str, list[str]] = {}
    rests = [(f"{line.name} water", line.standing, line.source) for line in order.waters]
    rests += [(step.what, step.standing, step.source) for step in order.cooking]
    for title, standing, source in [*rests, *((aim.title, aim.standing, aim.source) for aim in order.aims)]:
        if source not in (standing, HOUSE) and title not in held.setdefault(source, []):
            held[source].append(title)
    return [{"titles": capital(", ".join(titles)), "source": source} for source, titles in held.items()]


def _rests(standing: str, source: str) -> str:
    """The standing; of what the house states, where it states it."""
    return source if standing == Standing.MEASURED.value else standing


def action_view(action: o.Action) -> View:
    """If this is seen, do that."""
    return {"seen": action.seen, "do": sentence(action.do), "standing": action.standing, "source": action.source}


def change_over_view(way: o.ChangeOver | None) -> View | None:
    """The steps from today's bill to the ordered one."""
    if way is None:
        return None
    return {
        "to": way.to_bill,
        "steps": [
            {
                "when": capital(step.when),
                "weighed": [weighing_view(line) for line in step.weighed],
                "litres": figure_entry(step.lpa_per_t) if step.lpa_per_t else withheld_entry(*STEP, NOT_CONVERTED),
                "what": step.what,
            }
            for step in way.steps
        ],
        "rules": [action_view(rule) for rule in way.rules],
    }


def annual_view(lines: Sequence[o.AnnualLine]) -> View:
    """A year of each bill in columns; rows are tonnes of each lot, litres and money."""
    bills = [_year(line) for line in lines]
    return {"bills": bills, "columns": [bill["letter"] for bill in bills], "rows": _rows(bills)}


def _year(line: o.AnnualLine) -> View:
    tonnes = {
        lot: single(lot, lot, "t", value, fewest_decimals(value, 1), "share of the tonnes of the plant file")
        for lot, value in line.tonnes
    }
    changes = ("change_lpa", "change_cost", "same_litres")
    figures = {key: figure_entry(figure, difference=key in changes) for key, figure in line.figures.items()}
    figures |= withheld_entries(line.withheld)
    return {"letter": line.letter or TODAY, "bill": line.bill, "tonnes": tonnes, "figures": figures}


def _rows(bills: list[View]) -> list[View]:
    lots = dict.fromkeys(lot for bill in bills for lot in bill["tonnes"])
    keys = {key: figure for bill in bills for key, figure in bill["figures"].items()}
    rows = [_row(lot, "t", [bill["tonnes"].get(lot) for bill in bills]) for lot in lots]
    return rows + [
        _row(figure["label"], figure["unit"], [bill["figures"].get(key) for bill in bills])
        for key, figure in keys.items()
    ]


def _row(label: str, unit: str, numbers: list[View | None]) -> View:
    cells = [{"text": n["at"] if n else "\u2013", "under": n["range"] if n else ""} for n in numbers]
    return {"label": label, "unit": unit, "cells": cells}


def sensitivity_view(found: o.Sensitivity) -> View:
    """One per cent more of each lot, and the prices at which offers turn; equal prices said once."""
    return {
        "around": found.around,
        "withheld": found.withheld,
        "one_percent": [
            {
                "lot": one.lot_id,
                "title": capital(one.title),
                "instead_of": one.instead_of,
                "litres": figure_entry(one.lpa_per_t, difference=True),
                "cost": figure_entry(one.cost_per_lpa, difference=True),
            }
            for one in found.one_percent
        ],
        "flips": _flips(found.flips),
    }


def _flips(flips: Sequence[o.FlipPrice]) -> list[View]:
    held: dict[tuple[str, str, str], list[o.FlipPrice]] = {}
    for flip in flips:
        price = figure_entry(flip.price)["text"] if flip.price else ""
        held.setdefault((flip.lot_id, flip.cheaper, price), []).append(flip)
    return [
        {
            "lot": lot,
            "offers": [flip.letter for flip in group],
            "now": single(
                "price_now", f"price of {lot} now", "", group[0].price_now, fewest_decimals(group[0].price_now), STATED
            ),
            "price": figure_entry(group[0].price) if group[0].price else None,
            "cheaper": cheaper,
            "words": SAID[cheaper],
        }
        for (lot, cheaper, _), group in held.items()
    ]


SAID = {
    "below": "cheaper than today below it",
    "above": "cheaper than today above it",
    "never": "dearer than today even with it for nothing",
    "always": "cheaper than today at any price of it",
    "unsure": "no price of it turns it: both bills use nearly the same for a litre",
}
