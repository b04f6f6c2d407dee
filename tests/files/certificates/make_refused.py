"""Invented files that cannot be read as certificates, or not wholly, each for one reason."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import openpyxl
import xlsxwriter

from files.certificates.make_certificates import made, sheet, text
from files.certificates.old_formats import locked_workbook


@made("formula without value.xlsx")
def formula_without_value(path: Path) -> None:
    rows = [["Lot", "Malt", "Moisture [%]", "Protein (N x 6.25) [%]"], ["A", "pale distilling malt", 4.5, "=1.52*6.25"]]
    sheet(path, rows, "CoA")


@made("formula never computed.xlsx")
def formula_never_computed(path: Path) -> None:
    book = xlsxwriter.Workbook(path)
    own = book.add_worksheet("CoA")
    own.write_row(0, 0, ["Lot", "Material", "Moisture [%]"])
    own.write_row(1, 0, ["A", "pale distilling malt"])
    own.write_formula(1, 2, "=9.2/2")
    book.close()


@made("merged figure.xlsx")
def merged_figure(path: Path) -> None:
    rows = [
        ["Lot", "Material", "Moisture [%]", "Total nitrogen [%]"],
        ["A", "pale distilling malt", 4.5, 1.5],
        ["B", "pale distilling malt", None, 1.6],
    ]
    sheet(path, rows, merged=("C2:C3",))


@made("date.xlsx")
def date(path: Path) -> None:
    book = xlsxwriter.Workbook(path)
    own = book.add_worksheet("CoA")
    own.write_row(0, 0, ["Lot", "Material", "Moisture [%]"])
    own.write_row(1, 0, ["A", "pale distilling malt"])
    own.write_number(1, 2, 45781, book.add_format({"num_format": "yyyy-mm-dd"}))
    book.close()


@made("empty.csv")
def empty_text(path: Path) -> None:
    path.write_bytes(b"")


@made("empty.xlsx")
def empty_book(path: Path) -> None:
    sheet(path, [])


@made("locked.xlsx")
def locked(path: Path) -> None:
    path.write_bytes(locked_workbook())


@made("letter.xlsx")
def letter(path: Path) -> None:
    path.write_bytes(b"%PDF-1.7\n1 0 obj\n")


@made("picture.xlsx")
def picture(path: Path) -> None:
    path.write_bytes(b"\x89PNG\r\n\x1a\n")


@made("unnamed.bin")
def unnamed(path: Path) -> None:
    path.write_bytes(b"something else")


@made("text document.xlsx")
def text_document(path: Path) -> None:
    _package(path, {"word/document.xml": b"<a/>"})


@made("cut off.xlsx")
def cut_off(path: Path) -> None:
    sheet(path, [["Lot", "Material"], ["A", "pale distilling malt"]])
    path.write_bytes(path.read_bytes()[:900])


@made("workbook named.csv")
def workbook_named_text(path: Path) -> None:
    sheet(path, [["Lot"]])


@made("heavy.csv")
def heavy(path: Path) -> None:
    path.write_bytes(b"Lot;Material\n" + b"A;B\n" * 600_000)


@made("one wide line.csv")
def one_wide_line(path: Path) -> None:
    """Few cells as written, but thousands of millions once every line is filled up to the widest."""
    path.write_bytes(b"Lot;Material" + b";" * 60_000 + b"\nA;B" * 60_000)


@made("bomb.xlsx")
def bomb(path: Path) -> None:
    _package(path, {"xl/workbook.xml": b"<a/>", "xl/worksheets/sheet1.xml": b"0" * 30_000_000})


@made("far cell.xlsx")
def far_cell(path: Path) -> None:
    book = openpyxl.Workbook()
    book.active["A1"] = "Lot"
    book.active["XFD1048576"] = 1
    book.save(path)


@made("wide merge.xlsx")
def wide_merge(path: Path) -> None:
    sheet(path, [["Lot"]])
    with zipfile.ZipFile(path) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    name = "xl/worksheets/sheet1.xml"
    area = b'</sheetData><mergeCells count="1"><mergeCell ref="A1:XFD1048576"/></mergeCells>'
    _package(path, parts | {name: parts[name].replace(b"</sheetData>", area)})


@made("entities.xlsx")
def entities(path: Path) -> None:
    _package(path, {"xl/workbook.xml": b'<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>'})


@made("prose.xlsx")
def prose(path: Path) -> None:
    sheet(path, [["Dear customer,"], ["the malt was very good this year."]])


@made("bare letter.csv")
def bare_letter(path: Path) -> None:
    text(path, [["Lot", "Material", "Diastatic power °L", "Moisture [%]"], ["A", "pale distilling malt", "75", "4,5"]])


@made("no unit.csv")
def no_unit(path: Path) -> None:
    text(path, [["Lot", "Material", "Diastatic power", "Moisture [%]"], ["A", "pale distilling malt", "75", "4,5"]])


@made("no basis.csv")
def no_basis(path: Path) -> None:
    text(path, [["Lot", "Material", "Extract 0.7 mm [%]"], ["A", "pale distilling malt", "77,1"]])


@made("unknown heading.csv")
def unknown_heading(path: Path) -> None:
    text(path, [["Lot", "Material", "Moisture [%]", "Sparkle [%]"], ["A", "pale distilling malt", "4,5", "12"]])


@made("two values.csv")
def two_values(path: Path) -> None:
    text(path, [["Lot", "Material", "Moisture [%]", "Water content %"], ["A", "pale distilling malt", "4,5", "4,7"]])


@made("ambiguous thousand.csv")
def ambiguous_thousand(path: Path) -> None:
    text(path, [["Lot", "Material", "Colour [EBC]"], ["A", "roasted malt", "1,234"]])


def _package(path: Path, parts: dict[str, bytes]) -> None:
    with io.BytesIO() as stream:
        with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as package:
            for name, data in parts.items():
                package.writestr(name, data)
        path.write_bytes(stream.getvalue())


@made("less than nothing.csv")
def less_than_nothing(path: Path) -> None:
    text(path, [["Lot", "Malt", "DP [WK]", "Moisture [%]"], ["A", "pale distilling malt", "-5", "4,5"]])
