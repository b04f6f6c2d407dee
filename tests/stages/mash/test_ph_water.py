"""What the mash liquor does to the pH: definitions, directions, and the mashes of one publication."""

from dataclasses import replace

import numpy as np
import pytest

from gristwright.numerics.draws import prior_band
from gristwright.records.mash import MashProgramme
from gristwright.reference import priors
from gristwright.stages.mash import ph
from stages.mash.mash_sample import MIDDLES, malt, random_draws, rests

SLOPE = next(prior for prior in priors("mash") if prior.name == "mash.pH_per_residual_alkalinity")


def in_water(calcium: float | None, alkalinity: float | None, backset_pct: float = 0.0) -> MashProgramme:
    plan = rests((64.0, 60.0))
    return replace(plan, calcium_mg_per_L=calcium, alkalinity_mg_per_L=alkalinity, backset_pct=backset_pct)


def at_middle(programme: MashProgramme) -> float:
    return ph.mash_pH(programme, [malt()], MIDDLES).item()


def test_a_degree_of_hardness() -> None:
    """7.147 mg/L of calcium, 17.85 mg/L of calcium carbonate: common practice, by molar masses."""
    assert ph.residual_alkalinity_dH(0.0, 17.85) == pytest.approx(1.0, abs=5e-4)
    assert ph.residual_alkalinity_dH(7.147, 0.0) == pytest.approx(-1.0 / 3.5, abs=5e-5)


def test_lime_is_undone_by_three_and_a_half_times_its_hardness_in_gypsum() -> None:
    """Alkalinity less calcium hardness / 3.5: Kolbach 1953, Monatsschr. Brau. 6:49, secondary."""
    assert ph.residual_alkalinity_dH(3.5 * 7.147, 17.85) == pytest.approx(0.0, abs=5e-4)


def test_ten_degrees_are_three_tenths() -> None:
    """0.3 for ten degrees of residual alkalinity, for wort; from memory and used to choose the prior."""
    rise = at_middle(in_water(0.0, 178.5)) - at_middle(in_water(0.0, 0.0))
    assert rise == pytest.approx(0.3, abs=0.01)


@pytest.mark.parametrize(("calcium", "pH"), [(100.0, 5.48), (200.0, 5.39), (300.0, 5.28)])
def test_a_mash_with_calcium_lies_in_the_band(calcium: float, pH: float) -> None:
    """Taylor, in Briggs et al., Brewing: Science and Practice, seen in a secondary text: pH 5.74 without calcium.

    The band was chosen with the first of them in sight, so this is no validation.
    """
    band = prior_band(SLOPE)
    falls = -np.array([band.low, band.high]) * ph.residual_alkalinity_dH(calcium, 0.0)
    assert falls[0] < 5.74 - pH < falls[1]


def test_without_an_analysis_nothing_changes() -> None:
    draws = random_draws(64)
    plain = ph.mash_pH(rests((64.0, 60.0)), [malt()], draws)
    assert np.array_equal(plain, draws["mash.pH_unmeasured"])
    for programme in (in_water(None, None), in_water(100.0, None), in_water(None, 100.0)):
        assert np.array_equal(ph.mash_pH(programme, [malt()], draws), plain)
    older = {name: column for name, column in draws.items() if name != SLOPE.name}
    assert np.array_equal(ph.mash_pH(rests((64.0, 60.0)), [malt()], older), plain)


def test_a_measured_pH_wins() -> None:
    programme = replace(in_water(0.0, 300.0), mash_pH=5.4)
    assert at_middle(programme) == 5.4


def test_directions() -> None:
    middle = at_middle(in_water(50.0, 100.0))
    assert at_middle(in_water(100.0, 100.0)) < middle < at_middle(in_water(50.0, 200.0))


def test_backset_takes_the_place_of_water() -> None:
    """A fifth of the liquor is backset: four fifths of the rise are left, beside the fall by the backset itself."""
    rise = at_middle(in_water(0.0, 178.5)) - at_middle(in_water(0.0, 0.0))
    with_backset = at_middle(in_water(0.0, 178.5, 20.0)) - at_middle(in_water(0.0, 0.0, 20.0))
    assert with_backset == pytest.approx(0.8 * rise)


def test_the_band_is_wider_in_water_far_from_neutral() -> None:
    draws = random_draws(512)
    hard, soft = (ph.mash_pH(in_water(0.0, alkalinity), [malt()], draws) for alkalinity in (250.0, 0.0))
    assert np.ptp(hard) > np.ptp(soft)
    assert hard.shape == (512,)
