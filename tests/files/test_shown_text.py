"""A name that a document could not show is refused at its field, in every file that people write; any other is read."""

from __future__ import annotations

import csv
import io
import json
import shutil
import unicodedata
from pathlib import Path

import pytest
import xlsxwriter

from gristwright.basics import Problem
from gristwright.cli.main import main
from gristwright.files.casks_in import read_casks
from gristwright.files.certificates.lots_in import read_certificates, read_lots
from gristwright.files.certificates.mapping import read_mapping
from gristwright.files.climate_in import read_climates
from gristwright.files.jobs_in import read_bill, read_enquiry
from gristwright.files.ladder_in import read_casks as read_aged
from gristwright.files.provenance import fingerprints
from gristwright.reference.typeface import composed
from house.places import EXAMPLES
from names import REFUSED, SHOWN
from scenario import FOLDER, copied

# Field as a person finds it: the file, the line it stands for, and what takes its place.
FIELDS = {
    "enquiry.toml, title": ('title = "Caramel malt in an all-malt whisky"', "title = {}"),
    "enquiry.toml, customer": ('customer = "Harrow Burn (invented)"', "customer = {}"),
    "enquiry.toml, adviser": ('adviser = "A. Example"', "adviser = {}"),
    "enquiry.toml, groups 1.name": ('name = "caramel malt"', "name = {}"),
    "plant.toml, name": ('name = "Harrow Burn (invented)"', "name = {}"),
    "plant.toml, cask.kind.prior_contents": ('prior_contents = "bourbon"', "prior_contents = {}"),
    "plant.toml, cask.additions": ("years = 5", 'years = 5\nadditions = ["water", {}]'),
    "bill.toml, name": ('name = "today"', "name = {}"),
}
QUESTION = "enquiry.toml, question"


def quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def put(folder: Path, field: str, text: str) -> Path:
    """The invented scenario with another text in one field."""
    path = copied(folder) / field.split(",")[0]
    before, after = FIELDS[field]
    kept = path.read_text(encoding="utf-8")
    assert before in kept
    path.write_text(kept.replace(before, after.format(quoted(text))), encoding="utf-8")
    return folder / "enquiry.toml"


def named(problems: tuple[Problem, ...]) -> list[str]:
    return [problem.sentence() for problem in problems if not problem.warning]


@pytest.mark.parametrize("text", SHOWN.values(), ids=SHOWN)
@pytest.mark.parametrize("field", FIELDS)
def test_a_name_that_can_be_shown_is_read_as_it_is_kept(field: str, text: str, tmp_path: Path) -> None:
    reading = read_enquiry(put(tmp_path, field, text))
    assert named(reading.problems) == []
    assert repr(composed(text)) in repr(reading.value)


@pytest.mark.parametrize(("text", "told"), REFUSED.values(), ids=REFUSED)
@pytest.mark.parametrize("field", FIELDS)
def test_a_name_that_cannot_is_refused_at_its_field(field: str, text: str, told: str, tmp_path: Path) -> None:
    (sentence,) = named(read_enquiry(put(tmp_path, field, text)).problems)
    assert sentence.startswith(f"{field}: holds {told}")
    assert sentence.endswith("Write it in Latin, Greek or Cyrillic letters, digits and usual signs.")


def test_a_question_keeps_its_lines(tmp_path: Path) -> None:
    path = copied(tmp_path) / "enquiry.toml"
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("question")]
    path.write_text("\n".join([lines[0], lines[1], 'question = "One\\n\\ttwo"', *lines[2:]]), encoding="utf-8")
    assert read_enquiry(path).accepted().question == "One\n\ttwo"


def test_all_faults_are_told_at_once_with_the_names_of_lots(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    for name in ("enquiry.toml", "bill.toml", "plant.toml"):
        text = (folder / name).read_text(encoding="utf-8")
        text = text.replace("PD-1 =", '"麦-1" =').replace('"PD-1"', '"麦-1"').replace("Harrow Burn", "酒厂")
        (folder / name).write_text(text, encoding="utf-8")
    places = [problem.address.words for problem in read_enquiry(folder / "enquiry.toml").problems]
    wanted = {"enquiry.toml, customer", "enquiry.toml, offered 1.lot_id", "plant.toml, name"}
    assert wanted | {"bill.toml, shares.麦-1", "bill.toml, prices.麦-1"} == set(places)


def test_nothing_is_computed_and_nothing_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = put(tmp_path, "enquiry.toml, customer", "酒厂")
    lots = (tmp_path / "lots.csv").read_text(encoding="utf-8").replace("Invented Maltings", "麦芽厂", 1)
    (tmp_path / "lots.csv").write_text(lots, encoding="utf-8")
    assert main(["advise", str(path), "--lots", str(tmp_path / "lots.csv"), "--out", str(tmp_path / "out")]) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert "enquiry.toml, customer: holds 酒 (U+9152" in told
    assert "lots.csv, row 2, column 3: holds 麦 (U+9EA6" in told
    assert not (tmp_path / "out").exists()


def test_two_fields_that_are_one_once_accents_are_joined_are_told(tmp_path: Path) -> None:
    path = copied(tmp_path) / "bill.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("PD-1 = 100", '"Caf\u00e9" = 50\n"Cafe\u0301" = 50'), encoding="utf-8")
    assert "bill.toml, shares.Café: stands here twice. Keep one of the two." in named(read_bill(path).problems)


# Certificates


def lines_of(**changed: str) -> list[list[str]]:
    """The invented certificates with some cells of their first lot changed."""
    rows = list(csv.reader(io.StringIO((FOLDER / "lots.csv").read_text(encoding="utf-8"))))
    for heading, text in changed.items():
        rows[1][rows[0].index(heading.replace("_", " "))] = text
    return rows


def text_table(folder: Path, rows: list[list[str]], name: str = "lots.csv") -> Path:
    path = folder / name
    with path.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(rows)
    return path


def workbook(folder: Path, rows: list[list[str]], sheet: str = "Lots") -> Path:
    path = folder / "lots.xlsx"
    with xlsxwriter.Workbook(path, {"strings_to_numbers": True}) as book:
        page = book.add_worksheet(sheet)
        for number, row in enumerate(rows):
            page.write_row(number, 0, row)
    return path


def as_toml(folder: Path, rows: list[list[str]]) -> Path:
    first = dict(zip(rows[0], rows[1], strict=True))
    own = {"lot": first["lot"], "material": first["material"], "supplier": first["supplier"]}
    lines = [f"{key} = {quoted(value)}" for key, value in own.items()]
    lines += [f"lot_number = {quoted(first['lot number'])}", "[lot.analyses]", '"moisture [%]" = 4.6']
    path = folder / "lots.toml"
    path.write_text("\n".join(['format = "gristwright.lots/1"', "[[lot]]", *lines]), encoding="utf-8")
    return path


PLACES = {
    "lot": ("row 2, column 1", "sheet Lots, cell A2", "lot 1.lot"),
    "supplier": ("row 2, column 3", "sheet Lots, cell C2", "lot 1.supplier"),
    "lot_number": ("row 2, column 4", "sheet Lots, cell D2", "lot 1.lot_number"),
}
MAKERS = (text_table, workbook, as_toml)


@pytest.mark.parametrize("maker", MAKERS, ids=lambda maker: maker.__name__)
@pytest.mark.parametrize("text", SHOWN.values(), ids=SHOWN)
@pytest.mark.parametrize("field", PLACES)
def test_a_lot_and_its_supplier_may_be_called_so(field: str, text: str, maker, tmp_path: Path) -> None:
    lot = read_lots(maker(tmp_path, lines_of(**{field: text}))).accepted()[0]
    assert getattr(lot, "lot_id" if field == "lot" else field) == composed(text)


@pytest.mark.parametrize("maker", MAKERS, ids=lambda maker: maker.__name__)
@pytest.mark.parametrize(("text", "told"), REFUSED.values(), ids=REFUSED)
@pytest.mark.parametrize("field", PLACES)
def test_and_may_not_be_called_so(field: str, text: str, told: str, maker, tmp_path: Path) -> None:
    """A text file with a control character is no text file; a workbook has its own way of writing one."""
    path = maker(tmp_path, lines_of(**{field: text}))
    (sentence,) = named(read_lots(path).problems)
    place = PLACES[field][MAKERS.index(maker)]
    if maker is text_table and ord(text[1]) < 32:
        assert sentence.startswith(f"lots.csv: is not a text file: line 2 holds {told}.")
    else:
        assert sentence.startswith(f"{path.name}, {place}: holds {told}")


def test_a_supplier_above_the_table_is_told_once_at_its_cell(tmp_path: Path) -> None:
    rows = [["Supplier: 麦芽厂"], *([cell for k, cell in enumerate(row) if k != 2] for row in lines_of())]
    (sentence,) = named(read_lots(text_table(tmp_path, rows)).problems)
    assert sentence.startswith("lots.csv, row 1, column 1: holds 麦")


def test_what_no_document_prints_may_be_in_any_script(tmp_path: Path) -> None:
    """Remarks, unread columns, the sheet's name and a mapped heading are the laboratory's own."""
    rows = [[*row, f"备注 {n}"] for n, row in enumerate(lines_of())]
    rows[0][rows[0].index("moisture [%]")] = "水分"
    said = ['format = "gristwright.map/1"', 'ignore = ["备注 0"]', "[[heading]]", 'text = "水分"']
    said += ['field = "moisture_pct"', 'unit = "%"']
    (tmp_path / "map.toml").write_text("\n".join(said), encoding="utf-8")
    found = read_certificates(workbook(tmp_path, rows, "数据"), read_mapping(tmp_path / "map.toml").accepted())
    lot = found.reading.accepted()[0]
    assert lot.analysis("moisture_pct") is not None
    assert found.mapping.ignore == ("备注 0",)


def test_nor_does_it_matter_in_lots_as_toml(tmp_path: Path) -> None:
    path = as_toml(tmp_path, lines_of())
    path.write_text(
        path.read_text("utf-8").replace("[lot.analyses]", 'note = "备注"\nmethod = "法"\n[lot.analyses]'), "utf-8"
    )
    (lot,) = read_lots(path).accepted()
    assert lot.analyses[0].method == "法"


# Casks, climates, names of files


@pytest.mark.parametrize("column", ["cask", "store", "place", "spirit", "prior_contents", "note"])
@pytest.mark.parametrize(("text", "told"), REFUSED.values(), ids=REFUSED)
def test_a_line_of_a_cask_ledger_is_left_out_for_its_names(column: str, text: str, told: str, tmp_path: Path) -> None:
    rows = list(csv.reader(io.StringIO((EXAMPLES / "cask-stock" / "casks.csv").read_text(encoding="utf-8"))))[:4]
    rows[1][rows[0].index(column)] = text
    reading = read_casks(text_table(tmp_path, rows, "casks.csv"))
    assert len(reading.accepted()) == 2
    (problem,) = reading.problems
    assert problem.sentence().startswith(f"casks.csv, row 2, {column}: holds {told}")


@pytest.mark.parametrize("text", SHOWN.values(), ids=SHOWN)
def test_a_cask_ledger_takes_names_that_can_be_shown(text: str, tmp_path: Path) -> None:
    rows = list(csv.reader(io.StringIO((EXAMPLES / "cask-stock" / "casks.csv").read_text(encoding="utf-8"))))[:2]
    for column in ("cask", "store", "spirit", "note"):
        rows[1][rows[0].index(column)] = text
    (entry,) = read_casks(text_table(tmp_path, rows, "casks.csv")).accepted()
    assert {entry.cask, entry.store, entry.spirit, entry.note} == {composed(text)}


@pytest.mark.parametrize(
    ("before", "place"), [("A,A1,", "row 3, column 1"), ("A1,3", "row 3, column 2"), ("roast [", "row 2, column 16")]
)
def test_casks_of_known_age_are_refused_for_their_names(before: str, place: str, tmp_path: Path) -> None:
    text = (EXAMPLES / "ageing-programme" / "arms.csv").read_text(encoding="utf-8")
    after = before.replace("A", "麦", 1) if "A" in before else "麦 ["
    (tmp_path / "arms.csv").write_text(text.replace(before, after, 1), encoding="utf-8")
    told = named(read_aged(tmp_path / "arms.csv", arms=True).problems)
    assert any(sentence.startswith(f"arms.csv, {place}: holds 麦 (U+9EA6") for sentence in told)


def test_a_store_with_such_a_name_is_refused(tmp_path: Path) -> None:
    text = (EXAMPLES / "cask-stock" / "store.csv").read_text(encoding="utf-8").replace("Low store", "仓库")
    (tmp_path / "store.csv").write_text(text, encoding="utf-8")
    told = named(read_climates(tmp_path / "store.csv").problems)
    assert [sentence.split(":")[0] for sentence in told] == ["store.csv, row 2, store"]


@pytest.mark.parametrize("kind", ["enquiry.toml", "plant.toml", "bill.toml", "lots.csv"])
def test_a_file_whose_name_cannot_be_printed_is_refused(kind: str, tmp_path: Path) -> None:
    folder, name = copied(tmp_path), f"麦-{kind}"
    shutil.move(folder / kind, folder / name)
    for other in folder.glob("*.toml"):
        other.write_text(other.read_text(encoding="utf-8").replace(f'"{kind}"', f'"{name}"'), encoding="utf-8")
    reading = read_lots(folder / name) if kind == "lots.csv" else read_enquiry(next(folder.glob("*enquiry.toml")))
    told = named(reading.problems)
    assert f"{name}: the name holds 麦 (U+9EA6, CJK UNIFIED IDEOGRAPH-9EA6), which the typeface of the documents " in (
        " ".join(told)
    )
    assert "Give the file another name." in " ".join(told)


@pytest.mark.parametrize("form", ["NFC", "NFD"])
def test_a_file_is_found_whose_name_was_kept_with_its_accents_apart(form: str, tmp_path: Path) -> None:
    folder = copied(tmp_path)
    there = unicodedata.normalize(form, "Café.toml")
    shutil.move(folder / "plant.toml", folder / there)
    for name in ("enquiry.toml", "bill.toml"):
        text = (folder / name).read_text(encoding="utf-8").replace('"plant.toml"', f'"{there}"')
        (folder / name).write_text(text, encoding="utf-8")
    reading = read_enquiry(folder / "enquiry.toml")
    assert named(reading.problems) == []
    assert "Café.toml" in [name for name, _ in fingerprints(reading.files)]


def test_a_file_named_with_a_nul_is_not_there(tmp_path: Path) -> None:
    path = copied(tmp_path) / "enquiry.toml"
    path.write_text(path.read_text(encoding="utf-8").replace('"plant.toml"', '"a\\u0000b"'), encoding="utf-8")
    told = named(read_enquiry(path).problems)
    assert any("is not there" in sentence for sentence in told)
    assert any(sentence.startswith("enquiry.toml, plant: holds a character that is not seen") for sentence in told)
