"""What a certificate says against itself. Maltsters' sheets are cited as printed, their names withheld."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gristwright.basics import Address, Problem
from gristwright.records.lot import Analysis, Lot
from gristwright.stages.grist import certificate
from gristwright.stages.grist.certificate_units import factor, fields, in_table_unit, table_value
from gristwright.stages.grist.contaminants import contaminant_problems, crop_problems, limits_of
from gristwright.stages.grist.cross_checks import disagreements
from gristwright.stages.grist.materials import materials

Row = tuple[str, float, str] | tuple[str, float, str, str]


def lot(*rows: Row, method: str = "", crop: int | None = None) -> Lot:
    analyses = tuple(
        Analysis(r[0], r[1], r[2], r[3] if len(r) > 3 else "", method, where=Address(row=2, path=(r[0], r[2])))
        for r in rows
    )
    return Lot("X", "pale_distilling_malt", crop=crop, analyses=analyses, where=Address(row=2))


def told(*rows: Row, material: str = "pale_distilling_malt", method: str = "") -> list[Problem]:
    return disagreements(lot(*rows, method=method), materials()[material])


def words(problems: list[Problem]) -> str:
    return " ".join(problem.sentence() for problem in problems)


def test_sheet_a_three_diastatic_powers_do_not_agree() -> None:
    """A maltster's sheet (name withheld), high-enzyme malt: 150 IoB, 500 WK and 165 degLintner side by side.

    (500 + 16) / 3.5 = 147.4, and 165 is 12 % more.
    """
    found = told(
        ("diastatic_power", 150, "degIoB"),
        ("diastatic_power", 500, "degWK"),
        ("diastatic_power", 165, "degLintner"),
        material="high_enzyme_malt",
    )
    (problem,) = found
    assert problem.warning
    assert "147.4 degLintner" in problem.sentence() and "12 % apart" in problem.sentence()


def test_sheet_b_three_diastatic_powers_agree() -> None:
    """A maltster's sheet (name withheld), pale ale malt: 40 IoB, 140 WK, 45 degLintner; the line gives 44.6."""
    rows = [("diastatic_power", v, u) for v, u in ((40, "degIoB"), (140, "degWK"), (45, "degLintner"))]
    assert told(*rows, material="pale_ale_malt") == []


@pytest.mark.parametrize(
    ("litre_degrees", "congress", "own", "apart", "usual"),
    [
        # Maltsters' sheets (names withheld): high-enzyme malt, pale malt, and a roasted brown malt.
        (300.0, 79.5, "77.7", "1.8", True),
        (308.0, 81.5, "79.8", "1.7", True),
        (275.0, 77.0, "71.2", "5.8", False),
    ],
)
def test_paired_extracts_are_both_kept_and_shown(litre_degrees, congress, own, apart, usual) -> None:
    rows = (("extract_07mm_dry_pct", litre_degrees, "L_deg_kg"), ("extract_fine_dry_pct", congress, "%"))
    (problem,) = told(*rows)
    assert problem.warning
    for text in (f"{own} %", f"{apart} points apart", "Both are kept", "as two mashes" if usual else "not as two"):
        assert text in problem.sentence()
    assert len(lot(*rows).analyses) == 2


def test_sheet_b_kolbach_index_beside_soluble_nitrogen_ratio() -> None:
    """A maltster's sheet (name withheld) prints SNR 36-42 beside KI 40-45: 1.11 and 1.07 times."""
    for ratio, index in ((36.0, 40.0), (42.0, 45.0)):
        assert told(("snr_pct", ratio, "%"), ("kolbach_pct", index, "%")) == []
    assert "1.00 times" in words(told(("snr_pct", 40.0, "%"), ("kolbach_pct", 40.0, "%")))


@pytest.mark.parametrize(("nitrogen", "protein"), [(1.55, 9.7), (1.70, 10.6), (1.75, 10.9)])
def test_protein_beside_nitrogen_as_printed(nitrogen: float, protein: float) -> None:
    """Pairs on maltsters' sheets (names withheld), 6.25 times nitrogen."""
    assert told(("total_nitrogen_dry_pct", nitrogen, "%"), ("protein_dry_pct", protein, "%")) == []


def test_protein_by_the_other_factor_is_asked() -> None:
    """Wheat and rye may be printed as 5.7 times nitrogen, 6.25 is usual (common practice): which it is, is asked."""
    rows = (("total_nitrogen_dry_pct", 2.10, "%"), ("protein_dry_pct", 11.97, "%"))
    (asked,) = told(*rows)
    assert not asked.warning and "it is 5.7 x 2.1 %, and 6.25 is usual" in asked.sentence()
    assert told(*rows, method="N x 5.7") == []
    (neither,) = told(rows[0], ("protein_dry_pct", 12.5, "%"))
    assert not neither.warning and "neither 6.25 x 2.1 % = 13.1 % nor 5.7 x 2.1 % = 12.0 %" in neither.sentence()
    assert "6.25 x 2.1 % = 13.1 %" in words(told(*rows, method="N x 6.25"))
    assert "does not say its factor" in words(told(rows[1]))
    assert told(rows[1], method="N x 5,7") == []


def test_fine_coarse_and_moisture() -> None:
    rows = (("extract_fine_dry_pct", 80.9, "%"), ("extract_coarse_dry_pct", 79.5, "%"))
    assert told(*rows, ("fine_coarse_difference_pct", 1.4, "%")) == []
    assert "80.9 - 79.5 = 1.40" in words(told(*rows, ("fine_coarse_difference_pct", 2.4, "%")))
    swapped = told(("extract_fine_dry_pct", 79.5, "%"), ("extract_coarse_dry_pct", 80.9, "%"))
    assert [problem.warning for problem in swapped] == [False]
    off = told(("extract_07mm_dry_pct", 81.0, "%"), ("extract_asis_pct", 75.0, "%"), ("moisture_pct", 4.5, "%"))
    assert "at 4.5 % moisture: 77.4 %" in words(off)


def test_fermentable_extract_and_yield_on_the_wrong_basis_are_recognised() -> None:
    """6.06 x 81.5 % dry x 87 % = 429.7; as is at 4.5 % moisture it is 410.3 (Bringhurst et al. 1996 for 6.06)."""
    rows = (("extract_07mm_dry_pct", 81.5, "%"), ("moisture_pct", 4.5, "%"), ("fermentability_pct", 87.0, "%"))
    assert told(*rows, ("psy_lpa_per_t", 410.4, "L/t")) == []
    (problem,) = told(*rows, ("psy_lpa_per_t", 429.7, "L/t"))
    assert "it stands on the wrong basis" in problem.sentence() and "410.3 L/t" in problem.sentence()
    (problem,) = told(*rows, ("fermentable_extract_pct", 70.9, "%"))
    assert "wrong basis" in problem.sentence()
    assert "wrong basis" in words(told(rows[0], rows[2], ("psy_lpa_per_t", 429.7, "L/t")))
    assert told(*rows, ("psy_lpa_per_t", 429.7, "L/t", "dry")) == []


def test_kolbach_beside_its_nitrogens() -> None:
    rows = (("total_nitrogen_dry_pct", 1.52, "%"), ("soluble_nitrogen_dry_pct", 640.0, "mg/100g"))
    assert told(*rows, ("kolbach_pct", 42.1, "%")) == []
    assert "0.64 / 1.52 = 42.1 %" in words(told(*rows, ("kolbach_pct", 47.0, "%")))


def test_colours() -> None:
    """EBC = 25 A and SRM = 12.7 A: definitions of the two, factor 1.97."""
    assert "off by 1.97" in words(told(("colour_EBC", 3.0, "EBC"), ("colour_EBC", 3.0, "SRM")))
    assert told(("colour_EBC", 3.0, "EBC"), ("colour_EBC", 1.52, "SRM")) == []
    assert "SRM printed as EBC" in words(told(("colour_EBC", 1.2, "EBC")))
    dark = words(told(("colour_EBC", 60.0, "degLovibond"), material="caramel_malt_medium"))
    assert "159 EBC as Lovibond by comparator and 118 EBC as SRM" in dark
    assert told(("colour_EBC", 1.9, "degLovibond")) == []


def test_a_roasted_malt_on_a_maltsters_sheet_keeps_both_colours() -> None:
    """A maltster's sheet (name withheld): 160 EBC printed beside 60 degLovibond, the comparator's rule; not SRM."""
    found = told(("colour_EBC", 160.0, "EBC"), ("colour_EBC", 60.0, "degLovibond"), material="caramel_malt_medium")
    assert "off by 1.97" not in words(found) and "ask for the method" in words(found)


def test_single_phenols_lie_inside_their_total() -> None:
    parts = (("guaiacol_mg_per_kg", 3.0, "mg/kg"), ("syringol_mg_per_kg", 7.0, "mg/kg"))
    beyond = words(told(("phenols_mg_per_kg", 9.0, "mg/kg"), *parts, material="oak_smoked_malt"))
    assert "9 mg/kg of total phenols is less than the single ones on it make, 10 mg/kg" in beyond
    inside = words(told(("phenols_mg_per_kg", 10.0, "mg/kg"), *parts, material="oak_smoked_malt"))
    assert "single ones" not in inside


def test_what_is_asked() -> None:
    assert "hydrogen cyanide" in words(told(("glycosidic_nitrile_g_per_t", 0.4, "g/t")))
    assert told(("glycosidic_nitrile_g_per_t", 0.4, "g/t", "as glycoside")) == []
    assert "does not say its method" in words(told(("phenols_mg_per_kg", 40.0, "ppm"), material="peated_malt"))
    asked = told(("phenols_mg_per_kg", 40.0, "ppm"), material="peated_malt", method="HPLC")
    assert "does not say its basis, and is read as supplied; nor how old the malt will be at mashing" in words(asked)
    whole = (("phenols_mg_per_kg", 40.0, "ppm", "as is"), ("months_in_store", 6.0, "months"))
    assert told(*whole, material="peated_malt", method="HPLC") == []
    (fault,) = told(("extract_fine_dry_pct", 77.0, "%", "as is"))
    assert not fault.warning and "takes a moisture" in fault.sentence()


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        (("ndma_ug_per_kg", 12.0, "ppb"), "is above 10 ug/kg, action level for barley malt in the United States"),
        (("ndma_ug_per_kg", 6.0, "ppb"), "is more than half of 10"),
        (("ndma_ug_per_kg", 3.0, "ppb"), "is above 2.5 ug/kg, what maltsters and buyers aim"),
        (("don_ug_per_kg", 1.2, "mg/kg"), "1200 ug/kg is above 1000 ug/kg"),
        (("t2_ht2_ug_per_kg", 120.0, "ug/kg"), "is more than half of 200 ug/kg"),
        (("ochratoxin_ug_per_kg", 6.0, "ug/kg"), "is above 5 ug/kg"),
        (("glycosidic_nitrile_g_per_t", 0.2, "g/t", "as HCN"), "1.94 g/t is above 1.5 g/t"),
    ],
)
def test_contaminants(row: Row, sentence: str) -> None:
    """Figures of US FDA CPG 578.500, (EU) 2024/1022, 2024/1038, 2022/1370, Turner et al. 2023; see the table."""
    (problem,) = contaminant_problems(lot(row), materials()["pale_distilling_malt"])
    assert problem.warning and sentence in problem.sentence()


def test_contaminants_below_are_not_spoken_of_and_species_differ() -> None:
    clean = lot(("ndma_ug_per_kg", 0.8, "ppb"), ("don_ug_per_kg", 400.0, "ug/kg"))
    assert contaminant_problems(clean, materials()["pale_distilling_malt"]) == []
    assert [row["value"] for row in limits_of("t2_ht2_ug_per_kg", "rye")] == ["50"]
    assert [row["value"] for row in limits_of("t2_ht2_ug_per_kg", "oats")] == ["1250"]


def test_old_crops() -> None:
    day = dt.date(2026, 11, 25)
    assert crop_problems(lot(crop=2024), day) == []
    assert "more than 2 years old" in words(crop_problems(lot(crop=2023), day))
    assert "still to come" in words(crop_problems(lot(crop=2027), day))


def test_every_unit_of_every_field_reaches_the_table() -> None:
    for field in fields().values():
        for unit in field.units:
            assert in_table_unit(field.name, 10.0, unit) > 0.0
    assert factor("%", "EBC") is None


def test_basis_by_moisture() -> None:
    """Dry 79.5 % at 8 % moisture is 73.14 % as is (arithmetic)."""
    given = lot(("extract_fine_dry_pct", 73.14, "%", "as is"), ("moisture_pct", 8.0, "%"))
    assert table_value(given, given.analyses[0]) == pytest.approx(79.5, abs=0.005)


@pytest.mark.parametrize(
    ("rows", "route", "asis"),
    [
        ([("extract_asis_pct", 77.0, "%"), ("extract_fine_dry_pct", 81.5, "%")], "extract_asis_pct", 77.0),
        ([("extract_07mm_dry_pct", 80.0, "%"), ("extract_fine_dry_pct", 82.0, "%")], "extract_07mm_dry_pct", 76.0),
        ([("extract_coarse_dry_pct", 80.5, "%"), ("extract_fine_dry_pct", 82.0, "%")], "extract_coarse_dry_pct", 76.0),
        ([("extract_fine_dry_pct", 81.75, "%")], "extract_fine_dry_pct", 76.0),
        ([("extract_07mm_dry_pct", 308.8, "L_deg_kg")], "extract_07mm_dry_pct", 76.0),
    ],
)
def test_the_extract_takes_the_best_way_there_is(rows: list[Row], route: str, asis: float) -> None:
    """As is, then 0.7 mm dry, coarse (0.5 more), fine (1.75 more); moisture 5 %, so 80.0 dry is 76.0 as is."""
    given = lot(*rows, ("moisture_pct", 5.0, "%"))
    belief = certificate.believe(given, materials()["pale_distilling_malt"])
    draws = {prior.name: np.array([prior.arguments[0]]) for prior in belief.priors}
    draws |= {"grist.coarse_to_07mm_pct": np.array([0.5]), "grist.fine_to_coarse_pct": np.array([1.75])}
    assert certificate.route_of(given) == route
    assert certificate.lot_values(belief, draws)[0][0] == pytest.approx(asis, abs=1e-9)
    assert (f"lot.X.{route}" in belief.used) and ("lot.X.moisture_pct" in belief.used) is (route != "extract_asis_pct")
    assert not {"extract_asis_pct", "extract_fine_dry_pct"} & set(belief.assumed)


def test_fields_without_a_usual_range_are_held_to_what_is_possible() -> None:
    material = materials()["munich_malt"]
    assert "homogeneity_pct" not in material.typical
    assert certificate.range_problems(lot(("homogeneity_pct", 60.0, "%")), material) == []
    (fault,) = certificate.range_problems(lot(("homogeneity_pct", 160.0, "%")), material)
    assert "0-100 %" in fault.sentence()


UNITS = [(field.name, unit) for field in fields().values() for unit in field.units]
ANY = st.tuples(st.sampled_from(UNITS), st.floats(1.0, 400.0) | st.just(0.0), st.sampled_from(["", "dry", "as is"]))


@settings(max_examples=200, deadline=None)
@given(st.lists(ANY, max_size=8), st.sampled_from(sorted(materials())))
def test_any_figures_give_sentences_and_a_belief(rows, material) -> None:
    given_lot = lot(
        *((name, value, unit, basis) for (name, unit), value, basis in rows if value or unit != "degLovibond")
    )
    found = certificate.lot_problems(given_lot, materials()[material])
    assert all(problem.sentence().strip() for problem in found)
    assert len(certificate.believe(given_lot, materials()[material]).priors) == len(certificate.DRAWN)
