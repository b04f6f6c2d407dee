"""The types table: in order, in the units of the certificate, and printed like one."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from gristwright.basics import Standing
from gristwright.cli.tables import WIDTH
from gristwright.cli.types import types
from gristwright.records.lot import Analysis, Lot
from gristwright.reference import csv_rows
from gristwright.reference.grains import mashed, opening
from gristwright.rules.law.book import standard_book
from gristwright.stages.grist.certificate import believe, lot_problems
from gristwright.stages.grist.materials import material_named, materials

MALT = ("moisture_pct", "extract_asis_pct", "extract_fine_dry_pct", "fermentability_pct")
ALWAYS = ("diastatic_power", "dextrinising_units", "total_nitrogen_dry_pct", "fan_mg_per_100g", "beta_glucan_mg_per_L")
RAW = ("moisture_pct", "starch_dry_pct", "extract_asis_pct")
FIELDS = {row["field"]: row for row in csv_rows("tables/certificate_fields.csv")}
ALL = sorted(materials())


def against_type(lot: Lot, key: str) -> list[str]:
    """What the type finds unusual or impossible in a lot."""
    found = [p.sentence() for p in lot_problems(lot, material_named(key, "here"))]
    return [text for text in found if "unusual" in text or "not possible" in text]


@pytest.mark.parametrize("key", ALL)
def test_a_type_is_complete_and_in_order(key: str) -> None:
    material = materials()[key]
    for field in (*(MALT if material.malted else RAW), *ALWAYS):
        assert field in material.typical, field
    for field, value in material.typical.items():
        row = FIELDS[field]
        assert value.unit == row["table_unit"], field
        ladder = [value.least, value.warn_low, value.low, value.middle, value.high, value.warn_high, value.most]
        assert ladder == sorted(ladder), field
        assert float(row["least"]) <= value.least and value.most <= float(row["most"]), field
        assert value.source and value.standing in Standing


@pytest.mark.parametrize("key", ALL)
def test_a_type_speaks_the_words_of_the_law_and_of_the_boards(key: str) -> None:
    material, lists = materials()[key], standard_book().words.lists
    assert material.species in (*lists["cereals"], *lists["pseudocereals"])
    assert material.form in (*lists["form"], "unknown")
    assert material.process in lists["process"]
    assert mashed(material.species).pentosan_pct > 0.0
    assert opening(material.species, material.malted).done_low_degC > 0.0


@pytest.mark.parametrize("key", ALL)
def test_a_usual_lot_is_not_warned_of(key: str) -> None:
    material = materials()[key]
    for field, value in material.typical.items():
        lot = Lot(key, key, analyses=(Analysis(field, value.middle, value.unit),))
        assert against_type(lot, key) == []
    assert believe(Lot(key, key), material).priors


@pytest.mark.parametrize(
    ("key", "field", "value"),
    [
        # Limits belong to a type and its unit (common practice, no source): high-enzyme malt reads 500-800 degWK, raw
        # grain 12-16 % moisture, rice gives 90-95 % extract; each is no fault there and would be one of pale malt.
        ("high_enzyme_malt", "diastatic_power", (650 + 16) / 3.5),
        ("high_enzyme_malt", "diastatic_power", (800 + 16) / 3.5),
        ("raw_maize", "moisture_pct", 15.5),
        ("raw_rice", "extract_fine_dry_pct", 94.0),
        ("caramel_malt_dark", "fermentability_pct", 5.0),
    ],
)
def test_limits_belong_to_a_type(key: str, field: str, value: float) -> None:
    lot = Lot("X", key, analyses=(Analysis(field, value, FIELDS[field]["table_unit"]),))
    assert against_type(lot, key) == []
    assert against_type(lot, "pale_distilling_malt") != []


def test_raw_grain_brings_no_enzyme() -> None:
    for material in materials().values():
        if not material.malted:
            assert material.typical["diastatic_power"].high == 0.0
            assert material.typical["dextrinising_units"].high == 0.0


def test_milled_rice_is_never_taken_for_a_whole_grain() -> None:
    assert materials()["raw_rice"].form == "unknown"


def printed(*words: str) -> str:
    done = CliRunner().invoke(types, list(words))
    assert done.exit_code == 0, done.output
    return done.output


def test_the_list_and_a_sheet_fit_the_screen() -> None:
    for text in (printed(), printed("rye_malt"), printed("raw_maize"), printed("roasted_barley")):
        assert max(map(len, text.splitlines())) <= WIDTH
    assert all(key in printed() for key in ALL)
    assert "diastatic power" in printed("rye_malt") and "published" in printed("rye_malt")


def test_the_sheet_as_data() -> None:
    data = json.loads(printed("raw_maize", "--json"))
    assert data["analyses"]["starch_dry_pct"]["middle"] == 72.0
    assert set(json.loads(printed("--json"))) == set(ALL)
