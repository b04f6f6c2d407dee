"""Write the invented Excel certificates of the examples anew. Run: make examples."""

import datetime as dt
from pathlib import Path

import xlsxwriter

HERE = Path(__file__).parent
CREATED = dt.datetime(2026, 11, 25, tzinfo=dt.UTC)


def book(path: Path) -> xlsxwriter.Workbook:
    """A workbook that comes out the same each time."""
    made = xlsxwriter.Workbook(path)
    made.set_properties({"title": "Invented certificates", "created": CREATED})
    return made


def maize_rye_column() -> None:
    """Lots in columns under notes, English, unit in a cell beside the heading."""
    made = book(HERE / "maize-rye-column" / "certificates.xlsx")
    sheet = made.add_worksheet("Certificates")
    sheet.write("A1", "Invented Grain and Invented Maltings: certificates of analysis (invented)")
    rows = (
        ("lot", "", "MZ-1", "RY-1", "HE-1", "RM-1"),
        ("material", "", "raw_maize", "raw_rye", "high_enzyme_malt", "rye_malt"),
        ("supplier", "", "Invented Grain", "Invented Grain", "Invented Maltings", "Invented Maltings"),
        ("lot number", "", "M-55", "R-12", "H-9", "RM-3"),
        ("crop", "", 2026, 2026, 2026, 2026),
        ("moisture", "%", 13.8, 13.5, 6.9, 4.4),
        ("starch dry", "%", 72.4, 61.8, "", ""),
        ("extract 0.7 mm as is", "%", "", "", 71.5, 75.0),
        ("fermentability", "%", "", "", 86.0, ""),
        ("diastatic power", "degWK", "", "", 720, 350),
        ("dextrinising units", "DU", "", "", 88, 41),
        ("colour", "EBC", "", "", 2.6, 7.0),
    )
    for number, row in enumerate(rows, start=3):
        for column, value in enumerate(row):
            if value != "":
                sheet.write(number, column, value)
    made.close()


def raw_barley_beer() -> None:
    """Lots in rows, German headings with units, as a German laboratory prints them."""
    made = book(HERE / "raw-barley-beer" / "certificates.xlsx")
    sheet = made.add_worksheet("Analysen")
    sheet.write("A1", "Analysenzertifikate (erfunden)")
    heads = (
        "lot",
        "material",
        "lot number",
        "crop",
        "Wassergehalt [%]",
        "starch dry [%]",
        "extract 0.7 mm as is [%]",
        "fermentability [%]",
        "Diastatische Kraft [°WK]",
        "dextrinising units [DU]",
        "Farbe [EBC]",
    )
    rows = (
        ("PA-1", "pale_ale_malt", "P-4", 2026, 3.4, "", 77.3, 85.2, 150, 38, 6.1),
        ("RB-1", "raw_barley", "B-2", 2026, 13.2, 61.0, "", "", "", "", ""),
        ("HE-2", "high_enzyme_malt", "H-10", 2026, 6.8, "", 71.8, 86.2, 690, 62, 2.7),
    )
    for column, head in enumerate(heads):
        sheet.write(2, column, head)
    for number, row in enumerate(rows, start=3):
        for column, value in enumerate(row):
            if value != "":
                sheet.write(number, column, value)
    made.close()


if __name__ == "__main__":
    maize_rye_column()
    raw_barley_beer()
