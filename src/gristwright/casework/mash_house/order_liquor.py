"""Liquors of an order by the heat balance, what they rest on, and where their water goes. See docs/order.md."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gristwright.basics import Refused, Standing
from gristwright.casework.bench.bench import GristBench
from gristwright.flowsheet.setting_out import SetOut, in_waters
from gristwright.records.mash import NEXT_MASH, WASHBACK, Charge, MashProgramme
from gristwright.records.order import Weighing
from gristwright.records.plant import MashPlan, Plant
from gristwright.records.said import Amount, Said, said
from gristwright.reference import csv_rows
from gristwright.stages.mash import heat
from gristwright.stages.mash.kept import EXTRACT_L_PER_KG, HELD_L_PER_KG
from gristwright.stages.mash.room import SOLIDS_L_PER_KG
from gristwright.stages.mash.waters import usual_mashing_in, usual_sparge

# Litres that differ more from the house's own than this are remarked on.
NEAR_WORT = 0.05
OWN = (Standing.MEASURED.value, "plant file")
BALANCE = (Standing.DERIVED.value, "heat and volume balance of the order")
Basis = tuple[str, str]


@dataclass(frozen=True)
class Mashing:
    """What the order of one mash is read off: its house, its programme, its grist as weighed."""

    bench: GristBench
    ready: SetOut
    weighed: tuple[Weighing, ...]
    moisture_pct: float
    extract_kg_per_t: float  # in the wort, of the reference run

    @property
    def plan(self) -> MashPlan:
        """The house's mash."""
        return self.bench.plant.mash

    @property
    def programme(self) -> MashProgramme:
        """What is simulated."""
        return self.ready.programme

    @property
    def brews(self) -> bool:
        """Whether the wort goes to a kettle."""
        return self.bench.plant.wort_boiled

    @property
    def vessel(self) -> str:
        """What the wort is drawn off in; the mash vessel of a house that draws none off."""
        return "vessel" if self.bench.plant.grain_in else self.plan.vessel


def readable_L(litres: float) -> float:
    """To ten litres where a meter shows no better."""
    return round(litres, -1) if litres >= 1000.0 else round(litres)


def litres_of(mash: Mashing, L_per_kg: float) -> float:
    """Litres of one mash that a person can let in."""
    return readable_L(L_per_kg * mash.plan.kg_per_mash)


def part_in(mash: Mashing, charge: Charge) -> float:
    """Part of the grist that goes in with a charge: in a cooker the malt comes later."""
    shares = {grain.key: float(np.mean(grain.share)) for grain in mash.ready.grains}
    return sum(part * shares[key] for key, part in charge.grains)


def mashing_in_degC(mash: Mashing, charge: Charge, settled_degC: float) -> float:
    """Liquor that makes the grain of a charge settle. Raises Refused for one that cannot be had."""
    plan, (ratio, rise) = mash.plan, heat.slaking(mash.moisture_pct)
    onto = charge.liquor_L_per_kg / part_in(mash, charge)
    return float(heat.liquor_degC(settled_degC, plan.grist_degC, onto, ratio, rise, plan.vessel_loss_K))


def slurry_liquor_degC(mash: Mashing, charge: Charge, settled_degC: float) -> float | None:
    """The same for a cooker, whose steam does the rest: None where no liquor would do it alone."""
    try:
        return mashing_in_degC(mash, charge, settled_degC)
    except Refused:
        return None


def onto_bed_degC(settled_degC: float, before_degC: float, charge: Charge) -> float:
    """Liquor of a later water or sparge on the drained bed. Raises Refused for one that cannot be had."""
    return float(heat.later_liquor_degC(settled_degC, before_degC, charge.liquor_L_per_kg))


def mashing_in_basis(mash: Mashing) -> Basis:
    """What the litres at mashing in rest on."""
    plan, plant = mash.plan, mash.bench.plant
    if plan.liquor_L_per_kg is not None or (plan.waters and in_waters(plant)):
        return OWN
    if in_waters(plant):
        return _usual_water("first")
    if plan.sparges:
        return Standing.DERIVED.value, "what the wort takes and the sparges do not bring"
    if plant.grain_in:
        return Standing.DERIVED.value, "volume of the mash less the room of the dry grain"
    row = usual_mashing_in()
    return row["standing"], row["source"]


def later_basis(mash: Mashing, name: str) -> Basis:
    """What the litres of a later water or sparge rest on."""
    plan = mash.plan
    if in_waters(mash.bench.plant):
        return OWN if plan.waters else _usual_water(name)
    row = usual_sparge()
    return OWN if plan.sparges else (row["standing"], row["source"])


def _usual_water(name: str) -> Basis:
    rows = {row["water"]: row for row in csv_rows("tables/waters.csv")}
    row = rows.get(name, rows["third"])
    return row["standing"], row["source"]


def weak_L(mash: Mashing) -> float:
    """Weak worts of one mash: as much as the liquors that wash them off the drained bed."""
    return sum(litres_of(mash, one.liquor_L_per_kg) for one in _charges_of(mash.programme, NEXT_MASH))


def _charges_of(programme: MashProgramme, goes_to: str) -> list[Charge]:
    """Liquors behind the first wort whose own wort goes there."""
    drawn = sorted(programme.draw_offs, key=lambda draw: draw.at_min)
    later = [one for one in programme.charges if drawn and one.at_min >= drawn[0].at_min - 1e-6]
    return [one for one, draw in zip(later, drawn[1:], strict=True) if draw.goes_to == goes_to]


@dataclass(frozen=True)
class WortBalance:
    """Water of one mash in litres, each as it is printed; the wort is their sum."""

    liquor: float
    grain_water: float
    held: float
    extract_room: float
    evaporated: float
    weak: float

    @property
    def wort(self) -> float:
        """All wort, weak worts with it."""
        return self.liquor + self.grain_water + self.extract_room - self.held - self.evaporated

    @property
    def collected(self) -> float:
        """What goes to the washback or the kettle."""
        return self.wort - self.weak


def wort_balance(mash: Mashing) -> WortBalance:
    """Liquor in, wort out: 0.7 L/kg stay in the draff, 0.62 L/kg is the room of extract; nothing boils off."""
    tonnes = mash.plan.kg_per_mash / 1000.0
    charged = [one for one in mash.programme.charges if one.liquor_L_per_kg > 0.0]
    step = -1 if tonnes >= 0.5 else 0
    return WortBalance(
        liquor=sum(litres_of(mash, one.liquor_L_per_kg) for one in charged),
        grain_water=round(10.0 * mash.moisture_pct * tonnes, step),
        held=round(1000.0 * HELD_L_PER_KG * tonnes, step),
        extract_room=round(EXTRACT_L_PER_KG * mash.extract_kg_per_t * tonnes, step),
        evaporated=0.0,
        weak=weak_L(mash),
    )


def wort_litres(mash: Mashing) -> dict[str, float]:
    """Litres of each wort by its name; together the balance's."""
    found, litres = wort_balance(mash), {}
    drawn = sorted(mash.programme.draw_offs, key=lambda draw: draw.at_min)
    later = [one for one in mash.programme.charges if drawn and one.at_min >= drawn[0].at_min - 1e-6]
    for draw, charge in zip(drawn[1:], later, strict=True):
        litres[draw.name] = litres_of(mash, charge.liquor_L_per_kg)
    return {drawn[0].name: found.wort - sum(litres.values())} | litres if drawn else {}


def balance_lines(mash: Mashing) -> tuple[Said, ...]:
    """The balance in words, closing; and where it is not the house's litres."""
    if not mash.programme.draw_offs:
        return (_whole_mash(mash),)
    found, plan = wort_balance(mash), mash.plan
    terms = {
        "liquor": Amount(found.liquor, "L"),
        "grain": Amount(found.grain_water, "L"),
        "extract": Amount(found.extract_room, "L"),
        "held": Amount(found.held, "L"),
        "evaporated": Amount(found.evaporated, "L"),
        "wort": Amount(found.wort, "L"),
    }
    lines = [said("order.balance", **terms)]
    if found.weak > 0.0:
        own = Amount(found.collected, "L")
        lines.append(said("order.balance_weak", own=own, weak=Amount(found.weak, "L"), to=place(mash, WASHBACK)))
    house = plan.kg_per_mash * plan.wort_L_per_t / 1000.0
    if abs(found.collected / house - 1.0) > NEAR_WORT:
        gives, states = Amount(found.collected, "L"), Amount(readable_L(house), "L")
        lines.append(said("order.balance_odd", gives=gives, states=states))
    else:
        off = Amount(found.collected - readable_L(house), "L", change=True)
        lines.append(said("order.balance_near", states=Amount(readable_L(house), "L"), off=off))
    return tuple(lines)


def _whole_mash(mash: Mashing) -> Said:
    """The mash of a house that ferments it whole: liquor and the room of dry grain."""
    liquor = litres_of(mash, mash.programme.mashed_in_L_per_kg)
    room = litres_of(mash, SOLIDS_L_PER_KG * (1.0 - mash.moisture_pct / 100.0))
    whole = Amount(liquor + room, "L")
    return said("order.balance_whole", liquor=Amount(liquor, "L"), room=Amount(room, "L"), whole=whole)


def place(mash: Mashing, goes_to: str) -> Said:
    """Where a wort goes."""
    if goes_to == NEXT_MASH:
        return said("order.to.next")
    return said("order.to.kettle") if mash.brews else said("order.to.washback")


def plan_notes(plant: Plant) -> list[Said]:
    """What is odd about the plan: two settled temperatures, or a tun that is to be heated from rest to rest."""
    plan, notes = plant.mash, []
    if plan.waters and plan.waters[0].settled_degC != plan.settled_mash_degC:
        both = (plan.settled_mash_degC, plan.waters[0].settled_degC)
        notes.append(said("order.note.two_settled", mash=Amount(both[0], "degC", 1), water=Amount(both[1], "degC", 1)))
    if len(plan.rests) > 1 and plan.vessel == "tun" and plan.rest_liquor_degC is None and not plan.decoctions:
        notes.append(said("order.note.heated_tun"))
    if plan.vessel == "filter" and in_waters(plant):
        notes.append(said("order.note.filter_waters"))
    return notes
