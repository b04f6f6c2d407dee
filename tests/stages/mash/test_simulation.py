"""What the simulated mash must never do, whatever the malt: lose mass, depend on the step or on the batch."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from gristwright.flowsheet.mashing import EFFECT_STEP_S
from gristwright.records.mash import Liquid, MashProgramme
from gristwright.records.plant import Water
from gristwright.stages.mash import simulation
from gristwright.stages.mash.models import simulate
from gristwright.stages.mash.programme import cooker, programmed_rests, single_infusion
from gristwright.stages.mash.temperature import STEP_S
from stages.mash.mash_sample import MIDDLES, all_malt, enzymes, malt, random_draws, raw, rests

WATERS = (Water("first", 4.0, 64.0), Water("second", 1.6, 72.0), Water("third", 4.0, 82.0))
FOUR_RESTS = programmed_rests(["malt", "raw"], [(45.0, 20.0), (55.0, 15.0), (64.0, 30.0), (72.0, 20.0)], 3.5)
COOK = cooker(["raw"], ["malt"], 142.0, 30.0, 3.5, premalt=("malt", 0.2), backset_pct=20.0)
INFUSION = single_infusion(["malt", "raw"], WATERS)
PROGRAMMES = pytest.mark.parametrize("programme", [FOUR_RESTS, COOK, INFUSION], ids=lambda p: p.name)
MIXED = [malt(0.4), raw("maize", 0.6)]


@PROGRAMMES
@pytest.mark.parametrize("number", [1, 2, 3])
def test_mass_is_kept(programme: MashProgramme, number: int) -> None:
    course = simulate(programme, MIXED, enzymes(), random_draws(40, number))
    assert course.balance_error < 1e-9
    for name in ("unopened_starch_kg_per_t", "open_starch_kg_per_t", "dextrin_kg_per_t", "maltose_kg_per_t"):
        assert np.all(getattr(course, name) > -1e-9)


@PROGRAMMES
@pytest.mark.parametrize("step_s", [STEP_S, EFFECT_STEP_S])
def test_half_the_step_gives_the_same(programme: MashProgramme, step_s: float) -> None:
    draws = random_draws(20)
    whole, half = (simulate(programme, MIXED, enzymes(), draws, step_s=s).washback for s in (step_s, 0.5 * step_s))
    for name in ("maltose_kg_per_t", "dextrin_kg_per_t", "glucose_kg_per_t", "maltotriose_kg_per_t"):
        assert np.max(np.abs(getattr(whole, name) - getattr(half, name))) < 0.1, name


def test_members_do_not_know_of_each_other(monkeypatch: pytest.MonkeyPatch) -> None:
    draws = random_draws(50)
    together = simulate(FOUR_RESTS, MIXED, enzymes(), draws)
    monkeypatch.setattr(simulation, "BLOCK", 7)
    apart = simulate(FOUR_RESTS, MIXED, enzymes(), draws)
    for f in fields(Liquid):
        assert np.array_equal(getattr(together.washback, f.name), getattr(apart.washback, f.name))
    assert np.array_equal(together.beta_alive, apart.beta_alive)
    assert apart.balance_error < 1e-9


def test_worts_add_up_to_what_the_tun_lost() -> None:
    course = simulate(single_infusion(["malt"], WATERS[:2]), [malt()], enzymes(), MIDDLES)
    held = course.left_in_tun
    sugar = sum(wort.liquid.sugar_kg_per_t for wort in course.worts) + held.sugar_kg_per_t
    before = 1000.0 * malt().ready_sugar_kg_per_kg
    made = 620.0 - course.unopened_end_kg_per_t - held.dextrin_kg_per_t
    made = made - sum(wort.liquid.dextrin_kg_per_t for wort in course.worts)
    assert np.all(sugar - before > 1.03 * made)
    assert np.all(sugar - before < 1.112 * made)
    assert held.volume_L_per_t == pytest.approx(700.0)


def test_weak_worts_make_the_next_mash_richer() -> None:
    alone = simulate(single_infusion(["malt"], WATERS[:2]), [malt()], enzymes(), MIDDLES)
    again = simulate(single_infusion(["malt"], WATERS), [malt()], enzymes(), MIDDLES)
    assert again.washback.extract_kg_per_t > alone.washback.extract_kg_per_t
    third = again.worts[2].liquid.extract_kg_per_t
    assert again.washback.extract_kg_per_t - alone.washback.extract_kg_per_t == pytest.approx(third, rel=0.1)


def test_events_alone_may_be_kept() -> None:
    kept = simulate(rests((62.0, 30.0), (72.0, 20.0)), [malt()], enzymes(), MIDDLES, record_min=None)
    every = simulate(rests((62.0, 30.0), (72.0, 20.0)), [malt()], enzymes(), MIDDLES, record_min=1.0)
    assert kept.times_min.size < every.times_min.size
    assert kept.washback.maltose_kg_per_t == pytest.approx(every.washback.maltose_kg_per_t, rel=1e-5)
    assert np.all(np.diff(every.times_min) > 0.0)


def test_grist_passes_through_the_range_while_it_is_mixed_in() -> None:
    course = all_malt((64.0, 30.0))
    assert course.mash_degC[0, 0] == 15.0
    assert course.mash_degC[-1, 0] == pytest.approx(64.0, abs=1e-6)
    slow = dict(MIDDLES) | {"mash.mixing_s": np.array([120.0])}
    late = simulate(rests((64.0, 30.0)), [malt()], enzymes(), slow)
    assert late.mash_degC[1, 0] < course.mash_degC[1, 0]


def test_flaked_grain_needs_no_heat() -> None:
    flaked = replace(raw("maize", 0.6), opened=True)
    both = programmed_rests(["malt", "raw"], [(64.0, 60.0)], 3.5)
    shut = simulate(both, MIXED, enzymes(), MIDDLES)
    opened = simulate(both, [malt(0.4), flaked], enzymes(), MIDDLES)
    assert opened.unconverted_pct < 10.0 < 50.0 < shut.unconverted_pct
