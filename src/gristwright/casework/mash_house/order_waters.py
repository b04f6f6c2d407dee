"""Liquors of an order, read off the programme that is simulated: litres, heat, where each wort goes. docs/order.md."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gristwright.basics import Standing
from gristwright.casework.bench.bench import Bench
from gristwright.flowsheet.setting_out import SetOut, in_waters
from gristwright.quantities.shown import capital, plain
from gristwright.records.mash import WASHBACK, Charge, DrawOff, MashProgramme
from gristwright.records.order import WaterLine
from gristwright.records.plant import WATERS, MashPlan
from gristwright.reference import csv_rows
from gristwright.stages.mash import heat
from gristwright.stages.mash.waters import usual_mashing_in, usual_sparge

# Liquors that differ more from the house's litres of wort than this are remarked on.
NEAR_WORT = 0.05
MASHING_IN, SPARGE = "mashing in", "{} sparge"
OWN = (Standing.MEASURED.value, "plant file")
Basis = tuple[str, str]


def readable_L(litres: float) -> float:
    """To ten litres where a meter shows no better."""
    return round(litres, -1) if litres >= 1000.0 else round(litres)


def water_lines(bench: Bench, ready: SetOut, moisture_pct: float) -> tuple[WaterLine, ...]:
    """Every liquor of a mash drawn off its grain, in order."""
    plan, programme, waters = bench.plant.mash, ready.programme, in_waters(bench.plant)
    names = WATERS if waters else (MASHING_IN, *(SPARGE.format(name) for name in WATERS))
    charges = [charge for charge in programme.charges if charge.liquor_L_per_kg > 0.0]
    lines: list[WaterLine] = []
    for number, (charge, draw) in enumerate(zip(charges, programme.draw_offs, strict=True)):
        settled = next(c.settled_degC for c in reversed(programme.corners) if c.at_min == charge.at_min)
        before = _last_degC(programme, charge.at_min) if lines else None
        onto = charge.liquor_L_per_kg if lines else charge.liquor_L_per_kg / _part_in(ready, charge)
        liquor = liquor_degC(plan, settled, onto, before, moisture_pct)
        litres = readable_L(charge.liquor_L_per_kg * plan.kg_per_mash)
        basis = _basis(plan, names[number], waters)
        lines.append(WaterLine(names[number], charge.liquor_L_per_kg, litres, liquor, settled, _goes_to(draw), *basis))
    return tuple(lines)


def _goes_to(draw: DrawOff) -> str:
    """Where a wort goes, in the words of an order."""
    return WASHBACK if draw.goes_to == WASHBACK else "first water of the next mash"


def _part_in(ready: SetOut, charge: Charge) -> float:
    """Part of the grist that goes in with a charge: in a cooker the malt comes later."""
    shares = {grain.key: float(np.mean(grain.share)) for grain in ready.grains}
    return sum(part * shares[key] for key, part in charge.grains)


def _last_degC(programme: MashProgramme, at_min: float) -> float:
    """The settled mash just before a minute."""
    return [corner.settled_degC for corner in programme.corners if corner.at_min <= at_min][-2]


def liquor_degC(plan: MashPlan, settled: float, L_per_kg: float, before: float | None, moisture_pct: float) -> float:
    """Liquor that makes the mash settle: on the grist, or on a bed at `before`. Raises Refused where it would boil."""
    if before is not None:
        return float(heat.later_liquor_degC(settled, before, L_per_kg))
    ratio, rise = heat.slaking(moisture_pct)
    return float(heat.liquor_degC(settled, plan.grist_degC, L_per_kg, ratio, rise, plan.vessel_loss_K))


def _basis(plan: MashPlan, name: str, waters: bool) -> Basis:
    """What the litres of a liquor rest on: the house's own, or what is usual."""
    rows = {row["water"]: row for row in csv_rows("tables/waters.csv")}
    if waters:
        row = rows.get(name, rows["third"])
        return OWN if plan.waters else (row["standing"], row["source"])
    if name != MASHING_IN:
        row = usual_sparge()
        return OWN if plan.sparges else (row["standing"], row["source"])
    if plan.liquor_L_per_kg is not None:
        return OWN
    if plan.sparges:
        return Standing.DERIVED.value, "what the wort takes and the sparges do not bring"
    row = usual_mashing_in()
    return row["standing"], row["source"]


def water_notes(plan: MashPlan, lines: Sequence[WaterLine], extract: float, moisture_pct: float) -> list[str]:
    """What is odd about the liquors: their wort is not the house's, or two settled temperatures are stated."""
    notes = _wort_note(plan, [line for line in lines if line.goes_to == WASHBACK], extract, moisture_pct)
    if plan.waters and plan.waters[0].settled_degC != plan.settled_mash_degC:
        notes.append(
            f"The plant file settles the mash at {plan.settled_mash_degC:g} degC and its first water at "
            f"{plan.waters[0].settled_degC:g} degC: say which."
        )
    return notes


def _wort_note(plan: MashPlan, lines: Sequence[WaterLine], extract: float, moisture_pct: float) -> list[str]:
    gives = heat.wort_of_waters_L_per_t(sum(line.L_per_kg for line in lines), extract, moisture_pct)
    if abs(gives / plan.wort_L_per_t - 1.0) <= NEAR_WORT:
        return []
    waters = " and ".join(line.name for line in lines) + (" water" if lines[0].name in WATERS else "")
    return [
        f"{capital(waters)} would give about {plain(gives, 0)} L of wort a tonne by their balance; the house "
        f"states {plain(plan.wort_L_per_t, 0)}. One of the two is not as written."
    ]
