"""Maps in a folder: found by the supplier that a file names, or by its headings, and told."""

from __future__ import annotations

from pathlib import Path

import pytest

from gristwright.cli.main import main
from gristwright.files.certificates import map_folders, read_certificates, read_lots, write_mapping

RYE = """Lieferant: Erfundene Roggenmälzerei
Charge;Sorte;Wassergehalt [%];Extrakt Feinschrot % wfr.;Glasigkeit [%]
R-1;Roggenmalz hell;5,2;86,4;4
R-2;Hausroggen;5,4;86,1;5
"""
MAP = """format = "gristwright.map/1"
ignore = ["Glasigkeit [%]"]
[materials]
"Hausroggen" = "rye_malt"
"""
NAMELESS = "Nom,Type,Humidité (%),Extrait fin sec (%)\nF-1,pilsner malt,4.4,81.5\n"


@pytest.fixture
def lots(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("GRISTWRIGHT_HOME", str(tmp_path / "home"))
    path = tmp_path / "work" / "lots.csv"
    path.parent.mkdir()
    path.write_text(RYE, encoding="utf-8")
    return path


def keep(folder: Path, name: str, text: str = MAP) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_text(text, encoding="utf-8")


@pytest.mark.parametrize("number", range(3))
def test_a_map_named_by_its_supplier_is_found_and_told(lots: Path, number: int) -> None:
    assert read_lots(lots).faulty
    keep(map_folders(lots)[number], "erfundene-roggenmälzerei.toml")
    reading = read_lots(lots, folders=map_folders(lots))
    assert not reading.faulty
    assert [lot.material for lot in reading.accepted()] == ["rye_malt", "rye_malt"]
    assert any("lots.csv is read by this map of" in problem.sentence() for problem in reading.problems)
    assert [path.name for path in reading.files] == ["lots.csv", "erfundene-roggenmälzerei.toml"]


def test_a_map_of_another_supplier_is_not_used(lots: Path) -> None:
    keep(lots.parent / "maps", "other.toml", MAP + '[constants]\nsupplier = "Andere"\n')
    assert read_lots(lots, folders=map_folders(lots)).faulty


def test_the_map_beside_the_lots_goes_before_that_of_the_data_folder(lots: Path) -> None:
    first, second, _ = map_folders(lots)
    keep(first, "a.toml", MAP.replace("ignore", 'supplier = "erfundene roggenmälzerei"\nignore'))
    keep(second, "erfundene roggenmälzerei.toml", MAP.replace("rye_malt", "wheat_malt"))
    reading = read_lots(lots, folders=map_folders(lots))
    assert {lot.material for lot in reading.accepted()} == {"rye_malt"}


def test_a_broken_map_is_told_and_left_out(lots: Path) -> None:
    keep(lots.parent / "maps", "erfundene-roggenmälzerei.toml", "format = 3\n")
    problems = read_lots(lots, folders=map_folders(lots)).problems
    (told,) = (problem for problem in problems if "is left out" in problem.what)
    assert told.warning and told.sentence().startswith("maps/erfundene-roggenmälzerei.toml: is left out, for it is no")


def test_a_sheet_that_names_no_supplier_is_known_by_its_headings(lots: Path) -> None:
    lots.write_text(NAMELESS, encoding="utf-8")
    first = read_certificates(lots)
    folder = lots.parent / "maps"
    folder.mkdir()
    write_mapping(folder / "any.toml", first.mapping, first.unknown)
    text = (folder / "any.toml").read_text(encoding="utf-8")
    assert "headings_sha256" in text
    filled = text.replace("ignore = []", 'ignore = ["Extrait fin sec (%)", "Humidité (%)"]\nlot = "Nom"')
    (folder / "any.toml").write_text(filled.replace('lots_are = "rows"\nlot =', "lot ="), encoding="utf-8")
    lots.write_text(NAMELESS.replace("F-1", "F-2"), encoding="utf-8")
    (lot,) = read_lots(lots, folders=map_folders(lots)).accepted()
    assert (lot.lot_id, lot.material) == ("F-2", "pilsner_malt")


@pytest.mark.parametrize("column", ["Sorte", "Malzart", "Malztyp", "Type", "Variety-of-malt", "Rohstoff"])
def test_the_column_whose_cells_name_types_is_the_type(lots: Path, column: str) -> None:
    lots.write_text(f"lot,{column},variety,moisture [%]\nA,Pilsner Malz,Erfundia,4.5\n", encoding="utf-8")
    (lot,) = read_lots(lots).accepted()
    assert lot.material == "pilsner_malt"


def test_of_two_columns_the_one_that_names_types_is_taken(lots: Path) -> None:
    lots.write_text("lot,type,Sorte,moisture [%]\nA,two-row winter,pale ale malt,4.5\n", encoding="utf-8")
    (lot,) = read_lots(lots).accepted()
    assert lot.material == "pale_ale_malt"


def test_every_command_that_reads_lots_takes_a_map(capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["advise"], ["run"], ["vary"], ["check"], ["law"], ["lots", "read"], ["lots", "compare"], ["specify"],
                  ["ageing", "markers"]):  # fmt: skip
        assert main([*words, "--help"]) == 0
        assert "--map" in capsys.readouterr().out, words


def test_a_map_is_saved_into_a_folder_under_its_supplier(lots: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = lots.parent / "maps"
    folder.mkdir()
    assert main(["lots", str(lots), "--save-map", str(folder)]) == 2
    assert [path.name for path in folder.iterdir()] == ["erfundene-roggenmälzerei.toml"]
    assert "Glasigkeit" in (folder / "erfundene-roggenmälzerei.toml").read_text(encoding="utf-8")
    capsys.readouterr()
