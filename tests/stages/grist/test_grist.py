"""Blending, the enzyme board and the certificate."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gristwright.basics import Address, Light, Refused, Standing, at
from gristwright.numerics.weights import equal_weights
from gristwright.records.bill import Bill, Share
from gristwright.records.lot import Analysis, Lot
from gristwright.stages.grist import certificate, limits
from gristwright.stages.grist.boards import enzyme_board
from gristwright.stages.grist.materials import material_named, materials
from gristwright.stages.grist.model import LotColumns, blend, by_product_lpa_per_t, dextrin_lpa_per_t

DRAWS = {"grist.carbohydrate_share": np.array([0.92]), "grist.fine_to_coarse_pct": np.array([1.75])}


def columns(*rows: tuple[float, float, float, float, float]) -> LotColumns:
    nothing = np.zeros((1, len(rows)))
    known = (np.array([[row[k] for row in rows]]) for k in range(5))
    return LotColumns(*known, np.ones(len(rows)), nothing, nothing)


def grist_of(shares: list[float], *rows):
    return blend(np.array(shares), columns(*rows), DRAWS)


PALE = (77.8, 87.4, 79.0, 46.0, 520.0)
RAW = (70.0, 0.0, 0.0, 0.0, 260.0)


def test_ten_per_cent_of_500_degWK_gives_14_7_degLintner_and_not_18_9():
    """(500 + 16) / 3.5 = 147.4; averaging degWK first would give 18.9 (arithmetic on the published line)."""
    grist = grist_of([0.1, 0.9], (72.0, 86.0, 147.43, 60.0, 0.0), RAW)
    assert grist.diastatic_power_degLintner[0] == pytest.approx(14.74, abs=0.01)


def test_predicted_yield_with_the_published_factor():
    """6.06 x 78 % x 87 % = 411.2 L/t: Bringhurst et al. 1996, J. Inst. Brew. 102:433-437 for the factor."""
    assert grist_of([1.0], (78.0, 87.0, 70.0, 45.0, 0.0)).psy_lpa_per_t[0] == pytest.approx(411.2, abs=0.1)


def test_theory_less_dextrin_and_by_products_is_the_predicted_yield():
    grist = grist_of([0.9, 0.1], PALE, (70.0, 46.0, 0.0, 0.0, 730.0))
    left = grist.theory_lpa_per_t - dextrin_lpa_per_t(grist, DRAWS) - by_product_lpa_per_t(grist)
    assert left == pytest.approx(grist.psy_lpa_per_t, rel=1e-12)


@given(st.lists(st.floats(0.01, 1.0), min_size=2, max_size=2), st.floats(60, 82), st.floats(0, 90), st.floats(0, 200))
def test_a_blend_never_exceeds_its_parts(weights, extract, ferment, power):
    shares = [w / sum(weights) for w in weights]
    other = (extract, ferment, power, 10.0, 300.0)
    grist = grist_of(shares, PALE, other)
    for value, ours, theirs in (
        (grist.extract_asis_pct, PALE[0], extract),
        (grist.diastatic_power_degLintner, PALE[2], power),
        (grist.malt_cost_per_t, 520.0, 300.0),
    ):
        assert min(ours, theirs) - 1e-9 <= value[0] <= max(ours, theirs) + 1e-9


@pytest.mark.parametrize(
    ("shares", "cooked", "light"),
    [
        # Common practice: an all-malt mash is rich; 10 % of malt of 165 degLintner with cooked grain runs in grain
        # distilleries, the same uncooked does not; 5 % of 140 degLintner malt (7 degLintner) fails.
        ([1.0, 0.0], False, Light.GREEN),
        ([0.10, 0.90], True, Light.AMBER),
        ([0.10, 0.90], False, Light.RED),
        ([0.04, 0.96], True, Light.RED),
    ],
)
def test_enzyme_board(shares, cooked, light):
    grist = grist_of(shares, (72.0, 86.0, 165.0, 80.0, 0.0), RAW)
    assert enzyme_board(grist, equal_weights(1), cooked, False, ()).light is light


def test_short_of_liquefaction_is_never_told_to_ferment_longer():
    grist = grist_of([0.1, 0.9], (72.0, 86.0, 400.0, 30.0, 0.0), RAW)
    board = enzyme_board(grist, equal_weights(1), True, False, ())
    assert board.light is Light.RED
    assert "pre-malt" in board.remedy
    assert "does not help" in board.remedy


def lot(*analyses: tuple[str, float, str], material: str = "pale_distilling_malt") -> Lot:
    return Lot("X", material, analyses=tuple(Analysis(f, v, u, where=Address(row=2).to(f)) for f, v, u in analyses))


def problems_of(*analyses, material="pale_distilling_malt"):
    return certificate.lot_problems(lot(*analyses, material=material), material_named(material, "here"))


def test_impossible_and_unusual_values():
    (impossible,) = problems_of(("moisture_pct", 45.0, "%"))
    assert not impossible.warning
    assert "45 %" in impossible.sentence() and "1-12 %" in impossible.sentence()
    (odd,) = problems_of(("moisture_pct", 6.5, "%"))
    assert odd.warning


def test_limits_are_kept_per_material_and_unit():
    """High-enzyme malt reads 500-800 degWK: no fault there, but impossible for caramel malt (common practice)."""
    assert problems_of(("diastatic_power", 600.0, "degWK"), material="high_enzyme_malt") == []
    (fault,) = problems_of(("diastatic_power", 600.0, "degWK"), material="caramel_malt_dark")
    assert "degLintner" in fault.sentence()


def test_extract_on_a_mixed_basis_is_impossible():
    found = problems_of(
        ("extract_fine_dry_pct", 79.5, "%"), ("extract_asis_pct", 79.0, "%"), ("moisture_pct", 4.5, "%")
    )
    assert any("another basis" in p.sentence() and not p.warning for p in found)


def test_yield_that_disagrees_with_its_own_certificate_is_warned():
    found = problems_of(
        ("extract_asis_pct", 77.8, "%"), ("fermentability_pct", 87.0, "%"), ("psy_lpa_per_t", 430.0, "L/t")
    )
    assert any(p.warning and "6.06" in p.sentence() for p in found)


def test_what_is_missing_is_assumed_and_listed():
    belief = certificate.believe(lot(("extract_asis_pct", 77.8, "%")), materials()["pale_distilling_malt"])
    assert "fermentability_pct" in belief.assumed
    assert "extract_asis_pct" not in belief.assumed
    prior = next(p for p in belief.priors if p.name == "lot.X.fermentability_pct")
    assert prior.source.standing is Standing.FROM_MEMORY


def test_fermentability_out_of_a_predicted_yield():
    belief = certificate.believe(
        lot(("extract_asis_pct", 78.0, "%"), ("psy_lpa_per_t", 411.2, "L/t")), materials()["pale_distilling_malt"]
    )
    prior = next(p for p in belief.priors if p.name == "lot.X.fermentability_pct")
    assert prior.arguments[0] == pytest.approx(87.0, abs=0.05)


def test_unknown_material_names_the_nearest():
    with pytest.raises(Refused, match="caramel_malt_dark"):
        material_named("caramel_malt_drak", "row 4")


def test_bill_faults_all_at_once():
    bill = Bill("b", (Share("A", 5000), Share("A", 4000), Share("Z", 500)))
    sentences = " ".join(p.sentence() for p in limits.bill_problems(bill, {"A"}, at("bill")))
    assert "95 %" in sentences and "2 times" in sentences and "'Z'" in sentences
