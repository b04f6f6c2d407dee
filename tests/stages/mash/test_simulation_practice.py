"""Each lever of the mash moves as a distiller expects (common practice); more enzyme acts in the right direction."""

from __future__ import annotations

import numpy as np
import pytest

from gristwright.records.mash import MashCourse, MashGrain
from gristwright.stages.mash.models import simulate
from gristwright.stages.mash.programme import cooker, programmed_rests
from stages.mash.mash_sample import MIDDLES, all_malt, enzymes, malt, one, random_draws, raw, rests


def now_pct(course: MashCourse) -> float:
    return float(course.fermentability.now_pct[0])


def unboiled_pct(course: MashCourse) -> float:
    return float(course.fermentability.unboiled_pct[0])


def test_more_beta_amylase_gives_more_maltose() -> None:
    found = [all_malt(beta=beta).washback.maltose_kg_per_t[0] for beta in (0.25, 0.5, 1.0, 1.5, 2.0)]
    assert np.all(np.diff(found) > 0.0)


def test_more_alpha_amylase_leaves_less_starch() -> None:
    """Where enzyme is short. Where there is plenty, sugar comes sooner and the last granules open a little later."""
    courses = [all_malt(alpha=alpha) for alpha in (0.01, 0.02, 0.04, 0.08, 1.0)]
    assert np.all(np.diff([c.washback.open_starch_kg_per_t[0] for c in courses]) < 0.0)
    assert np.all(np.diff([c.unconverted_pct[0] for c in courses]) < 0.0)


@pytest.mark.parametrize("number", [1, 2, 3])
def test_both_hold_for_every_draw(number: int) -> None:
    draws = random_draws(60, number)
    weak, strong = (simulate(rests((64.0, 60.0)), [malt()], enzymes(beta=beta), draws) for beta in (0.5, 1.0))
    assert np.all(strong.washback.maltose_kg_per_t > weak.washback.maltose_kg_per_t)
    weak, strong = (simulate(rests((64.0, 60.0)), [malt()], enzymes(alpha=alpha), draws) for alpha in (0.03, 0.15))
    assert np.all(strong.washback.open_starch_kg_per_t < weak.washback.open_starch_kg_per_t)
    assert np.all(strong.unconverted_pct < weak.unconverted_pct)


def test_more_limit_dextrinase_gives_less_dextrin_and_more_in_the_washback() -> None:
    poor, rich = all_malt(dextrinase=0.5), all_malt(dextrinase=1.5)
    assert rich.washback.dextrin_kg_per_t < poor.washback.dextrin_kg_per_t
    assert unboiled_pct(rich) > unboiled_pct(poor)


def test_the_hotter_beyond_the_best_the_less_enzyme_and_sugar() -> None:
    courses = [all_malt((degC, 60.0)) for degC in (64.0, 66.0, 68.0, 70.0, 72.0, 75.0)]
    assert np.all(np.diff([now_pct(c) for c in courses]) < 0.0)
    assert np.all(np.diff([unboiled_pct(c) for c in courses]) < 0.0)
    for enzyme in ("alpha_alive", "beta_alive", "limit_dextrinase_alive"):
        assert np.all(np.diff([getattr(c, enzyme)[-1, 0] for c in courses]) <= 0.0)


def test_enzymes_only_fall_while_nothing_is_added() -> None:
    course = all_malt((45.0, 15.0), (64.0, 30.0), (72.0, 20.0))
    for enzyme in (course.alpha_alive, course.beta_alive, course.limit_dextrinase_alive):
        assert np.all(np.diff(enzyme[1:, 0]) <= 1e-15)


def test_a_cool_mash_stays_starchy() -> None:
    assert all_malt((55.0, 60.0)).unconverted_pct > 50.0
    assert all_malt((64.0, 60.0)).unconverted_pct < 2.0


def test_rests_in_the_reverse_order_give_another_wort() -> None:
    up, down = all_malt((62.0, 30.0), (72.0, 30.0)), all_malt((72.0, 30.0), (62.0, 30.0))
    assert now_pct(up) > now_pct(down) + 5.0
    mean = all_malt((67.0, 60.0))
    assert abs(now_pct(up) - now_pct(mean)) > 1.0


def test_a_weak_malt_leaves_starch_and_dextrin() -> None:
    weak, strong = (all_malt(alpha=dose, beta=dose, dextrinase=dose) for dose in (0.07, 1.0))
    assert weak.unconverted_pct > 10.0 > strong.unconverted_pct
    assert now_pct(weak) < now_pct(strong) - 20.0


def test_power_without_dextrinising_units_does_not_liquefy() -> None:
    """Enough diastatic power with few dextrinising units: beta-amylase alone does not carry a mash."""
    lopsided = all_malt(alpha=0.06, beta=1.0)
    assert lopsided.unconverted_pct > 10.0
    assert all_malt(alpha=1.0, beta=0.06).unconverted_pct < 2.0


def test_a_thick_mash_opens_its_starch_later() -> None:
    thin, thick = (all_malt((62.0, 60.0), L_per_kg=litres) for litres in (6.0, 2.5))
    assert thick.unopened_end_kg_per_t > thin.unopened_end_kg_per_t + 30.0
    assert thick.beta_alive[-1] > thin.beta_alive[-1]


def test_uncooked_maize_gives_next_to_nothing() -> None:
    grist = [malt(0.2), raw("maize", 0.8)]
    uncooked = simulate(programmed_rests(["malt", "raw"], [(64.0, 60.0)], 3.5), grist, enzymes(), MIDDLES)
    cooked = simulate(cooker(["raw"], ["malt"], 100.0, 30.0, 3.5), grist, enzymes(), MIDDLES)
    assert uncooked.unopened_end_kg_per_t > 0.85 * 0.8 * 610.0
    assert cooked.fermentability.unboiled_kg_per_t > 2.0 * uncooked.fermentability.unboiled_kg_per_t


@pytest.mark.parametrize("species", ["wheat", "rye", "barley"])
def test_small_grains_open_without_pressure(species: str) -> None:
    grist = [malt(0.2), raw(species, 0.8)]
    course = simulate(cooker(["raw"], ["malt"], 85.0, 30.0, 3.5), grist, enzymes(), MIDDLES)
    assert course.unopened_end_kg_per_t < 5.0


def test_premalt_dies_in_the_cooker() -> None:
    grist = [malt(0.2), raw("maize", 0.8)]
    late = simulate(cooker(["raw"], ["malt"], 100.0, 30.0, 3.5), grist, enzymes(), MIDDLES)
    early = simulate(cooker(["raw"], ["malt"], 100.0, 30.0, 3.5, premalt=("malt", 0.5)), grist, enzymes(), MIDDLES)
    assert early.washback.alpha_U_per_kg < 0.6 * late.washback.alpha_U_per_kg


def test_a_boiled_or_overheated_wort_gains_nothing_in_the_washback() -> None:
    course = all_malt((64.0, 60.0), (95.0, 15.0))
    assert unboiled_pct(course) == pytest.approx(now_pct(course), abs=0.2)
    assert unboiled_pct(all_malt()) > now_pct(all_malt()) + 5.0


def test_pH_far_off_costs_conversion() -> None:
    by_pH = {
        pH: simulate(rests((64.0, 30.0), pH=pH), [malt()], enzymes(alpha=0.2, beta=0.2), MIDDLES)
        for pH in (4.5, 5.5, 6.5)
    }
    assert by_pH[5.5].fermentability.now_kg_per_t > by_pH[4.5].fermentability.now_kg_per_t
    assert by_pH[5.5].fermentability.now_kg_per_t > by_pH[6.5].fermentability.now_kg_per_t


def test_backset_and_dark_malt_lower_the_pH() -> None:
    dark = MashGrain("dark", "barley", True, one(0.1), one(0.0), one(0.0), one(0.65), one(3.0), dark=True)
    plan = programmed_rests(["malt", "dark"], [(64.0, 10.0)], 4.0)
    pale = all_malt((64.0, 10.0)).mash_pH
    assert simulate(plan, [malt(0.9), dark], enzymes(), MIDDLES).mash_pH < pale
    sour = programmed_rests(["malt"], [(64.0, 10.0)], 4.0, backset_pct=25.0)
    assert simulate(sour, [malt()], enzymes(), MIDDLES).mash_pH < pale - 0.2
