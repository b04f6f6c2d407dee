"""Lots written by hand: figures under the names of the records, with their units in them."""

from __future__ import annotations

from pathlib import Path

import pytest

from gristwright.files.certificates import read_lots
from gristwright.files.schemas import schema
from gristwright.stages.grist.certificate_units import fields, number

LOTS = """format = "gristwright.lots/2"
[[lots]]
lot_id = "T-1"
material = "rye malt"
supplier = "Invented Maltings"
crop = 2025
moisture_pct = 4.5
extract_07mm_dry_L_deg_kg = 300
diastatic_power_degWK = "260"
colour_SRM = 3.1
protein_dry_pct = 10.1
methods = { protein_dry_pct = "N x 5.7" }
"""


def told(tmp_path: Path, text: str) -> list[str]:
    path = tmp_path / "lots.toml"
    path.write_text(text, encoding="utf-8")
    return [problem.sentence() for problem in read_lots(path).problems]


def test_every_figure_in_its_unit(tmp_path: Path) -> None:
    assert told(tmp_path, LOTS) == []
    (lot,) = read_lots(tmp_path / "lots.toml").accepted()
    assert (lot.lot_id, lot.material, lot.crop) == ("T-1", "rye_malt", 2025)
    kept = {a.field: (a.value, a.unit, a.basis, a.method) for a in lot.analyses}
    assert kept["extract_07mm_dry_pct"] == (300.0, "L_deg_kg", "dry", "")
    assert kept["protein_dry_pct"] == (10.1, "%", "dry", "N x 5.7")
    assert number(lot, "diastatic_power") == pytest.approx((260 + 16) / 3.5)


@pytest.mark.parametrize(
    ("before", "after", "sentence"),
    [
        ("moisture_pct = 4.5", "moisture = 4.5",
         "lots.toml, lots 1.moisture: is not a field we know. Did you mean 'moisture_pct'?"),
        ("moisture_pct = 4.5", "moisture_pct = true",
         "lots.toml, lots 1.moisture_pct: true is not a number. Write moisture_pct = 4.5, or leave the line out."),
        ('lot_id = "T-1"', "",
         "lots.toml, lots 1.lot_id: is empty. Give the lot a name, the one that bills and enquiries call it by."),
        ("{ protein_dry_pct", "{ colour_EBC",
         "lots.toml, lots 1.methods.colour_EBC: is no figure of this lot. Give the figure, or take the line out."),
    ],
)  # fmt: skip
def test_mistakes(tmp_path: Path, before: str, after: str, sentence: str) -> None:
    assert sentence in told(tmp_path, LOTS.replace(before, after))


def test_the_schema_has_every_field_and_reads_the_example() -> None:
    made = schema("lots")
    one = made["properties"]["lots"]["items"]["properties"]
    assert set(fields()) <= set(one)
    assert one["moisture_pct"] == {
        "title": "moisture", "unit": "%", "type": "number", "minimum": 0.0, "maximum": 60.0,
    }  # fmt: skip
    assert made["properties"]["format"] == {"const": "gristwright.lots/2"}
