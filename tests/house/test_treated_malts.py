"""Smoked and caramel malt of every cereal: a whole type in every table, or a name that is refused with the way out."""

from __future__ import annotations

import itertools

import pytest

from gristwright.basics import Refused
from gristwright.records.lot import Material
from gristwright.reference import csv_rows
from gristwright.reference.grains import opening
from gristwright.rules.law.book import standard_book
from gristwright.stages.grist.materials import material_named, materials
from house.places import DOCS

# What was done to a malt: process, smoke, and how it is written before and behind the cereal.
TREATED = {
    "peated": (
        "smoked", "peat",
        ("peated {} malt", "peat-smoked malted {}"), ("Torfrauch-{}malz", "{}malz, torfgeräuchert"),
    ),
    "beech-smoked": (
        "smoked", "beech",
        ("beech-smoked {} malt", "{} malt (smoked, beech)"), ("Buchenrauch-{}malz", "{}malz, mit Buche geräuchert"),
    ),
    "oak-smoked": (
        "smoked", "oak",
        ("oak-smoked {} malt", "Oak smoked malted {}"), ("Eichenrauch{}malz", "{}rauchmalz (Eiche)"),
    ),
    "caramel": (
        "caramel", "",
        ("dark caramel {} malt", "light crystal {} malt"), ("{}karamellmalz dunkel", "helles {}karamellmalz"),
    ),
}  # fmt: skip
# The last word of a grain is the German one that a malt of it begins with.
GERMAN = {row["grain"]: row["words"].split()[-1].capitalize() for row in csv_rows("tables/grains.csv")}
CEREALS = standard_book().words.lists["cereals"]
EVERY = list(itertools.product(TREATED, CEREALS))


def names(way: str, cereal: str) -> list[str]:
    _, _, english, german = TREATED[way]
    said = {"oats": "oat"}.get(cereal, cereal)
    return [text.format(said) for text in english] + [text.format(GERMAN[cereal]) for text in german]


def types_of(way: str, cereal: str) -> list[Material]:
    process, smoke, _, _ = TREATED[way]
    return [m for m in materials().values() if (m.species, m.process, m.smoke) == (cereal, process, smoke)]


@pytest.mark.parametrize(("way", "cereal"), EVERY)
def test_a_name_is_the_type_of_its_cereal_or_refused_by_name(way: str, cereal: str) -> None:
    for name in names(way, cereal):
        if known := types_of(way, cereal):
            assert material_named(name, "here") in known, name
            continue
        with pytest.raises(Refused) as refused:
            material_named(name, "here")
        (problem,) = refused.value.problems
        assert f"{way} {cereal} malt is not known here as a type" in problem.what, name
        assert "never as a type of another cereal" in problem.way_out or "No malt of" in problem.way_out


@pytest.mark.parametrize("material", [m for m in materials().values() if m.process in ("smoked", "caramel")])
def test_a_treated_type_stands_in_every_table(material: Material) -> None:
    base = next(m for m in materials().values() if (m.species, m.malted, m.process) == (material.species, True, "none"))
    assert set(standard_book().words.lists["process"]) >= {material.process}
    assert opening(material.species, material.malted).done_low_degC > 0.0
    # What the base malt of the cereal shows, a malt that keeps its enzymes shows as well.
    if material.process == "smoked":
        own = {"alpha_amylase_U_per_g", "beta_amylase_U_per_g", "limit_dextrinase_U_per_kg"}
        assert set(base.typical) - own <= set(material.typical)
        assert material.typical["phenols_mg_per_kg"].low > 0.0
        assert material.smoke in {row["smoke"] for row in csv_rows("tables/smoke_patterns.csv")}
    assert any(material.process in row["processes"].split("|") for row in csv_rows("tables/markers.csv"))
    assert material.key in {row["material"] for row in csv_rows("tables/type_names.csv")}
    assert f"`{material.key}`" in (DOCS / "types.md").read_text(encoding="utf-8")


def test_every_type_is_named_on_its_page_and_in_plain_words() -> None:
    page = (DOCS / "types.md").read_text(encoding="utf-8")
    named = {row["material"] for row in csv_rows("tables/type_names.csv")}
    assert named == set(materials())
    assert [key for key in materials() if f"`{key}`" not in page] == []


@pytest.mark.parametrize("name", ["smoked malt", "Rauchmalz", "geräuchertes Weizenmalz"])
def test_smoke_without_what_was_burnt_is_asked_for(name: str) -> None:
    with pytest.raises(Refused, match=r"does not say what it was smoked with.*beech, oak or peat"):
        material_named(name, "here")


@pytest.mark.parametrize("name", ["cherry-smoked malt", "Erlenrauchmalz", "juniper smoked rye malt"])
def test_a_smoke_that_no_table_knows_is_refused_by_name(name: str) -> None:
    with pytest.raises(
        Refused, match=r"(cherry|alder|juniper)-smoked (rye )?malt is not known here as a type.*beech, oak, peat"
    ):
        material_named(name, "here")
