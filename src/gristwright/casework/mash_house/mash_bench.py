"""A house's simulated mash on a bench: its grounds, a quick run, and where the model is out of its depth.

See docs/mash_simulation.md.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np

from gristwright.basics import Draws, Problem
from gristwright.casework.bench import limits
from gristwright.casework.bench.bench import GristBench
from gristwright.casework.bench.setting_up import set_up_grist
from gristwright.flowsheet import mashing
from gristwright.flowsheet.setting_out import SetOut
from gristwright.records.bill import Bill
from gristwright.records.enquiry import BillSheet
from gristwright.records.lot import Lot
from gristwright.records.mash import MashCourse, MashProgramme
from gristwright.records.ways import CONVERTS_DEGC
from gristwright.stages.mash import models

MODEL = "simulated mash"
# Above this mashes came out too fermentable; below this part of malt what the washback adds is too little; outside
# this pH the shape of its effect, an estimate, counts for much.
HOT_DEGC, FEW_MALT, NEAR_PH = 70.0, 0.3, (5.2, 5.8)


def grist_bench(sheet: BillSheet, lots: Sequence[Lot], members: int, seed: int) -> GristBench:
    """The bench of the bill's lots. Raises Refused with every fault."""
    faults = limits.sheet_problems(sheet, lots)
    in_bill = {share.lot_id for share in sheet.bill.shares}
    given = [lot for lot in lots if lot.lot_id in in_bill]
    return set_up_grist(given, sheet.prices, sheet.plant, faults, members, seed, behind=sheet.bill).traced()


def set_out(bench: GristBench, bill: Bill, draws: Draws) -> SetOut:
    """The mash of the bench's house, ready to be run."""
    return mashing.set_out(bench.lots, bench.plant, bench.shares(bill), draws, bench.middles)


def quick_course(ready: SetOut, draws: Draws) -> MashCourse:
    """A mash in longer steps, its events alone kept."""
    return models.simulate(ready.programme, ready.grains, ready.enzymes, draws, mashing.EFFECT_STEP_S, None)


def range_warnings(ready: SetOut, boiled: bool) -> list[Problem]:
    """Where the model has been seen to miss, or was held against nothing. See docs/mash_simulation.md."""
    malts = {grain.key for grain in ready.grains if grain.malted}
    share = sum(float(np.mean(grain.share)) for grain in ready.grains if grain.malted)
    stands = _malt_stands_at_degC(ready.programme, malts)
    problems = []
    if stands > HOT_DEGC:
        what = f"malt stands at {stands:.1f} degC; above {HOT_DEGC:g} degC such mashes came out too fermentable."
        problems.append(Problem(MODEL, what, "Trust the direction, not the size.", warning=True))
    if share < FEW_MALT and not boiled:
        what = f"{100 * share:.0f} % of malt: what the washback adds rests on all-malt worts and is too little here."
        way_out = "Read whether the starch opens and whether enzyme is enough."
        problems.append(Problem(MODEL, what, way_out, warning=True))
    low, high = NEAR_PH
    pH = ready.programme.mash_pH
    if pH is not None and not low <= pH <= high:
        what = f"pH {pH:g} is outside {low:g}-{high:g}, and the effect of pH was compared with no measurement."
        problems.append(Problem(MODEL, what, "Trust the direction, not the size.", warning=True))
    return problems


def _malt_stands_at_degC(programme: MashProgramme, malts: Collection[str]) -> float:
    """The coolest in which the malt converts before the first wort is drawn, the hottest where it does in none [degC].

    A hotter rest behind a cooler one is a mash-out; malt put in early to die is left out.
    """
    into = max((c.at_min for c in programme.charges for key, _ in c.grains if key in malts), default=None)
    if into is None:
        return float("-inf")
    end = programme.draw_offs[0].at_min if programme.draw_offs else programme.end_min
    inside = [corner for corner in programme.corners if into <= corner.at_min <= end]
    # Of two corners at the minute of the draw-off the second belongs to the next water.
    while len(inside) > 1 and programme.draw_offs and inside[-2].at_min == end:
        inside.pop()
    held = [corner.settled_degC for corner in inside if corner.settled_degC >= CONVERTS_DEGC[0]]
    return min(held) if held else max(corner.settled_degC for corner in inside)
