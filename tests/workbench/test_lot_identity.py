"""What a lot is known by goes with it: from its file to the record, the store, the list taken away, and back."""

from __future__ import annotations

import csv
import dataclasses
import hashlib
import itertools
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter
from django.test import Client

from gristwright.basics import Address
from gristwright.files.certificates import lots_table, read_lots
from gristwright.records.lot import Analysis, Lot, LotIdentity
from gristwright.stages.grist.certificate_units import AS_HCN, fields
from gristwright.store.library import lot_records, save_lots
from gristwright.store.mapping import save_enquiry
from gristwright.store.models import EnquiryRow
from pages import words
from scenario import FOLDER, enquiry, lots

# Two laboratories with methods of their own, a supplier that a spreadsheet would run, a lot that says little.
TABLE: tuple[tuple[Any, ...], ...] = (
    ("lot", "material", "supplier", "lot number", "crop", "moisture [%]", "extract fine dry [%]",
     "extract fine dry [%]", "diastatic power [degWK]", "glycosidic nitrile (as HCN) [mg/kg]"),
    ("method", "", "", "", "", "3 h at 105 °C", "EBC 4.5.1, fine", "own; 0.2 mm", "", ""),
    ("PD-1", "pale_distilling_malt", "=An Example Maltings", "24-0711", 2025, 4.6, 81.6, "", 262, 0.05),
    ("PD-2", "pale_distilling_malt", "Another, of Example", "1", 2024, 4.65, "", 80.95, 251.5, ""),
    ("PD-3", "pale_distilling_malt", "", "", "", 4.123456789, "", "", "", ""),
)  # fmt: skip


def sheet(folder: Path) -> Path:
    path = folder / "certificates.xlsx"
    with xlsxwriter.Workbook(path, {"strings_to_formulas": False}) as book:
        page = book.add_worksheet("Lots")
        for number, row in enumerate(TABLE):
            page.write_row(number, 0, row)
    return path


def taken_away(desk: Client, asked: EnquiryRow, folder: Path) -> Path:
    path = folder / "lots.csv"
    path.write_bytes(desk.get(f"/enquiries/{asked.pk}/lots.csv").content)
    return path


def plain(lot: Lot) -> dict[str, Any]:
    """Every field of a lot and of its figures, but where it stands: that is another file each time."""
    kept = {f.name: getattr(lot, f.name) for f in dataclasses.fields(Lot) if f.name not in ("where", "analyses")}
    figures = [
        {f.name: getattr(a, f.name) for f in dataclasses.fields(Analysis) if f.name != "where"} for a in lot.analyses
    ]
    return {**kept, "analyses": sorted(figures, key=lambda figure: (figure["field"], figure["unit"], figure["basis"]))}


def test_the_lots_of_this_test_say_something_in_every_field(tmp_path: Path) -> None:
    found = read_lots(sheet(tmp_path)).accepted()
    for kind, records in ((Lot, found), (Analysis, [a for lot in found for a in lot.analyses])):
        for field in dataclasses.fields(kind):
            said = {repr(getattr(record, field.name)) for record in records}
            silent = {repr(field.default), "''", "None", "()"}
            # Everything read from a certificate was measured.
            assert said - silent or field.name == "standing", f"{kind.__name__}.{field.name}"


def test_a_lot_comes_back_from_file_record_store_and_list_with_every_field(
    desk: Client, asked: EnquiryRow, tmp_path: Path
) -> None:
    path = sheet(tmp_path)
    first = read_lots(path).accepted()
    assert {lot.certificate for lot in first} == {hashlib.sha256(path.read_bytes()).hexdigest()}
    save_lots(asked, first)
    assert lot_records(asked) == first
    back = read_lots(taken_away(desk, asked, tmp_path)).accepted()
    assert [plain(lot) for lot in back] == [plain(lot) for lot in first]
    assert [lot.identity for lot in back] == [lot.identity for lot in first]
    # The list says of each lot where it stands in the list.
    assert [lot.where for lot in back] == [Address("lots.csv", row=row) for row in (3, 4, 5)]
    again = save_enquiry(enquiry(), back)
    assert [plain(lot) for lot in lot_records(again)] == [plain(lot) for lot in first]


def test_the_list_of_the_example_comes_back_too(desk: Client, asked: EnquiryRow, tmp_path: Path) -> None:
    back = read_lots(taken_away(desk, asked, tmp_path)).accepted()
    assert [plain(lot) for lot in back] == [plain(lot) for lot in lots()]


def test_two_certificates_of_one_delivery_come_back_too(desk: Client, asked: EnquiryRow, tmp_path: Path) -> None:
    first = lots()[0]
    again = dataclasses.replace(first, lot_id="PD-1 again", certificate="0" * 64)
    save_lots(asked, (first, again))
    assert [plain(lot) for lot in read_lots(taken_away(desk, asked, tmp_path)).accepted()] == [
        plain(first),
        plain(again),
    ]
    one = dataclasses.replace(again, certificate=first.certificate)
    save_lots(asked, (first, one))
    (fault,) = read_lots(taken_away(desk, asked, tmp_path)).problems
    assert "supplier, lot number and crop are those of lots.csv, row 2" in fault.sentence()


@pytest.mark.parametrize("kind", ["csv", "toml"])
def test_another_file_may_say_which_certificate_a_lot_came_in(tmp_path: Path, kind: str) -> None:
    digest = "AB" * 32
    text = f"lot,material,certificate SHA-256,moisture [%]\nA-1,pale_distilling_malt,{digest},4.6\n"
    if kind == "toml":
        text = f"""format = "gristwright.lots/1"
[[lot]]
lot = "A-1"
material = "pale_distilling_malt"
certificate_sha_256 = "{digest}"
analyses = {{"moisture [%]" = 4.6}}
"""
    path = tmp_path / f"lots.{kind}"
    path.write_text(text, encoding="utf-8")
    assert [lot.certificate for lot in read_lots(path).accepted()] == [digest.lower()]
    path.write_text(text.replace(digest, "AB12"), encoding="utf-8")
    (fault,) = read_lots(path).problems
    assert "'AB12' is no SHA-256. Give its 64 hexadecimal digits" in fault.sentence()
    assert fault.address.column == 3 or fault.address.path == ("lot", 1, "certificate sha 256")


# The 0.7 mm mash as is and on dry basis are two fields: the one on the basis of the other is that other.
OTHERS = (("extract_asis_pct", "dry"), ("extract_07mm_dry_pct", "as is"))


@pytest.mark.parametrize("name", fields())
def test_every_field_has_a_heading_in_each_of_its_units_and_on_every_basis(tmp_path: Path, name: str) -> None:
    field = fields()[name]
    bases = [*([] if field.needs_basis else [""]), *(["dry", "as is"] if field.basis else [])]
    bases = [basis for basis in bases if (name, basis) not in OTHERS]
    bases += [AS_HCN, "as glycoside"] if name == "glycosidic_nitrile_g_per_t" else []
    value = max(field.least, min(field.most, 1.0))
    for unit, basis in itertools.product(field.units, bases):
        asked = Analysis(name, value, unit, basis, "own")
        path = tmp_path / "one.csv"
        with path.open("w", encoding="utf-8", newline="") as stream:
            csv.writer(stream).writerows(lots_table([Lot("A-1", "pale_distilling_malt", analyses=(asked,))]))
        (lot,) = read_lots(path).value or ()
        found = [(a.field, a.unit, a.basis, a.method, a.value) for a in lot.analyses]
        assert found == [(name, unit, basis, "own", value)], (unit, basis)


def test_the_bill_page_says_which_lots_it_speaks_of(desk: Client, asked: EnquiryRow) -> None:
    text = words(desk.get(f"/enquiries/{asked.pk}/"))
    table = text.split("The lots")[1].split("The boards")[0]
    for lot in lots()[:1]:
        assert [part in table for part in (lot.lot_id, lot.supplier, lot.lot_number, str(lot.crop))] == [True] * 4
        assert "Pale distilling malt" in table
        assert lot.identity.short in table


def test_an_identity_is_one_tuple() -> None:
    lot = lots()[0]
    assert lot.identity == LotIdentity(lot.supplier, lot.lot_number, lot.crop, lot.material, lot.certificate)
    assert lot.identity.delivery == (lot.supplier, lot.lot_number, lot.crop)
    assert lot.certificate == hashlib.sha256((FOLDER / "lots.csv").read_bytes()).hexdigest()
