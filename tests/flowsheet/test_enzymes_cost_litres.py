"""A grist that is short of enzyme costs litres, smoothly and in every kind of house.

Signs are common practice; how much is ours and no source's (docs/decisions, 0019).
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from gristwright.basics import Draws, FloatArray
from gristwright.casework.bench.bench import GristBench
from gristwright.casework.bench.setting_up import set_up_grist
from gristwright.flowsheet import mashing
from gristwright.records.lot import Analysis, Lot
from gristwright.records.plant import Plant, Rest
from gristwright.stages.mash.laboratory import MashEffect
from houses import LOTS, PRICES, brewhouse, tun, whole_mash

MAIZE, RYE_WHOLE = whole_mash(), whole_mash(64.0, None)
HOUSES = {
    "maize": (MAIZE, {"MZ-1": 92.0, "HE-1": 8.0}),
    "maize and rye": (MAIZE, {"MZ-1": 70.0, "RW-1": 20.0, "HE-1": 10.0}),
    "whole rye": (RYE_WHOLE, {"RM-1": 85.0, "CR-1": 15.0}),
    "barley in a tun": (tun(), {"PD-1": 100.0}),
    "wheat on a filter": (tun("filter"), {"WM-1": 60.0, "PD-1": 40.0}),
    "lauter with rests": (tun("lauter", rests=(Rest(63.0, 45.0), Rest(72.0, 20.0))), {"PD-1": 80.0, "RB-1": 20.0}),
    "brewer": (brewhouse(), {"PD-1": 60.0, "RB-1": 40.0}),
}
STRENGTHS = (1.0, 0.7, 0.5, 0.35, 0.2, 0.12, 0.06, 0.03)


@cache
def bench(plant: Plant, lots: tuple[Lot, ...] = LOTS) -> GristBench:
    return set_up_grist(lots, PRICES, plant, [], 16)


def shares_of(made: GristBench, pct: dict[str, float]) -> FloatArray:
    return np.array([pct.get(belief.lot.lot_id, 0.0) / 100.0 for belief in made.lots])


def effect(plant: Plant, pct: dict[str, float], lots: tuple[Lot, ...] = LOTS, **factors: float) -> MashEffect:
    """The reference run; `factors` on `diastatic_power` and `dextrinising_units` of every lot."""
    made = bench(plant, lots)
    draws: Draws = dict(made.middles)
    for ending, factor in factors.items():
        draws |= {key: factor * value for key, value in draws.items() if key.endswith(f".{ending}")}
    unopened = mashing.usual_unopened(plant, draws)
    return mashing.effect(made.lots, plant, shares_of(made, pct), draws, unopened, None, made.middles)


@pytest.mark.parametrize("house", HOUSES)
def test_litres_never_rise_when_only_enzymes_fall(house: str) -> None:
    plant, pct = HOUSES[house]
    factors = [effect(plant, pct, diastatic_power=s, dextrinising_units=s).factor[0] for s in STRENGTHS]
    assert np.all(np.diff(factors) < 1e-4), factors
    assert factors[-1] < 0.9 * factors[0]


@pytest.mark.parametrize("house", HOUSES)
def test_there_is_no_cliff(house: str) -> None:
    """From a whole dose down by a tenth at a time no step costs more than a seventh of the litres."""
    plant, pct = HOUSES[house]
    doses = 0.9 ** np.arange(0.0, 40.0, 2.0)
    factors = [effect(plant, pct, diastatic_power=s, dextrinising_units=s).factor[0] for s in doses]
    assert np.max(-np.diff(factors)) < 0.15


def test_a_whole_rye_mash_falls_with_its_malt() -> None:
    """105 degLintner and 42 DU, 75 and 28, 50 and 15, fermented on the grain."""
    found = []
    for power, units in ((105.0, 42.0), (75.0, 28.0), (50.0, 15.0)):
        rye = Lot("RM-1", "rye_malt", analyses=(Analysis("diastatic_power", power, "degLintner"),
                                                Analysis("dextrinising_units", units, "DU")))  # fmt: skip
        found.append(float(effect(RYE_WHOLE, {"RM-1": 100.0}, (rye,)).factor[0]))
    assert found == sorted(found, reverse=True)


def test_few_strong_and_many_weak_malts_of_equal_enzyme_leave_equal_starch() -> None:
    strong = Lot("S-1", "high_enzyme_malt", analyses=(Analysis("diastatic_power", 210.0, "degLintner"),
                                                      Analysis("dextrinising_units", 80.0, "DU")))  # fmt: skip
    weak = Lot("W-1", "pale_distilling_malt", analyses=(Analysis("diastatic_power", 70.0, "degLintner"),
                                                        Analysis("dextrinising_units", 26.7, "DU")))  # fmt: skip
    maize = Lot("MZ-1", "raw_maize")
    for pct in (2.0, 4.0, 8.0):
        few = effect(MAIZE, {"S-1": pct, "MZ-1": 100.0 - pct}, (strong, maize))
        many = effect(MAIZE, {"W-1": 3.0 * pct, "MZ-1": 100.0 - 3.0 * pct}, (weak, maize))
        assert abs(few.starch_left_pct[0] - many.starch_left_pct[0]) < 2.0


def test_a_day_more_recovers_part_unboiled_and_nothing_boiled() -> None:
    for boiled in (False, True):
        plants = [
            replace(MAIZE, column=None, wort_boiled=boiled, washbacks=replace(MAIZE.washbacks, hours=hours))
            for hours in (48.0, 72.0)
        ]
        two, three = (effect(plant, {"MZ-1": 97.0, "HE-1": 3.0}).factor[0] for plant in plants)
        assert (three == pytest.approx(two, abs=1e-12)) if boiled else (two + 0.005 < three < 1.0)


def test_halved_units_show_in_the_mash_before_they_cost_litres() -> None:
    """Equal diastatic power: what is missing is alpha-amylase, and thick open starch stands in the cooker first."""
    whole, half = (effect(MAIZE, {"MZ-1": 92.0, "HE-1": 8.0}, dextrinising_units=s) for s in (1.0, 0.5))
    more_open = half.mash_left_pct[0] - whole.mash_left_pct[0]
    lost_pct = 100.0 * (whole.factor[0] - half.factor[0]) / whole.factor[0]
    assert more_open > 10.0 > 2.0 > lost_pct > 0.0


def test_twelve_and_eight_per_cent_agree_and_less_loses_more_in_less_time() -> None:
    """Malt of 210 degLintner whose certificate states no units: 25, 17, 10.5 and 4.2 degLintner in the grist."""
    malt = Lot("HE-1", "high_enzyme_malt", analyses=(Analysis("diastatic_power", 210.0, "degLintner"),))
    lots = (malt, Lot("MZ-1", "raw_maize"))

    def litres(pct: float, hours: float = 72.0) -> float:
        plant = replace(MAIZE, washbacks=replace(MAIZE.washbacks, hours=hours))
        return float(effect(plant, {"HE-1": pct, "MZ-1": 100.0 - pct}, lots).factor[0])

    best = litres(12.0)
    assert litres(8.0) == pytest.approx(best, rel=0.01)
    assert 0.02 < 1.0 - litres(5.0) / best < 0.12 and litres(5.0, 48.0) < litres(5.0) - 0.01
    assert 0.20 < 1.0 - litres(2.0) / best < 0.50
