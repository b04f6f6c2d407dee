"""Invented certificates of every shape: each reads right, cell by cell, or says in a sentence why not."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from files.certificates import make_refused
from files.certificates.make_certificates import MAKERS, ROWS, sheet
from gristwright.files.certificates.lots_in import Certificates, read_certificates, read_lots
from gristwright.files.certificates.mapping import as_toml, read_mapping, write_mapping

HERE = Path(__file__).parent
WITHOUT_WORD = {"semicolon.csv", "tab.tsv", "bar.txt", "mark.csv", "unicode.txt", "comma.csv", "said separator.csv"}


@cache
def rows_of(name: str) -> tuple[dict[str, str], ...]:
    with (HERE / name).open(encoding="utf-8", newline="") as stream:
        return tuple(csv.DictReader(stream))


def expected(name: str) -> list[tuple[str, ...]]:
    rows = [row for row in rows_of("certificates_expected.csv") if row["file"] == name]
    return [tuple(row[k] for k in ("lot", "field", "value", "unit", "basis", "where")) for row in rows]


def found(certificates: Certificates, name: str) -> list[tuple[str, ...]]:
    lines = []
    for lot in certificates.reading.value or ():
        where = lot.where.words.removeprefix(f"{name}, ")
        said = {"material": lot.material, "supplier": lot.supplier, "lot number": lot.lot_number}
        said["crop"] = str(lot.crop or "")
        lines += [(lot.lot_id, word, text, "", "", where) for word, text in said.items() if text]
        lines += [
            (lot.lot_id, a.field, f"{a.value:g}", a.unit, a.basis, a.where.words.removeprefix(f"{name}, "))
            for a in lot.analyses
        ]
    return lines


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("certificates")
    for name, maker in MAKERS.items():
        maker(place / name)
    return place


@pytest.mark.parametrize("name", MAKERS)
def test_every_cell_reads_as_it_should(folder: Path, name: str) -> None:
    assert found(read_certificates(folder / name), name) == expected(name)


@pytest.mark.parametrize("name", MAKERS)
def test_every_sentence_is_said_and_no_other(folder: Path, name: str) -> None:
    problems = read_lots(folder / name).problems
    wanted = [row for row in rows_of("certificates_refused.csv") if row["file"] == name]
    for row in wanted:
        told = [p.sentence() for p in problems if p.warning is (row["fault"] == "warning")]
        assert any(row["sentence"] in sentence for sentence in told), problems
    assert len(problems) == len(wanted)


def test_the_three_ways_to_stand_give_the_same(folder: Path) -> None:
    """Separator, encoding and decimal sign change nothing of what is read."""
    readings = [read_lots(folder / name).accepted() for name in sorted(WITHOUT_WORD)]
    values = [[[(a.field, a.value, a.unit) for a in lot.analyses] for lot in lots] for lots in readings]
    assert all(value == values[0] for value in values)


def test_there_are_enough_shapes() -> None:
    assert len(MAKERS) >= 25 and make_refused.locked in MAKERS.values()


def test_a_mapping_saved_reads_the_same_again(folder: Path, tmp_path: Path) -> None:
    names = (
        "german column.xlsx",
        "notes above.xlsx",
        "merged.xlsx",
        "semicolon.csv",
        "two columns.csv",
        "unit row.xlsx",
    )
    for name in names:
        first = read_certificates(folder / name)
        write_mapping(tmp_path / "map.toml", first.mapping, first.unknown)
        mapping = read_mapping(tmp_path / "map.toml").accepted()
        assert read_lots(folder / name, mapping).value == first.reading.value
    assert [path.name for path in tmp_path.iterdir()] == ["map.toml"]


def test_a_mapping_says_what_a_heading_is(tmp_path: Path) -> None:
    path = tmp_path / "own.xlsx"
    sheet(path, [["Sample", "H2O-Kontrolle", "Sparkle", "Moisture [%]"], ["A", 4.6, 12, 9.9]])
    (tmp_path / "map.toml").write_text(
        'format = "gristwright.map/1"\nlots_are = "rows"\nlot = "Sample"\nignore = ["sparkle", "Moisture [%]"]\n'
        '[constants]\nmaterial = "House malt"\ncrop = 2025\n[materials]\n"house malt" = "pale_distilling_malt"\n'
        '[[heading]]\ntext = "h2o-kontrolle"\nfield = "moisture_pct"\nunit = "%"\nmethod = "oven"\n'
    )
    (lot,) = read_lots(path, read_mapping(tmp_path / "map.toml").accepted()).accepted()
    assert (lot.lot_id, lot.material, lot.crop) == ("A", "pale_distilling_malt", 2025)
    assert [(a.field, a.value, a.method) for a in lot.analyses] == [("moisture_pct", 4.6, "oven")]


def test_a_mapping_says_whose_a_lot_is_and_what_a_word_behind_a_figure_is(tmp_path: Path) -> None:
    path = tmp_path / "own.csv"
    path.write_text("Nom;Fournisseur;Malt;Moisture [%];Starch dry [%]\nA;Malterie;raw rye;13,5;61,2 % on dm\n")
    (tmp_path / "map.toml").write_text(
        'format = "gristwright.map/1"\n[identity]\n"nom" = "lot"\nFournisseur = "supplier"\n[units]\n"% ON dm" = "%"\n'
    )
    read = read_certificates(path, read_mapping(tmp_path / "map.toml").accepted())
    (lot,) = read.reading.accepted()
    assert (lot.lot_id, lot.supplier, [a.value for a in lot.analyses]) == ("A", "Malterie", [13.5, 61.2])
    write_mapping(tmp_path / "again.toml", read.mapping)
    again = read_mapping(tmp_path / "again.toml").accepted()
    assert read_lots(path, again).accepted() == (lot,)
    (tmp_path / "odd.toml").write_text('format = "gristwright.map/1"\n[identity]\nNom = "colour"\n')
    assert any("'colour' is not known here" in p.sentence() for p in read_mapping(tmp_path / "odd.toml").problems)


def test_unknown_headings_stand_in_a_saved_mapping_as_comments(folder: Path, tmp_path: Path) -> None:
    first = read_certificates(folder / "unknown heading.csv")
    assert '# text = "Sparkle [%]"' in as_toml(first.mapping, first.unknown)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ('format = "gristwright.map/1"\nsheet = "Elsewhere"\n', "has no sheet 'Elsewhere'"),
        ('format = "gristwright.map/2"\n', "newer than this release"),
        ('format = "gristwright.map/1"\nlots_are = "rings"\n', "'rings' is not known here"),
        ('format = "gristwright.map/1"\n[[heading]]\ntext = "a"\nfield = "fizz"\nunit = "%"\n', "'fizz' is not known"),
        (
            'format = "gristwright.map/1"\n[[heading]]\ntext = "a"\nfield = "moisture_pct"\nunit = "EBC"\n',
            "'EBC' is not a unit of moisture_pct",
        ),
        ('format = "gristwright.map/1"\nheadings = 3\n', "is not a field we know"),
    ],
)
def test_faults_of_a_mapping(folder: Path, tmp_path: Path, text: str, sentence: str) -> None:
    (tmp_path / "map.toml").write_text(text)
    reading = read_mapping(tmp_path / "map.toml")
    problems = reading.problems or read_lots(folder / "notes above.xlsx", reading.accepted()).problems
    assert any(sentence in problem.sentence() for problem in problems)


CELLS = st.one_of(
    st.none(),
    st.floats(-1e6, 1e6),
    st.booleans(),
    st.dates(),
    st.text(st.characters(min_codepoint=32, max_codepoint=0x2FF), max_size=12),
    st.sampled_from([cell for row in ROWS for cell in row]),
    st.sampled_from(["Unit", "%", "Einheit", "max", "<0,5", "n.n.", "Supplier: X", "Extract [%]", "=1/0", "mg/L"]),
)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.lists(CELLS, max_size=6), max_size=6))
def test_any_sheet_gives_lots_or_sentences_never_a_traceback(tmp_path_factory, rows) -> None:
    path = tmp_path_factory.mktemp("any") / "any.xlsx"
    sheet(path, rows)
    reading = read_lots(path)
    assert reading.value or reading.problems
    assert all(problem.sentence().strip() for problem in reading.problems)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 6000), st.integers(0, 255))
def test_a_damaged_workbook_is_refused_or_read(folder: Path, tmp_path_factory, place: int, byte: int) -> None:
    raw = bytearray((folder / "merged.xlsx").read_bytes())
    raw[place % len(raw)] = byte
    path = tmp_path_factory.mktemp("damaged") / "any.xlsx"
    path.write_bytes(bytes(raw))
    reading = read_lots(path)
    assert reading.value or reading.problems
