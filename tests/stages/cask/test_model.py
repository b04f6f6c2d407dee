"""The cask as a balance and as physics; its figures against published ones stand in tests/outside/cask.csv."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from gristwright.basics import Refused
from gristwright.numerics.draws import middles, sample
from gristwright.records.cask import CaskFill, CaskKind, Climate, MaturedCask
from gristwright.reference.load import priors
from gristwright.stages.cask import content, course, leak, ledger, model, stores, vapour, wood

BARREL = CaskKind("barrel", 200.0)
FILL = CaskFill(BARREL, 63.5, 200.0, 96)
SEASONS = (2.0, 3.0, 7.0, 12.0, 17.0, 21.0, 24.0, 23.0, 19.0, 13.0, 7.0, 3.0)
PINNED = Path(__file__).with_name("pinned_euler.csv")


def steady(degC: float, humidity: float) -> Climate:
    return Climate("steady", (degC,) * 12, (humidity,) * 12)


def forecast(fill: CaskFill = FILL, climate: Climate | None = None) -> MaturedCask:
    return model.mature(fill, climate or steady(12.0, 0.75), middles(priors("cask")))


def pinned_rows() -> list[dict[str, str]]:
    return list(csv.DictReader(PINNED.read_text(encoding="utf-8").splitlines()))


def no_wood() -> dict[str, np.ndarray]:
    values = {name: np.ones(1) for name in model.RESTS_ON}
    values |= {"cask.ethanol_permeance": np.array([0.65]), "cask.water_permeance": np.array([5.5])}
    return values | {"cask.wood_uptake_L_per_m2": np.zeros(1), "cask.wood_water_kg_per_m2": np.zeros(1)}


@pytest.mark.parametrize("row", pinned_rows(), ids=lambda row: row["case"])
def test_our_earlier_results_return(row: dict[str, str]) -> None:
    """Our own Euler integration in steps of 0.02 year: no evidence. Tolerance: its rounding and step, leap days."""
    capacity, entry, degC, humidity, years = (float(row[k]) for k in list(row)[1:6])
    fill = CaskFill(CaskKind("pinned", capacity), entry, capacity, round(12 * years))
    matured = model.mature_unchecked(fill, steady(degC, humidity), no_wood())
    loss = ledger.yearly_loss(matured)
    assert matured.volume_L[0] == pytest.approx(float(row["volume_L"]), abs=0.06)
    assert matured.abv_pct[0] == pytest.approx(float(row["abv_pct"]), abs=0.01)
    assert loss.bulk_of_original_pct[0] == pytest.approx(float(row["bulk_of_original_pct"]), abs=0.009)
    assert loss.alcohol_of_original_pct[0] == pytest.approx(float(row["alcohol_of_original_pct"]), abs=0.009)


def test_worked_example_of_the_page() -> None:
    """docs/cask.md: one year at the rates of the first day, by hand; the rates themselves change by under 1 %."""
    matured = model.mature(replace(FILL, months=12), steady(10.0, 0.85), no_wood())
    assert matured.lpa_L[0] == pytest.approx(124.55, abs=0.02)
    assert matured.volume_L[0] == pytest.approx(197.9, abs=0.05)
    assert matured.abv_pct[0] == pytest.approx(62.93, abs=0.02)


def test_rests_on_every_prior_of_the_room() -> None:
    known = (*model.RESTS_ON, *leak.RESTS_ON, *wood.RESTS_ON)
    assert set(known) == {prior.name for prior in priors("cask")}


@pytest.mark.parametrize("name", stores.climate_names())
def test_cask_air_and_wood_account_for_the_fill(name: str) -> None:
    matured = model.mature(FILL, stores.climate_named(name), sample(priors("cask"), 64))
    assert matured.balance_error < 1e-9
    together = matured.lpa_L + matured.evaporated_lpa_L + matured.left_in_wood_lpa_L
    assert together == pytest.approx(np.full(64, matured.filled_lpa_L), rel=1e-9)
    assert matured.lpa_L == pytest.approx(matured.volume_L * matured.abv_pct / 100.0, rel=1e-9)


def test_shapes() -> None:
    matured = model.mature(FILL, steady(12.0, 0.7), sample(priors("cask"), 16))
    assert matured.volume_L.shape == (16,)
    assert matured.month_abv_pct.shape == matured.month_volume_L.shape == (97, 16)
    assert matured.month_volume_L[0] == pytest.approx(np.full(16, 200.0))
    assert matured.month_abv_pct[0] == pytest.approx(np.full(16, 63.5))


def test_finer_steps_change_nothing_that_matters(monkeypatch: pytest.MonkeyPatch) -> None:
    draws, climate = sample(priors("cask"), 64), Climate("seasons", SEASONS, (0.65,) * 12)
    coarse = model.mature(FILL, climate, draws)
    monkeypatch.setattr(course, "FAST_STEP", 1e-9)
    fine = model.mature(FILL, climate, draws)
    assert np.max(np.abs(coarse.volume_L - fine.volume_L)) < 0.01
    assert np.nanmax(np.abs(coarse.abv_pct - fine.abv_pct)) < 0.01


def test_a_cask_loses_by_its_store_and_its_joints() -> None:
    """The middle cask loses what the model says; store and joints multiply it."""
    given = {"cask.store_factor": 1.1, "cask.joint_share": 0.6, "cask.leak_factor": 1.5}
    loss = model.loss_of({name: np.array([value]) for name, value in given.items()})
    assert loss[0] == pytest.approx(1.1 * (0.4 + 0.6 * 1.5))
    assert model.loss_of(middles(priors("cask")))[0] == pytest.approx(1.0, abs=1e-3)


def test_a_single_cask_scatters_as_the_grid_of_the_stock_believes() -> None:
    """One belief in two places: the draws of the one-cask model and the grid that gauges narrow."""
    drawn = np.quantile(model.loss_of(sample(priors("cask"), 8192)), [0.05, 0.5, 0.95])
    grid = leak.standard()
    spread = np.log(1.15)  # the ethanol permeance's own, which the grid's store carries too
    belief = grid.cask_prior @ grid.store_prior.sum(axis=1)
    low, middle, high = leak.grid_quantiles(grid, belief[None, :])[0]
    assert middle == pytest.approx(drawn[1], rel=0.03)
    own = np.log(drawn[2] / drawn[0]) / 3.29
    assert np.log(high / low) / 3.29 == pytest.approx(np.hypot(own, spread), rel=0.1)


def test_members_do_not_depend_on_the_batch() -> None:
    draws = sample(priors("cask"), 32)
    some = {name: column[5:9] for name, column in draws.items()}
    whole = model.mature(FILL, steady(12.0, 0.7), draws).volume_L[5:9]
    assert np.array_equal(whole, model.mature(FILL, steady(12.0, 0.7), some).volume_L)


def test_seasons_lose_more_than_their_mean() -> None:
    """Vapour pressure is convex in temperature."""
    seasonal = forecast(climate=Climate("seasons", SEASONS, (0.7,) * 12))
    mean = forecast(climate=steady(float(np.mean(SEASONS)), 0.7))
    assert seasonal.evaporated_lpa_L[0] > mean.evaporated_lpa_L[0]


def test_a_warmer_store_loses_more() -> None:
    left = [forecast(climate=steady(degC, 0.7)).lpa_L[0] for degC in (0.0, 8.0, 16.0, 24.0, 32.0)]
    assert np.all(np.diff(left) < 0.0)


def test_a_damper_store_keeps_volume_and_loses_strength() -> None:
    damp = [forecast(climate=steady(12.0, humidity)) for humidity in (0.5, 0.6, 0.7, 0.8, 0.9)]
    assert np.all(np.diff([m.volume_L[0] for m in damp]) > 0.0)
    assert np.all(np.diff([m.abv_pct[0] for m in damp]) < 0.0)


def test_a_thicker_wall_and_a_larger_cask_lose_a_smaller_share() -> None:
    thick = forecast(replace(FILL, kind=replace(BARREL, wall_mm=32.0)))
    butt = forecast(CaskFill(CaskKind("butt", 500.0), 63.5, 500.0, 96))
    plain = forecast()
    assert thick.evaporated_lpa_L[0] < plain.evaporated_lpa_L[0]
    assert butt.lpa_L[0] / butt.filled_lpa_L > plain.lpa_L[0] / plain.filled_lpa_L


def test_area_per_litre_of_an_octave_is_the_cube_root_of_four_above_a_barrel() -> None:
    ratio = content.inside_area_m2(50.0) / 50.0 / (content.inside_area_m2(200.0) / 200.0)
    assert ratio == pytest.approx(4.0 ** (1.0 / 3.0))


def test_the_month_of_filling_matters_for_a_short_time() -> None:
    climate = Climate("seasons", SEASONS, (0.7,) * 12)
    spring, autumn = (forecast(replace(FILL, months=6, first_month=month), climate) for month in (4, 10))
    assert spring.evaporated_lpa_L[0] > autumn.evaporated_lpa_L[0]


def test_new_wood_gives_water_and_drinks_more_than_used_wood() -> None:
    new = forecast(replace(FILL, months=6))
    used = forecast(replace(FILL, months=6, kind=replace(BARREL, prior_contents="wine")))
    assert new.left_in_wood_lpa_L[0] > used.left_in_wood_lpa_L[0] > 0.0
    assert new.abv_pct[0] < used.abv_pct[0]


def test_no_time_no_loss() -> None:
    matured = forecast(replace(FILL, months=0))
    assert matured.volume_L[0] == pytest.approx(200.0)
    assert matured.evaporated_lpa_L[0] == 0.0


def test_a_cask_runs_dry_without_breaking() -> None:
    fill = CaskFill(CaskKind("tiny", 2.0, 8.0), 63.5, 2.0, 240)
    matured = model.mature(fill, steady(45.0, 0.1), middles(priors("cask")))
    assert matured.balance_error < 1e-9
    assert 0.0 <= matured.volume_L[0] < 0.02
    assert np.isnan(matured.abv_pct[0])


def test_vapour_pressures_of_the_pure_liquids() -> None:
    """Ethanol boils at 78.3 degC under 101.3 kPa; water has 2.339 kPa at 20 degC. Handbook values, from memory."""
    assert vapour.ethanol_saturation_kPa(78.3) == pytest.approx(101.3, rel=0.01)
    assert vapour.water_saturation_kPa(20.0) == pytest.approx(2.339, rel=0.005)


def test_inputs_are_refused_all_at_once() -> None:
    fill = CaskFill(replace(BARREL, wall_mm=2.0), 90.0, 300.0, 700, 13)
    with pytest.raises(Refused) as caught:
        forecast(fill, Climate("bad", (80.0,) * 11, (85.0,) * 12))
    assert len(caught.value.problems) >= 7
