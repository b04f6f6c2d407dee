"""Houses of other people and alphabets go out as files and come in again as the same."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

import houses
from gristwright.files.jobs_out import known
from gristwright.records.bill import Bill, Share
from gristwright.records.enquiry import Offered
from gristwright.records.plant import Plant
from gristwright.store.library import lot_records
from gristwright.store.mapping import enquiry_record, save_enquiry
from gristwright.store.models import EnquiryRow

HOUSES = {
    "Żytnia Gorzelnia Łąka": (houses.tun(), {"RM-1": 10_000}, "Żółć-słód"),
    "Příšerně žluťoučký Þorlákur": (houses.brewhouse(), {"PD-1": 9000, "CM-1": 1000}, "Řež"),
    "Ποτοποιία Ἄνω Ὕδωρ": (houses.whole_mash(), {"MZ-1": 8000, "HE-1": 2000}, "Rượu nếp"),
}


@pytest.mark.parametrize(("house", "plant", "parts", "malt"), [(name, *said) for name, said in HOUSES.items()])
def test_it_comes_in_again_as_it_went(
    desk: Client, owner: Any, house: str, plant: Plant, parts: dict[str, int], malt: str
) -> None:
    named = {lot: f"{malt} {lot}" for lot in parts}
    given = [replace(lot, lot_id=named[lot.lot_id], supplier=house, lot_number=f"№ {lot.lot_id}")
             for lot in houses.LOTS if lot.lot_id in parts]  # fmt: skip
    present = Bill(f"σήμερα {malt}", tuple(Share(named[lot], much) for lot, much in parts.items()))
    asked = replace(
        houses.enquiry(present, replace(plant, name=house), {}), title=house,
        purpose="beer" if plant.wort_boiled else "whisky",
        offered=tuple(Offered(name, 400.0, 0, 10_000) for name in named.values()),
    )  # fmt: skip
    asked = replace(asked, cask=None) if plant.wort_boiled else asked
    row = save_enquiry(asked, given, owner)
    sent = desk.get(f"/enquiries/{row.pk}/files.zip")
    assert sent.status_code == 200
    files = SimpleUploadedFile("away.zip", sent.content)
    assert desk.post("/enquiries/start/", {"way": "files", "files": files}).status_code == 302
    again = EnquiryRow.objects.exclude(pk=row.pk).get()
    assert enquiry_record(again) == enquiry_record(row)
    assert [known(lot) for lot in lot_records(again)] == [known(lot) for lot in lot_records(row)]
    assert desk.get(f"/enquiries/{again.pk}/").status_code == 200
