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


def test_every_step_has_its_standing_and_source() -> None:
    assert all(step.standing and step.source for c in follow_markers(EVERY, HOUSE, smoke="oak") for step in c.steps)


@pytest.mark.parametrize(
    ("house", "given", "said"),
    [
        (HouseFigures(410.0, 30.0), {}, "30 %vol is outside 40 to 95"),
        (HouseFigures(410.0, 68.0, 45.0), {}, "outside 55 to 72"),
        (HOUSE, {"labs": {"phenols": MarkerLab(10.0, 24.0, 410.0, 68.0)}}, "holds 145 % of what the malt held"),
        (HOUSE, {"malt_mg_per_kg": {"vanilla": 1.0}}, "vanilla: is not followed"),
    ],
)
def test_faults_are_named(house: HouseFigures, given: dict[str, object], said: str) -> None:
    with pytest.raises(Refused, match=said):
        follow_markers(EVERY, house, smoke="oak", **given)  # type: ignore[arg-type]
