"""Invented certificates in every shape they come in, written into a folder of the test's own."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import openpyxl
import xlsxwriter

from files.certificates.old_formats import old_workbook

Maker = Callable[[Path], None]
MAKERS: dict[str, Maker] = {}
ROWS = [
    ["Lot", "Material", "Moisture [%]", "Extract 0.7 mm as is [%]", "Diastatic power [°WK]"],
    ["A", "pale distilling malt", "4,6", "77,8", "262"],
    ["B", "pale_distilling_malt", "4,9", "76,6", "248"],
]


def made(name: str) -> Callable[[Maker], Maker]:
    def keep(maker: Maker) -> Maker:
        MAKERS[name] = maker
        return maker

    return keep


def text(path: Path, rows: list[list[str]], separator: str = ";", encoding: str = "utf-8") -> None:
    path.write_bytes("\r\n".join(separator.join(row) for row in rows).encode(encoding))


def sheet(path: Path, rows: list[list[object]], name: str = "Sheet1", merged: tuple[str, ...] = ()) -> None:
    """A workbook of one sheet by openpyxl; a text that begins with = is a formula without a value."""
    book = openpyxl.Workbook()
    own = book.active
    own.title = name
    for row in rows:
        own.append(row)
    for area in merged:
        own.merge_cells(area)
    book.save(path)


for _name, _separator, _encoding in (
    ("semicolon.csv", ";", "utf-8"),
    ("tab.tsv", "\t", "utf-8"),
    ("bar.txt", "|", "utf-8"),
    ("mark.csv", ";", "utf-8-sig"),
    ("windows.csv", ";", "cp1252"),
    ("unicode.txt", "\t", "utf-16"),
):
    MAKERS[_name] = lambda path, s=_separator, e=_encoding: text(path, ROWS, s, e)  # type: ignore[misc]


@made("comma.csv")
def comma(path: Path) -> None:
    text(path, [[cell.replace(",", ".") for cell in row] for row in ROWS], ",")


@made("said separator.csv")
def said_separator(path: Path) -> None:
    text(path, [["sep=;"], *ROWS])


@made("notes above.xlsx")
def notes_above(path: Path) -> None:
    rows = [
        ["Certificate of analysis"],
        ["Supplier: Invented Maltings"],
        ["Crop", 2025],
        [],
        [
            "Batch no.",
            "Product",
            "Moisture %",
            "Extract fine (dry) %",
            "Extract coarse, dry, %",
            "Colour EBC",
            "Remark",
        ],
        ["24-1", "Pale distilling malt", 4.5, 80.9, 79.5, 3.1, "first"],
        ["24-2", "Pale distilling malt", 4.7, 80.2, 78.6, 3.3, None],
        [],
        ["* methods of the laboratory"],
    ]
    sheet(path, rows, "Analysis")


@made("unit row.xlsx")
def unit_row(path: Path) -> None:
    rows = [
        ["Lot", "Material", "Moisture", "Extract fine", "DP", "FAN", "FAN ", "Viscosity"],
        [None, None, "%", "% d.m.", "°WK", "mg/L", "mg/100 g d.m.", "mPa·s"],
        ["A", "pale_distilling_malt", 4.6, 81.0, 262, 140, 150, 1.523],
    ]
    sheet(path, rows)


@made("unit row.csv")
def unit_row_text(path: Path) -> None:
    rows = [
        ["Lot", "Material", "Moisture", "Viscosity", "Colour"],
        ["", "", "%", "mPas", "EBC"],
        ["A", "pale_distilling_malt", "4,6", "1,523", "3,2"],
    ]
    text(path, rows)


@made("german column.xlsx")
def german_column(path: Path) -> None:
    """One lot as a column, with unit, method and specification beside it, the way a laboratory prints it."""
    rows = [
        ["Analysenzertifikat"],
        ["Lieferant", "Erfundene Mälzerei"],
        ["Charge-Nr.", "25-0815"],
        ["Malzsorte", "pale distilling malt"],
        ["Ernte", 2025],
        ["Merkmal", "Einheit", "Methode", "Ergebnis", "Spezifikation"],
        ["Wassergehalt", "%", "MEBAK R-110.40.020", "4,5", "max. 5,0"],
        ["Extrakt wfr.", "%", "MEBAK", "80,9", "min. 80"],
        ["Mehlschrotdifferenz", "%", "MEBAK", "1,4", "max. 2"],
        ["Endvergärungsgrad", "%", "MEBAK", "81,5", ""],
        ["Eiweiß (N x 6,25)", "% wfr.", "MEBAK", "9,4", "9-11"],
        ["löslicher Stickstoff", "mg/100 g TrS.", "MEBAK", "640", ""],
        ["Kolbachzahl", "%", "MEBAK", "42,5", ""],
        ["Viskosität (8,6 %)", "mPa·s", "MEBAK", "1,523", ""],
        ["Farbe", "EBC", "MEBAK", "3,1", ""],
        ["Diastatische Kraft", "WK", "MEBAK", "265", ""],
        ["Friabilimeter", "%", "MEBAK", "86,1", ""],
        ["alpha-Amylase", "DU", "MEBAK", "47", ""],
        ["FAN", "mg/100 g TrS.", "MEBAK", "148", ""],
        ["β-Glucan", "mg/l", "MEBAK", "165", ""],
        ["pH", "", "MEBAK", "5,91", ""],
    ]
    sheet(path, rows, "Zertifikat")


@made("two columns.csv")
def two_columns(path: Path) -> None:
    rows = [
        ["Lot", "A", "B"],
        ["Material", "pale distilling malt", "high-enzyme malt"],
        ["Crop year", "2025", "2024"],
        ["Moisture [%]", "4.6", "7.1"],
        ["Diastatic power [Lintner]", "75", "165"],
        ["Total nitrogen [%]", "1.52", "1.80"],
    ]
    text(path, rows, ",")


@made("label columns.xlsx")
def label_columns(path: Path) -> None:
    rows = [
        ["Parameter", "Unit", "PD-1", "PD-2"],
        ["Material", None, "pale distilling malt", "pale distilling malt"],
        ["Moisture", "%", 4.6, 4.8],
        ["Total nitrogen", "%", 1.52, 1.55],
    ]
    sheet(path, rows)


@made("merged.xlsx")
def merged(path: Path) -> None:
    rows = [
        ["Lot", "Material", "Extract [%]", None, "Moisture [%]"],
        [None, None, "fine, dry", "0.7 mm as is", None],
        ["A", "pale distilling malt", 80.9, 77.1, 4.5],
        ["B", None, 80.1, 76.2, 4.7],
    ]
    sheet(path, rows, merged=("A1:A2", "B1:B2", "C1:D1", "E1:E2", "B3:B4"))


@made("several sheets.xlsx")
def several_sheets(path: Path) -> None:
    book = openpyxl.Workbook()
    book.active.title = "Cover"
    book.active["A1"] = "Certificates of the invented harvest"
    for name, lot, moisture in (("North", "A", 4.5), ("South", "B", 4.9), ("Draft", "C", 9.0)):
        own = book.create_sheet(name)
        own.append(["Lot", "Material", "Moisture [%]"])
        own.append([lot, "pale distilling malt", moisture])
    book["Draft"].sheet_state = "hidden"
    book.save(path)


@made("units in cells.xlsx")
def units_in_cells(path: Path) -> None:
    rows = [
        ["Lot", "Material", "Moisture", "Diastatic power", "Colour"],
        ["A", "pale distilling malt", "4,6 %", "262 °WK", "3.1 EBC"],
        ["B", "pale distilling malt", "4,9 %", "75 Lintner", "2.0 SRM"],
    ]
    sheet(path, rows)


@made("percent format.xlsx")
def percent_format(path: Path) -> None:
    book = xlsxwriter.Workbook(path)
    own = book.add_worksheet("CoA")
    own.write_row(0, 0, ["Lot", "Material", "Moisture", "Friability [%]"])
    own.write_row(1, 0, ["A", "pale distilling malt"])
    own.write_number(1, 2, 0.046, book.add_format({"num_format": "0.0%"}))
    own.write_number(1, 3, 86)
    book.close()


@made("formula with value.xlsx")
def formula_with_value(path: Path) -> None:
    book = xlsxwriter.Workbook(path)
    own = book.add_worksheet("CoA")
    own.write_row(0, 0, ["Lot", "Material", "Total nitrogen [%]", "Protein (N x 6.25) [%]"])
    own.write_row(1, 0, ["A", "pale distilling malt", 1.52])
    own.write_formula(1, 3, "=C2*6.25", None, 9.5)
    book.close()


@made("no figures.csv")
def no_figures(path: Path) -> None:
    rows = [
        ["Lot", "Malt", "Moisture [%]", "NDMA [ppb]", "Total nitrogen [%]", "Extract fine dry [%]", "DP [WK]", "SNR"],
        ["A", "pale distilling malt", "4,5-5,0", "<0.5", "min 1,45", "80,9 ± 0,3", "n.n.", "n/a"],
    ]
    text(path, rows)


@made("specification.csv")
def specification(path: Path) -> None:
    rows = [
        ["Lot", "Material", "Moisture max [%]", "Moisture [%]", "min. Extract fine dry [%]"],
        ["A", "pale distilling malt", "5,0", "4,4", "80"],
    ]
    text(path, rows)


@made("three powers.xlsx")
def three_powers(path: Path) -> None:
    rows = [
        ["Lot", "Material", "DP [IoB]", "DP [WK]", "DP [Lintner]", "Moisture [%]"],
        ["HE", "high-enzyme malt", 150, 500, 165, 7.5],
    ]
    sheet(path, rows)


@made("old.xls")
def old(path: Path) -> None:
    path.write_bytes(old_workbook([["Lot", "Material", "Moisture [%]"], ["A", "pale distilling malt", 4.6]]))
