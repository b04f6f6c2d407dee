"""A lot is brought to the table's units once, when it is believed; whoever reads it later reads the same figures."""

from __future__ import annotations

import ast

import pytest

from gristwright.records.lot import Analysis, Lot
from gristwright.stages.grist import certificate
from gristwright.stages.grist.certificate_units import normal
from gristwright.stages.grist.materials import materials
from house.places import PACKAGE

# One lot printed in two ways: litre-degrees over 3.86 are per cent of the same mash (from memory), 3.5 degLintner are
# degWK + 16 (trade rule), the glycoside is 9.7 times its hydrogen cyanide (molar masses), the rest are powers of ten.
PLAIN = (
    ("moisture_pct", 4.5, "%", ""),
    ("extract_asis_pct", 77.0, "%", ""),
    ("diastatic_power", 80.0, "degLintner", ""),
    ("total_nitrogen_dry_pct", 1.6, "%", "dry"),
    ("don_ug_per_kg", 250.0, "ug/kg", ""),
    ("glycosidic_nitrile_g_per_t", 0.97, "g/t", ""),
    ("extract_fine_dry_pct", 81.0, "%", "dry"),
)
OTHER = (
    ("moisture_pct", 4.5, "%", ""),
    ("extract_asis_pct", 77.0 * 3.86, "L_deg_kg", ""),
    ("diastatic_power", 264.0, "degWK", ""),
    ("total_nitrogen_dry_pct", 1600.0, "mg/100g", "dry"),
    ("don_ug_per_kg", 0.25, "ppm", ""),
    ("glycosidic_nitrile_g_per_t", 0.1, "ppm", "as HCN"),
    ("extract_fine_dry_pct", 81.0 * 0.955, "%", "as is"),
)


def believed(rows: tuple[tuple[str, float, str, str], ...]) -> certificate.LotBelief:
    analyses = tuple(Analysis(name, value, unit, basis, where=name) for name, value, unit, basis in rows)
    lot = Lot("X", "pale_distilling_malt", analyses=analyses)
    return certificate.believe(lot, materials()["pale_distilling_malt"])


def test_one_lot_in_other_units_is_believed_the_same() -> None:
    plain, other = believed(PLAIN), believed(OTHER)
    assert plain.values == {name: value for name, value, _, _ in PLAIN}
    assert dict(other.values) == pytest.approx(dict(plain.values), rel=1e-9)
    for one, two in zip(plain.priors, other.priors, strict=True):
        assert two.arguments == pytest.approx(one.arguments, rel=1e-9)
    assert plain.used == other.used


def test_a_figure_whose_basis_takes_a_moisture_not_printed_is_no_figure() -> None:
    lot = Lot("X", "pale_distilling_malt", analyses=(Analysis("extract_fine_dry_pct", 77.0, "%", "as is", where="x"),))
    assert normal(lot).each == (None,)
    assert dict(normal(lot).values) == {}


def test_the_figure_in_the_unit_of_the_table_is_used_and_each_is_kept() -> None:
    powers = (Analysis("diastatic_power", 500.0, "degWK", where="a"), Analysis("diastatic_power", 150.0, "degLintner"))
    found = normal(Lot("X", "high_enzyme_malt", analyses=powers))
    assert found.values["diastatic_power"] == 150.0
    assert found.each == (pytest.approx((500.0 + 16.0) / 3.5), 150.0)


@pytest.mark.parametrize("floor", ["flowsheet", "casework", "stages/mash", "stages/wash", "stages/markers"])
def test_no_one_behind_the_belief_converts_a_certificate(floor: str) -> None:
    """They read LotBelief.values: none takes an analysis from a lot's certificate, or a way to convert one."""
    ways = {"number", "in_table_unit", "table_value", "on_table_basis", "normal", "measured", "analysis"}
    for path in (PACKAGE / floor).rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        taken = {
            alias.name for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) for alias in node.names
            if (node.module or "").endswith("certificate_units")
        }  # fmt: skip
        asked = {n.attr for n in ast.walk(tree) if isinstance(n, ast.Attribute) and n.attr == "analysis"}
        assert not ways & (taken | asked), path
