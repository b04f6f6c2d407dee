"""A fault at the desk stands in the words of its page and leads to its own field."""

from __future__ import annotations

import dataclasses
import io
from typing import Any

import pytest
import xlsxwriter
from django.test import Client

from gristwright.basics import Address, Problem, at
from gristwright.records.cask import CaskKind
from gristwright.records.enquiry import CaskPlan
from gristwright.records.plant import ColumnDoubler, CookerPlan, MashPlan, Plant, PotStills
from gristwright.records.washbacks import Washbacks
from gristwright.store.models import CertificateFile, EnquiryRow, OfferedLot
from gristwright.workbench import faults
from pages import field, link_of, words
from versions import plant
from workbench.test_ages import post, said
from workbench.test_certificates import HEAD, ROWS, send
from workbench.test_house import RESTS, WATERS, keep
from workbench.test_pages import fields_of


def names(record: type, *leave: str) -> list[str]:
    return [f.name for f in dataclasses.fields(record) if f.name not in leave]


PARTS = ("mash", "washbacks", "pot_stills", "column")
PATHS = [
    *(("plant", name) for name in names(Plant, *PARTS)),
    *(("plant", "mash", name) for name in names(MashPlan)),
    *(("plant", "mash", "cooker", name) for name in names(CookerPlan)),
    *(("plant", "mash", "waters", n, part) for n in (1, 4) for part in ("L_per_kg", "settled_degC")),
    *(("plant", "mash", "rests", n, part) for n in (1, 6) for part in ("settled_degC", "minutes")),
    *(("plant", "washbacks", name) for name in names(Washbacks)),
    *(("plant", "pot_stills", name) for name in names(PotStills)),
    *(("plant", "column", name) for name in names(ColumnDoubler)),
    *(("cask", "hogshead", name) for name in names(CaskKind, "name")),
    *(("cask", name) for name in names(CaskPlan, "kind", "climate")),
    ("climate", "a store", "month", 3),
    ("enquiry", "categories"),
    ("enquiry", "most_materials"),
    ("release", "evaporation_low_pct_per_year"),
    ("present", "record", "mean_lpa_per_t"),
    ("present", "record"),
    ("offered", "PD-1", "price_per_t"),
    ("group", "caramel malt", "name"),
    ("shares", "CM-120"),
    ("enquiry", "present", "shares", "CM-120"),
    ("enquiry", "offered", "CM-120"),
    ("lots",),
]


@pytest.mark.parametrize("path", PATHS, ids=lambda path: ".".join(map(str, path)))
def test_every_field_of_a_record_has_a_field_at_the_desk(
    desk: Client, asked: EnquiryRow, path: tuple[str | int, ...]
) -> None:
    problem = Problem(at(*path), "is wrong.")
    page, _, anchor = faults.link(problem, asked).partition("#")
    assert page.startswith(f"/enquiries/{asked.pk}/")
    assert anchor
    answer = desk.get(page)
    assert answer.status_code == 200
    assert f'id="{anchor}"' in answer.content.decode()
    assert "_" not in faults.words_of(problem)


def test_an_address_of_no_page_is_told_as_it_is(asked: EnquiryRow) -> None:
    for where in ("--over", at("mash programme", "tun"), Address("plant.toml").to("mash")):
        problem = Problem(where, "is wrong.", "Mend it.")
        assert faults.link(problem, asked) == ""
        assert faults.sentence(problem) == problem.sentence()


def test_what_a_house_does_not_say_leads_to_the_field_of_the_house(desk: Client, asked: EnquiryRow) -> None:
    plant(asked, "mash", "kg_per_mash", value=None)
    OfferedLot.objects.filter(named__name="CM-120").update(price_per_t=None)
    page = desk.get(f"/enquiries/{asked.pk}/")
    assert "House: 1 missing (grist of one mash)" in words(page)
    house, _, name = link_of(page, "grist of one mash").partition("#")
    assert 'name="mash-kg_per_mash"' in field(desk.get(house), name)
    offer, _, name = link_of(page, "lot CM-120, price a tonne").partition("#")
    assert 'name="offers-2-price_per_t"' in field(desk.get(offer), name)


def test_what_a_stage_refuses_is_told_in_the_labels_of_the_house(desk: Client, asked: EnquiryRow) -> None:
    plant(asked, "mash", "premalt_pct", value=5.0)
    page = desk.get(f"/enquiries/{asked.pk}/")
    house, _, name = link_of(page, "house, malt in the cooker").partition("#")
    assert 'name="mash-premalt_pct"' in field(desk.get(house), name)
    assert "cook_degC" not in words(page)


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ({"mash-premalt_pct": "5"}, "mash-premalt_pct"),
        ({**WATERS, **RESTS}, "mash-rests-1-settled_degC"),
        ({**WATERS, "mash-liquor_L_per_kg": "4"}, "mash-liquor_L_per_kg"),
        ({**WATERS, "mash-waters_to_washback": "4"}, "mash-waters_to_washback"),
        ({"mash-calcium_mg_per_L": "60"}, "mash-alkalinity_mg_per_L"),
        ({"mash-cook_degC": "90", "mash-cooker-slurry_degC": "95"}, "mash-cooker-slurry_degC"),
        (
            {"mash-cook_degC": "90", "mash-cooker-second_species": "wheat", "mash-cooker-second_degC": "95"},
            "mash-cooker-second_degC",
        ),
        ({"mash-cooker-malt_min": "45"}, "mash-cook_degC"),
        ({**WATERS, "mash-vessel_L": "500"}, "mash-vessel_L"),
    ],
)
def test_a_fault_of_the_house_stands_beside_its_field_and_is_led_to(
    desk: Client, asked: EnquiryRow, typed: dict[str, str], name: str
) -> None:
    answer = keep(desk, asked, **typed)
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [name]
    label = answer.context["form"].fields[name].label
    assert link_of(answer, str(label)) == f"#id_{name}"
    assert f'name="{name}"' in field(answer, f"id_{name}")


def test_a_faulty_offer_is_led_to(desk: Client, asked: EnquiryRow) -> None:
    address = f"/enquiries/{asked.pk}/offer/"
    answer = desk.post(address, {**fields_of(desk.get(address)), "offers-1-most_parts": "101"})
    assert link_of(answer, "PD-2: At most, %") == "#id_offers-1-most_parts"
    assert field(answer, "id_offers-1-most_parts")


def test_a_share_that_is_none_is_led_to(desk: Client, asked: EnquiryRow) -> None:
    answer = desk.post(f"/enquiries/{asked.pk}/try/", {"share.CM-120": "five", "rest": "PD-1"})
    _, _, name = link_of(answer, "CM-120").partition("#")
    assert 'name="share.CM-120"' in field(answer, name)


def with_odd_words(kind: str, columns: bool) -> tuple[str, bytes]:
    head = ("lot", "Malt type", "Harvest", *HEAD[2:])
    rows = [(ROWS[0][0], ROWS[0][1], 2025, *ROWS[0][2:]), (ROWS[1][0], "plae_distilling", "2o25", *ROWS[1][2:])]
    table: list[tuple[Any, ...]] = [head, *rows]
    if columns:
        table = list(zip(*table, strict=True))
    if kind == "csv":
        return "odd.csv", "\n".join(",".join(map(str, row)) for row in table).encode()
    raw = io.BytesIO()
    with xlsxwriter.Workbook(raw) as book:
        sheet = book.add_worksheet("Lots & more")
        for number, row in enumerate(table):
            sheet.write_row(number, 0, row)
    return "odd.xlsx", raw.getvalue()


@pytest.mark.parametrize("columns", [False, True], ids=["rows", "columns"])
@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_every_fault_of_a_certificate_leads_to_its_cell(
    desk: Client, asked: EnquiryRow, kind: str, columns: bool
) -> None:
    page = send(desk, asked, *with_odd_words(kind, columns))
    found = page.context["sheet"].faults
    assert {fault.text for fault in found} == {"plae_distilling", "2o25", "24B"}
    for fault in found:
        assert link_of(page, faults.words_of(fault.problem)) == f"#{fault.id}"
        assert f'value="{fault.text}"' in field(page, fault.id)
    file = CertificateFile.objects.get()
    mended = {"plae_distilling": "pale_distilling_malt", "2o25": "2025", "24B": "248"}
    form = {f"cell.{fault.place.key}": mended[fault.text] for fault in found}
    page = desk.post(f"/enquiries/{asked.pk}/certificates/{file.pk}/mend/", form, follow=True)
    assert page.context["sheet"].sound


def test_two_faults_of_one_cell_have_a_field_each(desk: Client, asked: EnquiryRow) -> None:
    head = ("lot", "material", "moisture [%]", "moisture [%]")
    page = send(desk, asked, "two.csv", "\n".join((",".join(head), "A-1,pale_distilling_malt,4.6,5.1")).encode())
    ids = [fault.id for fault in page.context["sheet"].faults if fault.place]
    assert len(set(ids)) == len(ids)


def test_a_fault_of_a_file_leads_to_the_page_of_that_file(desk: Client, asked: EnquiryRow) -> None:
    send(desk, asked, *with_odd_words("xlsx", False))
    file = CertificateFile.objects.get()
    problem = Problem(Address("odd.xlsx", "Lots & more", 3, 6), "is not possible.")
    page, _, anchor = faults.link(problem, asked).partition("#")
    assert page == f"/enquiries/{asked.pk}/certificates/{file.pk}/"
    assert 'value="24B"' in field(desk.get(page), anchor)
    assert faults.link(Problem(Address("other.xlsx", "Lots", 3, 6), "is not possible."), asked) == ""


def test_a_lot_that_is_here_already_is_led_to(desk: Client, asked: EnquiryRow) -> None:
    content = "\n".join((",".join(HEAD), "PD-1,pale_distilling_malt,4.6,81.6,262")).encode()
    send(desk, asked, "again.csv", content)
    file = CertificateFile.objects.get()
    answer = desk.post(f"/enquiries/{asked.pk}/certificates/{file.pk}/take/", {})
    assert field(answer, link_of(answer, "PD-1").removeprefix("#"))


def test_a_fault_of_a_claim_stands_beside_its_field(desk: Client, asked: EnquiryRow) -> None:
    told = {**said(claims="6:3", grists="Z: pale_ale_malt 100")}
    answer = post(desk, asked, "claim", told)
    assert answer.status_code == 422
    assert set(answer.context["asked"].errors) == {"claims", "grists"}
    assert link_of(answer, "Claims") == "#id_claim-claims"
    assert field(answer, "id_claim-claims")
