"""The part of a mash that a decoction takes out, and where the mash settles when it comes back. See docs/mash.md.

Shares are of the volume of the mash. A thick decoction has twice the grain to a litre of liquid that the mash has, a
thin one is liquid alone.
"""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.basics import Address, Problem
from gristwright.records.fields import number_of
from gristwright.records.plant import Decoction, MashPlan
from gristwright.stages.mash import heat
from gristwright.stages.mash.room import SOLIDS_L_PER_KG

BOILS_DEGC = 100.0
# Share of the liquid for each share of the grain in a thick decoction; our estimate. So much is let pass beside heat
# balances, for what pan and pipes lose; our choice.
THICK_LIQUID, NEAR_K = 0.5, 2.0
SHARE = number_of(Decoction, "share_pct")
SPAN = f"{SHARE.least:g}-{SHARE.most:g} %"


@dataclass(frozen=True)
class Parts:
    """Parts of the mash's liquid and of its grain that are out (0 to 1)."""

    liquid: float
    grain: float


def parts(share: float, part: str, L_per_kg: float) -> Parts:
    """What a share of the mash's volume (0 to 1) holds, at so many litres of liquor a kilogram of grist."""
    whole = L_per_kg + SOLIDS_L_PER_KG
    if part == "thin":
        return Parts(share * whole / L_per_kg, 0.0)
    grain = share * whole / (THICK_LIQUID * L_per_kg + SOLIDS_L_PER_KG)
    return Parts(THICK_LIQUID * grain, grain)


def heat_part(share: float, part: str, L_per_kg: float, heat_ratio: float) -> float:
    """Part of the mash's heat capacity that is out; `heat_ratio` is that of the grist over water's."""
    out = parts(share, part, L_per_kg)
    return (out.liquid * L_per_kg + out.grain * heat_ratio) / (L_per_kg + heat_ratio)


def back_degC(rest_degC: float, share: float, part: str, L_per_kg: float, heat_ratio: float) -> float:
    """Settled mash [degC] once a boiled share has come back to the rest of it, which stood at `rest_degC`."""
    return rest_degC + heat_part(share, part, L_per_kg, heat_ratio) * (BOILS_DEGC - rest_degC)


def share_for(rest_degC: float, next_degC: float, part: str, L_per_kg: float, heat_ratio: float) -> float:
    """Share of the mash's volume (0 to 1) that brings it from one rest to the next: the same balance the other way."""
    return (next_degC - rest_degC) / (BOILS_DEGC - rest_degC) / heat_part(1.0, part, L_per_kg, heat_ratio)


def shares_pct(plan: MashPlan, L_per_kg: float, moisture_pct: float) -> tuple[float, ...]:
    """Share of the mash [%] of each decoction, as stated or worked out from the rests around it."""
    wanted = (_wanted_pct(plan, one, L_per_kg, moisture_pct) for one in plan.decoctions)
    stated = (one.share_pct for one in plan.decoctions)
    return tuple(share if said is None else said for said, share in zip(stated, wanted, strict=True))


def share_problems(plan: MashPlan, L_per_kg: float, moisture_pct: float, where: Address) -> list[Problem]:
    """Decoctions that do not bring the mash to their next rest, and such as would have to be too large or too small."""
    problems, ratio = [], float(heat.slaking(moisture_pct)[0])
    for number, one in enumerate(plan.decoctions, start=1):
        at, (rest, after) = where.to("decoctions", number, "share_pct"), _around(plan, one)
        wanted = _wanted_pct(plan, one, L_per_kg, moisture_pct)
        if one.share_pct is None:
            if not SHARE.holds(wanted):
                what = f"{wanted:.0f} % of the mash would bring it from {rest:g} to {after:g} degC, outside {SPAN}."
                problems.append(Problem(at, what, "Move one of the two rests, or put another between them."))
            continue
        settles = back_degC(rest, one.share_pct / 100.0, one.part, L_per_kg, ratio)
        if abs(settles - after) > NEAR_K:
            what = (
                f"{one.share_pct:g} % of the mash settles it at {settles:.1f} degC; the next rest says {after:g} degC."
            )
            problems.append(Problem(at, what, f"Take {wanted:.0f} % out, leave the share empty, or correct the rest."))
    return problems


def _around(plan: MashPlan, one: Decoction) -> tuple[float, float]:
    """Settled temperatures [degC] of the rest it is taken from and of the next."""
    return plan.rests[one.after_rest - 1].settled_degC, plan.rests[one.after_rest].settled_degC


def _wanted_pct(plan: MashPlan, one: Decoction, L_per_kg: float, moisture_pct: float) -> float:
    return 100.0 * share_for(*_around(plan, one), one.part, L_per_kg, float(heat.slaking(moisture_pct)[0]))
