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
from gristwright.stages.mash import enzymes as enzyme
from gristwright.stages.mash import two_granules as model
from gristwright.stages.mash.kinetics import Contents
from gristwright.stages.mash.models import simulate
from gristwright.stages.mash.programme import programmed_rests, single_infusion
from gristwright.stages.mash.simulation import _Mash, _Tun
from gristwright.stages.mash.temperature import STEP_S, Leg

RESTS = programmed_rests(["malt"], [(45.0, 20.0), (55.0, 15.0), (64.0, 30.0), (72.0, 25.0)], 3.5)
INFUSION = single_infusion(["malt"], [Water("first", 4.0, 64.0)])
WATERS = single_infusion(["malt"], [Water("first", 4.0, 64.0), Water("second", 1.6, 72.0), Water("third", 4.0, 82.0)])
ADAPTIVE_MEMBERS, RTOL, TINY_S = 10, 1e-6, 1e-6


def one(value: float) -> FloatArray:
    return np.array([value])


MALT = MashGrain("malt", "barley", True, one(1.0), one(0.62), one(0.05), one(0.11), one(4.5))
LOTS = {"malt": MaltEnzymes(one(220.29), one(486.957), one(400.0))}


def draws_of(members: int) -> Draws:
    source = np.random.default_rng(1)
    return {prior.name: at_quantile(prior, source.uniform(0.001, 0.999, members)) for prior in priors("mash")}


class Adaptive(_Tun):
    """The same mash with an adaptive solver on every leg, for one member: the equations as they stand in the docs."""

    def _leg(self, leg: Leg) -> None:
        # Behind the state: the exponents of the losses of alpha-amylase and of limit dextrinase.
        start = np.concatenate([self.y[:, 0], np.zeros(2)])
        found = solve_ivp(
            lambda t, y: self._rate(leg, t, y), (leg.start_s, leg.end_s), start, method="LSODA", rtol=RTOL, atol=1e-9
        )
        y = found.y[:, -1]
        weak = (self.enzymes[1] - self.lasting_beta) * np.exp(-y[self.rows.beta_loss])
        lasting = self.lasting_beta * np.exp(-y[self.rows.beta_loss] / model.fitted()["lasting_times"])
        alpha, dextrinase = self.enzymes[0] * np.exp(-y[-2]), self.enzymes[2] * np.exp(-y[-1])
        self.enzymes, self.lasting_beta = np.array([alpha, weak + lasting, dextrinase]), lasting
        self.y = y[:-2, None].copy()
        self.y[self.rows.beta_loss] = 0.0
        self.mash_degC = self.lag.mash_degC(leg, one(leg.end_s))[0]

    def _rate(self, leg: Leg, t: float, y: FloatArray) -> FloatArray:
        """Rates [1/s]: those of one stretch of a second, taken at once."""
        kinetics, rows, state = self.kinetics, self.rows, y[:-2, None]
        assert isinstance(kinetics, model.TwoGranules)
        c, degC = model.fitted(), self.lag.mash_degC(leg, one(t))
        alive = self.enzymes * np.exp(-np.array([[y[-2]], [0.0], [y[-1]]]))
        contents = Contents(
            self.put_in, alive, self.lasting_beta, self.dextrinase_in, self.inert + self.ready, self.water
        )
        thick = model.thickness_g_per_100g(state, contents, rows)
        now, _ = kinetics._stretch(contents, degC, TINY_S, thick)
        weak, lasting = model._beta_parts(contents, state[rows.beta_loss])
        felt = kinetics.opening.shifted_degC(degC[0], model.dissolved_g_per_100g(state, contents, rows))
        k = np.minimum(np.exp(kinetics.steep * (felt - kinetics.half_degC)) / c["half_open_s"], kinetics.fastest)
        opened = (k + now.raw[0] / TINY_S) * np.maximum(state[: rows.unopened], 0.0)
        half = contents.water * (c["half_uptake_g_per_L"] / 1000.0)
        there = np.maximum(state[rows.open], 0.0)
        taken = now.uptake[0] / TINY_S * there / (there + half)
        limit, chains = state[rows.dextrin]
        debranched, by_alpha = now.debranched[0] * limit / TINY_S, now.limit_by_alpha[0] * limit / TINY_S
        by_beta = now.chains[0] / TINY_S * (weak + lasting) * chains
        slowly = now.by_alpha[0] / TINY_S * chains
        sugar = kinetics.made[:, :1] * (c["sugar_at_once"] * taken + by_alpha + slowly) + kinetics.made[:, 1:] * by_beta
        rate = np.zeros_like(state)
        rate[: rows.unopened] = -opened
        rate[rows.open] = opened.sum(axis=0) - taken
        rate[rows.dextrin.start] = c["limit_share"] * taken - debranched - by_alpha
        into = (1.0 - c["sugar_at_once"] - c["limit_share"]) * taken + debranched
        rate[rows.dextrin.start + 1] = into - by_beta - slowly
        rate[rows.sugars] = sugar * model.MASS
        rate[rows.taken_up] = (sugar * (model.MASS - 1.0)).sum(axis=0)
        rate[rows.beta_loss] = now.beta_loss[0] / TINY_S
        alpha = (
            c["alpha_loss_per_s"]
            * self.draws["mash.alpha_loss_factor"]
            * model.warmed(c["alpha_loss_kJ_per_mol"], degC)[0]
        )
        dextrinase = enzyme.dextrinase_loss_per_s(degC, self.draws["mash.limit_dextrinase_loss_factor"])[0]
        return np.concatenate([rate[:, 0], alpha, dextrinase])


def adaptive(draws: Draws) -> tuple[float, FloatArray]:
    """Seconds a member, and maltose of each."""
    maltose = []
    begin = time.perf_counter()
    for member in range(ADAPTIVE_MEMBERS):
        one_draw = {name: column[member : member + 1] for name, column in draws.items()}
        tun = Adaptive(_Mash(model.TwoGranules, RESTS, [MALT], LOTS, one_draw), None)
        tun.run(1e9, None)
        maltose.append(1000.0 * tun.y[tun.rows.sugars][1, 0])
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
