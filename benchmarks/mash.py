"""How fast the simulated mash is. Run: python benchmarks/mash.py [members]

Prints members, milliseconds a member, peak memory, and the ratio against one adaptive solver call per member and leg at
an accuracy no better than ours. Nothing here is a test: times depend on the machine and on what else runs on it.
"""

from __future__ import annotations

import resource
import sys
import time

import numpy as np
from scipy.integrate import solve_ivp

from gristwright.basics import Draws, FloatArray
from gristwright.flowsheet.mashing import EFFECT_STEP_S
from gristwright.numerics.draws import at_quantile
from gristwright.records.mash import MaltEnzymes, MashGrain
from gristwright.records.plant import Water
from gristwright.reference import priors
from gristwright.stages.mash import engineering as model
from gristwright.stages.mash import enzymes as enzyme
from gristwright.stages.mash.programme import programmed_rests, single_infusion
from gristwright.stages.mash.simulation import _Tun, simulate
from gristwright.stages.mash.temperature import STEP_S, Leg

RESTS = programmed_rests(["malt"], [(45.0, 20.0), (55.0, 15.0), (64.0, 30.0), (72.0, 25.0)], 3.5)
INFUSION = single_infusion(["malt"], [Water("first", 4.0, 64.0)])
WATERS = single_infusion(["malt"], [Water("first", 4.0, 64.0), Water("second", 1.6, 72.0), Water("third", 4.0, 82.0)])
ADAPTIVE_MEMBERS, RTOL = 10, 1e-6


def one(value: float) -> FloatArray:
    return np.array([value])


MALT = MashGrain("malt", "barley", True, one(1.0), one(0.62), one(0.05), one(0.11), one(4.5))
LOTS = {"malt": MaltEnzymes(one(220.29), one(486.957), one(400.0))}


def draws_of(members: int) -> Draws:
    source = np.random.default_rng(1)
    return {prior.name: at_quantile(prior, source.uniform(0.001, 0.999, members)) for prior in priors("mash")}


class Adaptive(_Tun):
    """The same mash with an adaptive solver on every leg, for one member."""

    def _leg(self, leg: Leg) -> None:
        extra = np.zeros((2, 1))  # exponents of the losses of alpha-amylase and limit dextrinase
        start = np.concatenate([self.y, extra]).ravel()
        found = solve_ivp(lambda t, y: self._rate(leg, t, y), (leg.start_s, leg.end_s), start, rtol=RTOL, atol=1e-9)
        y = found.y[:, -1][:, None]
        alive = np.exp(-np.array([y[-2], y[self.rows.open + 6], y[-1]]))
        self.y, self.enzymes = y[:-2].copy(), self.enzymes * alive
        self.y[self.rows.open + 6] = 0.0
        self.mash_degC = self.lag.mash_degC(leg, one(leg.end_s))[0]

    def _rate(self, leg: Leg, t: float, y: FloatArray) -> FloatArray:
        state, c = y[:, None], self.constant
        degC = self.lag.mash_degC(leg, one(t))
        alpha, alpha_open, beta = model.activities(degC, c)
        alive = self.enzymes[0] * np.exp(-state[-2])
        dose = self.dextrinase_in * c.per_starch * c.dextrinase_pH / model.USUAL_DEXTRINASE
        now = model.Stretch(
            degC,
            alpha * alive,
            alpha_open * alive,
            beta * self.enzymes[1],
            enzyme.beta_loss_per_s(degC, c.beta_loss),
            1.0 - c.dextrinase_part + c.dextrinase_part * dose,
            self.still,
            self.openable,
            self.inert + self.ready,
            self.water,
        )
        rate = model.rates(c, now, 0, state[:-2], self.rows, model.felt(c, now, 0, state[:-2], self.rows))
        losses = enzyme.alpha_loss_per_s(degC, c.alpha_loss), enzyme.dextrinase_loss_per_s(degC, c.dextrinase_loss)
        return np.concatenate([rate, *losses]).ravel()


def adaptive(draws: Draws) -> tuple[float, FloatArray]:
    """Seconds a member, and maltose of each."""
    maltose = []
    begin = time.perf_counter()
    for member in range(ADAPTIVE_MEMBERS):
        tun = Adaptive(RESTS, [MALT], LOTS, {k: v[member : member + 1] for k, v in draws.items()}, None)
        tun.run(1e9, None)
        maltose.append(1000.0 * tun.y[tun.rows.open + 3, 0])
    return (time.perf_counter() - begin) / ADAPTIVE_MEMBERS, np.array(maltose)


def timed(programme: object, members: int, step_s: float = STEP_S) -> float:
    draws = draws_of(members)
    begin = time.perf_counter()
    simulate(programme, [MALT], LOTS, draws, step_s, record_min=None)  # type: ignore[arg-type]
    return time.perf_counter() - begin


def main(members: int) -> None:
    seconds = timed(RESTS, members)
    peak_MB = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    print(f"four rests, {RESTS.end_min:.0f} min: {members} members, {1000.0 * seconds / members:.3f} ms a member")
    print(f"peak memory of the process {peak_MB:.0f} MB")
    few = {name: column[:ADAPTIVE_MEMBERS] for name, column in draws_of(members).items()}
    each, theirs = adaptive(few)
    ours = simulate(RESTS, [MALT], LOTS, few, record_min=None).washback.maltose_kg_per_t
    fine = simulate(RESTS, [MALT], LOTS, few, record_min=None, step_s=1.25).washback.maltose_kg_per_t
    errors = [float(np.max(np.abs(found - fine))) for found in (ours, theirs)]
    ratio = each * members / seconds
    print(f"one adaptive call per member and leg: {1000.0 * each:.1f} ms a member, {ratio:.0f} times ours")
    print(f"largest error in maltose [kg/t]: ours {errors[0]:.5f}, adaptive {errors[1]:.5f}")
    print(f"steps of {EFFECT_STEP_S:.0f} s, as the commands and the desk take them, 500 draws:")
    print(f"  infusion of one water {1000.0 * timed(INFUSION, 500, EFFECT_STEP_S):.0f} ms")
    print(f"  three waters with the weak worts of the mash before {1000.0 * timed(WATERS, 500, EFFECT_STEP_S):.0f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
