"""What is done to lots is named and undone: replaced ones come back, added ones go, unless somebody used them."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from gristwright.store.library import lot_records
from gristwright.store.mapping import enquiry_record
from gristwright.store.models import CertificateFile, EnquiryRow, LotGroup, LotStep, OfferedLot
from gristwright.workbench.changes import changes
from pages import words
from scenario import enquiry, lots
from workbench.test_taking import AGAIN, NEW, take


def undo(desk: Client, asked: EnquiryRow) -> Any:
    step = LotStep.objects.filter(undone_at=None).first()
    assert step
    return desk.post(f"/enquiries/{asked.pk}/certificates/undo/{step.pk}/", follow=True)


def delete(desk: Client, asked: EnquiryRow, name: str) -> Any:
    return desk.post(f"/enquiries/{asked.pk}/certificates/lot/{asked.named.get(name=name).pk}/delete/", follow=True)


def lot_page(desk: Client, asked: EnquiryRow, name: str) -> Any:
    return desk.get(f"/enquiries/{asked.pk}/certificates/lot/{asked.named.get(name=name).pk}/")


def told(asked: EnquiryRow) -> list[tuple[str, str]]:
    return [(change.what, change.verb) for change in changes(asked)]


def as_it_was(asked: EnquiryRow) -> bool:
    row = EnquiryRow.objects.get(pk=asked.pk)
    return lot_records(row) == lots() and enquiry_record(row) == enquiry()


def test_lots_added_go_again(desk: Client, asked: EnquiryRow) -> None:
    page = take(desk, asked, "new.csv", NEW)
    assert "Undo: N-1 will be deleted again." in words(page)
    done = words(undo(desk, asked))
    assert "Undone: N-1 deleted again." in done
    assert as_it_was(asked)
    assert ("Lot N-1", "deleted, by Undo") in told(asked)
    assert CertificateFile.objects.get().taken_at is None
    assert "Undo:" not in words(desk.get(f"/enquiries/{asked.pk}/certificates/"))


def test_a_lot_that_was_replaced_comes_back_with_its_analyses(desk: Client, asked: EnquiryRow) -> None:
    take(desk, asked, "again.csv", AGAIN, how__Spring="replace PD-1")
    file = CertificateFile.objects.get()
    page = words(desk.get(f"/enquiries/{asked.pk}/certificates/{file.pk}/"))
    assert "Undo: PD-1 will be back as it was before." in page
    undo(desk, asked)
    assert as_it_was(asked)
    assert ("Lot PD-1", "put back, by Undo") in told(asked)
    assert ("Certificates again.csv", "taken over") in told(asked)


def test_an_added_lot_in_todays_bill_stays_and_the_page_says_so(desk: Client, asked: EnquiryRow) -> None:
    take(desk, asked, "both.csv", NEW + AGAIN.split(b"\n", 1)[1], how__Spring="replace PD-1")
    asked.shares.create(named=asked.named.get(name="N-1"), parts=500, place=9)
    page = words(undo(desk, asked))
    assert "PD-1 is back as it was." in page
    assert "N-1 is in today's bill, so it stays. Take it out of today's bill under On offer, then undo" in page
    assert [lot.lot_id for lot in lot_records(asked)] == [*(lot.lot_id for lot in lots()), "N-1"]
    assert CertificateFile.objects.get().taken_at
    asked.shares.filter(named__name="N-1").delete()
    undo(desk, asked)
    assert as_it_was(asked)


def test_what_was_said_of_an_added_lot_since_is_named(desk: Client, asked: EnquiryRow) -> None:
    take(desk, asked, "new.csv", NEW)
    OfferedLot.objects.filter(named__name="N-1").update(price_per_t=455.0)
    page = words(desk.get(f"/enquiries/{asked.pk}/certificates/"))
    assert "N-1 will be deleted again: N-1 with its offer at 455 EUR a tonne, 0 to 100 % of a bill." in page
    assert "Undone: N-1 deleted again, with its offer at 455 EUR a tonne" in words(undo(desk, asked))


def test_a_lot_replaced_twice_is_undone_one_after_the_other(desk: Client, asked: EnquiryRow) -> None:
    take(desk, asked, "again.csv", AGAIN, how__Spring="replace PD-1")
    take(desk, asked, "later.csv", AGAIN.replace(b"5.1", b"5.3"), how__Spring="replace PD-1")
    first = LotStep.objects.last()
    assert first
    answer = desk.post(f"/enquiries/{asked.pk}/certificates/undo/{first.pk}/", follow=True)
    assert "PD-1 was changed since, so it stays as it is; undo that first." in words(answer)
    undo(desk, asked)
    undo(desk, asked)
    assert as_it_was(asked)


@pytest.mark.parametrize("name", [lot.lot_id for lot in lots()])
def test_a_lot_is_deleted_with_what_hangs_on_it_and_all_comes_back(desk: Client, asked: EnquiryRow, name: str) -> None:
    LotGroup.objects.create(
        enquiry=asked, name="alone", keys=[str(asked.named.get(name=name).pk)], most_parts=5000, place=9
    )
    before = enquiry_record(EnquiryRow.objects.get())
    hung = lot_page(desk, asked, name).context["along"]
    assert any("its offer at" in phrase for phrase in hung)
    assert "its place in the group alone (no other lot is in it, so it goes too)" in hung
    page = words(delete(desk, asked, name))
    assert all(phrase in page for phrase in hung)
    assert name not in [lot.lot_id for lot in lot_records(asked)]
    assert not asked.offered.filter(named__name=name).exists()
    assert not asked.groups.filter(name="alone").exists()
    undo(desk, asked)
    assert lot_records(asked) == lots()
    assert enquiry_record(EnquiryRow.objects.get()) == before
    assert {("Lot " + name, "deleted"), ("Lot " + name, "put back, by Undo")} <= set(told(asked))


def test_a_deleted_lot_whose_name_is_taken_stays_deleted(desk: Client, asked: EnquiryRow) -> None:
    delete(desk, asked, "PD-1")
    step = LotStep.objects.get()
    take(desk, asked, "new.csv", NEW.replace(b"N-1", b"PD-1"))
    answer = desk.post(f"/enquiries/{asked.pk}/certificates/undo/{step.pk}/", follow=True)
    assert "PD-1 cannot come back: another lot goes by that name now." in words(answer)
    step.refresh_from_db()
    assert step.undone_at is None


def test_twice_is_told(desk: Client, asked: EnquiryRow) -> None:
    take(desk, asked, "new.csv", NEW)
    step = LotStep.objects.get()
    address = f"/enquiries/{asked.pk}/certificates/undo/{step.pk}/"
    desk.post(address)
    assert "This was undone already." in words(desk.post(address, follow=True))


def test_a_lot_that_is_not_here_is_no_page(desk: Client, asked: EnquiryRow) -> None:
    gone = f"/enquiries/{asked.pk}/certificates/lot/{asked.pk}/"
    assert desk.get(gone).status_code == 404
    assert desk.post(f"{gone}delete/").status_code == 404


def test_a_lot_that_was_on_offer_before_its_certificate_stays_on_offer(desk: Client, asked: EnquiryRow) -> None:
    asked.named.filter(name="PD-2").update(version=None)
    offered = asked.offered.get(named__name="PD-2")
    take(desk, asked, "late.csv", NEW.replace(b"N-1", b"PD-2"))
    assert "PD-2" in [lot.lot_id for lot in lot_records(asked)]
    undo(desk, asked)
    assert "PD-2" not in [lot.lot_id for lot in lot_records(asked)]
    assert asked.offered.get(named__name="PD-2").price_per_t == offered.price_per_t


def test_the_very_same_certificate_again_leaves_nothing_to_undo(desk: Client, asked: EnquiryRow) -> None:
    take(desk, asked, "new.csv", NEW)
    again = CertificateFile.objects.get()
    address = f"/enquiries/{asked.pk}/certificates/{again.pk}/take/"
    page = desk.post(address, {"how.N-1": "replace N-1"}, follow=True)
    assert "N-1 replaced by that of new.csv." in words(page)
    assert len(page.context["steps"]) == 1
    undo(desk, asked)
    assert as_it_was(asked)
