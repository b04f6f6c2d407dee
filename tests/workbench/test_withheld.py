"""The desk says what the casework says where litres are withheld, and where boards stop every bill."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client

from gristwright.casework.mash_house.over import axis_of
from gristwright.casework.mash_house.vary import vary
from gristwright.records.bill import Bill
from gristwright.store.mapping import save_enquiry
from gristwright.store.models import Answer, EnquiryRow
from gristwright.workbench import jobs
from gristwright.workbench.mash_jobs import litres_of, sheet_of
from gristwright.workbench.mash_view import map_view
from gristwright.workbench.trying import bench_of, ready, tried_view
from houses import LOTS, bill, enquiry, tun, whole_mash

# Litres a tonne as such a house could seem to give.
SEEMING = re.compile(r"\b3[5-9]\d\.\d\b")
RANGES = {"MZ-1": (0.0, 100.0), "HE-1": (0.0, 20.0)}


def maize(malt: float) -> Bill:
    return bill(f"{malt:g} % malt", MZ_1=100.0 - malt, HE_1=malt)


@pytest.fixture
def short(owner: Any) -> EnquiryRow:
    return save_enquiry(enquiry(maize(5.0), whole_mash(), RANGES), LOTS, owner)


@pytest.mark.parametrize("malt", [8.0, 5.0])
def test_a_tried_bill_that_may_not_convert_has_no_litres(malt: float) -> None:
    """With 8 % the enzymes alone would pass: its mash is simulated, for it is in doubt."""
    on = ready(enquiry(maize(12.0), whole_mash(), RANGES), LOTS)
    view = tried_view(on, maize(malt))
    assert all(row.this.at == row.change.at == "withheld" for row in view.figures)
    assert all(row.today.at != "withheld" for row in view.figures)
    assert view.withheld and not view.ledger and view.chart is None
    sound = tried_view(on, maize(12.0))
    assert not sound.withheld and all(row.this.at != "withheld" for row in sound.figures)


def test_the_page_of_a_bill_says_why_and_prints_no_litres(desk: Client, short: EnquiryRow) -> None:
    text = desk.get(f"/enquiries/{short.pk}/").content.decode()
    assert "withheld" in text and "short of enzyme in 100 % of the runs" in text
    assert SEEMING.findall(re.sub(r"<script.*?</script>", "", text, flags=re.DOTALL)) == []
    assert desk.get(f"/enquiries/{short.pk}/ledger.csv").status_code == 302


def test_the_simulated_mash_gives_only_the_litres_that_are_given() -> None:
    asked = enquiry(maize(5.0), whole_mash(), RANGES)
    litres = litres_of(bench_of(asked, LOTS, 512), maize(12.0), asked.present)
    assert litres.this is not None and litres.today is None and litres.change is None
    assert len(litres.why) == 1 and litres.why[0].startswith("Of 5 % malt")


def test_a_map_writes_withheld_into_its_tables() -> None:
    asked = enquiry(maize(8.0), whole_mash(), RANGES)
    axes = (axis_of("mash.settled_mash_degC=62,64"), axis_of("mash.cooker.malt_min=30,90"))
    view = map_view(vary(sheet_of(asked, asked.present), LOTS, axes, 64))
    cells = [cell.text for row in view.told.tables[0].rows for cell in row.cells]
    assert "withheld" in cells and any(SEEMING.match(cell) for cell in cells)
    assert any("not converted" in line.sentence for line in view.told.reasons)


def test_an_answer_without_an_offer_shows_what_stops_it(
    desk: Client, owner: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(jobs, "DRAWS", (512,))
    rye = enquiry(bill(RM_1=85, CR_1=15), tun("lauter"), {"RM-1": (80.0, 100.0), "CR-1": (0.0, 20.0)})
    asked = save_enquiry(rye, LOTS, owner)
    jobs.ask(asked, 512, owner)
    claimed = jobs.claim()
    assert claimed is not None
    jobs.run(claimed)
    answer = Answer.objects.get()
    text = desk.get(f"/enquiries/{asked.pk}/answers/{answer.pk}/").content.decode()
    assert "No bill can be offered" in text and "Run-off stops all of them" in text
    assert "No bill meets every demand" not in text
    assert "Bill 1" in text and "100 % RM-1" in text
