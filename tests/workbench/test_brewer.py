"""A brewer's enquiry on the desk: from its files or from nothing to figures, boards, a mash and a forecast."""

from __future__ import annotations

import dataclasses
import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from django.test import Client

from casework.test_beer import lots, sheet
from gristwright import casework
from gristwright.basics import Refused
from gristwright.casework import recommend
from gristwright.cli.main import cli
from gristwright.files.jobs_out import enquiry_files
from gristwright.quantities.shown import plain
from gristwright.records.enquiry import Enquiry, Offered
from gristwright.records.give_gain import ReleasePrices
from gristwright.records.plant import Rest
from gristwright.store.library import lot_records
from gristwright.store.mapping import enquiry_record, save_enquiry
from gristwright.store.models import Answer, EnquiryRow, Job, PlantVersion
from gristwright.store.models.work import Kind, State
from gristwright.store.versions import newest
from gristwright.workbench import jobs
from gristwright.workbench.brewing import COMPARED, brewed_view, kettle, sheet_of
from pages import words
from scenario import enquiry
from workbench.test_files_out import started, taken


@cache
def brewers() -> Enquiry:
    """The invented brewhouse as an enquiry: raw barley for a third of the malt."""
    own = sheet()
    return Enquiry(
        title="Raw barley in a pale beer",
        customer="Stone Yard (invented)",
        question="What does a third of raw barley cost in attenuation?",
        adviser="A. Example",
        date=own.date,
        purpose="beer",
        currency="EUR",
        target_attenuation_pct=78.0,
        offered=tuple(Offered(lot, price) for lot, price in own.prices.items()),
        invented=True,
        plant=own.plant,
        present=own.bill,
    )


def planned(**mash: Any) -> Enquiry:
    plant = brewers().plant
    return dataclasses.replace(
        brewers(), plant=dataclasses.replace(plant, mash=dataclasses.replace(plant.mash, **mash))
    )


# A lauter tun with rests, a filter, a strong beer of little liquor.
LAUTER = {"vessel": "lauter", "liquor_degC": None, "liquor_L_per_kg": 3.0, "settled_mash_degC": 63.0,
          "rests": (Rest(52.0, 10.0), Rest(63.0, 40.0), Rest(72.0, 20.0), Rest(78.0, 5.0))}  # fmt: skip
HOUSES = {
    "as it is": brewers(),
    "lauter with rests": planned(**LAUTER),
    "filter": planned(vessel="filter", plate_area_m2=30.0, mill_gap_mm=0.4),
    "strong": planned(wort_L_per_t=3600.0, liquor_L_per_kg=2.7),
}


@pytest.fixture
def row(owner: Any) -> EnquiryRow:
    return save_enquiry(brewers(), lots(), owner)


def of(row: EnquiryRow, page: str = "") -> str:
    return f"/enquiries/{row.pk}/{page}"


@pytest.mark.parametrize("name", HOUSES)
def test_a_brewers_enquiry_goes_into_the_tables_and_into_files_and_back(desk: Client, name: str) -> None:
    row = save_enquiry(HOUSES[name], lots())
    assert enquiry_record(row) == HOUSES[name]
    again = started(desk, taken(desk, row))
    assert enquiry_record(again) == HOUSES[name]
    assert b"cask" not in enquiry_files(HOUSES[name], lots())["plant.toml"]


@pytest.mark.parametrize("name", HOUSES)
def test_the_page_shows_the_figures_of_the_command_line(name: str) -> None:
    asked = HOUSES[name]
    view = brewed_view(kettle(asked, lots()), asked.present)
    made = casework.brew(sheet_of(asked, asked.present), lots())
    assert {row.this.key for row in view.figures} == set(made.result.figures)
    for row in view.figures:
        figure = made.result.figures[row.this.key]
        assert row.this.at == plain(figure.band.middle, figure.decimals)
    assert [board.sentence for board, _ in view.boards]
    assert view.same


def test_changes_are_paired_draw_by_draw() -> None:
    on = kettle(brewers(), lots())
    other = dataclasses.replace(sheet("without.toml").bill, name="other")
    view = brewed_view(on, other)
    row = next(row for row in view.figures if row.this.key == "cost_per_hL")
    assert row.change.middle == pytest.approx(float(row.this.middle or 0) - float(row.today.middle or 0))
    assert {row.this.key for row in view.figures} == set(COMPARED)


def test_the_bill_page_is_a_brewers(desk: Client, row: EnquiryRow) -> None:
    page = desk.get(of(row))
    text = words(page)
    for said in ("Wort and beer", "Original extract", "Apparent attenuation", "Colour, a first look", "EUR/hL"):
        assert said in text, said
    for left in ("litres ledger", "What the law calls it", "pure alcohol"):
        assert left not in text.lower().replace("What", "what"), left
    assert f'href="{of(row, "cask/")}"' not in page.content.decode()
    assert f'href="{of(row, "age/")}"' not in page.content.decode()


def test_other_shares_are_tried(desk: Client, row: EnquiryRow) -> None:
    sent = {"share.PA-1": "60", "share.RB-1": "30", "share.HE-2": "10", "rest": "PA-1"}
    assert desk.post(of(row, "try/"), sent).status_code == 302
    assert "60 % PA-1 + 30 % RB-1 + 10 % HE-2" in words(desk.get(of(row)))
    moved = desk.post(of(row, "try/"), sent, headers={"hx-request": "true"})
    assert 'id="tried"' in moved.content.decode()
    assert "Wort and beer" in words(moved)
    assert desk.get(of(row, "ledger.csv")).status_code == 302


def test_a_bill_short_of_enzyme_says_what_is_left_for_want_of_it(desk: Client, row: EnquiryRow) -> None:
    desk.post(of(row, "try/"), {"share.PA-1": "8", "share.RB-1": "92", "share.HE-2": "0", "rest": ""})
    text = words(desk.get(of(row)))
    assert "for want of enzyme; out of order above 1 %" in text


def test_bills_are_found_kept_as_a_draft_and_issued(desk: Client, row: EnquiryRow) -> None:
    EnquiryRow.objects.filter(pk=row.pk).update(grid_parts=500, least_original_gravity_degP=12.4, most_colour_EBC=10.0)
    page = words(desk.get(of(row, "answers/")))
    assert "Find bills" in page and "Take its forecast away as PDF" in page
    assert desk.post(of(row, "answers/find/"), {"sure": "yes"}).status_code == 302
    job = jobs.claim()
    assert job is not None
    Job.objects.filter(pk=job.pk).update(members=256)
    job.refresh_from_db()
    jobs.run(job)
    job.refresh_from_db()
    assert (job.state, job.said) == (State.DONE, [])
    answer = Answer.objects.get()
    shown = words(desk.get(of(row, f"answers/{answer.pk}/")))
    assert "at least 12.4 degP" in shown.replace("°P", "degP") and "What it leaves out" in shown
    assert not [left for left in ("litres ledger", "What the law calls it", "What the cask does") if left in shown]
    sent = {"who": "A. Example", "note": "", "issue": "yes"}
    assert desk.post(of(row, f"answers/{answer.pk}/decide/"), sent).status_code == 302
    for kind, begins in (("pdf", b"%PDF"), ("json", b"{"), ("html", b"<!DOCTYPE")):
        assert desk.get(of(row, f"answers/{answer.pk}/dossier.{kind}")).content.startswith(begins), kind
    told = json.loads(desk.get(of(row, f"answers/{answer.pk}/dossier.json")).content)
    assert told["format"] == "gristwright.beer_recommendation/1"
    with pytest.raises(Refused, match="a dossier is of spirit"):
        recommend.dossier(brewers(), lots())


def test_the_forecast_is_taken_away(desk: Client, row: EnquiryRow) -> None:
    told = json.loads(desk.get(of(row, "forecast.json")).content)
    assert told["format"] == "gristwright.beer_forecast/1"
    assert told["bill"]["figures"]["abv_pct"]["at"] == next(
        r.this.at for r in brewed_view(kettle(brewers(), lots()), brewers().present).figures if r.this.key == "abv_pct"
    )
    pdf = desk.get(of(row, "forecast.pdf"))
    assert pdf["Content-Type"] == "application/pdf"
    assert pdf.content.startswith(b"%PDF")


@pytest.mark.parametrize("kind", [Kind.MASH, Kind.MAP])
def test_the_mash_is_simulated(desk: Client, row: EnquiryRow, kind: Kind) -> None:
    sent = {"share.PA-1": "50", "share.RB-1": "35", "share.HE-2": "15", "rest": "", "points": "3"}
    desk.post(of(row, "mash/" if kind == Kind.MASH else "mash/map/"), sent)
    job = jobs.claim()
    assert job is not None
    jobs.run(job)
    job.refresh_from_db()
    assert (job.state, job.said) == (State.DONE, [])
    text = words(desk.get(of(row)))
    assert ("Where it ends" if kind == Kind.MASH else "The plan varied") in text
    assert "new spirit" not in text.lower()


def test_from_nothing_to_a_brewery(desk: Client, owner: Any) -> None:
    desk.post("/enquiries/start/", {"way": "empty", "title": "A brewer's"})
    row = EnquiryRow.objects.get()
    shown = desk.get(of(row, "question/"))
    page = shown.content.decode()
    assert 'name="purpose"' in page
    sent = {"title": "A brewer's", "customer": "X (invented)", "question": "Q", "adviser": "A", "date": "2026-11-25",
            "valid_days": "90", "currency": "EUR", "purpose": "beer", "processing_cost_per_t": "0",
            "grid_parts": "500", "most_materials": "5", "was": shown.context["met"].was}  # fmt: skip
    assert desk.post(of(row, "question/"), sent).status_code == 302
    page = desk.get(of(row, "question/")).content.decode()
    assert 'name="target_attenuation_pct"' in page
    assert 'name="categories"' not in page
    house = desk.get(of(row, "house/")).content.decode()
    assert "Fermenters" in house
    assert "pot_stills" not in house
    assert re.search(r'<input[^>]*name="wort_boiled"[^>]*checked', house)
    text = words(desk.get(of(row)))
    steps = text.lower().split("the next steps")[1].split("cautions")[0]
    assert "house:" in steps
    assert not [word for word in ("stills", "cask", "release") if word in steps]


def test_a_distillers_house_keeps_its_stills_when_it_is_asked_about_beer(desk: Client, asked: EnquiryRow) -> None:
    before = newest(PlantVersion, asked)
    EnquiryRow.objects.filter(pk=asked.pk).update(purpose="beer")
    asked.refresh_from_db()
    page = desk.get(of(asked, "house/"))
    fields = page.context["form"]
    sent = {name: fields[name].value() for name in fields.fields}
    sent = {name: value for name, value in sent.items() if value not in (None, False)} | {
        "wort_boiled": "on",
        "was": page.context["met"].was,
    }
    assert desk.post(of(asked, "house/"), sent).status_code == 302
    after = newest(PlantVersion, EnquiryRow.objects.get(pk=asked.pk))
    assert after["pot_stills"] == before["pot_stills"]
    assert after["wort_boiled"] is True
    assert enquiry_record(EnquiryRow.objects.get(pk=asked.pk)).cask is None
    EnquiryRow.objects.filter(pk=asked.pk).update(purpose="whisky")
    assert enquiry_record(EnquiryRow.objects.get(pk=asked.pk)).cask == enquiry().cask


def test_a_house_that_does_not_boil_is_told_so(desk: Client, row: EnquiryRow) -> None:
    unboiled = dataclasses.replace(brewers(), plant=dataclasses.replace(brewers().plant, wort_boiled=False))
    other = save_enquiry(unboiled, lots())
    page = desk.get(of(other))
    assert "a brewer boils the wort, and this plant does not" in words(page)
    assert f'href="{of(other, "house/")}#id_wort_boiled"' in page.content.decode()
    assert lot_records(other)


def test_the_command_line_runs_the_bill_and_searches(tmp_path: Path) -> None:
    for name, content in enquiry_files(brewers(), lots()).items():
        (tmp_path / name).write_bytes(content)
    given = ["--lots", str(tmp_path / "lots.csv")]
    ran = CliRunner().invoke(cli, ["run", str(tmp_path / "bill.toml"), *given, "--members", "8"])
    assert ran.exit_code == 0, ran.output
    assert "apparent attenuation" in ran.output
    out = ["--out", str(tmp_path / "out"), "--members", "8"]
    asked = CliRunner().invoke(cli, ["advise", str(tmp_path / "enquiry.toml"), *given, *out])
    assert asked.exit_code == 0, asked.output
    assert "malt and grain against" in " ".join(asked.output.split())
    assert (tmp_path / "out" / "recommendation.pdf").exists()


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        (
            {"categories": ("EU_WHISKY",)},
            "categories: EU_WHISKY: Beer is not judged: the rules here are those of",
        ),
        ({"markets": ("DE",)}, "markets: DE: Beer is not judged: the rules here are those of"),
        ({"release": ReleasePrices(cask_price=90.0)}, "release: is asked of spirit and not of beer."),
    ],
)
def test_what_only_spirit_is_asked_is_refused_in_a_file(changed: dict[str, Any], said: str) -> None:
    with pytest.raises(Refused) as refused:
        enquiry_files(dataclasses.replace(brewers(), **changed), lots())
    assert any(said in problem.sentence() for problem in refused.value.problems)
