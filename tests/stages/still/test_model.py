"""The balance of double distillation."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gristwright.basics import Draws
from gristwright.numerics.draws import middles, sample
from gristwright.records.plant import PotStills
from gristwright.records.streams import Wash
from gristwright.reference.load import priors
from gristwright.stages.still import column_doubler, limits, mixture, model

STILLS = PotStills(wash_charge_L=12_000.0, spirit_charge_L=8_000.0)


def wash_of(abv_pct: float, members: int = 1) -> Wash:
    lpa, one = 400.0, np.ones(members)
    return Wash(100.0 * lpa / abv_pct * one, abv_pct * one, lpa * one, 0.0 * one, 0.998 * one, 80.0 * one)


@pytest.fixture(scope="module")
def draws() -> Draws:
    return sample(priors("still"), 1024)


def test_the_models_name_every_prior_of_the_file() -> None:
    assert {prior.name for prior in priors("still")} == {*model.RESTS_ON, *column_doubler.RESTS_ON}


@pytest.mark.parametrize("abv_pct", [4.5, 8.0, 12.0])
def test_wash_is_spirit_and_losses(abv_pct: float, draws: Draws) -> None:
    wash = wash_of(abv_pct, 1024)
    open_lpa = model.unaccounted_lpa_per_t(wash, model.distil(wash, STILLS, draws))
    assert np.max(np.abs(open_lpa / wash.lpa_per_t)) < 1e-9


def test_a_wrong_density_of_the_residue_opens_the_balance(monkeypatch: pytest.MonkeyPatch) -> None:
    """The two routes are two: the losses go through the density of what is left, the spirit does not."""
    true = mixture.density_20C_kg_m3

    def a_little_light(mass_share: np.ndarray) -> np.ndarray:
        return np.asarray(np.where(mass_share < 0.01, 0.999, 1.0) * true(mass_share))

    monkeypatch.setattr(mixture, "density_20C_kg_m3", a_little_light)
    wash = wash_of(8.0)
    spirit = model.distil(wash, STILLS, middles(priors("still")))
    assert abs(float(model.unaccounted_lpa_per_t(wash, spirit)[0])) > 1e-7 * 400.0


def test_a_weaker_wash_loses_relatively_more(draws: Draws) -> None:
    recovered = [model.distil(wash_of(a, 1024), STILLS, draws).lpa_per_t / 400.0 for a in (6.0, 8.0, 10.0)]
    assert np.all(recovered[0] < recovered[1])
    assert np.all(recovered[1] < recovered[2])


def test_recovery_spans_the_range_remembered_in_the_trade(draws: Draws) -> None:
    """97 to 99 %, from memory: the handling loss was chosen to meet it, so this guards the choice, no more."""
    low, high = np.quantile(model.distil(wash_of(8.0, 1024), STILLS, draws).lpa_per_t / 4.0, [0.05, 0.95])
    assert low == pytest.approx(97.0, abs=0.3)
    assert high == pytest.approx(99.0, abs=0.2)


def test_worked_example_of_the_page_for_a_wash_of_8_pct() -> None:
    """The numbers worked by hand in docs/still.md."""
    draws = {name: np.array([value]) for name, value in zip(model.RESTS_ON, (0.075, 0.08, 0.35, 0.2), strict=True)}
    spirit = model.distil(wash_of(8.0), STILLS, draws)
    assert float(spirit.low_wines_L_per_t[0]) == pytest.approx(1807.3, abs=0.5)
    assert float(spirit.pot_ale_L_per_t[0]) == pytest.approx(3186.3, abs=0.5)
    assert float(spirit.lpa_per_t[0]) == pytest.approx(393.84, abs=0.01)


def test_a_failed_member_stays_nan_and_leaves_the_others_alone() -> None:
    draws = {name: np.full(2, value) for name, value in zip(model.RESTS_ON, (0.075, 0.08, 0.35, 0.2), strict=True)}
    wash = wash_of(8.0, 2)
    wash = replace(wash, abv_pct=np.array([8.0, np.nan]))
    spirit = model.distil(wash, STILLS, draws)
    assert np.isfinite(spirit.lpa_per_t[0])
    assert np.isnan(spirit.lpa_per_t[1])


def test_stronger_wash_makes_a_stronger_charge_and_a_warning() -> None:
    spirit = model.distil(wash_of(10.5), STILLS, middles(priors("still")))
    (problem,) = limits.check_spirit(spirit)
    assert problem.warning
    assert "28 %vol" in problem.what
