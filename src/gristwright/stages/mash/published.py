"""The published model `brandam2003` in a tun: one mash of a bill by it. See docs/mash_simulation.md."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gristwright.basics import Draws, FloatArray, Problem, at
from gristwright.records.mash import MashGrain, MashProgramme
from gristwright.stages.mash import brandam2003 as model
from gristwright.stages.mash.kinetics import SUGAR_PER_STARCH, Contents, Rows, per_starch, starch_of, total
from gristwright.stages.mash.limits_simulation import BRANDAM_DEGC, BRANDAM_STARCH_g_per_L

# The grains whose mashes the paper names as its domain: barley malt, and maize.
GRAINS = (("barley", True), ("maize", False))


class Published:
    """The model for one grist; every array (members,). Its limit dextrinase does nothing: the paper has none."""

    lasting_part, has_limit_dextrinase = 0.0, False

    def __init__(self, programme: MashProgramme, grains: Sequence[MashGrain], pH: FloatArray, draws: Draws) -> None:
        """The grist's dose; neither pH nor priors are in the published model."""
        self.rows = Rows(len(grains))
        self.dose = per_starch(grains)

    def put_in(self, y: FloatArray, grain: int, starch: FloatArray) -> None:
        """All of a grain's starch in one row."""
        y[grain] += starch

    def advance(self, y: FloatArray, contents: Contents, mash_degC: FloatArray, step_s: float) -> FloatArray:
        """See `Kinetics`: each step exact for the temperature at its middle."""
        y, middle = y.copy(), mash_degC[1::2]
        for degC in middle:
            alive = [np.exp(-0.5 * step_s * model.arrhenius_per_s(name, degC)) for name in ("alpha", "beta")]
            alpha, beta = (self.dose * contents.enzymes[k] * alive[k] for k in (0, 1))
            self._step(y, alpha * model.alpha_activity(degC), beta * model.beta_activity(degC), degC, step_s)
            contents.enzymes = contents.enzymes * np.array([alive[0] ** 2, alive[1] ** 2, np.ones_like(alpha)])
        return y

    def _step(self, y: FloatArray, alpha: FloatArray, beta: FloatArray, degC: FloatArray, step_s: float) -> None:
        rows, c = self.rows, model.constants()
        rate = np.where(alpha + beta > 0.0, model.gelatinisation_per_s(degC), 0.0)
        opened = -np.expm1(-rate * step_s) * y[: rows.unopened]
        y[: rows.unopened] -= opened
        there = y[rows.open] + total(opened)
        y[rows.open] = np.where(alpha + beta > 0.0, 0.0, there)  # open starch lasts a millisecond
        taken = there - y[rows.open]
        to = model.split(alpha, beta) * taken
        attacks = np.array([c["d_gl"] * alpha, c["d_am"] * alpha + c["d_bm"] * beta, c["d_mlt"] * alpha])
        attacked = attacks.sum(axis=0)
        dextrin = y[rows.dextrin.start] + 0.5 * to[0]
        cut = -np.expm1(-attacked * step_s) * dextrin
        sugar = to[1:] + attacks * (cut / np.maximum(attacked, 1e-30))
        y[rows.dextrin.start] += to[0] - cut
        mass = np.array(SUGAR_PER_STARCH)[:, None]
        y[rows.sugars] += sugar * mass
        y[rows.taken_up] += (sugar * (mass - 1.0)).sum(axis=0)


def published_problems(programme: MashProgramme, grains: Sequence[MashGrain]) -> list[Problem]:
    """Everything outside what the published model was fitted to: grains, temperatures, strengths; a sentence each."""
    found = [_strange(grains), _too_cool_or_hot(programme), _too_thin_or_thick(programme, grains)]
    where, way_out = at("plant", "mash", "model"), "Take a model without that limit, such as two_granules."
    return [Problem(where, f"{programme.model} {what}.", way_out) for what in found if what]


def _strange(grains: Sequence[MashGrain]) -> str:
    strange = [grain for grain in grains if not grain.dark and (grain.species, grain.malted) not in GRAINS]
    names = [f"{'malt of' if grain.malted else 'raw'} {grain.species} ({grain.key})" for grain in strange]
    return f"knows barley malt and maize, and not {', '.join(names)}" if names else ""


def _too_cool_or_hot(programme: MashProgramme) -> str:
    low, high = BRANDAM_DEGC
    outside = sorted({corner.settled_degC for corner in programme.corners if not low <= corner.settled_degC <= high})
    found = " and ".join(f"{degC:g} degC" for degC in outside)
    return f"was fitted at {low:g}-{high:g} degC, and the plan has {found}" if outside else ""


def _too_thin_or_thick(programme: MashProgramme, grains: Sequence[MashGrain]) -> str:
    low, high = BRANDAM_STARCH_g_per_L
    litres = sum(charge.liquor_L_per_kg for charge in programme.charges) or 1.0
    g_per_L = 1000.0 * starch_of(grains) / litres
    least, most = float(np.min(g_per_L)), float(np.max(g_per_L))
    found = f"was fitted at {low:g}-{high:g} g/L of starch, and the plan has {least:.0f}-{most:.0f}"
    return "" if low <= least and most <= high else found
