"""What each wort of a simulated mash carries, so that all tables say one strength. See docs/mash_simulation.md.

The washback's wort is the balance's, which every other part of an answer reads. Single worts are the simulated ones,
their litres and their extract scaled so that those for the washback make it up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gristwright.basics import FloatArray
from gristwright.casework.bench.bench import GristBench
from gristwright.flowsheet.line import to_wort
from gristwright.records.bill import Bill
from gristwright.records.mash import Liquid, MashCourse
from gristwright.records.streams import Wort
from gristwright.stages.mash.kept import EXTRACT_L_PER_KG
from gristwright.stages.mash.model import wort_degP


def balance_wort(bench: GristBench, bill: Bill) -> Wort:
    """The wort of a bill by the balance, its simulated mash and its run-off behind it; on the bench's draws."""
    shares, draws = bench.shares(bill), bench.draws
    effect = bench.house_effect(shares, draws)
    return to_wort(shares, bench.lot_columns(draws), bench.plant, draws, effect, bench.usual_shares)[1]


@dataclass(frozen=True)
class Carried:
    """A course held against the balance's wort; arrays (members,)."""

    course: MashCourse
    wort: Wort

    @property
    def extract(self) -> FloatArray:
        """Extract of the balance over the simulated one."""
        return np.asarray(self.wort.extract_kg_per_t / np.maximum(self.course.washback.extract_kg_per_t, 1e-9))

    @property
    def litres(self) -> FloatArray:
        """Litres of the balance over the simulated ones."""
        return np.asarray(self.wort.volume_L_per_t / np.maximum(self.course.washback.volume_L_per_t, 1e-9))

    def volume_L_per_t(self, liquid: Liquid) -> FloatArray:
        """Litres of one wort."""
        return np.asarray(self.litres * liquid.volume_L_per_t)

    def degP(self, liquid: Liquid) -> FloatArray:
        """Strength of one wort; what goes to the washback as a whole has the balance's."""
        if liquid is self.course.washback:
            return self.wort.original_gravity_degP
        litres = np.maximum(self.volume_L_per_t(liquid), 1e-9)
        return wort_degP(1000.0 * self.extract * liquid.extract_kg_per_t / litres)

    def strength_g_per_100g(self) -> FloatArray:
        """Course of the strength in the vessel (times, members), such that each wort leaves as strong as it is said."""
        course = self.course
        leaving = [(wort.at_min, wort.liquid) for wort in course.worts] or [(np.inf, course.washback)]
        factors = np.array([self.degP(liquid) / _simulated(liquid) for _, liquid in leaving])
        return np.asarray(course.wort_g_per_100g * factors[_next(course.times_min, [at for at, _ in leaving])])


def _next(times_min: FloatArray, ends: Sequence[float]) -> FloatArray:
    """Which wort stands in the vessel at each time: the next to leave, of the last one also behind it."""
    return np.minimum(np.searchsorted(np.asarray(ends) - 1e-6, times_min, side="right"), len(ends) - 1)


def _simulated(liquid: Liquid) -> FloatArray:
    """Strength of a wort in the simulation [g/100 g], without open starch; (members,)."""
    solids = liquid.extract_kg_per_t - liquid.open_starch_kg_per_t
    water = liquid.volume_L_per_t - EXTRACT_L_PER_KG * solids
    return np.maximum(100.0 * solids / np.maximum(solids + water, 1e-9), 1e-9)
