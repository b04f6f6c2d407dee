"""Certificates: faults cell by cell, mended here or in the file, and never half taken over."""

from __future__ import annotations

import io
import time
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import xlsxwriter
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from gristwright.basics import Address, Refused
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.csv_out import safe
from gristwright.store.library import lot_records
from gristwright.store.models import CertificateFile, EnquiryRow
from gristwright.workbench import certificates, taking
from gristwright.workbench.explaining import Explained
from gristwright.workbench.mending import Place, Typed, mended, place_in, sheets_of, text_at
from scenario import lots

HEAD = ("lot", "material", "moisture [%]", "extract fine dry [%]", "diastatic power [degWK]")
ROWS = (("PD-1", "pale_distilling_malt", 4.6, 81.6, 262), ("PD-9", "pale_distilling_malt", 4.9, 80.5, "24B"))
CSV = "\n".join(",".join(map(str, row)) for row in (HEAD, *ROWS)).encode()


def workbook() -> bytes:
    """The same lots as XLSX, with a formula whose value is stored."""
    raw = io.BytesIO()
    with xlsxwriter.Workbook(raw) as book:
        sheet = book.add_worksheet("Lots & more")
        for number, row in enumerate((HEAD, *ROWS)):
            sheet.write_row(number, 0, row)
        sheet.write_formula(1, 3, "=80+1.6", None, 81.6)
    return raw.getvalue()


def send(desk: Client, asked: EnquiryRow, name: str, content: bytes) -> Any:
    data = {"file": SimpleUploadedFile(name, content)}
    return desk.post(f"/enquiries/{asked.pk}/certificates/send/", data, follow=True)


@pytest.mark.parametrize(("name", "content"), [("new.csv", CSV), ("new.xlsx", workbook())])
def test_a_fault_is_mended_and_the_lots_are_taken_over(
    desk: Client, asked: EnquiryRow, name: str, content: bytes
) -> None:
    page = send(desk, asked, name, content)
    (fault,) = page.context["sheet"].faults
    assert fault.text == "24B"
    file = CertificateFile.objects.get()
    address = f"/enquiries/{asked.pk}/certificates/{file.pk}/"
    assert desk.post(f"{address}take/").status_code == 422
    assert lot_records(asked) == lots()
    assert (
        "Take these lots over"
        in desk.post(f"{address}mend/", {f"cell.{fault.place.key}": "248"}, follow=True).content.decode()
    )
    desk.post(f"{address}take/", {"how.PD-1": "replace PD-1"})
    taken = lot_records(asked)
    assert [lot.lot_id for lot in taken] == [*(lot.lot_id for lot in lots()), "PD-9"]
    assert taken[0].analyses[0].value == 4.6
    assert taken[-1].analyses[-1].value == 248.0
    file.refresh_from_db()
    assert bytes(file.received) == content
    assert [(m["from"], m["to"], m["who"]) for m in file.mends] == [("24B", "248", "A.Example")]
    assert asked.offered.filter(named__name="PD-9", price_per_t=None).exists()


def test_the_mended_file_reads_the_same_on_the_command_line(tmp_path: Path) -> None:
    for name, content, sheet in (("new.csv", CSV, ""), ("new.xlsx", workbook(), "Lots & more")):
        path = tmp_path / name
        path.write_bytes(mended(name, content, Place(sheet, 3, 5), "248"))
        found = read_lots(path).accepted()
        assert [[a.value for a in lot.analyses] for lot in found] == [[4.6, 81.6, 262.0], [4.9, 80.5, 248.0]]


def test_a_mended_workbook_is_still_one(tmp_path: Path) -> None:
    raw = mended("new.xlsx", workbook(), Place("Lots & more", 3, 5), '<b> & "c"')
    book = openpyxl.load_workbook(io.BytesIO(raw))
    assert book["Lots & more"]["E3"].value == '<b> & "c"'
    assert book["Lots & more"]["D2"].value == "=80+1.6"
    assert zipfile.ZipFile(io.BytesIO(raw)).testzip() is None


def test_an_empty_cell_in_a_row_can_be_filled() -> None:
    raw = mended("new.xlsx", workbook(), Place("Lots & more", 3, 7), "12.5")
    assert text_at(sheets_of("new.xlsx", raw), Place("Lots & more", 3, 7)) == "12.5"
    with pytest.raises(Refused, match="Mend it in a spreadsheet program"):
        mended("new.xlsx", workbook(), Place("Lots & more", 40, 1), "x")


def written_otherwise(old: str, new: str) -> bytes:
    """The workbook with a piece of its sheet's XML as other programs write it."""
    raw = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook())) as before, zipfile.ZipFile(raw, "w") as after:
        for part in before.infolist():
            data = before.read(part)
            if part.filename == "xl/worksheets/sheet1.xml":
                assert old.encode() in data
                data = data.replace(old.encode(), new.encode())
            after.writestr(part.filename, data)
    return raw.getvalue()


def test_a_cell_in_single_quotes_is_mended_and_not_doubled() -> None:
    raw = mended("new.xlsx", written_otherwise('r="E3"', "r='E3'"), Place("Lots & more", 3, 5), "248")
    assert text_at(sheets_of("new.xlsx", raw), Place("Lots & more", 3, 5)) == "248"
    with zipfile.ZipFile(io.BytesIO(raw)) as book:
        xml = book.read("xl/worksheets/sheet1.xml").decode().replace("'", '"')
        assert xml.count('r="E3"') == 1


def test_a_cell_that_does_not_say_where_it_stands_is_mended_where_it_is_counted_to() -> None:
    raw = written_otherwise(' r="E3"', "")
    assert text_at(sheets_of("new.xlsx", raw), Place("Lots & more", 3, 5)) == "24B"
    before = sheets_of("new.xlsx", raw)[0].cells
    after = sheets_of("new.xlsx", mended("new.xlsx", raw, Place("Lots & more", 3, 5), "248"))[0].cells
    assert [[cell.text for cell in row] for row in after] == [
        ["248" if cell.text == "24B" else cell.text for cell in row] for row in before
    ]


def file_of(asked: EnquiryRow, content: bytes = CSV) -> CertificateFile:
    return certificates.receive(asked, "new.csv", content, asked.owner)


@pytest.mark.parametrize(("name", "content"), [("new.csv", CSV), ("new.xlsx", workbook())])
def test_what_another_mended_meanwhile_is_kept(asked: EnquiryRow, name: str, content: bytes) -> None:
    file = certificates.receive(asked, name, content, asked.owner)
    one, other = CertificateFile.objects.get(pk=file.pk), CertificateFile.objects.get(pk=file.pk)
    sheet = "Lots & more" if name.endswith("x") else ""
    certificates.mend(one, {Place(sheet, 3, 5): Typed("248", "24B")}, "B.Example")
    certificates.mend(other, {Place(sheet, 3, 3): Typed("4.8", "4.9")}, "C.Example", [Explained("heading", "odd", "-")])
    file.refresh_from_db()
    sheets = sheets_of(name, bytes(file.content))
    assert [text_at(sheets, Place(sheet, 3, column)) for column in (3, 5)] == ["4.8", "248"]
    assert [(mend["who"], mend["to"]) for mend in file.mends] == [("B.Example", "248"), ("C.Example", "4.8")]
    (line,) = file.headings
    assert (line["what"], line["heading"], line["means"], line["who"]) == ("heading", "odd", "-", "C.Example")


def test_lots_are_taken_over_from_the_file_as_it_stands(asked: EnquiryRow) -> None:
    seen = file_of(asked)
    certificates.mend(file_of(asked), {}, "B.Example")
    certificates.mend(CertificateFile.objects.get(pk=seen.pk), {Place("", 3, 5): Typed("248")}, "B.Example")
    new = [lot.lot_id for lot in certificates.lots_in(CertificateFile.objects.get(pk=seen.pk))]
    taking.add(seen, {"how.PD-1": "replace PD-1"}, "B.Example")
    taken = {lot.lot_id: lot for lot in lot_records(asked)}
    assert taken[new[1]].analyses[-1].value == 248.0
    seen.refresh_from_db()
    assert b"248" in bytes(seen.content)
    assert len(seen.mends) == 1


def test_a_cell_that_another_mended_is_not_mended_back(desk: Client, asked: EnquiryRow) -> None:
    """The form sends every cell it showed; only what the person changed counts."""
    two = CSV.replace(b"4.6", b"4.6x")
    send(desk, asked, "new.csv", two)
    file = CertificateFile.objects.get()
    address = f"/enquiries/{asked.pk}/certificates/{file.pk}/mend/"
    shown = {"cell.2:3:": "4.6x", "was.2:3:": "4.6x", "cell.3:5:": "24B", "was.3:5:": "24B"}
    desk.post(address, {**shown, "cell.3:5:": "248"})
    desk.post(address, {**shown, "cell.2:3:": "4.6"})
    page = desk.post(address, {**shown, "cell.3:5:": "250", "cell.2:3:": "4.7"}, follow=True)
    file.refresh_from_db()
    assert [mend["to"] for mend in file.mends] == ["248", "4.6"]
    told = [str(message) for message in page.context["messages"]][-3:]
    assert told[0] == "Nothing was changed."
    assert told[1].startswith("new.csv, row 2, column 3: was mended to '4.6' by A.Example meanwhile, so your '4.7' was")
    assert "'248'" in told[2]


def test_of_two_fields_for_one_cell_the_changed_one_counts(desk: Client, asked: EnquiryRow) -> None:
    send(desk, asked, "new.csv", CSV)
    file = CertificateFile.objects.get()
    both = {"cell.3:5:": ["248", "24B"], "was.3:5:": ["24B", "24B"]}
    desk.post(f"/enquiries/{asked.pk}/certificates/{file.pk}/mend/", both)
    file.refresh_from_db()
    assert [mend["to"] for mend in file.mends] == ["248"]


def test_a_cell_of_two_lines_that_nobody_touched_is_no_change(desk: Client, asked: EnquiryRow) -> None:
    """A field of one line gives the text back without its line break, a hidden one with another."""
    send(desk, asked, "new.csv", CSV.replace(b"24B", b'"24\nB"'))
    file = CertificateFile.objects.get()
    form = {"cell.3:5:": "24B", "was.3:5:": "24\r\nB"}
    desk.post(f"/enquiries/{asked.pk}/certificates/{file.pk}/mend/", form)
    file.refresh_from_db()
    assert file.mends == []
    desk.post(f"/enquiries/{asked.pk}/certificates/{file.pk}/mend/", {**form, "cell.3:5:": "248"})
    file.refresh_from_db()
    assert [(mend["from"], mend["to"]) for mend in file.mends] == [("24\nB", "248")]


def test_six_hundred_faults_fit_into_one_form(desk: Client, asked: EnquiryRow) -> None:
    rows = "\n".join(f"L-{n},pale_distilling_malt,4.6,81,{n}B" for n in range(600))
    page = send(desk, asked, "new.csv", (",".join(HEAD) + "\n" + rows).encode())
    faults = page.context["sheet"].faults
    file = CertificateFile.objects.get()
    form = {f"cell.{fault.place.key}": "250" for fault in faults}
    form |= {f"was.{fault.place.key}": fault.text for fault in faults}
    desk.post(f"/enquiries/{asked.pk}/certificates/{file.pk}/mend/", form)
    file.refresh_from_db()
    assert len(file.mends) == 600


def test_a_cell_is_found_by_address_by_column_or_by_heading() -> None:
    sheets = sheets_of("new.csv", CSV)
    assert place_in(Address("new.xlsx", "Lots & more", 12, 28), []) == Place("Lots & more", 12, 28)
    assert place_in(Address("new.csv", row=3, column=5), sheets) == Place("", 3, 5)
    assert place_in(Address("new.csv", row=3, path=("Diastatic  power [degWK]",)), sheets) == Place("", 3, 5)
    assert place_in(Address("new.csv", row=3, path=("no such heading",)), sheets) is None
    assert place_in(Address("new.csv"), sheets) is None


def test_a_heading_nobody_knows_is_explained(desk: Client, asked: EnquiryRow) -> None:
    odd = CSV.replace(b"24B", b"248").replace(b"moisture [%]", b"wetness of ours")
    sheet = send(desk, asked, "odd.csv", odd).context["sheet"]
    assert sheet.unknown == ("wetness of ours",)
    file = CertificateFile.objects.get()
    said = {"heading": "wetness of ours", "means": "moisture_pct %"}
    page = desk.post(f"/enquiries/{asked.pk}/certificates/{file.pk}/mend/", said, follow=True)
    assert page.context["sheet"].sound
    assert page.context["sheet"].lots[0].lot.analysis("moisture_pct").value == 4.6


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("lots.exe", b"MZ", "is not a table we read"),
        ("lots.xlsx", b"%PDF-1.7", "is a PDF, not a table"),
        ("lots.csv", b"", "is empty"),
        ("lots.csv", b"a," * 1_500_000, "is larger than 2 MB"),
    ],
)
def test_what_is_no_table_is_not_kept(desk: Client, asked: EnquiryRow, name: str, content: bytes, said: str) -> None:
    answer = send(desk, asked, name, content)
    assert answer.status_code == 422 or said == "is empty"
    assert said in answer.content.decode() or "empty" in answer.content.decode()
    assert not CertificateFile.objects.exists()


def test_a_workbook_that_swells_is_refused(desk: Client, asked: EnquiryRow) -> None:
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w", zipfile.ZIP_DEFLATED) as book:
        book.writestr("xl/workbook.xml", "<workbook/>")
        book.writestr("xl/worksheets/sheet1.xml", b"0" * 30_000_000)
    assert "unpacks to more than 20 MB" in send(desk, asked, "lots.xlsx", raw.getvalue()).content.decode()
    assert not CertificateFile.objects.exists()


def test_a_file_of_another_enquiry_is_not_here(desk: Client, asked: EnquiryRow) -> None:
    send(desk, asked, "new.csv", CSV)
    other = EnquiryRow.objects.create(title="another")
    file = CertificateFile.objects.get()
    assert desk.get(f"/enquiries/{other.pk}/certificates/{file.pk}/").status_code == 404


def test_lots_taken_away_can_be_read_in_again(desk: Client, asked: EnquiryRow, tmp_path: Path) -> None:
    path = tmp_path / "lots.csv"
    path.write_bytes(desk.get(f"/enquiries/{asked.pk}/lots.csv").content)
    back = read_lots(path).accepted()
    values = [{a.field: (a.value, a.unit) for a in lot.analyses} for lot in back]
    assert values == [{a.field: (a.value, a.unit) for a in lot.analyses} for lot in lots()]


@pytest.mark.parametrize("text", ["=1+1", "+1+1", "-a", "@SUM(A1)", "＝1+1", " =1", "'=1"])
def test_text_that_a_spreadsheet_would_run_is_written_as_text(text: str) -> None:
    assert safe(text) == f"'{text}"


@pytest.mark.parametrize("cell", ["PD-1", "", -1.5, 0, None, "a=b", "-1", "+4.6", "-1,5 %", "-2e-05", "'tis"])
def test_other_cells_stay_as_they_are(cell: object) -> None:
    assert safe(cell) == cell


def seconds(desk: Client, address: str) -> float:
    began = time.perf_counter()
    desk.get(address)
    return time.perf_counter() - began


def test_thirty_lots_stand_in_one_table_and_are_soon_there(
    desk: Client, asked: EnquiryRow, django_assert_max_num_queries: Any
) -> None:
    rows = "".join(f"L-{n},rye_malt,Invented Rye,{n},2025,5.{n % 10},86.{n % 10},3.{n % 10}\n" for n in range(30))
    heads = "lot,material,supplier,lot number,crop,moisture [%],extract fine dry [%],viscosity [mPas]\n"
    file = certificates.receive(asked, "thirty.csv", (heads + rows).encode(), asked.owner)
    taking.add(file, {}, "A.Example")
    address = f"/enquiries/{asked.pk}/certificates/"
    with django_assert_max_num_queries(12):
        page = desk.get(address)
    assert min(seconds(desk, address) for _ in range(4)) < 0.3
    assert len(page.context["lots"]) == 34
    line = next(lot for lot in page.context["lots"] if lot.known.lot == "L-7")
    assert line.values == ("5.7 %", "86.7 % dry, fine", "–", "–")
    assert 'id="lot-L-7"' in page.content.decode()
