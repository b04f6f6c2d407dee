"""Markers from malt to cask: what does not pass is near nothing, a laboratory pair narrows, the cut has its slope."""

from __future__ import annotations

import pytest

from gristwright.basics import Refused
from gristwright.records.markers_through import MarkerChain, MarkerLab
from gristwright.stages.markers.model import HouseFigures, cut_slope, follow_markers

HOUSE = HouseFigures(410.0, 68.0)
EVERY = ("caramel", "roast", "smoked")
PAIR = MarkerLab(54.0, 24.0, 410.0, 68.0)


def chain(marker: str, house: HouseFigures = HOUSE, smoke: str = "oak", **given: object) -> MarkerChain:
    found = follow_markers(EVERY, house, smoke=smoke, **given)  # type: ignore[arg-type]
    return next(c for c in found if c.marker == marker)


@pytest.mark.parametrize("marker", ["maltol", "furaneol", "syringol"])
def test_what_does_not_pass_is_shown_and_near_nothing(marker: str) -> None:
    found = chain(marker)
    assert found.passes == "does not pass"
    assert found.by_mass_pct.high < 2.5


def test_phenols_are_printed_both_ways() -> None:
    """A pair of 54 and 24 (trade figures from memory) is 44 % ppm to ppm and 27 % by mass at 410 LPA/t and 68 %vol."""
    found = chain("phenols", malt_mg_per_kg={"phenols": 54.0}, labs={"phenols": PAIR})
    assert found.ppm_to_ppm_pct.middle == pytest.approx(44.4, abs=0.1)
    assert found.by_mass_pct.middle == pytest.approx(26.8, abs=0.1)


def test_a_laboratory_pair_narrows_and_is_marked_measured() -> None:
    before, after = chain("guaiacol"), chain("guaiacol", labs={"guaiacol": MarkerLab(6.0, 2.0, 410.0, 68.0)})
    assert after.by_mass_pct.width / after.by_mass_pct.middle < before.by_mass_pct.width / before.by_mass_pct.middle
    assert after.measured
    assert next(s for s in after.steps if s.step == "spirit").standing == "measured"


def test_hearts_that_run_longer_carry_more_smoke() -> None:
    late, early = (chain("phenols", HouseFigures(410.0, 68.0, cut)).by_mass_pct.middle for cut in (58.0, 68.0))
    assert late > 2.0 * early
    assert cut_slope("phenols", 60.0) == 1.0
    assert cut_slope("", 68.0) == 1.0  # as pyrazines, whose chain names no slope


def test_a_pair_measured_at_one_cut_is_carried_to_another() -> None:
    pair = MarkerLab(54.0, 24.0, 410.0, 68.0, hearts_end_abv_pct=65.0)
    same = chain("phenols", HouseFigures(410.0, 68.0, 65.0), malt_mg_per_kg={"phenols": 54.0}, labs={"phenols": pair})
    assert same.ppm_to_ppm_pct.middle == pytest.approx(44.4, abs=0.1)


def test_amounts_go_with_the_share_of_the_malt() -> None:
    whole, half = (
        chain("phenols", malt_mg_per_kg={"phenols": 50.0}, share_of_grist=share).steps[3].amount.middle
        for share in (1.0, 0.5)
    )
    assert half == pytest.approx(0.5 * whole)


def test_years_in_the_cask_take_from_smoke() -> None:
    found = chain("phenols", HouseFigures(410.0, 68.0, cask_years=10.0))
    spirit, cask = found.steps[3].amount.middle, found.steps[4].amount.middle
    assert cask / spirit == pytest.approx(0.963**10, rel=0.02)


def test_smoke_falls_in_store_and_the_age_at_mashing_counts() -> None:
    """0.985 a month, an estimate: about 0.83 in a year, and anything from two thirds to almost all of it."""
    fresh, old = (chain("phenols", HouseFigures(410.0, 68.0, store_months=months)) for months in (0.0, 12.0))
    assert "store" not in {step.step for step in fresh.steps}
    assert [step.step for step in old.steps][:3] == ["malt", "store", "wort"]
    malt, mashed = old.steps[0].amount, old.steps[1].amount
    assert 0.75 < mashed.middle / malt.middle < 0.9
    aged = HouseFigures(410.0, 68.0, store_months=12.0)
    part = chain("guaiacol", aged, malt_mg_per_kg={"phenols": 54.0})
    assert next(step for step in part.steps if step.step == "store").standing == "estimate"
    assert "store" not in {step.step for step in chain("maltol", aged).steps}


@pytest.mark.parametrize("grain", ["rye", "wheat"])
def test_the_clove_of_rye_and_wheat_is_followed(grain: str) -> None:
    """Moll 1991 (seen in a secondary text): beers, most of them without wheat, hold 0.05 to 0.55 mg/L."""
    (found,) = follow_markers((grain,), HOUSE)
    assert found.marker == "vinylguaiacol" and found.passes == "partly"
    wash = next(step for step in found.steps if step.step == "wash").amount
    assert wash.low < 0.55 < wash.high
    assert {step.standing for step in found.steps} <= {"from memory", "estimate"}
    assert "yeast" in found.sentence


def test_every_step_has_its_standing_and_source() -> None:
    assert all(step.standing and step.source for c in follow_markers(EVERY, HOUSE, smoke="oak") for step in c.steps)


@pytest.mark.parametrize(
    ("house", "given", "said"),
    [
        (HouseFigures(410.0, 30.0), {}, "30 %vol is outside 40 to 95"),
        (HouseFigures(410.0, 68.0, 45.0), {}, "outside 55 to 72"),
        (HOUSE, {"labs": {"phenols": MarkerLab(10.0, 24.0, 410.0, 68.0)}}, "holds 145 % of what the malt held"),
        (HouseFigures(410.0, 68.0, store_months=121.0), {}, "121 months in store are outside 0 to 120"),
        (HOUSE, {"malt_mg_per_kg": {"vanilla": 1.0}}, "vanilla: is not followed"),
    ],
)
def test_faults_are_named(house: HouseFigures, given: dict[str, object], said: str) -> None:
    with pytest.raises(Refused, match=said):
        follow_markers(EVERY, house, smoke="oak", **given)  # type: ignore[arg-type]
