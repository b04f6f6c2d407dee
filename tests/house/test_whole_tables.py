"""A grain, a type of malt, a marker or a category of law stands in every table, or is refused by its name.

Half a row of each kind is planted in a copy of the tables, once for each thing it may lack.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from gristwright.basics import Refused
from gristwright.reference import csv_rows, grain_rows, load, toml_table
from gristwright.reference.grains import grains, mashed, opening, raw
from gristwright.rules.law.book import standard_book
from gristwright.stages.grist.materials import materials
from gristwright.stages.markers.rows import chains
from house.half_rows import Rows, added, changed, copied, like, refused


@pytest.fixture
def tables(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    with copied(tmp_path, monkeypatch) as copy:
        yield copy


# ------------------------------------------------------------------ a grain

NEEDED = [column.name for column in grain_rows.columns() if not column.empty]
OF_RAW = [column.name for column in grain_rows.columns() if column.asked == "raw"]
SOURCED = sorted({column.fact for column in grain_rows.columns()} - {"words", "law", "mashed"})


def plant_grain(tables: Path, **cells: str) -> None:
    """A grain like barley but for some cells, with a source for everything."""
    own = {"grain": "teff", "words": "teff"} | cells
    changed(tables / grain_rows.FILE, lambda rows: [*rows, rows[0] | own])
    words = tables / grain_rows.WORDS
    text = words.read_text(encoding="utf-8")
    sourced = text.replace("\nbarley = {", "\nteff = { standing = 'invented', source = 'x' }\nbarley = {")
    words.write_text(sourced, encoding="utf-8")


def test_a_whole_new_grain_is_read(tables: Path) -> None:
    plant_grain(tables)
    assert mashed("teff").husk
    assert opening("teff", True).done_low_degC == 57.5
    assert "teff" in standard_book().words.lists["cereals"]


@pytest.mark.parametrize("column", NEEDED)
def test_a_grain_without_a_fact_is_refused(tables: Path, column: str) -> None:
    plant_grain(tables, **{column: ""})
    refused(grains, "grains.csv, teff", f"has no {column}: ")


@pytest.mark.parametrize("column", ["raw_half_low_degC", "malt_half_high_degC"])
def test_half_a_range_is_refused(tables: Path, column: str) -> None:
    plant_grain(tables, **{column: ""})
    refused(grains, "grains.csv, teff", f"has no {column} beside its other end")


@pytest.mark.parametrize("fact", SOURCED)
def test_a_fact_without_a_source_is_refused(tables: Path, fact: str) -> None:
    plant_grain(tables)
    words = tables / grain_rows.WORDS
    before, head, after = words.read_text(encoding="utf-8").partition(f"[ground.{fact}]\n")
    own, line, rest = after.partition("\n[ground.")
    kept = "\n".join(row for row in own.splitlines() if not row.startswith(("teff", "every")))
    words.write_text(f"{before}{head}{kept}\n{line}{rest}", encoding="utf-8")
    refused(grains, "grains.csv, teff", f"has no source for {fact}", f"[ground.{fact}] teff")


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"mashed": "raw"}, "has malt_done_low_degC = 57.5, and its mashed = raw asks for none"),
        ({"mashed": "no"}, "has husk = yes, and its mashed = no asks for none"),
        ({"sticky": "perhaps"}, "sticky = perhaps is not known"),
        ({"pentosan_pct": "much"}, "pentosan_pct = much is not a number in 0-20"),
        ({"raw_done_high_degC": "50"}, "raw_done_low_degC = 53 lies above its high"),
        ({"malt_half_high_degC": "62"}, "malt_half_high_degC = 62 lies above 61.4"),
        ({"cooked": "as rye"}, "cooked = as rye: that grain was not measured"),
        ({"cooked": "85=441.7"}, "cooked = 85=441.7 cannot be read"),
        ({"raw_efficiency": "grist.raw_efficiency_teff"}, "grist.raw_efficiency_teff is no prior"),
    ],
)
def test_a_cell_that_does_not_fit_is_refused(tables: Path, cells: dict[str, str], said: str) -> None:
    plant_grain(tables, **cells)
    refused(grains, "grains.csv, teff", said)


def test_a_word_belongs_to_one_grain(tables: Path) -> None:
    plant_grain(tables, words="teff rye")
    refused(grains, "the word 'rye' stands there twice")


def test_a_grain_kept_malted_alone_is_not_mashed_raw(tables: Path) -> None:
    plant_grain(tables, mashed="malt", **dict.fromkeys(OF_RAW, ""))
    refused(lambda: raw("teff"), "teff is not kept raw", "raw_efficiency")


def test_a_grain_kept_so_and_of_no_type_is_refused(tables: Path) -> None:
    plant_grain(tables)
    refused(materials, "teff", "is kept raw in tables/grains.csv and no type of it is")


def test_half_a_grain_is_told_once_however_many_types_there_are(tables: Path) -> None:
    plant_grain(tables, husk="")
    with pytest.raises(Refused) as found:
        materials()
    assert len(found.value.problems) == 1


def test_what_is_not_kept_is_asked_for_by_grain_and_column() -> None:
    refused(lambda: opening("maize", True), "maize is not kept malted", "malt_done_low_degC")
    refused(lambda: mashed("emmer"), "'emmer' is mashed = no")
    refused(lambda: mashed("teff"), "'teff' is no grain")


# ------------------------------------------------------------------ a type of malt

TYPE = """
[type.new_malt]
title = "an invented malt"
species = "barley"
malted = true
form = "whole"
process = "none"
specialty = false
"""
ASKED = toml_table("tables/types.toml")["asked"]
STORED = {row["field"] for row in csv_rows("tables/types.csv") if row["material"] == "base_malt"}


def plant_type(tables: Path, text: str = TYPE, without: str = "") -> None:
    """A type with the values of the base malt but for one field, and a name."""
    added(tables / "tables" / "types.toml", text)

    def values(rows: Rows) -> Rows:
        return [*rows, *(row for row in like(rows, "material", "base_malt", "new_malt") if row["field"] != without)]

    changed(tables / "tables" / "types.csv", values)
    if without != "name":
        added(tables / "tables" / "type_names.csv", "brown pilsner malt,new_malt\n")


def test_a_whole_new_type_is_read(tables: Path) -> None:
    plant_type(tables)
    found = materials()
    assert found["new_malt"].typical == found["base_malt"].typical


@pytest.mark.parametrize("field", [name for name in (*ASKED["always"], *ASKED["malted"]) if name in STORED])
def test_a_type_without_a_field_is_refused(tables: Path, field: str) -> None:
    plant_type(tables, without=field)
    refused(materials, "types.csv, new_malt", f"has no {field}")


def test_a_type_without_a_name_is_refused(tables: Path) -> None:
    plant_type(tables, without="name")
    refused(materials, "type_names.csv, new_malt", "has no plain name")


@pytest.mark.parametrize("word", ["title", "species", "malted", "form", "process", "specialty"])
def test_a_type_without_a_word_is_refused(tables: Path, word: str) -> None:
    plant_type(tables, "\n".join(line for line in TYPE.splitlines() if not line.startswith(word)))
    refused(materials, "types.toml, new_malt", f"has no {word}")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('species = "barley"', 'species = "teff"', "'teff' is no grain of tables/grains.csv"),
        ('species = "barley"', 'species = "maize"', "maize is not kept malted"),
        ('process = "none"', 'process = "stewed"', "process = 'stewed' is not known"),
        ('process = "none"', 'process = "smoked"', "is smoked without smoke"),
        ('process = "none"', 'process = "smoked"\nsmoke = "alder"', "no pattern of alder smoke"),
    ],
)
def test_a_type_that_leans_on_nothing_is_refused(tables: Path, old: str, new: str, said: str) -> None:
    plant_type(tables, TYPE.replace(old, new))
    refused(materials, "new_malt", said)


def test_values_of_no_type_are_refused(tables: Path) -> None:
    plant_type(tables, text="")
    refused(materials, "types.csv, new_malt", "is of a type or a field that is not known")


@pytest.mark.parametrize(
    ("column", "cell", "said"),
    [
        ("source", "", "has no source or no standing"),
        ("middle", "", "lacks a figure"),
        ("high", "1", "out of order"),
        ("unit", "g/kg", "is in g/kg, not in %"),
    ],
)
def test_a_value_that_is_half_there_is_refused(tables: Path, column: str, cell: str, said: str) -> None:
    plant_type(tables)

    def spoilt(rows: Rows) -> Rows:
        chosen = ("new_malt", "moisture_pct")
        return [row | {column: cell} if (row["material"], row["field"]) == chosen else row for row in rows]

    changed(tables / "tables" / "types.csv", spoilt)
    refused(materials, "types.csv, new_malt", "moisture_pct", said)


# ------------------------------------------------------------------ a marker

OF_MARKERS = ("markers", "marker_steps", "smoke_patterns")


def plant_marker(tables: Path, lacking: str = "", **cells: str) -> None:
    """A marker of smoke like guaiacol, without its rows in one table, or with other cells in its own row."""
    for name in OF_MARKERS:
        if name != lacking:
            plant_rows(tables / "tables" / f"{name}.csv", cells if name == "markers" else {})


def plant_rows(path: Path, cells: dict[str, str]) -> None:
    changed(path, lambda rows: [*rows, *like(rows, "marker", "guaiacol", "eugenol", **cells)])


def test_a_whole_new_marker_is_read(tables: Path) -> None:
    plant_marker(tables)
    assert "eugenol" in {row["marker"] for row in chains()}


@pytest.mark.parametrize(
    ("lacking", "said"),
    [
        ("markers", "marker_steps.csv, eugenol: is not followed in tables/markers.csv"),
        ("marker_steps", "marker_steps.csv, eugenol: has no step hearts"),
        ("smoke_patterns", "smoke_patterns.csv, eugenol: has no share of beech smoke"),
    ],
)
def test_a_marker_missing_from_a_table_is_refused(tables: Path, lacking: str, said: str) -> None:
    plant_marker(tables, lacking)
    refused(chains, said)


@pytest.mark.parametrize("word", ["title", "note", "processes", "brought_by", "followed", "passes", "sentence"])
def test_a_marker_without_a_word_is_refused(tables: Path, word: str) -> None:
    plant_marker(tables, **{word: ""})
    refused(chains, "markers.csv, eugenol", f"has no {word}")


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"slope": "eugenol"}, "its slope 'eugenol' has no rows"),
        ({"processes": "stewed"}, "'stewed' is no process of a malt"),
        ({"part_of": "tannins"}, "is part of 'tannins'"),
        ({"part_of": ""}, "has no step malt"),
    ],
)
def test_a_marker_that_leans_on_nothing_is_refused(tables: Path, cells: dict[str, str], said: str) -> None:
    plant_marker(tables, **cells)
    refused(chains, "eugenol", said)


@pytest.mark.parametrize(("column", "said"), [("source", "has no source"), ("factor", "lacks a middle, a factor")])
def test_a_step_that_is_half_there_is_refused(tables: Path, column: str, said: str) -> None:
    plant_marker(tables)

    def spoilt(rows: Rows) -> Rows:
        return [row | {column: ""} if (row["marker"], row["step"]) == ("eugenol", "wort") else row for row in rows]

    changed(tables / "tables" / "marker_steps.csv", spoilt)
    refused(chains, "marker_steps.csv, eugenol", "the step wort", said)


@pytest.mark.parametrize(
    ("column", "cell", "said"),
    [
        ("marker", "vanilla", "vanilla: is not in tables/markers.csv"),
        ("ug_per_L", "", "lacks a number"),
        ("matrix", "", "lacks a number, a name or its liquid"),
        ("source", "", "has no source"),
    ],
)
def test_a_threshold_that_is_half_there_is_refused(tables: Path, column: str, cell: str, said: str) -> None:
    def spoilt(rows: Rows) -> Rows:
        return [row | {column: cell} if row["marker"] == "syringol" else row for row in rows]

    changed(tables / "tables" / "odour_thresholds.csv", spoilt)
    refused(chains, "odour_thresholds.csv", said)


# ------------------------------------------------------------------ a category of law

CATEGORY = """format = "gristwright.law/1"
market = "invented"
read_on = 2026-11-25

[[category]]
key = "INVENTED"
title = "An invented name"
version_date = 2026-01-01
source = "invented"
seen = "invented"
confidence = "invented"

[[category.rule]]
id = "INV-1"
sentence = "At least half rye."
kind = "share"
where = { species = ["rye"] }
op = ">="
limit_pct = 50
source = "invented"
standing = "invented"
"""
HEAD, RULES, RULE = CATEGORY.partition("[[category.rule]]")
OWN = HEAD.partition("[[category]]\n")[2] + RULE
FIELDS = list(dict.fromkeys(line.split(" = ")[0] for line in OWN.splitlines() if line))


def plant_category(tables: Path, text: str = CATEGORY) -> None:
    (tables / "law" / "invented.toml").write_text(text, encoding="utf-8")


def test_a_whole_new_category_is_read(tables: Path) -> None:
    plant_category(tables)
    assert [rule.id for rule in standard_book().categories["INVENTED"].rules] == ["INV-1"]


@pytest.mark.parametrize("emptied", [False, True], ids=["missing", "empty"])
@pytest.mark.parametrize("field", FIELDS)
def test_a_category_without_a_field_is_refused(tables: Path, field: str, emptied: bool) -> None:
    said = f'{field} = ""' if emptied else ""
    lines = [said if line.startswith(f"{field} =") else line for line in CATEGORY.splitlines()]
    plant_category(tables, "\n".join(lines))
    refused(standard_book, "invented.toml, " + ("" if field == "key" else "INVENTED"), f'"{field}" is missing')


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (RULES + RULE, "", "it has no rule"),
        ('["rye"]', '["teff"]', '"teff" is no species that the rules know'),
        ('species = ["rye"]', 'process = ["stewed"]', '"stewed" is no process that the rules know'),
        ("op =", 'flag_when = { part = { form = ["dust"] } }\nop =', '"dust" is no form that the rules know'),
    ],
)
def test_a_category_that_would_judge_nothing_is_refused(tables: Path, old: str, new: str, said: str) -> None:
    plant_category(tables, CATEGORY.replace(old, new))
    refused(standard_book, "invented.toml, INVENTED", said)


# ------------------------------------------------------------------ what other tables name


def test_every_grain_that_another_table_names_is_one() -> None:
    named = {row["species"] for row in csv_rows("tables/certificate_limits.csv")} - {"any"}
    words = {word for row in csv_rows("tables/specification.csv") for word in row["applies"].replace("|", " ").split()}
    others = {"malt", "grain", "not", "or", *toml_table("tables/types.toml")["process"]}
    assert named | (words - others) <= set(grains())


def test_every_raw_efficiency_is_of_some_grain() -> None:
    named = {each.mashed.raw.efficiency for each in grains().values() if each.mashed and each.mashed.raw}
    assert named == {prior.name for prior in load.priors("grist") if "raw_efficiency" in prior.name}


def test_what_goes_in_second_opens_below_where_it_goes_in() -> None:
    second = next(float(row["degC"]) for row in csv_rows("tables/cook_steps.csv") if row["key"] == "second")
    for each in grains().values():
        kept = each.mashed.raw if each.mashed else None
        assert kept is None or kept.goes_in_first == (kept.opening.done_high_degC > second), each.name


def test_every_category_that_an_age_is_counted_by_has_a_rule_of_age() -> None:
    book = standard_book()
    for row in csv_rows("tables/cask_ages.csv"):
        assert "age" in {rule.kind for rule in book.categories[row["category"]].rules}, row["category"]
