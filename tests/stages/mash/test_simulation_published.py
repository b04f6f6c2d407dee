"""The published model is coded as written, against a second program: a regression, no evidence of a real mash."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from gristwright.basics import FloatArray
from gristwright.records.mash import Corner
from gristwright.stages.mash import brandam2003, gelatinisation
from gristwright.stages.mash.models import simulate
from stages.mash.mash_sample import MIDDLES, enzymes, malt, rests

PINNED = list(csv.DictReader((Path(__file__).parent / "pinned_published.csv").read_text(encoding="utf-8").splitlines()))
# A mash profile printed with the model: 37, 50, 65, 76 degC.
PROFILE = (
    (0.0, 37.0),
    (20.0, 37.0),
    (25.0, 50.0),
    (57.5, 50.0),
    (62.5, 65.0),
    (77.5, 65.0),
    (97.5, 76.0),
    (110.0, 76.0),
)


def corners(course: str) -> list[Corner]:
    if course == "profile":
        return [Corner(*pair) for pair in PROFILE]
    degC, minutes = map(float, course.split("/"))
    return [Corner(0.0, degC), Corner(minutes, degC)]


@pytest.mark.parametrize("row", PINNED, ids=lambda row: f"{row['course']}-{row['quantity']}-{row['thermal_loss']}")
def test_pinned(row: dict[str, str]) -> None:
    found = brandam2003.mash(
        corners(row["course"]), float(row["starch_g_per_L"]), thermal_loss=row["thermal_loss"] == "yes"
    )
    assert getattr(found, row["quantity"])[0] == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


def test_starch_is_kept_and_half_the_step_agrees() -> None:
    course = corners("profile")
    whole, half = (brandam2003.mash(course, [60.0, 98.51], step_s=step) for step in (10.0, 5.0))
    total = whole.solid_starch + whole.dextrin + whole.fermentable
    assert total == pytest.approx([60.0, 98.51], rel=1e-12)
    assert whole.fermentable == pytest.approx(half.fermentable, abs=1e-2)


def test_against_an_adaptive_solver_with_open_starch_kept_as_a_state() -> None:
    """The quasi-steady state is no approximation one could see: the stiff system as published, solved implicitly."""
    from scipy.integrate import solve_ivp

    c = brandam2003.constants()

    def rate(_: float, y: FloatArray) -> list[float]:
        alpha, beta = y[6] * float(brandam2003.alpha_activity(65.0)), y[7] * float(brandam2003.beta_activity(65.0))
        opened = float(brandam2003.gelatinisation_per_s(65.0)) * y[0]
        glucose = c["k_gl"] * alpha * y[1] + c["d_gl"] * alpha * y[2]
        maltose = (c["k_am"] * alpha + c["k_bm"] * beta) * y[1] + (c["d_am"] * alpha + c["d_bm"] * beta) * y[2]
        triose = c["k_mlt"] * alpha * y[1] + c["d_mlt"] * alpha * y[2]
        dextrin = c["k_dex"] * alpha * y[1]
        slow = ((c["d_gl"] + c["d_am"] + c["d_mlt"]) * alpha + c["d_bm"] * beta) * y[2]
        all_open = ((c["k_gl"] + c["k_am"] + c["k_mlt"] + c["k_dex"]) * alpha + c["k_bm"] * beta) * y[1]
        lost = [-float(brandam2003.arrhenius_per_s(name, 65.0)) * y[k] for name, k in (("alpha", 6), ("beta", 7))]
        return [-opened, opened - all_open, dextrin - slow, glucose, maltose, triose, *lost]

    start = [100.0, 0.0, 0.0, 0.0, 0.0, 0.0, c["alpha_reference"], c["beta_reference"]]
    stiff = solve_ivp(rate, (0.0, 3600.0), start, method="LSODA", rtol=1e-8, atol=1e-10).y[:, -1]
    found = brandam2003.mash(corners("65/60"))
    ours = [found.dextrin[0], found.glucose[0], found.maltose[0], found.maltotriose[0]]
    assert ours == pytest.approx(stiff[2:6], abs=1e-3)


def test_half_lives() -> None:
    """Regression of constants from memory: 10.1 and 115.8 min at 63 degC."""
    minutes = [np.log(2.0) / (60.0 * float(brandam2003.arrhenius_per_s(name, 63.0))) for name in ("beta", "alpha")]
    assert minutes == pytest.approx([10.1, 115.8], abs=0.1)


def test_alpha_amylase_stays_dead_above_its_range() -> None:
    """The published cubic turns up again beyond 78 degC; nothing may come back to life there."""
    assert np.all(brandam2003.alpha_activity(np.linspace(75.0, 150.0, 50)) == 0.0)
    assert np.all(brandam2003.beta_activity(np.linspace(71.0, 150.0, 50)) == 0.0)
    assert float(brandam2003.alpha_activity(20.0)) == 1.0


def test_gelatinised_after_ten_minutes() -> None:
    """Regression: 0.50 at 59 degC, 0.962 at 64.5 degC."""
    opened = 1.0 - np.exp(-600.0 * brandam2003.gelatinisation_per_s([59.0, 64.5]))
    assert opened == pytest.approx([0.50, 0.962], abs=0.005)


def test_engineering_comes_near_the_published_model_where_both_hold() -> None:
    """65 degC, thin mash, the fitted malt: sugars within the 10 % that Koljonen et al. 1995 reach on another malt."""
    plan = replace(rests((65.0, 60.0), L_per_kg=6.0), model="engineering")
    wort = simulate(plan, [malt()], enzymes(), MIDDLES).washback
    sugar = wort.glucose_kg_per_t / 1.1111 + wort.maltose_kg_per_t / 1.0556 + wort.maltotriose_kg_per_t / 1.0370
    published = brandam2003.mash(corners("65/60")).fermentable
    assert sugar / 6.2 == pytest.approx(published, rel=0.10)


def test_a_cook_opens_what_its_source_says() -> None:
    place = gelatinisation.opening([malt()], MIDDLES)
    assert place.openable([142.0]) == pytest.approx(1.0)
    assert place.extent(np.array([80.0])) == pytest.approx(1.0, abs=1e-4)
