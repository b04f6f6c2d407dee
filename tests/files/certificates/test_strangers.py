"""Certificates of invented houses that are in no example: read as they come, or with what they must be told."""

from __future__ import annotations

from pathlib import Path

import openpyxl

from gristwright.files.certificates import read_lots
from gristwright.records.lot import Lot

MOOR = """Mälzerei: Moorhof (erfunden)
Probe;Bezeichnung;Sorte;Wasser % lftr;Extrakt 0,7 mm °L/kg wfr;Vergärbarkeit %;Diastat. Kraft °W.-K.;α-Amylase DU;\
Eiweiß (N x 6,25) % TrS;Farbe °EBC;Bruch %
A-1;Haus-Gold;Erfundia;4,6;307;87,4;262;46;9,4;3,0;1
"""
MOOR_MAP = """format = "gristwright.map/1"
ignore = ["Sorte", "Bruch %"]
[identity]
"Probe" = "lot"
"Bezeichnung" = "material"
[materials]
"Haus-Gold" = "pale distilling malt"
"""
TIDEWATER = (
    ("Certificate of Analysis",),
    ("Maltster: Tidewater Malting (invented)",),
    (),
    ("Parameter", "Unit", "Method", "TW-77", "TW-78", "Spec"),
    ("Type of malt", "", "", "Wheat malt", "Peated malt", ""),
    ("Crop year", "", "", 2025, 2025, ""),
    ("Moisture", "%", "EBC 4.2", 5.1, 4.6, "max 6"),
    ("Extract 0.7 mm, as is", "°L/kg", "IoB", 305, 298, ""),
    ("Fermentability", "%", "", 82, 86.5, ""),
    ("D.P.", "°IoB", "", 95, 60, ""),
    ("Total Nitrogen (d.m.)", "%", "", 2.1, 1.55, ""),
    ("Protein (N x 6.25 or N x 5.7)", "%", "", 11.97, 9.7, ""),
    ("Phenols (HPLC) as is", "ppm", "", "", 38, ""),
)


def figures(lot: Lot) -> dict[str, tuple[float, str, str]]:
    return {analysis.field: (analysis.value, analysis.unit, analysis.basis) for analysis in lot.analyses}


def test_a_german_house_with_words_of_its_own(tmp_path: Path) -> None:
    path, maps = tmp_path / "coa.csv", tmp_path / "maps"
    path.write_text(MOOR, encoding="utf-8")
    asked = [problem.sentence() for problem in read_lots(path).problems if not problem.warning]
    assert any("heading 'Bruch %': is not a field we know. The nearest are: " in sentence for sentence in asked)
    assert all(sentence.count(",") < 12 for sentence in asked)
    maps.mkdir()
    (maps / "Moorhof (erfunden).toml").write_text(MOOR_MAP, encoding="utf-8")
    (lot,) = read_lots(path, folders=(maps,)).accepted()
    assert (lot.lot_id, lot.material, lot.supplier) == ("A-1", "pale_distilling_malt", "Moorhof (erfunden)")
    assert figures(lot)["extract_07mm_dry_pct"] == (307.0, "L_deg_kg", "dry")
    assert figures(lot)["diastatic_power"] == (262.0, "degWK", "")


def test_an_english_workbook_of_columns_with_both_factors_of_protein(tmp_path: Path) -> None:
    path = tmp_path / "coa.xlsx"
    book = openpyxl.Workbook()
    for row in TIDEWATER:
        book.active.append(row)
    book.save(path)
    wheat, peated = read_lots(path).accepted()
    assert (wheat.material, peated.material) == ("wheat_malt", "peated_malt")
    assert (wheat.lot_id, wheat.supplier, wheat.crop) == ("TW-77", "Tidewater Malting (invented)", 2025)
    assert figures(wheat)["extract_asis_pct"] == (305.0, "L_deg_kg", "as is")
    assert figures(peated)["diastatic_power"] == (60.0, "degIoB", "")
    assert figures(peated)["phenols_mg_per_kg"] == (38.0, "ppm", "as is")
