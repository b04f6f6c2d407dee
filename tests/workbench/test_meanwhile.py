"""Two windows on one page: what one changed alone is written, what both changed is asked, and nothing is lost."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.test import Client

from gristwright.store.library import name_lot
from gristwright.store.mapping import enquiry_record
from gristwright.store.models import CaskVersion, EnquiryRow, LotGroup, OfferedLot, PlantVersion
from gristwright.store.versions import keep, newest
from gristwright.workbench.changes import changes
from pages import field, words
from workbench.conftest import HERE
from workbench.test_ages import file, here, post, said
from workbench.test_pages import fields_of


@pytest.fixture
def other(db: None) -> Client:
    """Somebody else's window."""
    client = Client(headers={"host": HERE})
    user = get_user_model().objects.create_user("B.Example", password="barley-and-water-8")
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return client


def opened(desk: Client, asked: EnquiryRow, page: str) -> dict[str, Any]:
    return fields_of(desk.get(f"/enquiries/{asked.pk}/{page}/"))


def save(desk: Client, asked: EnquiryRow, page: str, sent: dict[str, Any], **more: Any) -> Any:
    return desk.post(f"/enquiries/{asked.pk}/{page}/", {**sent, **more})


def carried(answer: Any) -> dict[str, str]:
    """What the page that asks carries beside its fields."""
    return {"was": answer.context["met"].was, "opened": answer.context["met"].asked}


def asks(answer: Any) -> dict[str, tuple[str, str, str]]:
    return {one.name: (one.opened, one.kept, one.yours) for one in answer.context["met"].clashes}


def question(name: str) -> Any:
    value = getattr(EnquiryRow.objects.get(), name)
    return str(value) if name == "customer" else value


def test_what_two_windows_changed_in_different_fields_is_both_written(
    desk: Client, other: Client, asked: EnquiryRow
) -> None:
    mine, theirs = opened(desk, asked, "question"), opened(other, asked, "question")
    assert save(other, asked, "question", theirs, customer="Their Mill (invented)").status_code == 302
    assert save(desk, asked, "question", mine, processing_cost_per_t="187,5").status_code == 302
    assert question("customer") == "Their Mill (invented)"
    assert question("processing_cost_per_t") == 187.5


def test_what_both_changed_is_asked_and_nothing_is_written(desk: Client, other: Client, asked: EnquiryRow) -> None:
    mine, theirs = opened(desk, asked, "question"), opened(other, asked, "question")
    before = question("customer")
    save(other, asked, "question", theirs, customer="Their Mill (invented)")
    answer = save(desk, asked, "question", mine, customer="My Mill (invented)", adviser="C. Example")
    assert answer.status_code == 409
    assert asks(answer) == {"customer": (before, "Their Mill (invented)", "My Mill (invented)")}
    assert re.search(r"Saved meanwhile by B\.Example on \d+ \w+ at \d\d:\d\d UTC", words(answer))
    assert 'value="C. Example"' in field(answer, "id_adviser")
    assert (question("customer"), question("adviser")) == ("Their Mill (invented)", "A. Example")


@pytest.mark.parametrize(("choice", "stands"), [("mine", "My Mill (invented)"), ("theirs", "Their Mill (invented)")])
def test_what_was_chosen_is_written(desk: Client, other: Client, asked: EnquiryRow, choice: str, stands: str) -> None:
    mine, theirs = opened(desk, asked, "question"), opened(other, asked, "question")
    save(other, asked, "question", theirs, customer="Their Mill (invented)")
    mine |= {"customer": "My Mill (invented)", "adviser": "C. Example"}
    asked_page = save(desk, asked, "question", mine)
    again = {**mine, **carried(asked_page)}
    unsaid = save(desk, asked, "question", again)
    assert unsaid.status_code == 409
    assert asks(unsaid) == asks(asked_page)
    assert save(desk, asked, "question", {**again, "choose.customer": choice}).status_code == 302
    assert (question("customer"), question("adviser")) == (stands, "C. Example")


def test_a_third_window_that_saves_while_somebody_chooses_is_asked_about_too(
    desk: Client, other: Client, asked: EnquiryRow
) -> None:
    mine, theirs = opened(desk, asked, "question"), opened(other, asked, "question")
    save(other, asked, "question", theirs, customer="Their Mill (invented)")
    mine["customer"] = "My Mill (invented)"
    first = save(desk, asked, "question", mine)
    save(other, asked, "question", opened(other, asked, "question"), customer="A third Mill (invented)")
    answer = save(desk, asked, "question", {**mine, **carried(first), "choose.customer": "mine"})
    assert answer.status_code == 409
    assert asks(answer)["customer"][1] == "A third Mill (invented)"
    assert question("customer") == "A third Mill (invented)"


def test_the_same_change_in_two_windows_is_no_question(desk: Client, other: Client, asked: EnquiryRow) -> None:
    mine, theirs = opened(desk, asked, "question"), opened(other, asked, "question")
    save(other, asked, "question", theirs, processing_cost_per_t="64.5")
    assert save(desk, asked, "question", mine, processing_cost_per_t="64,50").status_code == 302


def test_ticks_are_brought_together_too(desk: Client, other: Client, asked: EnquiryRow) -> None:
    mine, theirs = opened(desk, asked, "question"), opened(other, asked, "question")
    save(other, asked, "question", {name: text for name, text in theirs.items() if name != "invented"})
    assert not question("invented")
    save(desk, asked, "question", mine, title="Another title")
    assert not question("invented")
    assert question("title") == "Another title"


def test_lines_of_a_text_are_the_same_however_a_browser_ends_them(desk: Client, asked: EnquiryRow) -> None:
    EnquiryRow.objects.update(question="One line.\nAnother line.")
    mine = opened(desk, asked, "question")
    before = len(changes(asked))
    save(desk, asked, "question", mine, question="One line.\r\nAnother line.")
    assert len(changes(asked)) == before


def test_a_form_that_does_not_say_what_it_showed_writes_over_nothing(desk: Client, asked: EnquiryRow) -> None:
    sent = opened(desk, asked, "question") | {"customer": "My Mill (invented)"}
    for was in ("", "no such thing", "[1]", '{"customer": 3}'):
        answer = save(desk, asked, "question", {**sent, "was": was})
        assert answer.status_code == 409
        assert asks(answer)["customer"][0] == "not known"


def test_a_fault_and_a_question_are_told_together(desk: Client, other: Client, asked: EnquiryRow) -> None:
    mine, theirs = opened(desk, asked, "question"), opened(other, asked, "question")
    save(other, asked, "question", theirs, customer="Their Mill (invented)")
    answer = save(desk, asked, "question", mine, customer="My Mill (invented)", valid_days="many")
    assert answer.status_code == 409
    assert "valid_days" in answer.context["form"].errors
    assert list(asks(answer)) == ["customer"]


# The house and the cask: documents


def mash(name: str) -> Any:
    return getattr(enquiry_record(EnquiryRow.objects.get()).plant.mash, name)


def test_a_house_changed_in_two_windows_has_both_changes(desk: Client, other: Client, asked: EnquiryRow) -> None:
    mine, theirs = opened(desk, asked, "house"), opened(other, asked, "house")
    assert save(other, asked, "house", theirs, **{"mash-settled_mash_degC": "63"}).status_code == 302
    assert save(desk, asked, "house", mine, **{"mash-stand_min": "55"}).status_code == 302
    assert (mash("settled_mash_degC"), mash("stand_min")) == (63.0, 55.0)
    assert PlantVersion.objects.count() == 3


def test_a_field_of_the_house_that_both_changed_is_asked(desk: Client, other: Client, asked: EnquiryRow) -> None:
    mine, theirs = opened(desk, asked, "house"), opened(other, asked, "house")
    save(other, asked, "house", theirs, **{"mash-settled_mash_degC": "63"})
    mine["mash-settled_mash_degC"] = "65,5"
    answer = save(desk, asked, "house", mine)
    assert answer.status_code == 409
    assert asks(answer) == {"mash-settled_mash_degC": ("nothing", "63", "65,5")}
    assert answer.context["met"].clashes[0].hand.who == "B.Example"
    assert mash("settled_mash_degC") == 63.0
    save(desk, asked, "house", {**mine, **carried(answer), "choose.mash-settled_mash_degC": "mine"})
    assert mash("settled_mash_degC") == 65.5


def test_what_was_typed_in_a_field_that_went_is_told(desk: Client, other: Client, asked: EnquiryRow) -> None:
    document = newest(PlantVersion, asked)
    many = {**document["mash"], "rests": [{"settled_degC": 60.0 + n, "minutes": 5.0} for n in range(7)]}
    many.pop("settled_mash_degC", None)
    keep(PlantVersion, asked, {**document, "mash": many})
    mine = opened(desk, asked, "house")
    keep(PlantVersion, asked, document)
    answer = save(desk, asked, "house", mine, **{"mash-rests-8-settled_degC": "76", "mash-rests-8-minutes": "4"})
    assert answer.status_code == 409
    assert "“Rest 8, for” is no longer on this page. What you typed was not saved: 4." in words(answer)
    assert save(desk, asked, "house", {**fields_of(answer), **carried(answer)}).status_code == 302
    assert mash("rests") == ()


def test_a_cask_changed_in_two_windows_has_both_changes(desk: Client, other: Client, asked: EnquiryRow) -> None:
    mine, theirs = opened(desk, asked, "cask"), opened(other, asked, "cask")
    save(other, asked, "cask", theirs, entry_abv_pct="61")
    save(desk, asked, "cask", mine, years="9")
    document = newest(CaskVersion, asked)
    assert (document["entry_abv_pct"], document["years"]) == (61.0, 9.0)


# On offer: lines that come and go


def offer(lot: str) -> OfferedLot:
    return OfferedLot.objects.get(named__name=lot)


def test_an_offer_changed_in_two_windows_has_both_changes(desk: Client, other: Client, asked: EnquiryRow) -> None:
    mine, theirs = opened(desk, asked, "offer"), opened(other, asked, "offer")
    save(other, asked, "offer", theirs, **{"offers-2-price_per_t": "711", "offers-0-today": "90"})
    save(desk, asked, "offer", mine, **{"offers-2-most_parts": "12,5", "today-present_name": "this week"})
    assert (offer("CM-120").price_per_t, offer("CM-120").most_parts) == (711.0, 1250)
    asked.refresh_from_db()
    assert asked.present_name == "this week"
    assert asked.shares.get(named__name="PD-1").parts == 9000


def test_a_price_that_both_changed_is_asked_by_its_lot(desk: Client, other: Client, asked: EnquiryRow) -> None:
    mine, theirs = opened(desk, asked, "offer"), opened(other, asked, "offer")
    save(other, asked, "offer", theirs, **{"offers-2-price_per_t": "711"})
    mine["offers-2-price_per_t"] = "722"
    answer = save(desk, asked, "offer", mine)
    assert answer.status_code == 409
    assert [(one.label, one.kept, one.yours) for one in answer.context["met"].clashes] == [
        ("CM-120: Price a tonne", "711", "722")
    ]
    save(desk, asked, "offer", {**mine, **carried(answer), "choose.offers-2-price_per_t": "theirs"})
    assert offer("CM-120").price_per_t == 711.0


def test_a_share_of_today_that_both_changed_is_asked(desk: Client, other: Client, asked: EnquiryRow) -> None:
    mine, theirs = opened(desk, asked, "offer"), opened(other, asked, "offer")
    save(other, asked, "offer", theirs, **{"offers-0-today": "90"})
    answer = save(desk, asked, "offer", mine, **{"offers-0-today": "80"})
    (clash,) = answer.context["met"].clashes
    assert (clash.label, clash.kept, clash.yours) == ("PD-1: Share today, %", "90", "80")
    assert clash.hand.who == "B.Example"


def test_lines_keep_their_own_values_when_one_before_them_is_taken_off(
    desk: Client, other: Client, asked: EnquiryRow
) -> None:
    mine, theirs = opened(desk, asked, "offer"), opened(other, asked, "offer")
    save(other, asked, "offer", theirs, **{"offers-0-DELETE": "on"})
    answer = save(desk, asked, "offer", mine, **{"offers-2-price_per_t": "733"})
    assert answer.status_code == 302
    assert offer("CM-120").price_per_t == 733.0
    assert offer("PD-2").price_per_t == enquiry_record(asked).offered[0].price_per_t
    said_next = words(desk.get(answer.url))
    assert re.search(r"Lot PD-1 on offer was taken off the list meanwhile by B\.Example on .* UTC\.", said_next)


def test_what_was_typed_for_a_lot_that_was_taken_off_is_told(desk: Client, other: Client, asked: EnquiryRow) -> None:
    mine, theirs = opened(desk, asked, "offer"), opened(other, asked, "offer")
    save(other, asked, "offer", theirs, **{"offers-0-DELETE": "on"})
    mine |= {"offers-0-price_per_t": "599", "offers-2-price_per_t": "733"}
    answer = save(desk, asked, "offer", mine)
    assert answer.status_code == 409
    assert "What you typed for it was not saved: Price a tonne “599”." in words(answer)
    assert offer("CM-120").price_per_t != 733.0
    assert save(desk, asked, "offer", {**fields_of(answer), **carried(answer)}).status_code == 302
    assert offer("CM-120").price_per_t == 733.0
    assert not OfferedLot.objects.filter(named__name="PD-1").exists()


def test_a_lot_that_came_meanwhile_stays_and_is_told(desk: Client, asked: EnquiryRow) -> None:
    mine = opened(desk, asked, "offer")
    new = name_lot(asked, "N-1")
    OfferedLot.objects.create(enquiry=asked, named=new, place=0, price_per_t=444.0, most_parts=5000)
    answer = save(desk, asked, "offer", mine, **{"offers-2-price_per_t": "733"})
    assert answer.status_code == 302
    assert (offer("N-1").price_per_t, offer("N-1").most_parts, offer("CM-120").price_per_t) == (444.0, 5000, 733.0)
    assert "N-1 came onto the list meanwhile." in words(desk.get(answer.url))


def test_a_lot_is_not_taken_off_over_what_another_wrote_of_it(desk: Client, other: Client, asked: EnquiryRow) -> None:
    mine, theirs = opened(desk, asked, "offer"), opened(other, asked, "offer")
    save(other, asked, "offer", theirs, **{"offers-2-price_per_t": "711"})
    mine["offers-2-DELETE"] = "on"
    answer = save(desk, asked, "offer", mine)
    assert answer.status_code == 409
    assert asks(answer) == {"offers-2-DELETE": ("not ticked", "Price a tonne 711", "ticked")}
    assert OfferedLot.objects.filter(named__name="CM-120").exists()
    save(desk, asked, "offer", {**mine, **carried(answer), "choose.offers-2-DELETE": "mine"})
    assert not OfferedLot.objects.filter(named__name="CM-120").exists()


def test_a_group_that_was_deleted_meanwhile_is_told(desk: Client, other: Client, asked: EnquiryRow) -> None:
    assert LotGroup.objects.count() == 1
    mine, theirs = opened(desk, asked, "offer"), opened(other, asked, "offer")
    save(other, asked, "offer", theirs, **{"groups-0-DELETE": "on"})
    answer = save(desk, asked, "offer", mine, **{"groups-0-most_parts": "20"})
    assert answer.status_code == 409
    assert "Group caramel malt was taken off the list meanwhile by B.Example" in words(answer)
    assert "At most, % “20”" in words(answer)


def test_two_windows_may_each_add_a_group(desk: Client, other: Client, asked: EnquiryRow) -> None:
    mine, theirs = opened(desk, asked, "offer"), opened(other, asked, "offer")
    for window, sent, name in ((other, theirs, "theirs"), (desk, mine, "mine")):
        new = {"groups-1-name": name, "groups-1-keys": [str(name_lot(asked, "PD-1").pk)], "groups-1-most_parts": "60"}
        assert save(window, asked, "offer", sent, **new).status_code == 302
    assert sorted(LotGroup.objects.values_list("name", flat=True)) == ["caramel malt", "mine", "theirs"]


def test_a_line_that_never_was_is_no_fault_of_the_desk(desk: Client, asked: EnquiryRow) -> None:
    mine = opened(desk, asked, "offer")
    answer = save(desk, asked, "offer", mine, **{"offers-0-id": "no such line"})
    assert answer.status_code in (302, 409)
    assert OfferedLot.objects.count() == 4


def test_bought_for_character_is_shown_as_it_is_kept(desk: Client, asked: EnquiryRow) -> None:
    OfferedLot.objects.filter(named__name="PD-1").update(for_character=True)
    page = desk.get(f"/enquiries/{asked.pk}/offer/").content.decode()
    (shown,) = re.findall(r'<select name="offers-0-for_character".*?</select>', page, re.DOTALL)
    assert '<option value="true" selected>' in shown


# Prices at release and the claim


def test_prices_changed_in_two_windows_are_brought_together(desk: Client, other: Client, asked: EnquiryRow) -> None:
    was = desk.get(here(asked)).context["met_release"].was
    post(other, asked, "prices", {"cask_price": "130"})
    answer = desk.post(here(asked, "prices/"), {"was": was, "fills": "2", "cask_price": "140"})
    assert answer.status_code == 409
    (clash,) = answer.context["met_release"].clashes
    assert (clash.label, clash.kept, clash.yours, clash.hand.who) == ("Price of a cask", "130", "140", "B.Example")
    asked.refresh_from_db()
    assert asked.release.cask_price == 130.0


def test_a_claim_that_both_changed_is_asked(desk: Client, other: Client, asked: EnquiryRow) -> None:
    post(desk, asked, "claim", said())
    was = desk.get(here(asked)).context["met_claim"].was
    again = {name: value for name, value in said().items() if name not in ("claim-ladder", "claim-arms")}
    post(other, asked, "claim", {**again, "claim-claims": "3:6-9"})
    answer = desk.post(here(asked, "claim/"), {**again, "was": was, "claim-claims": "3:5-8"})
    assert answer.status_code == 409
    (clash,) = answer.context["met_claim"].clashes
    assert (clash.kept, clash.yours) == ("3:6-9", "3:5-8")


def test_a_table_of_casks_that_another_sent_meanwhile_is_asked(desk: Client, other: Client, asked: EnquiryRow) -> None:
    was = desk.get(here(asked)).context["met_claim"].was
    post(other, asked, "claim", said())
    answer = desk.post(here(asked, "claim/"), {"was": was, "claim-ladder": file("ladder.csv"), "claim-model": "line"})
    assert answer.status_code == 409
    (clash,) = answer.context["met_claim"].clashes
    assert (clash.label, clash.yours) == ("Reference casks of known age", "the file ladder.csv")


def test_casks_are_not_taken_away_over_what_another_saved(desk: Client, other: Client, asked: EnquiryRow) -> None:
    post(desk, asked, "claim", said())
    was = desk.get(here(asked)).context["met_claim"].was
    post(other, asked, "claim", {**said(claims="3:6-9")})
    answer = desk.post(here(asked, "claim/"), {"was": was, "take_away": "yes"}, follow=True)
    assert "The claim was changed meanwhile by B.Example" in words(answer)
    assert hasattr(EnquiryRow.objects.get(), "aged")
