"""The desk says what the casework says where litres are withheld, and where boards stop every bill."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client

from gristwright.casework.mash_house.over import axis_of
from gristwright.casework.mash_house.vary import vary
from gristwright.store.mapping import save_enquiry
from gristwright.store.models import Answer, EnquiryRow
from gristwright.workbench import jobs
from gristwright.workbench.mash_jobs import litres_of, sheet_of
from gristwright.workbench.mash_view import map_view
from gristwright.workbench.trying import bench_of, ready, tried_view
from houses import LOTS, bill, enquiry, tun

# Litres a tonne as such a house could seem to give.
SEEMING = re.compile(r"\b3[5-9]\d\.\d\b")
RANGES = {"RM-1": (0.0, 100.0), "CR-1": (0.0, 20.0), "PD-1": (0.0, 100.0)}
RYE, MALT = bill(RM_1=85, CR_1=15), bill("all malt", PD_1=100)


@pytest.fixture
def stuck(owner: Any) -> EnquiryRow:
    """A house whose bill of today never runs off."""
    return save_enquiry(enquiry(RYE, tun(), RANGES), LOTS, owner)


def test_a_tried_bill_that_never_runs_off_has_no_litres() -> None:
    on = ready(enquiry(MALT, tun(), RANGES), LOTS)
    view = tried_view(on, RYE)
    assert all(row.this.at == row.change.at == "withheld" for row in view.figures)
    assert all(row.today.at != "withheld" for row in view.figures)
    assert view.withheld and not view.ledger and view.chart is None
    sound = tried_view(on, bill(PD_1=90, RM_1=10))
    assert not sound.withheld and all(row.this.at != "withheld" for row in sound.figures)


def test_the_page_of_a_bill_says_why_and_prints_no_litres(desk: Client, stuck: EnquiryRow) -> None:
    text = desk.get(f"/enquiries/{stuck.pk}/").content.decode()
    assert "withheld" in text and re.search(r"the mash never runs off in \d+ % of the runs", text)
    assert SEEMING.findall(re.sub(r"<script.*?</script>", "", text, flags=re.DOTALL)) == []
    assert desk.get(f"/enquiries/{stuck.pk}/ledger.csv").status_code == 302


def test_the_simulated_mash_gives_only_the_litres_that_are_given() -> None:
    asked = enquiry(RYE, tun(), RANGES)
    litres = litres_of(bench_of(asked, LOTS, 512), MALT, asked.present)
    assert litres.this is not None and litres.today is None and litres.change is None
    assert len(litres.why) == 1 and litres.why[0].startswith("Of today")


def test_a_map_of_litres_that_are_all_withheld_has_no_table_of_them() -> None:
    asked = enquiry(RYE, tun(), RANGES)
    axes = (axis_of("mash.settled_mash_degC=63,64"), axis_of("mash.wort_L_per_t=5000,5200"))
    view = map_view(vary(sheet_of(asked, asked.present), LOTS, axes, 64))
    cells = [cell.text for table in view.told.tables for row in table.rows for cell in row.cells]
    assert cells and not any(SEEMING.match(cell) for cell in cells)
    assert any("never runs off" in line.sentence for line in view.told.reasons)


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
