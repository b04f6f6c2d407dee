"""The way through an enquiry: its pages in the order of work, what is missing on each, and the next steps."""

from __future__ import annotations

import re
from html import unescape
from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from gristwright.store.mapping import enquiry_problems
from gristwright.store.models import BillShare, CaskVersion, EnquiryRow, OfferedLot, PlantVersion
from gristwright.store.versions import keep, newest
from gristwright.workbench import faults
from gristwright.workbench.order_of_work import DONE, next_steps, order_of_work
from pages import words

# Houses as people fill them in: begun and left, of every kind.
HOUSES: dict[str, dict[str, Any]] = {
    "nothing said": {},
    "grain-in with a cooker begun": {"kind": "grain-in", "mash": {"cook_degC": 95.0, "cooker": {}}, "column": {}},
    "a cooker whose slurry is too hot": {
        "kind": "grain-in",
        "mash": {"cook_degC": 90.0, "cooker": {"slurry_degC": 95.0}},
    },
    "malt for a cooker that is not there": {"kind": "grain-in", "mash": {"premalt_pct": 5.0}, "column": {}},
    "lauter with rests half said": {
        "kind": "separated",
        "mash": {"vessel": "lauter", "rests": [{"settled_degC": 52.0}, {"minutes": 30.0}]},
        "pot_stills": {},
    },
    "rests and waters": {"mash": {"rests": [{"settled_degC": 62.0, "minutes": 60.0}], "waters": [{"name": "first"}]}},
    "filter with one water half said": {
        "kind": "separated",
        "mash": {"vessel": "filter", "waters": [{"name": "first"}, {"name": "second", "L_per_kg": 1.0}]},
        "pot_stills": {"wash_charge_L": 6500.0},
    },
    "a column begun": {"kind": "grain-in", "column": {}},
    "a pot begun": {"kind": "separated", "pot_stills": {"spirit_charge_L": 4000.0}},
    "both stills": {"pot_stills": {}, "column": {}},
    "calcium alone": {"mash": {"calcium_mg_per_L": 60.0}},
    "liquor without its litres": {"mash": {"liquor_degC": 72.0}},
    "a brewer": {"kind": "separated", "wort_boiled": True, "mash": {"vessel": "lauter"}},
    "words of no table": {"kind": "other", "mash": {"vessel": "bath"}, "washbacks": {"count": 0}},
}
CASKS: dict[str, dict[str, Any]] = {
    "nothing said": {},
    "a kind alone": {"kind": {"name": "butt"}},
    "a kind of no table": {"kind": {"name": "keg"}, "climate": {"name": "nowhere"}},
    "beyond every limit": {
        "kind": {"name": "butt", "capacity_L": -1.0, "wall_mm": 0.0},
        "entry_abv_pct": 99.0, "years": -1.0, "bottle_L": 9.0, "bottle_abv_pct": 20.0, "first_month": 13,
    },
}  # fmt: skip


@pytest.fixture
def empty(desk: Client) -> EnquiryRow:
    desk.post("/enquiries/start/", {"way": "empty", "title": "bare"})
    return EnquiryRow.objects.get(title="bare")


def fresh(enquiry: EnquiryRow) -> EnquiryRow:
    return EnquiryRow.objects.get(pk=enquiry.pk)


@pytest.mark.parametrize("cask", CASKS)
@pytest.mark.parametrize("house", HOUSES)
def test_no_question_asks_for_a_field_that_no_page_has(desk: Client, empty: EnquiryRow, house: str, cask: str) -> None:
    keep(PlantVersion, empty, HOUSES[house])
    keep(CaskVersion, empty, CASKS[cask])
    enquiry = fresh(empty)
    pages: dict[str, str] = {}
    for problem in enquiry_problems(enquiry):
        page, _, anchor = faults.link(problem, enquiry).partition("#")
        assert page, problem
        if page not in pages:
            pages[page] = desk.get(page).content.decode()
        assert anchor, problem
        assert f'id="{anchor}"' in pages[page], problem
        assert "_" not in faults.sentence(problem)


@pytest.mark.parametrize("house", HOUSES)
def test_a_next_step_leads_to_a_field_that_is_there(desk: Client, empty: EnquiryRow, house: str) -> None:
    keep(PlantVersion, empty, HOUSES[house])
    enquiry = fresh(empty)
    for step in next_steps(enquiry, enquiry_problems(enquiry)):
        page, _, anchor = step.link.partition("#")
        assert f'id="{anchor}"' in desk.get(page).content.decode(), step


def test_the_pages_stand_in_the_order_of_work(desk: Client, asked: EnquiryRow) -> None:
    text = desk.get(f"/enquiries/{asked.pk}/house/").content.decode()
    way = text[text.index('<nav id="way"') : text.index("</nav>", text.index('<nav id="way"'))]
    titles = re.findall(r"<li><a [^>]*>([^<]+)<", way)
    assert titles == [
        "Question", "House", "Lots", "On offer", "Bill", "Answers", "Cask", "Release and age", "Changes",
    ]  # fmt: skip
    assert way.count('aria-current="page"') == 1
    assert re.search(r'aria-current="page"[^>]*>House', way)


def test_what_is_filled_in_is_done(asked: EnquiryRow) -> None:
    stands = {step.title: step.stands for step in order_of_work(fresh(asked))}
    assert stands == {
        "Question": "done", "House": "done", "Lots": "4 here", "On offer": "done", "Bill": "can be tried",
        "Answers": "none yet", "Cask": "done", "Release and age": "prices", "Changes": "",
    }  # fmt: skip
    assert next_steps(fresh(asked)) == []


def test_what_is_missing_is_counted(empty: EnquiryRow) -> None:
    steps = {step.title: step for step in order_of_work(fresh(empty))}
    assert steps["Question"].stands == "1 missing"
    enquiry = fresh(empty)
    first = next_steps(enquiry, enquiry_problems(enquiry))[0]
    assert first.wants == (("currency", f"/enquiries/{empty.pk}/question/#id_currency"),)
    assert steps["Lots"].stands == "none yet"
    assert steps["On offer"].stands == "no lot yet, today's bill at 0 %"
    assert steps["Bill"].stands == "waits"
    assert re.fullmatch(r"\d+ missing", steps["House"].stands)
    assert steps["House"].sign != DONE


def test_what_is_wrong_is_counted_beside_what_is_missing(empty: EnquiryRow) -> None:
    keep(PlantVersion, empty, {"mash": {"kg_per_mash": -3.0}})
    house = order_of_work(fresh(empty))[1]
    assert re.fullmatch(r"\d+ missing, 1 to mend", house.stands)


def test_prices_and_todays_bill_are_counted(asked: EnquiryRow) -> None:
    OfferedLot.objects.filter(named__name="CM-120").update(price_per_t=None)
    BillShare.objects.update(parts=9500)
    offer = order_of_work(fresh(asked))[3]
    assert offer.stands == "1 price missing, today's bill at 95 %"
    assert [(step.title, step.stands) for step in next_steps(fresh(asked))] == [
        ("Prices and ranges", "1 price missing"),
        ("Today's bill", "at 95 %"),
    ]


def test_an_empty_enquiry_shows_the_next_five_steps_and_nothing_red(desk: Client, empty: EnquiryRow) -> None:
    page = desk.get(f"/enquiries/{empty.pk}/")
    text = page.content.decode()
    section = text[text.index('class="next"') : text.index("</section>", text.index('class="next"'))]
    assert re.findall(r"<li><a [^>]*>([^<]+)</a>", unescape(section)) == [
        "Question", "House", "Lots", "Prices and ranges", "Today's bill"
    ]  # fmt: skip
    assert 'class="problems"' not in text
    assert "1 missing" in words(page)


def test_what_is_wrong_stays_red_beside_the_next_steps(desk: Client, empty: EnquiryRow) -> None:
    keep(PlantVersion, empty, {"mash": {"kg_per_mash": -3.0}})
    text = desk.get(f"/enquiries/{empty.pk}/").content.decode()
    red = text[text.index('class="problems"') : text.index("</section>", text.index('class="problems"'))]
    assert red.count("<li>") == 1
    assert "-3 kg is outside" in red


def test_the_way_through_is_one_query(asked: EnquiryRow) -> None:
    enquiry = EnquiryRow.objects.select_related("customer", "plant").get(pk=asked.pk)
    with CaptureQueriesContext(connection) as seen:
        order_of_work(enquiry)
    assert len(seen) == 1


@pytest.mark.parametrize("page", ["question", "house", "cask", "age", "offer"])
def test_a_page_of_fields_asks_little_of_the_tables(desk: Client, asked: EnquiryRow, page: str) -> None:
    with CaptureQueriesContext(connection) as seen:
        assert desk.get(f"/enquiries/{asked.pk}/{page}/").status_code == 200
    assert len(seen) <= 12


def test_a_new_enquiry_has_what_goes_without_saying(desk: Client, empty: EnquiryRow) -> None:
    assert (empty.date, empty.adviser, empty.currency) == (timezone.localdate(), "A.Example", "")
    EnquiryRow.objects.filter(pk=empty.pk).update(adviser="B. Example", currency="GBP")
    desk.post("/enquiries/start/", {"way": "empty", "title": "the next"})
    following = EnquiryRow.objects.get(title="the next")
    assert (following.date, following.adviser, following.currency) == (timezone.localdate(), "B. Example", "GBP")


def test_the_adviser_of_an_invented_enquiry_is_no_adviser_of_ours(
    desk: Client, asked: EnquiryRow, empty: EnquiryRow
) -> None:
    assert asked.invented
    assert (empty.adviser, empty.currency) == (get_user_model().objects.get().get_username(), asked.currency)


def test_a_document_kept_before_is_still_the_one_that_counts(empty: EnquiryRow) -> None:
    keep(CaskVersion, empty, {"kind": {"name": "butt"}})
    before = order_of_work(fresh(empty))[6].stands
    keep(CaskVersion, empty, {**newest(CaskVersion, empty), "years": 9.0})
    after = order_of_work(fresh(empty))[6].stands
    assert int(before.split()[0]) == int(after.split()[0]) + 1
