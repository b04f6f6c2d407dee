"""Cells of a workbook are changed where a parser finds them, and no other byte of the sheet."""

from __future__ import annotations

import io
import zipfile

import pytest

from gristwright.basics import Address, Refused
from gristwright.files import workbook
from gristwright.files.workbook import mended_workbook

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
SHEET = "xl/worksheets/sheet1.xml"
CELL = '<c r="B2"><v>1</v></c>'
ROWS = f'<row r="1"><c r="A1"><v>5</v></c></row><row r="2"><c r="A2"><v>0</v></c>{CELL}<c r="D2"><v>3</v></c></row>'


def worksheet(rows: str = ROWS, behind: str = "", attributes: str = f'xmlns="{MAIN}"', prefix: str = "") -> str:
    """A sheet of the rows given."""
    return f"<{prefix}worksheet {attributes}><{prefix}sheetData>{rows}</{prefix}sheetData>{behind}</{prefix}worksheet>"


def book(sheet: str | bytes, extra: dict[str, str] | None = None) -> bytes:
    """A workbook of one sheet, S, as its XML is given."""
    links = f'<Relationship Id="r1" Type="{OFFICE}/worksheet" Target="worksheets/sheet1.xml"/>'
    root = f'<Relationship Id="r1" Type="{OFFICE}/officeDocument" Target="xl/workbook.xml"/>'
    parts: dict[str, str | bytes] = {
        "_rels/.rels": f'<Relationships xmlns="{PACKAGE}/relationships">{root}</Relationships>',
        "[Content_Types].xml": f'<Types xmlns="{PACKAGE}/content-types"/>',
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}">'
        '<sheets><sheet name="S" sheetId="1" r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{PACKAGE}/relationships">{links}</Relationships>',
        SHEET: sheet,
        **(extra or {}),
    }
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w", zipfile.ZIP_DEFLATED) as package:
        for name, data in parts.items():
            package.writestr(name, data)
    return raw.getvalue()


def part(raw: bytes, name: str = SHEET) -> bytes:
    with zipfile.ZipFile(io.BytesIO(raw)) as package:
        return package.read(name)


def mend(sheet: str | bytes, texts: dict[tuple[int, int], str], extra: dict[str, str] | None = None) -> bytes:
    cells = [(Address("own.xlsx", "S", *spot), text) for spot, text in texts.items()]
    return mended_workbook("own.xlsx", book(sheet, extra), cells)


def refused(sheet: str | bytes, texts: dict[tuple[int, int], str]) -> list[str]:
    with pytest.raises(Refused) as caught:
        mend(sheet, texts)
    return [problem.sentence() for problem in caught.value.problems]


def shown(raw: bytes) -> list[list[str]]:
    (sheet,) = workbook.read_workbook("own.xlsx", raw, True, [])
    return [[cell.text for cell in row] for row in sheet.cells]


NUMBER, TEXT = '<c r="B2"><v>248</v></c>', '<c r="B2" t="inlineStr"><is><t xml:space="preserve">=1+1</t></is></c>'
TRAPS = {
    "comment": (f"<!-- {CELL} -->{{}}", CELL),
    "in its own row": (f"<!-- <row r='2'>{CELL}</row> -->{{}}", CELL),
    "text of another cell": (f'<c r="A2" t="inlineStr"><is><t><![CDATA[{CELL}]]></t></is></c>{{}}', CELL),
    "quotes": ("{}", "<c  r='B2' ><v>1</v></c >"),
    "greater": ("{}", '<c x="a>b" r="B2" y="/>"><v>1</v></c>'),
    "alone": ("{}", '<c r="B2" />'),
    "empty inside": ("{}", '<c r="B2"><v/></c>'),
    "small letters": ("{}", '<c r="b2"><v>1</v></c>'),
    "text inside": ("{}", '<c r="B2" t="inlineStr"><is><t>see &lt;/c&gt; r="B2" <![CDATA[</c>]]></t></is></c>'),
    "accents": ('<c r="A2" t="inlineStr"><is><t>é日本😀</t></is></c>{}', CELL),
}


@pytest.mark.parametrize("name", TRAPS)
@pytest.mark.parametrize(("text", "cell"), [("248", NUMBER), ("=1+1", TEXT)])
def test_one_cell_changes_and_no_other_byte(name: str, text: str, cell: str) -> None:
    around, old = TRAPS[name]
    rows = f'<row r="2">{around}<c r="C2"><v>7</v></c></row>'
    made = mend(worksheet(rows.format(old)), {(2, 2): text})
    assert part(made).decode() == worksheet(rows.format(cell))
    assert shown(made)[1][1:] == [text, "7"]


def test_prefixes_and_styles_are_kept() -> None:
    rows = '<x:row r="2"><x:c r="A2"/><x:c r="B2" s="1" t="n" cm="1"><x:v>1</x:v></x:c></x:row>'
    made = part(mend(worksheet(rows, "", f'xmlns:x="{MAIN}"', "x:"), {(2, 2): "é"})).decode()
    new = '<x:c r="B2" s="1" t="inlineStr"><x:is><x:t xml:space="preserve">é</x:t></x:is></x:c>'
    old = '<x:c r="B2" s="1" t="n" cm="1"><x:v>1</x:v></x:c>'
    assert made == worksheet(rows.replace(old, new), "", f'xmlns:x="{MAIN}"', "x:")


def test_several_cells_are_put_in_order_into_one_gap() -> None:
    rows = '<row r="2"><c r="A2"><v>0</v></c><c r="AC2"><v>9</v></c></row>'
    made = mend(worksheet(rows), {(2, 28): "3", (2, 3): "1", (2, 30): "4", (2, 29): "8", (2, 27): "2"})
    (row,) = shown(made)[1:]
    assert {n: text for n, text in enumerate(row, 1) if text} == {1: "0", 3: "1", 27: "2", 28: "3", 29: "8", 30: "4"}
    assert part(made).decode().replace(" ", "").count("<c") == 6


def test_cells_that_do_not_say_where_they_stand_are_counted() -> None:
    made = mend(worksheet("<row><c><v>5</v></c></row><row><c><v>0</v></c><c><v>1</v></c></row>"), {(2, 2): "7"})
    assert shown(made) == [["5", ""], ["0", "7"]]


def test_a_mark_of_utf_8_does_not_move_the_place() -> None:
    made = part(mend(b"\xef\xbb\xbf" + worksheet().encode(), {(2, 2): "248"}))
    assert made == b"\xef\xbb\xbf" + worksheet().replace(CELL, NUMBER).encode()


def test_the_list_of_formulas_goes_and_nothing_else_of_the_package() -> None:
    types = f'<Types xmlns="{PACKAGE}/content-types"><Default Extension="xml"/>'
    types += "<!-- calcChain.xml --><Override PartName='/xl/calcChain.xml' ContentType=\"a>b\"></Override></Types>"
    links = f'<Relationships xmlns="{PACKAGE}/relationships"><Relationship Id="r1" Target="worksheets/sheet1.xml"/>'
    links += '<Relationship Id="r2" Target="calcChain.xml"/></Relationships>'
    extra = {"[Content_Types].xml": types, "xl/_rels/workbook.xml.rels": links, "xl/calcChain.xml": "<calcChain/>"}
    made = mend(worksheet(), {(2, 2): "7"}, {**extra, "docProps/own.bin": "kept"})
    assert part(made, "docProps/own.bin") == b"kept"
    left = types.replace("<Override PartName='/xl/calcChain.xml' ContentType=\"a>b\"></Override>", "")
    assert part(made, "[Content_Types].xml").decode() == left
    assert part(made, "xl/_rels/workbook.xml.rels").decode().count("<Relationship ") == 1
    assert "xl/calcChain.xml" not in zipfile.ZipFile(io.BytesIO(made)).namelist()


HAND = "Mend it in a spreadsheet program and send the file again."
SHARED = ROWS.replace(CELL, '<c r="B2"><f t="shared" ref="B2:D2" si="0">1+1</f><v>1</v></c>').replace(
    '<c r="D2">', '<c r="D2"><f t="shared" si="0"/>'
)


@pytest.mark.parametrize(
    ("rows", "behind", "spot", "said"),
    [
        (ROWS, "", (9, 1), f"cell A9: has no cell A9 that could be mended here. {HAND}"),
        ('<row r="2"/>', "", (2, 2), f"cell B2: has no cell B2 that could be mended here. {HAND}"),
        (f'<row r="2">{CELL}{CELL}</row>', "", (2, 2), f"cell B2: has no cell B2 that could be mended here. {HAND}"),
        (
            ROWS,
            "<mergeCells><mergeCell ref='a1:B2'/></mergeCells>",
            (2, 2),
            f"cell B2: is part of the merged cell A1:B2. Say that it is the value of each lot. {HAND}",
        ),
        (SHARED, "", (2, 2), f"cell B2: holds a formula that other cells share. {HAND}"),
    ],
)
def test_what_cannot_be_mended_is_said(rows: str, behind: str, spot: tuple[int, int], said: str) -> None:
    assert refused(worksheet(rows, behind), {spot: "7"}) == [f"own.xlsx, sheet S, {said}"]


def test_a_formula_that_is_shared_goes_with_all_that_share_it() -> None:
    made = mend(worksheet(SHARED), {(2, 2): "7", (2, 4): "8"})
    assert shown(made)[1] == ["0", "7", "", "8"]


def test_all_faults_are_told_at_once() -> None:
    said = refused(worksheet(), {(9, 1): "7", (2, 2): "x" * 40_000})
    assert said == [
        f"own.xlsx, sheet S, cell A9: has no cell A9 that could be mended here. {HAND}",
        "own.xlsx, sheet S, cell B2: cannot hold 40000 letters; a cell holds 32767. Shorten it.",
    ]


def test_a_letter_that_would_make_the_file_unreadable_is_refused() -> None:
    assert refused(worksheet(), {(2, 2): "a\x01b"}) == [
        "own.xlsx: is damaged or not a workbook. Open it, save it as XLSX and send that."
    ]


@pytest.mark.parametrize(
    ("sheet", "said"),
    [
        (worksheet().encode("utf-16"), f"is not written in UTF-8. {HAND}"),
        ("<?xml version='1.0' encoding='iso-8859-1'?>" + worksheet(), f"is not written in UTF-8. {HAND}"),
        ("<worksheet><sheetData>", "is damaged or not a workbook. Open it, save it as XLSX and send that."),
        (worksheet()[:-1] + " " * 30_000_000, "unpacks to more than 20 MB. Send the sheet with the lots alone."),
        ("<!DOCTYPE a>" + worksheet(), "declares entities, which no workbook needs. Open it, save it as XLSX and"),
    ],
)
def test_a_sheet_that_cannot_be_followed_is_refused(sheet: str | bytes, said: str) -> None:
    (sentence,) = refused(sheet, {(2, 2): "7"})
    assert sentence.startswith(f"own.xlsx: {said}")


@pytest.mark.parametrize("piece", ["<c ", "<!--", "<row r='2'><c>", "<c r=\"B2\"><c r='B2'/>", '"<', "<mergeCell "])
def test_a_sheet_made_to_hang_a_search_is_through_at_once(piece: str) -> None:
    """In time: the process that mends is ended after 20 s, which has a sentence of its own."""
    for sheet in (piece * 60_000, worksheet(ROWS, f"<t>{piece * 60_000}</t>")):
        (said,) = refused(sheet, {(2, 2): "7"})
        assert "is damaged or not a workbook" in said
    comment = f"<!--{piece.replace('--', '') * 60_000}-->"
    made = part(mend(worksheet(ROWS, comment), {(2, 2): "248"})).decode()
    assert made == worksheet(ROWS.replace(CELL, NUMBER), comment)


def test_a_sheet_that_is_not_there_is_said() -> None:
    with pytest.raises(Refused, match=r"own.xlsx, sheet T: has no sheet 'T'\. Mend it"):
        mended_workbook("own.xlsx", book(worksheet()), [(Address("own.xlsx", "T", 1, 1), "7")])
