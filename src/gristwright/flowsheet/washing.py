"""One house's wash of one wort, simulated: the mash's wort pitched in the house's washback. See docs/wash.md."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.numerics.draws import members_of
from gristwright.quantities.gravity import ETHANOL_20C_kg_m3
from gristwright.records.mash import MashCourse
from gristwright.records.plant import Plant
from gristwright.records.streams import Wort
from gristwright.records.wash import PitchedYeast, WashCourse, WashVessel, WashWort
from gristwright.stages.wash import living_wash, simulation
from gristwright.stages.wash.boards import filled_L
from gristwright.stages.wash.setting import bacteria_log10_per_mL, pitched, vessel

# What of a wort is scaled so that it promises what the balance does.
OF_STARCH = ("glucose", "maltose", "maltotriose", "chains", "limit_dextrin", "open_starch")


@dataclass(frozen=True)
class Pitched:
    """A washback ready to be run: wort, yeast and vessel; arrays (members,)."""

    wort: WashWort
    yeast: PitchedYeast
    vessel: WashVessel
    draws: Draws

    def run(self, record_h: float | None = simulation.RECORD_H) -> WashCourse:
        """Its course, or with `record_h` None its end alone."""
        return simulation.ferment(self.wort, self.yeast, self.vessel, self.draws, record_h=record_h)

    def some(self, first: int, members: int) -> Pitched:
        """The same on so many of its draws, from the first of them on."""
        of, part = members_of(self.draws), slice(first, first + members)
        return Pitched(
            simulation.cut(self.wort, part, of),
            simulation.cut(self.yeast, part, of),
            simulation.cut(self.vessel, part, of),
            {name: column[part] for name, column in self.draws.items() if name.startswith("wash.")},
        )


def set_out(course: MashCourse, wort: Wort, fan_mg_per_L: FloatArray, plant: Plant, draws: Draws) -> Pitched:
    """The washback of a house with the wort of a mash: sorts of sugar from the simulated mash, litres from the balance.

    `fan_mg_per_L` is the amino nitrogen of the wort, `wort` its balance on the same draws.
    """
    backs = plant.washbacks
    return Pitched(
        wort_of(course, wort, fan_mg_per_L, plant, draws),
        pitched(backs, draws, plant.wort_boiled),
        vessel(backs, filled_L(plant.mash, backs), draws, plant.wort_boiled),
        draws,
    )


def wort_of(course: MashCourse, wort: Wort, fan_mg_per_L: FloatArray, plant: Plant, draws: Draws) -> WashWort:
    """What is pitched, g/L of liquid; (members,). Boiling has stopped the enzymes of a brewer's."""
    liquid, alive = course.washback, course.fermentability
    nothing = np.zeros_like(wort.extract_kg_per_t)
    limit = liquid.dextrin_kg_per_t if liquid.limit_dextrin_kg_per_t is None else liquid.limit_dextrin_kg_per_t
    # The room of the grains in a whole mash counts in the litres, as everywhere.
    per_L = 1000.0 / wort.volume_L_per_t
    raw = WashWort(
        original_gravity_degP=wort.original_gravity_degP,
        glucose_g_per_L=per_L * (liquid.glucose_kg_per_t + liquid.ready_sugar_kg_per_t),
        maltose_g_per_L=per_L * liquid.maltose_kg_per_t,
        maltotriose_g_per_L=per_L * liquid.maltotriose_kg_per_t,
        chains_g_per_L=per_L * (liquid.dextrin_kg_per_t - limit),
        limit_dextrin_g_per_L=per_L * limit,
        open_starch_g_per_L=per_L * liquid.open_starch_kg_per_t,
        alpha_exponent=nothing if plant.wort_boiled else alive.alpha_exponent,
        dextrinase_exponent=nothing if plant.wort_boiled else alive.dextrinase_exponent,
        fan_mg_per_L=fan_mg_per_L,
        pH=course.mash_pH - draws["wash.pH_below_mash"],
        bacteria_log10_per_mL=bacteria_log10_per_mL(plant.washbacks, draws, plant.wort_boiled),
    )
    promised = wort.potential_lpa_per_t * ETHANOL_20C_kg_m3 / wort.volume_L_per_t
    of_model = living_wash.promised_g_per_L(living_wash.fermentable_g_per_L(raw, float(plant.washbacks.hours)))
    factor = promised / np.maximum(of_model, 1e-9)
    return replace(raw, **{f"{name}_g_per_L": factor * getattr(raw, f"{name}_g_per_L") for name in OF_STARCH})
