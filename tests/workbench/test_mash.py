"""The simulated mash of a tried bill and the map around its plan, as jobs: what they say is what the casework says."""

from __future__ import annotations

import dataclasses
import json
from dataclasses import replace
from typing import Any

import pytest
from django.test import Client

from gristwright.basics import Band
from gristwright.casework.bench.anchor import anchor
from gristwright.casework.mash_house.mash_run import mash_run
from gristwright.casework.mash_house.over import axis_of
from gristwright.casework.mash_house.vary import vary
from gristwright.casework.mash_house.wash_run import wash_run
from gristwright.documents.data import as_data
from gristwright.numerics.weights import band
from gristwright.quantities.shown import plain, signed
from gristwright.records.bill import Bill, Share
from gristwright.records.mash_trials import MashRun, Variation
from gristwright.records.plant import Rest, Water
from gristwright.records.wash_trials import WashRun
from gristwright.records.washbacks import WashMonth
from gristwright.store.library import lot_records, replace_lot
from gristwright.store.mapping import spirit_record
from gristwright.store.models import EnquiryRow, Job, MashTrial
from gristwright.store.models.work import Kind, State
from gristwright.workbench import jobs, mash_jobs, trying
from gristwright.workbench.mash_jobs import Steps, axes_around, sheet_of
from gristwright.workbench.mash_view import Litres, map_view, mash_view
from gristwright.workbench.trying import bench_of
from pages import words
from scenario import enquiry, lots
from versions import plant

TEN = Bill("ten", (Share("PD-1", 9000), Share("CM-120", 1000)))
SENT = {"share.CM-120": "10", "rest": "PD-1"}
FEW = 64


@pytest.fixture(scope="module")
def run() -> MashRun:
    return mash_run(sheet_of(enquiry(), TEN), lots(), FEW)


@pytest.fixture(scope="module")
def wash() -> WashRun:
    asked = sheet_of(enquiry(), TEN)
    backs = replace(asked.plant.washbacks, months=(WashMonth(1, 4.0), WashMonth(7, 24.0, 16.0)))
    found = wash_run(replace(asked, plant=replace(asked.plant, washbacks=backs)), lots(), FEW)
    return replace(found, cautions=("It rises above its ceiling.",))


@pytest.fixture(scope="module")
def grid() -> Variation:
    axes = (axis_of("mash.settled_mash_degC=62,64"), axis_of("mash.liquor_L_per_kg=2,3.5"))
    return vary(sheet_of(enquiry(), TEN), lots(), axes, FEW)


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch, run: MashRun, grid: Variation, wash: WashRun) -> None:
    """What takes seconds is done already."""
    litres = Litres(Band(360, 371, 380), Band(386, 391, 396), Band(-27, -20, -13))
    monkeypatch.setattr(mash_jobs, "mashed", lambda *_: mash_view(run, litres, "anchored", False, wash))
    monkeypatch.setattr(mash_jobs, "mapped", lambda *_: map_view(grid))


def worked() -> Job:
    claimed = jobs.claim()
    assert claimed is not None
    jobs.run(claimed)
    claimed.refresh_from_db()
    return claimed


def ask(desk: Client, asked: EnquiryRow, what: str = "mash", **more: str) -> Any:
    return desk.post(f"/enquiries/{asked.pk}/{what}/", {**SENT, **more})


def page_of(desk: Client, asked: EnquiryRow) -> str:
    return desk.get(f"/enquiries/{asked.pk}/").content.decode()


def rows_of(view: dict[str, Any]) -> dict[str, tuple[str, str, str]]:
    return {f"{row['label']}, {row['unit']}": (row["low"], row["middle"], row["high"]) for row in view["rows"]}


def test_a_mash_says_what_the_casework_says(desk: Client, asked: EnquiryRow) -> None:
    assert ask(desk, asked).url == f"/enquiries/{asked.pk}/#mash"
    assert worked().state == State.DONE
    trial = MashTrial.objects.get()
    rows = rows_of(json.loads(trial.view))
    bench, _ = anchor(bench_of(enquiry(), lots(), trying.MEMBERS), enquiry().present, enquiry().record)
    this, today = (bench.made(bill).spirit.lpa_per_t for bill in (TEN, enquiry().present))
    for label, values, write in (("this bill", this, plain), ("today's bill", today, plain)):
        found = band(values, bench.weights)
        assert rows[f"New spirit, {label}, L pure alcohol/t"] == tuple(write(x, 1) for x in dataclasses.astuple(found))
    change = band(this - today, bench.weights)
    assert rows["Change, L pure alcohol/t"] == tuple(signed(x, 1) for x in dataclasses.astuple(change))
    assert trial.shares == {"PD-1": 9000, "CM-120": 1000}


def test_the_table_is_the_text_of_the_chart(run: MashRun) -> None:
    band_of = run.courses["maltose_kg_per_t"][0]
    view = mash_view(run, Litres(band_of, band_of, band_of), "", False)
    columns = view.told.course.columns
    assert columns[:4] == ("Mash, °C", "Starch not converted, kg/t", "Dextrin, kg/t", "Maltose, kg/t")
    first, last = view.told.course.rows[0], view.told.course.rows[-1]
    assert first.cells[3].text == plain(band_of.middle, 0)
    shown = max(wort.at_min for wort in run.worts if wort.goes_to == "washback")
    assert (first.label, last.label) == ("0", plain(shown, 0))
    drawn = json.dumps(view.wide)
    assert str(round(band_of.middle, 3)) in drawn
    assert [wort.name for wort in view.told.worts] == ["First water", "Second water", "Third water"]


@pytest.mark.parametrize(
    ("boiled", "label"), [(True, "Fermentable as it is, and boiled"), (False, "Fermentable unboiled")]
)
def test_fermentability_is_that_of_the_house(run: MashRun, boiled: bool, label: str) -> None:
    nothing = Band(0.0, 0.0, 0.0)
    rows = rows_of(as_data(mash_view(run, Litres(nothing, nothing, nothing), "", boiled)))
    assert [name for name in rows if name.endswith("% of the extract")] == [f"{label}, % of the extract"]


def test_a_map_has_a_table_for_every_panel_and_says_what_cannot_be(grid: Variation) -> None:
    view = map_view(grid)
    panels = [panel for row in view.wide["vconcat"] for panel in row.get("hconcat", [row])]
    assert len(view.told.tables) == len(panels) == len(view.narrow["vconcat"]) == 7
    by = {cell.values: cell for cell in grid.cells}
    told = view.told.tables[0].rows
    assert [row.label for row in told] == ["3.5", "2"]
    assert told[0].cells[1].text == plain(by[64.0, 3.5].figures["lpa_per_t"].band.middle, 1)


def test_cells_keep_the_inks_of_paper_and_words_those_of_the_theme(grid: Variation) -> None:
    chart = map_view(grid).wide
    text = json.dumps(chart)
    assert '"range": ["#EEF2F3", "#17404F"]' in text
    assert chart["config"]["axis"]["labelColor"] == "#1d2529"


def test_the_wash_of_the_mash_has_its_figures_months_and_cautions(run: MashRun, wash: WashRun) -> None:
    view = mash_view(run, None, "", False, wash).wash
    assert view is not None
    rows = {row.label: row.middle for row in view.told.rows}
    peak = next(figure for figure in wash.figures if figure.key == "peak_degC")
    assert rows["Warmest"] == plain(peak.band.middle, 1)
    assert "Heat taken by the cooling" not in rows  # it is not cooled
    assert [month.name for month in view.told.months] == ["January", "July"]
    assert view.told.cautions == ("It rises above its ceiling.",)
    last = view.told.course.rows[-1]
    assert last.cells[0].text == plain(wash.courses["gravity_sg"][-1].middle, 4)
    assert mash_view(run, None, "", False).wash is None


@pytest.mark.usefixtures("quick")
def test_mash_and_map_stand_on_the_bill_page_with_their_tables(desk: Client, asked: EnquiryRow) -> None:
    for what in ("mash", "mash/map"):
        ask(desk, asked, what)
        assert worked().state == State.DONE
    text = page_of(desk, asked)
    for name in ("chart-mash", "chart-mash-narrow", "chart-map", "chart-map-narrow", "chart-wash", "chart-wash-narrow"):
        assert f'id="{name}" type="application/json"' in text
    assert "Course of the mash" in text and "Where the wash ends" in text
    assert "It rises above its ceiling." in text and "Warmest by month" in text
    assert "The map as tables" in text
    assert text.count("Of the shares being tried, in the house as it is.") == 2


@pytest.mark.usefixtures("quick")
def test_the_last_of_each_kind_is_kept(desk: Client, asked: EnquiryRow) -> None:
    for share in ("10", "5"):
        ask(desk, asked, **{"share.CM-120": share})
        worked()
    assert MashTrial.objects.get().shares == {"PD-1": 9500, "CM-120": 500}
    assert Job.objects.count() == 2


@pytest.mark.usefixtures("quick")
def test_other_shares_mark_it_as_old_with_and_without_a_script(desk: Client, asked: EnquiryRow) -> None:
    ask(desk, asked)
    worked()
    script = {"HX-Request": "true"}
    moved = desk.post(f"/enquiries/{asked.pk}/try/", {**SENT, "share.CM-120": "7"}, headers=script).content.decode()
    assert '<p id="standing-mash" class="standing" hx-swap-oob="true"><strong>Old.</strong> Of other shares' in moved
    assert "chart-mash" not in moved
    assert "<strong>Old.</strong> Of other shares" in page_of(desk, asked)


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize(
    ("change", "old"),
    [("house", True), ("record", True), ("lot", True), ("title", False), ("price", False)],
)
def test_a_changed_house_marks_it_as_old_and_another_word_does_not(
    desk: Client, asked: EnquiryRow, change: str, old: bool
) -> None:
    ask(desk, asked)
    worked()
    if change == "house":
        plant(asked, "mash", "run_off_min", value=41.0)
    elif change == "lot":
        first = lot_records(asked)[0]
        drier = tuple(dataclasses.replace(a, value=4.4) if a.field == "moisture_pct" else a for a in first.analyses)
        replace_lot(asked, first.lot_id, dataclasses.replace(first, analyses=drier))
    else:
        what = {"record": {"record_mashes": 47}, "title": {"title": "x"}, "price": {"processing_cost_per_t": 1.0}}
        EnquiryRow.objects.update(**what[change])
    assert ("today's bill were changed since" in page_of(desk, asked).replace("&#x27;", "'")) == old


def test_shares_are_those_sent_with_the_button(desk: Client, asked: EnquiryRow) -> None:
    ask(desk, asked, **{"share.CM-120": "12"})
    assert Job.objects.get().asked == {"shares": {"PD-1": 8800, "CM-120": 1200}}
    assert EnquiryRow.objects.get().tried["CM-120"] == 1200


def test_a_map_is_asked_for_in_steps(desk: Client, asked: EnquiryRow) -> None:
    ask(desk, asked, "mash/map", points="7", step_K="1", step_L_per_kg="9")
    job = Job.objects.get()
    assert job.kind == Kind.MAP
    assert {key: job.asked[key] for key in ("points", "step_K", "step_L_per_kg")} == {
        "points": 7, "step_K": 1.0, "step_L_per_kg": 0.5,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("sent", "said"),
    [({"share.CM-120": "x"}, "CM-120: "), ({"rest": ""}, "10 % missing"), ({"share.CM-120": "200"}, "200")],
)
def test_shares_that_are_none_are_not_simulated(
    desk: Client, asked: EnquiryRow, sent: dict[str, str], said: str
) -> None:
    answer = ask(desk, asked, **{"share.PD-1": "80", **sent})
    assert answer.status_code == 422
    assert said in words(answer)
    assert not Job.objects.exists()


def test_one_mash_at_a_time_beside_a_search(desk: Client, asked: EnquiryRow, owner: Any) -> None:
    jobs.ask(asked, 512, owner)
    assert ask(desk, asked).status_code == 302
    answer = ask(desk, asked, "mash/map")
    assert answer.status_code == 422
    assert "one is under way already" in answer.content.decode()
    assert Job.objects.count() == 2


def test_a_search_and_a_mash_do_not_show_in_each_others_place(desk: Client, asked: EnquiryRow, owner: Any) -> None:
    ask(desk, asked)
    assert "Stop the search" not in desk.get(f"/enquiries/{asked.pk}/answers/").content.decode()
    text = page_of(desk, asked)
    assert "Stop the mash" in text
    assert '<noscript><meta http-equiv="refresh"' in text
    jobs.stop(Job.objects.get())
    jobs.ask(asked, 512, owner)
    assert "Stop the mash" not in page_of(desk, asked)
    assert "A search waits for its turn" in desk.get("/").content.decode()


def test_a_mash_is_followed_and_stopped_from_the_page(desk: Client, asked: EnquiryRow) -> None:
    ask(desk, asked)
    job = Job.objects.get()
    address = f"/enquiries/{asked.pk}/mash/{job.pk}/"
    assert "HX-Retarget" not in desk.get(address)
    assert desk.post(f"{address}stop/").url == f"/enquiries/{asked.pk}/#mash"
    ended = desk.get(address)
    assert (ended["HX-Retarget"], ended["HX-Reswap"]) == ("#mash", "outerHTML")
    assert "Stopped" in ended.content.decode()


@pytest.mark.parametrize("what", ["mash", "mash/map"])
def test_a_running_mash_stops_at_its_next_tick(desk: Client, asked: EnquiryRow, what: str) -> None:
    ask(desk, asked, what)
    claimed = jobs.claim()
    assert claimed is not None
    jobs.stop(claimed)
    jobs.run(claimed)
    claimed.refresh_from_db()
    assert claimed.state == State.STOPPED
    assert not MashTrial.objects.exists()


def test_what_the_casework_refuses_is_said_on_the_page(desk: Client, asked: EnquiryRow) -> None:
    EnquiryRow.objects.update(record_mean_lpa_per_t=250.0)
    ask(desk, asked)
    assert worked().state == State.REFUSED
    assert "cannot be explained" in page_of(desk, asked)


def test_a_mash_cut_short_says_so(desk: Client, asked: EnquiryRow) -> None:
    ask(desk, asked)
    jobs.claim()
    jobs.interrupt_running()
    assert jobs.CUT_SHORT in page_of(desk, asked)


@pytest.mark.parametrize(
    ("parts", "warm", "thick"),
    [
        ({}, ("mash.settled_mash_degC", 64.0), None),
        ({"waters": (Water("first", 3.5, 63.0), Water("second", 1.9, 75.0))}, ("mash.settled_mash_degC", 63.0), 3.5),
        ({"liquor_degC": 68.0, "liquor_L_per_kg": 4.0}, ("mash.liquor_degC", 68.0), 4.0),
        (
            {"rests": (Rest(52.0, 10.0), Rest(64.0, 40.0)), "liquor_L_per_kg": 3.0},
            ("mash.rests.2.settled_degC", 64.0),
            3.0,
        ),
    ],
    ids=["usual waters", "waters", "liquor", "rests"],
)
def test_a_map_is_laid_around_what_sets_the_temperature(
    parts: dict[str, Any], warm: tuple[str, float], thick: float | None
) -> None:
    plant = dataclasses.replace(enquiry().plant, mash=dataclasses.replace(enquiry().plant.mash, **parts))
    sheet = dataclasses.replace(sheet_of(enquiry(), TEN), plant=plant)
    across, up = axes_around(sheet, lots(), Steps(3, 1.0, 0.25))
    assert (across.key, across.values) == (warm[0], (warm[1] - 1.0, warm[1], warm[1] + 1.0))
    assert up.key == "mash.liquor_L_per_kg"
    assert len(up.values) == 3
    assert thick is None or up.values == (thick - 0.25, thick, thick + 0.25)


def test_a_map_ends_where_its_settings_do() -> None:
    plan = dataclasses.replace(enquiry().plant.mash, liquor_degC=98.5, liquor_L_per_kg=1.6)
    sheet = dataclasses.replace(sheet_of(enquiry(), TEN), plant=dataclasses.replace(enquiry().plant, mash=plan))
    across, up = axes_around(sheet, lots(), Steps())
    assert across.values == (94.5, 96.5, 98.5)
    assert up.values == (1.6, 2.1, 2.6)


def test_a_distillers_map_is_worked_out_without_its_cask_and_says_the_same(
    asked: EnquiryRow, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The job asks for no cask, and once was refused for it."""
    monkeypatch.setattr(mash_jobs, "MEMBERS", FEW)
    steps = Steps(3, 1.0, 0.25)
    found = mash_jobs.mapped(spirit_record(asked), lots(), TEN, steps, lambda *_: None)
    sheet = sheet_of(enquiry(), TEN)
    assert found == map_view(vary(sheet, lots(), axes_around(sheet, lots(), steps), FEW))
