"""The cooker of an order: water and backset, what goes in at which temperature. See docs/order.md."""

from __future__ import annotations

from collections.abc import Iterator

from gristwright.basics import Standing
from gristwright.casework.mash_house.order_liquor import (
    OWN,
    Basis,
    Mashing,
    litres_of,
    mashing_in_basis,
    readable_L,
    slurry_liquor_degC,
)
from gristwright.flowsheet.setting_out import IN_COOKER
from gristwright.records.mash import Charge, Corner
from gristwright.records.order import MashStep, Weighing
from gristwright.records.said import Amount, Name, Said, said
from gristwright.reference import csv_rows
from gristwright.stages.mash import heat

NEAR_K = 0.3  # a settled mash as near to its aim as this needs no heat; our choice
STIRRED: Basis = (Standing.COMMON_PRACTICE.value, "lumps do not cook")
IN_ITS_HEAT: Basis = (Standing.DERIVED.value, "heat balance, without the heat of slaking")


def water_and_backset(mash: Mashing, litres: float, degC: float | None) -> Iterator[MashStep]:
    """The liquor of a mash, `litres` of water and backset together."""
    share = mash.plan.backset_pct
    backset, basis = readable_L(share / 100.0 * litres), mashing_in_basis(mash)
    why = said("order.why.together") if backset > 0.0 else None
    yield MashStep(0.0, said("order.step.liquor"), None, litres - backset, degC, None, why, *basis)
    if backset > 0.0:
        why = said("order.why.backset", share=Amount(share, "%"))
        yield MashStep(0.0, said("order.step.backset"), None, backset, degC, None, why, *OWN)


def into_cooker(mash: Mashing, charge: Charge, at: Corner) -> Iterator[MashStep]:
    """Liquor where there is some, then the grains of a charge, malt against lumps first."""
    if charge.liquor_L_per_kg > 0.0:
        litres = litres_of(mash, charge.liquor_L_per_kg)
        yield from water_and_backset(mash, litres, slurry_liquor_degC(mash, charge, at.settled_degC))
    lines = {line.lot_id: line for line in mash.weighed}
    weighed = [(key, _kg(mash, key, lines[_lot(key)])) for key, _ in charge.grains]
    going = sorted(((key, kg) for key, kg in weighed if kg > 0.0), key=lambda one: not _premalt(one[0]))
    for key, kg in going:
        line = lines[_lot(key)]
        what = said("order.step.grain", type=Name("type", line.material), lot=line.lot_id)
        settled = at.settled_degC if key == going[-1][0] else None
        yield MashStep(charge.at_min, what, kg, None, None, settled, *_why(mash, key))


def _premalt(key: str) -> bool:
    return key.endswith(IN_COOKER.format(""))


def _lot(key: str) -> str:
    return key.removesuffix(IN_COOKER.format("")) if _premalt(key) else key


def _kg(mash: Mashing, key: str, line: Weighing) -> float:
    """Kilograms of a grain: malt for the cooker comes off its lot."""
    early = min(mash.plan.premalt_pct / 100.0 * mash.plan.kg_per_mash, line.kg)
    if _premalt(key):
        return early
    split = any(grain.key == IN_COOKER.format(line.lot_id) for grain in mash.ready.grains)
    return line.kg - early if split else line.kg


def _why(mash: Mashing, key: str) -> tuple[Said, str, str]:
    if _premalt(key):
        return (said("order.why.premalt"), *OWN)
    if not _malty(mash, key):
        return (said("order.why.stir"), *STIRRED)
    row = _row("malt")
    return (said("order.why.malt", degC=Amount(float(row["degC"]), "degC", 1)), row["standing"], row["source"])


def _malty(mash: Mashing, key: str) -> bool:
    """Whether a grain has enzymes that heat takes."""
    return key in mash.ready.enzymes


def held(mash: Mashing, at: Corner, minutes: Amount) -> MashStep:
    """The cook at its hottest."""
    row = _row("cook")
    own: Basis = OWN if mash.plan.cooker is not None else (row["standing"], row["source"])
    what = said("order.step.hold_cook", minutes=minutes)
    return MashStep(at.at_min, what, None, None, None, at.settled_degC, said("order.why.cook"), *own)


def ramp(mash: Mashing, a: Corner, b: Corner, minutes: Amount) -> MashStep:
    """Up to the cook, or down to where the next grain goes in: cold grain cools what it goes into."""
    if b.settled_degC > a.settled_degC:
        what = said("order.step.heat_cook", degC=Amount(b.settled_degC, "degC", 1), minutes=minutes)
        return MashStep(a.at_min, what, None, None, None, b.settled_degC, said("order.why.climb"), *OWN)
    charge = next((one for one in mash.programme.charges if abs(one.at_min - b.at_min) < 1e-6), None)
    if charge is None or not any(_malty(mash, key) for key, _ in charge.grains):
        what = said("order.step.cool", degC=Amount(b.settled_degC, "degC", 1), minutes=minutes)
        row = _row("second")
        own: Basis = OWN if mash.plan.cooker is not None else (row["standing"], row["source"])
        return MashStep(a.at_min, what, None, None, None, b.settled_degC, said("order.why.second"), *own)
    at, settles = _before_malt(mash, charge, b.settled_degC)
    what = said("order.step.cool", degC=Amount(at, "degC", 1), minutes=minutes)
    aimed = Amount(b.settled_degC, "degC", 1)
    why = said("order.why.before_malt", degC=aimed)
    if settles < b.settled_degC - NEAR_K:
        why = said("order.why.before_malt_capped", settled=Amount(settles, "degC", 1), degC=aimed)
    return MashStep(a.at_min, what, None, None, None, at, why, *IN_ITS_HEAT)


def _before_malt(mash: Mashing, charge: Charge, settled_degC: float) -> tuple[float, float]:
    """Where the mash must stand [degC] before cold malt, never hotter than malt bears; and where it settles then."""
    plan, ratio = mash.plan, float(heat.slaking(mash.moisture_pct)[0])
    lines = {line.lot_id: line for line in mash.weighed}
    added = sum(_kg(mash, key, lines[_lot(key)]) for key, _ in charge.grains)
    stands = mash.programme.mashed_in_L_per_kg * plan.kg_per_mash + ratio * (plan.kg_per_mash - added)
    wanted = float(heat.before_adding_degC(settled_degC, plan.grist_degC, added, ratio, stands))
    at = max(min(wanted, float(_row("malt")["degC"])), settled_degC)
    part = added * ratio / stands
    return at, (at + part * plan.grist_degC) / (1.0 + part)


def _row(key: str) -> dict[str, str]:
    return next(row for row in csv_rows("tables/cook_steps.csv") if row["key"] == key)
