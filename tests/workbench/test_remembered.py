"""What cannot be read of a stranger's certificate is chosen on its page, and remembered for the next one."""

from __future__ import annotations

import io
import re
from html import unescape
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from gristwright.files.certificates import map_folders, read_lots
from gristwright.reference.near_types import nearest
from gristwright.store.library import lot_records
from gristwright.store.models import CertificateFile, EnquiryRow, Remembered
from gristwright.workbench import certificates, home
from gristwright.workbench.changes import changes
from pages import field, words
from workbench.test_certificates import send

RYE = (
    "Lieferant: Erfundene Roggenmälzerei\n"
    "Charge;Sorte;Ernte;Wassergehalt [%];Extrakt Feinschrot wfr. [%];Viskosität [mPas];Glasigkeit [%]\n"
    "R-1;Roggenmalz hell;2025;5,2;86,4;3,85;4\nR-2;Hausroggen;2025;5,4;86,1;3,9;5\n"
)
RAW = (
    "batch,grain,crop,moisture,starch,DON\n"
    "G-1,winter rye,2025,13.5%,61.2% d.m.b,<50 ppb\nG-2,maize,2025,14%,70.5%,210\n"
)
SMOKED = (
    "lot,malt,moisture [%],smokiness,phenols [ppm]\nS-1,house smoke,4.9,strong,35\nS-2,peated malt,4.8,strong,52\n"
    "S-2,oak smoked malt,4.9,mild,1\n"
)


def french(harvest: int = 2025, lot: str = "F-1") -> bytes:
    """A workbook with titles above and headings in French."""
    heads = ("Nom", "Type", "Fournisseur", "Récolte", "Humidité (%)", "Extrait fin sec (%)", "Pouvoir diastasique")
    rows = (("Malterie Inventée",), ("Bulletin d'analyse",), (), heads,
            (lot, "Malt d'orge pâle", "Malterie Inventée", harvest, 4.4, 81.5, 255))  # fmt: skip
    raw = io.BytesIO()
    with xlsxwriter.Workbook(raw) as book:
        sheet = book.add_worksheet("Analyse")
        for number, row in enumerate(rows):
            sheet.write_row(number, 0, row)
    return raw.getvalue()


def say(desk: Client, file: CertificateFile, *said: tuple[str, str, str], **cells: str) -> Any:
    data = {name: [one[n] for one in said] for n, name in enumerate(("what", "heading", "means"))}
    return desk.post(f"/enquiries/{file.enquiry_id}/certificates/{file.pk}/mend/", {**data, **cells}, follow=True)


def newest() -> CertificateFile:
    file = CertificateFile.objects.first()
    assert file
    return file


def asked_of(page: Any) -> set[tuple[str, str]]:
    """What the page asks, by kind and word."""
    return {(ask.what, ask.word) for fault in page.context["sheet"].faults for ask in fault.asks if ask.id}


def leads_somewhere(page: Any) -> None:
    """Every fault has a link, and every link a field."""
    text = page.content.decode()
    table = text.split('<table class="faults">')[1].split("</table>")[0]
    links = re.findall(r'<th scope="row">(?:<a href="#([^"]*)">)?', table)
    assert all(links)
    assert "mend it in the file" not in table
    assert {unescape(link) for link in links} <= {unescape(found) for found in re.findall(r'\bid="([^"]*)"', text)}


def test_an_all_rye_house_with_words_of_its_own(desk: Client, asked: EnquiryRow) -> None:
    page = send(desk, asked, "roggen.csv", RYE.replace("Roggenmalz hell", "Kellerroggen").encode())
    leads_somewhere(page)
    assert ("heading", "Glasigkeit [%]") in asked_of(page)
    assert {("constant", "material"), ("heading", "Sorte")} <= asked_of(page)
    page = say(desk, newest(), ("heading", "Glasigkeit [%]", "-"), ("heading", "Sorte", "=material"))
    assert asked_of(page) == {("material", "Hausroggen"), ("material", "Kellerroggen")}
    leads_somewhere(page)
    page = say(desk, newest(), *(("material", word, "rye_malt") for word in ("Hausroggen", "Kellerroggen")))
    assert page.context["sheet"].sound
    told = [(change.what, change.verb, change.new) for change in changes(asked)]
    assert ("roggen.csv, type of malt Hausroggen", "explained", "rye malt") in told
    assert {lot.lot.material for lot in page.context["sheet"].lots} == {"rye_malt"}


def test_sorte_is_the_type_where_a_cell_of_it_names_one(desk: Client, asked: EnquiryRow) -> None:
    page = send(desk, asked, "roggen.csv", RYE.encode())
    assert asked_of(page) == {("heading", "Glasigkeit [%]"), ("material", "Hausroggen")}


def test_the_next_file_of_that_supplier_is_read_with_it(desk: Client, asked: EnquiryRow) -> None:
    send(desk, asked, "roggen.csv", RYE.encode())
    say(desk, newest(), ("heading", "Glasigkeit [%]", "-"), ("heading", "Sorte", "=material"))
    say(desk, newest(), ("material", "Hausroggen", "rye_malt"))
    page = send(desk, asked, "later.csv", RYE.replace("R-1", "R-3").replace("R-2", "R-4").encode())
    assert page.context["sheet"].sound
    told = words(page)
    assert "remembered of Erfundene Roggenmälzerei, 20" in told
    stranger = RYE.replace("Erfundene Roggenmälzerei", "Andere Mälzerei")
    assert not send(desk, asked, "stranger.csv", stranger.encode()).context["sheet"].sound


def test_a_french_workbook_with_titles_is_read_by_choosing(desk: Client, asked: EnquiryRow) -> None:
    page = send(desk, asked, "bulletin.xlsx", french())
    assert not page.context["sheet"].sound
    leads_somewhere(page)
    for _ in range(3):
        meant = {"Fournisseur": "=supplier", "Récolte": "=crop", "Humidité (%)": "moisture_pct %", "Nom": "=lot",
                 "Extrait fin sec (%)": "extract_fine_dry_pct %", "Pouvoir diastasique": "diastatic_power degWK",
                 "Malt d'orge pâle": "pale_distilling_malt"}  # fmt: skip
        page = say(desk, newest(), *((what, word, meant[word]) for what, word in asked_of(page) if word in meant))
    assert page.context["sheet"].sound, words(page)
    (lot,) = page.context["sheet"].lots
    assert (lot.lot.supplier, lot.lot.crop, lot.lot.material) == ("Malterie Inventée", 2025, "pale_distilling_malt")
    again = send(desk, asked, "bulletin 2.xlsx", french(2024, "F-2"))
    assert again.context["sheet"].sound
    assert again.context["sheet"].lots[0].lot.crop == 2024


def test_raw_grain_with_units_of_its_own_and_no_supplier(desk: Client, asked: EnquiryRow) -> None:
    page = send(desk, asked, "raw.csv", RAW.encode())
    leads_somewhere(page)
    assert asked_of(page) == {
        ("heading", "DON"),
        ("heading", "starch"),
        ("material", "winter rye"),
        ("material", "maize"),
    }
    heads = (("heading", "DON", "don_ug_per_kg ppb"), ("heading", "starch", "starch_dry_pct %"))
    page = say(desk, newest(), *heads, ("material", "winter rye", "raw_rye"), ("material", "maize", "raw_maize"))
    assert asked_of(page) == {("unit", "% d.m.b")}
    leads_somewhere(page)
    page = say(desk, newest(), ("unit", "% d.m.b", "%"))
    sheet = page.context["sheet"]
    assert sheet.sound, words(page)
    assert [lot.lot.analysis("starch_dry_pct").value for lot in sheet.lots] == [61.2, 70.5]
    assert "61.2% d.m.b" in page.content.decode()
    assert Remembered.objects.get(what="unit").supplier.startswith("files headed batch, grain, crop")
    assert send(desk, asked, "raw 2.csv", RAW.replace("G-", "H-").encode()).context["sheet"].sound


def test_smoked_malts_and_two_lots_of_one_name(desk: Client, asked: EnquiryRow) -> None:
    page = send(desk, asked, "smoked.csv", SMOKED.encode())
    leads_somewhere(page)
    assert ("material", "house smoke") in asked_of(page)
    twin = next(fault for fault in page.context["sheet"].faults if "is named again" in fault.problem.what)
    assert twin.text == "S-2"
    meant = (("material", "house smoke", "beech_smoked_malt"), ("heading", "smokiness", "-"))
    page = say(desk, newest(), *meant, **{f"cell.{twin.place.key}": "S-3", f"was.{twin.place.key}": "S-2"})
    assert page.context["sheet"].sound, words(page)
    assert [lot.lot.lot_id for lot in page.context["sheet"].lots] == ["S-1", "S-2", "S-3"]


def test_lots_without_a_name_or_a_type_are_given_both(desk: Client, asked: EnquiryRow) -> None:
    page = send(desk, asked, "bare.csv", b"moisture [%],extract fine dry [%]\n4.5,81.0\n4.6,81.2\n")
    leads_somewhere(page)
    names = sorted(word for what, word in asked_of(page) if what == "line" and word.startswith("lot:"))
    assert len(names) == 2
    said = [("line", word, f"B-{n}") for n, word in enumerate(names)]
    page = say(desk, newest(), *said, ("constant", "material", "pale_distilling_malt"))
    assert page.context["sheet"].sound, words(page)
    assert [lot.lot.lot_id for lot in page.context["sheet"].lots] == ["B-0", "B-1"]


def test_a_delivery_that_stands_twice_is_left_out_or_told_apart(desk: Client, asked: EnquiryRow) -> None:
    twice = "lot,material,supplier,lot number,crop,moisture [%]\nA,rye malt,S,1,2025,4.4\nB,rye malt,S,1,2025,4.4\n"
    page = send(desk, asked, "twice.csv", twice.encode())
    leads_somewhere(page)
    assert asked_of(page) == {("line", "line:3:")}
    (fault,) = page.context["sheet"].faults
    assert fault.text == "1"
    page = say(desk, newest(), ("line", "line:3:", "-"))
    assert [lot.lot.lot_id for lot in page.context["sheet"].lots] == ["A"]
    assert page.context["sheet"].sound
    assert "what stands in line 3" in words(page)


def test_a_line_of_units_that_is_none_is_left_out(desk: Client, asked: EnquiryRow) -> None:
    table = b"lot,material,moisture,extract fine\n,,%,of dry things\nA,rye malt,4.4,84\n"
    page = send(desk, asked, "units.csv", table)
    leads_somewhere(page)
    heads = (("heading", "moisture", "moisture_pct %"), ("heading", "extract fine", "extract_fine_dry_pct %"))
    page = say(desk, newest(), *heads, ("line", "line:2:", "-"))
    assert page.context["sheet"].sound, words(page)


def test_a_merged_cell_is_the_value_of_each_lot_when_somebody_says_so(desk: Client, asked: EnquiryRow) -> None:
    raw = io.BytesIO()
    with xlsxwriter.Workbook(raw) as book:
        sheet = book.add_worksheet("A")
        sheet.write_row(0, 0, ["lot", "material", "moisture [%]", "extract fine dry [%]"])
        sheet.merge_range(1, 2, 2, 2, 4.6)
        for row, lot in enumerate("AB", start=1):
            sheet.write_row(row, 0, [lot, "rye malt"])
            sheet.write(row, 3, 84)
    page = send(desk, asked, "merged.xlsx", raw.getvalue())
    leads_somewhere(page)
    assert asked_of(page) == {("merged", "3:3:A")}
    refused = say(desk, newest(), **{"cell.3:3:A": "4.7", "was.3:3:A": "4.6"})
    assert "is part of the merged cell C2:C3. Say that it is the value of each lot." in words(refused)
    page = say(desk, newest(), ("merged", "3:3:A", "each"))
    assert page.context["sheet"].sound, words(page)
    assert [lot.lot.analyses[0].value for lot in page.context["sheet"].lots] == [4.6, 4.6]


def test_several_files_are_sent_at_once_and_one_explanation_serves_all(desk: Client, asked: EnquiryRow) -> None:
    files = [SimpleUploadedFile(f"{n}.csv", RYE.replace("R-", f"{n}-").encode()) for n in "abc"]
    page = desk.post(f"/enquiries/{asked.pk}/certificates/send/", {"file": files}, follow=True)
    assert words(page).count("2 faults") == 3
    file = CertificateFile.objects.get(name="b.csv")
    say(desk, file, ("heading", "Glasigkeit [%]", "-"), ("heading", "Sorte", "=material"))
    say(desk, file, ("material", "Hausroggen", "rye_malt"))
    page = desk.get(f"/enquiries/{asked.pk}/certificates/")
    assert [str(one.standing) for one in page.context["files"]] == ["waiting"] * 3
    desk.post(f"/enquiries/{asked.pk}/certificates/{file.pk}/take/")
    assert words(desk.get(f"/enquiries/{asked.pk}/certificates/")).count("taken over") == 1


def test_of_several_files_the_good_ones_are_kept(desk: Client, asked: EnquiryRow) -> None:
    files = [SimpleUploadedFile("good.csv", RYE.encode()), SimpleUploadedFile("bad.exe", b"MZ")]
    page = desk.post(f"/enquiries/{asked.pk}/certificates/send/", {"file": files})
    assert "is not a table we read" in words(page)
    assert [file.name for file in CertificateFile.objects.all()] == ["good.csv"]
    assert "good.csv was kept." in words(page)


def test_what_is_remembered_is_changed_and_deleted(desk: Client, asked: EnquiryRow) -> None:
    send(desk, asked, "roggen.csv", RYE.encode())
    say(desk, newest(), ("heading", "Glasigkeit [%]", "-"), ("heading", "Sorte", "=material"))
    address = f"/enquiries/{asked.pk}/certificates/remembered/"
    assert "Erfundene Roggenmälzerei" in words(desk.get(address))
    first, second = Remembered.objects.order_by("word")
    done = desk.post(address, {f"means.{first.pk}": "moisture_pct %", "delete": [str(second.pk)]}, follow=True)
    assert "“Sorte” as the type of malt or grain deleted." in words(done)
    assert "“Glasigkeit [%]” is Moisture [%] from now on, not nothing: leave it out." in words(done)
    assert Remembered.objects.get().means == "moisture_pct %"
    desk.post(address, {f"means.{first.pk}": "no such field"})
    assert Remembered.objects.get().means == "moisture_pct %"


def test_what_was_said_is_taken_back_and_forgotten(desk: Client, asked: EnquiryRow) -> None:
    send(desk, asked, "roggen.csv", RYE.encode())
    say(desk, newest(), ("heading", "Glasigkeit [%]", "-"))
    page = say(desk, newest(), ("heading", "Glasigkeit [%]", "?"))
    assert ("heading", "Glasigkeit [%]") in asked_of(page)
    assert not Remembered.objects.exists()


def test_methods_and_a_supplier_that_the_file_does_not_say_are_remembered(desk: Client, asked: EnquiryRow) -> None:
    table = "lot,material,moisture [%],phenols [ppm]\n{},peated malt,4.8,52\n"
    page = send(desk, asked, "one.csv", table.format("P-1").encode())
    assert "does not say its method" in words(page)
    field(page, "unsaid-supplier")
    page = say(desk, newest(), ("method", "phenols [ppm]", "HPLC"), ("constant", "supplier", "Invented Peat Malting"))
    (lot,) = page.context["sheet"].lots
    assert (lot.lot.supplier, lot.lot.analyses[1].method) == ("Invented Peat Malting", "HPLC")
    assert "does not say its method" not in words(page)
    assert 'value="HPLC"' in field(page, "method-2")
    page = send(desk, asked, "two.csv", table.format("P-2").encode())
    assert page.context["sheet"].lots[0].lot.supplier == "Invented Peat Malting"
    assert page.context["sheet"].lots[0].lot.analyses[1].method == "HPLC"
    page = say(desk, newest(), ("method", "phenols [ppm]", ""), ("method", "moisture [%]", ""))
    assert page.context["sheet"].lots[0].lot.analyses[1].method == ""
    assert not Remembered.objects.filter(what="method").exists()
    refused = say(desk, newest(), ("constant", "supplier", "Peat \U0001f33e"))
    assert refused.status_code == 422
    assert "cannot show" in words(refused)


@pytest.mark.parametrize(
    ("word", "near"),
    [
        ("Malt d'orge pâle", []),
        ("plae distilling malt", ["pale_distilling_malt"]),
        ("house rye", ["rye_malt"]),
        ("Rauchmalz", ["beech_smoked_malt", "oak_smoked_malt"]),
        ("karamell rye", ["caramel_rye_malt"]),
    ],
)
def test_near_types_stand_first(word: str, near: list[str]) -> None:
    assert set(near) <= set(nearest(word))


def test_nothing_odd_that_is_sent_is_kept(desk: Client, asked: EnquiryRow) -> None:
    send(desk, asked, "roggen.csv", RYE.encode())
    odd = [("heading", "Sorte", "=password"), ("material", "Hausroggen", "no_type"), ("odd", "x", "y")]
    say(desk, newest(), *odd, ("line", "colour:3:", "x"))
    assert newest().headings == []
    assert certificates.read(newest()).faults
    assert lot_records(asked)


def test_what_is_remembered_reads_the_same_file_at_the_terminal(
    desk: Client, asked: EnquiryRow, tmp_path: Path
) -> None:
    send(desk, asked, "roggen.csv", RYE.encode())
    say(desk, newest(), ("heading", "Glasigkeit [%]", "-"), ("material", "Hausroggen", "rye_malt"))
    path = tmp_path / "roggen.csv"
    path.write_text(RYE, encoding="utf-8")
    assert [found.name for found in (home.folder() / "maps" / "desk").iterdir()] == ["erfundene-roggenmälzerei.toml"]
    (first, second) = read_lots(path, folders=map_folders(path)).accepted()
    assert (first.material, second.material) == ("rye_malt", "rye_malt")
    desk.post(
        f"/enquiries/{asked.pk}/certificates/remembered/", {"delete": [row.pk for row in Remembered.objects.all()]}
    )
    assert not list((home.folder() / "maps" / "desk").iterdir())


def test_a_map_in_the_data_folder_is_put_to_a_file_sent(desk: Client, asked: EnquiryRow) -> None:
    folder = home.folder() / "maps"
    folder.mkdir(exist_ok=True)
    text = 'format = "gristwright.map/1"\nignore = ["Glasigkeit [%]"]\n[materials]\n"Hausroggen" = "rye_malt"\n'
    (folder / "Erfundene Roggenmälzerei.toml").write_text(text, encoding="utf-8")
    page = send(desk, asked, "roggen.csv", RYE.encode())
    assert page.context["sheet"].sound
    assert "remembered of maps/Erfundene Roggenmälzerei.toml" in words(page)


def test_the_factor_of_protein_is_chosen(desk: Client, asked: EnquiryRow) -> None:
    sheet = "lot,type,total nitrogen dry [%],protein dry [%]\nW-1,wheat malt,2.1,11.97\n"
    page = send(desk, asked, "wheat.csv", sheet.encode())
    leads_somewhere(page)
    assert asked_of(page) == {("method", "protein dry [%]")}
    page = say(desk, newest(), ("method", "protein dry [%]", "N x 5.7"), ("method", "protein dry [%]", ""))
    assert page.context["sheet"].sound
    (lot,) = page.context["sheet"].lots
    assert [line.stands for line in lot.lines if line.field == "protein_dry_pct"] == ["read"]
