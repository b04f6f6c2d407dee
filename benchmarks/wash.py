"""How fast the simulated mash and wash are. Run: python benchmarks/wash.py [members]

Prints milliseconds a member of mash and of 72 h of wash, the first answer of 512 draws, the ratio against one adaptive
solver call a member, and what halving the step moves. Times depend on the machine and on what else runs on it.
"""

from __future__ import annotations

import sys
import time
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

from gristwright.casework.bench.bench import SpiritBench
from gristwright.casework.bench.setting_up import set_up_spirit
from gristwright.casework.mash_house.mash_bench import quick_course, set_out
from gristwright.casework.mash_house.wash_run import pitched
from gristwright.cli.inputs import lots_from
from gristwright.files.jobs_in import read_bill
from gristwright.flowsheet.washing import Pitched
from gristwright.records.bill import Bill
from gristwright.stages.wash import simulation
from gristwright.stages.wash.living_wash import LivingWash, WashState

EXAMPLE = Path(__file__).resolve().parent.parent / "examples" / "all-malt-pot"
ADAPTIVE_MEMBERS, FINE_H = 6, 0.0625


def job(members: int) -> tuple[SpiritBench, Bill]:
    """The first example on so many draws."""
    sheet = read_bill(EXAMPLE / "bill.toml").accepted()
    named = {share.lot_id for share in sheet.bill.shares}
    lots = [lot for lot in lots_from(EXAMPLE / "lots.csv", None).accepted() if lot.lot_id in named]
    return set_up_spirit(lots, sheet.prices, sheet.plant, [], members), sheet.bill


def adaptive(ready: Pitched) -> tuple[float, np.ndarray[Any, Any]]:
    """Seconds a member of one adaptive call each, and ethanol [%vol]: the same rates, no steps of ours."""
    ethanol, begin = [], time.perf_counter()
    for member in range(ADAPTIVE_MEMBERS):
        one = ready.some(member, 1)
        wash = LivingWash(one.wort, one.yeast, one.vessel, one.draws)
        state, _ = wash.start()
        names = [field.name for field in fields(WashState)]
        start = np.array([getattr(state, name)[0] for name in names])

        def slopes(_: float, y: Any, wash: LivingWash = wash, names: list[str] = names) -> Any:
            held = WashState(**{name: np.array([value]) for name, value in zip(names, y, strict=True)})
            tiny = 1e-5
            after = wash._whole(held, wash.start()[1], wash.rates(held), tiny)[0]
            return np.array([(getattr(after, name)[0] - getattr(held, name)[0]) / tiny for name in names])

        found = solve_ivp(slopes, (0.0, one.vessel.hours), start, method="LSODA", rtol=1e-6, atol=1e-8)
        ethanol.append(found.y[names.index("ethanol"), -1] / simulation.ETHANOL_g_PER_L_AND_PCT)
    return (time.perf_counter() - begin) / ADAPTIVE_MEMBERS, np.array(ethanol)


def abv(ready: Pitched, step_h: float) -> np.ndarray[Any, Any]:
    """Ethanol at the end [%vol] in steps of so many hours."""
    end = simulation.ferment(ready.wort, ready.yeast, ready.vessel, ready.draws, step_h, None).end
    return np.asarray(end.ethanol_g_per_L / simulation.ETHANOL_g_PER_L_AND_PCT)


def main(members: int) -> None:
    bench, bill = job(members)
    begin = time.perf_counter()
    quick_course(set_out(bench, bill, bench.draws), bench.draws)
    mash = time.perf_counter() - begin
    ready = pitched(bench, bill, bench.draws)
    begin = time.perf_counter()
    ready.run(None)
    wash = time.perf_counter() - begin
    print(f"{members} members, ms a member: mash {1e3 * mash / members:.3f}, wash {1e3 * wash / members:.3f}")
    small = ready.some(0, 512)
    begin = time.perf_counter()
    small.run()
    print(f"wash of 512 draws with its course: {1e3 * (time.perf_counter() - begin):.0f} ms")
    each, theirs = adaptive(ready)
    print(f"one adaptive call a member: {1e3 * each:.0f} ms, {each * members / wash:.0f} times ours")
    count = ready.some(0, ADAPTIVE_MEMBERS)
    print(f"largest difference from it: {np.max(np.abs(abv(count, simulation.STEP_H) - theirs)):.4f} %vol")
    some = ready.some(0, 512)
    halved = np.max(np.abs(abv(some, 0.5 * simulation.STEP_H) - abv(some, simulation.STEP_H)))
    fine = np.max(np.abs(abv(some, FINE_H) - abv(some, simulation.STEP_H)))
    print(f"halving the step moves ethanol by {halved:.4f} %vol at most, steps of {FINE_H:g} h by {fine:.4f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
