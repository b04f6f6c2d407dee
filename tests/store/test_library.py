"""Lots are kept once for all enquiries, customers and houses too; a name inside an enquiry points at them."""

from __future__ import annotations

import dataclasses

import pytest

from gristwright.records.enquiry import Group
from gristwright.store.library import lot_records, offer_lot, remove_lot, replace_lot
from gristwright.store.mapping import enquiry_record, save_enquiry
from gristwright.store.models import Customer, House, LotRow, LotVersion, NamedLot, PlantVersion
from gristwright.store.versions import keep, later_plant, newest, point_at
from gristwright.workbench.changes import changes
from scenario import enquiry, lots

pytestmark = pytest.mark.django_db


def test_two_enquiries_with_the_same_lots_keep_them_once() -> None:
    first, second = save_enquiry(enquiry(), lots()), save_enquiry(enquiry(), lots())
    assert LotRow.objects.count() == LotVersion.objects.count() == len(lots())
    assert lot_records(first) == lot_records(second) == lots()
    assert Customer.objects.count() == 1


def test_another_certificate_of_a_lot_is_its_next_version_and_leaves_other_enquiries_alone() -> None:
    numbered = tuple(dataclasses.replace(lot, supplier="Invented Maltings", lot_number="7", crop=n)
                     for n, lot in enumerate(lots(), start=2020))  # fmt: skip
    first, second = save_enquiry(enquiry(), numbered), save_enquiry(enquiry(), numbered)
    again = dataclasses.replace(numbered[0], supplier="invented  maltings", certificate="1" * 64)
    replace_lot(first, numbered[0].lot_id, again)
    assert LotRow.objects.count() == len(lots())
    assert [v.number for v in LotRow.objects.get(crop=2020).versions.all()] == [1, 2]
    assert lot_records(first)[0] == again
    assert lot_records(second)[0] == numbered[0]


def test_a_name_changed_in_an_enquiry_is_changed_in_its_offers_bill_and_groups() -> None:
    asked = dataclasses.replace(enquiry(), groups=(Group("caramel", ("CM-120", "CM-300"), 0, 3000),))
    row = save_enquiry(asked, lots())
    named = NamedLot.objects.get(name="CM-120")
    named.name = "CM-121"
    named.save()
    now = enquiry_record(row)
    assert "CM-121" in [offer.lot_id for offer in now.offered]
    assert now.groups[0].lot_ids == ("CM-121", "CM-300")
    assert [lot.lot_id for lot in lot_records(row)].count("CM-121") == 1


def test_a_lot_taken_out_goes_with_its_offer_its_share_and_from_its_groups() -> None:
    asked = dataclasses.replace(enquiry(), groups=(Group("caramel", ("CM-120", "CM-300"), 0, 3000),))
    row = save_enquiry(asked, lots())
    share = enquiry().present.shares[0].lot_id
    remove_lot(row, "CM-120")
    remove_lot(row, share)
    assert not row.shares.filter(named__name=share).exists()
    assert row.groups.get().keys == [str(row.named.get(name="CM-300").pk)]
    assert "Lot CM-120 on offer" in [change.what for change in changes(row) if change.verb == "taken out"]


def test_a_lot_is_put_on_offer_once() -> None:
    row = save_enquiry(enquiry(), lots())
    before = row.offered.count()
    assert offer_lot(row, "PD-1") == offer_lot(row, "PD-1")
    assert row.offered.count() == before


def test_enquiries_of_one_house_stand_on_versions_of_it() -> None:
    first, second = save_enquiry(enquiry(), ()), save_enquiry(enquiry(), ())
    assert first.plant is not None
    point_at(second, first.plant)
    keep(PlantVersion, first, {**newest(PlantVersion, first), "name": "Invented House, mended"})
    second.refresh_from_db()
    assert newest(PlantVersion, second)["name"] == enquiry().plant.name
    later = later_plant(second)
    assert later is not None
    assert (later.number, str(later.house)) == (2, "Invented House, mended")
    point_at(second, later)
    assert later_plant(second) is None
    assert enquiry_record(second).plant.name == "Invented House, mended"
    assert House.objects.filter(versions__enquiries=second).count() == 1
