"""Bills that somebody wants answered: named on the bill page, told where they are used, safe from what is deleted."""

from __future__ import annotations

import io
import re
import zipfile
from dataclasses import replace
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from gristwright.basics import Refused
from gristwright.documents.speech import LOCALES
from gristwright.records.bill import Bill, Share
from gristwright.store.mapping import asked_records, enquiry_record, save_enquiry, tried_record
from gristwright.store.models import EnquiryRow
from gristwright.store.models.enquiries import LANGUAGES
from gristwright.workbench import changes
from gristwright.workbench.asked_bills import asked_bills
from gristwright.workbench.starting import from_files
from pages import field, words
from scenario import FOLDER, enquiry, lots
from workbench.test_brewer import brewers
from workbench.test_brewer import lots as brewers_lots
from workbench.test_meanwhile import opened, save
from workbench.test_taking import NEW, take
from workbench.test_undo import undo

TEN = {"share.CM-120": "10", "rest": "PD-1"}
TENTH = Bill("A tenth caramel", (Share("PD-1", 9000), Share("CM-120", 1000)))


def here(row: EnquiryRow, name: str) -> str:
    return reverse(name, args=[row.pk])


def ask(desk: Client, row: EnquiryRow, name: str = "A tenth caramel", **shares: str) -> Any:
    sent = {**TEN, **{f"share.{lot.replace('_', '-')}": share for lot, share in shares.items()}, "bill_name": name}
    return desk.post(here(row, "ask_bill"), sent, follow=True)


def bills(row: EnquiryRow) -> tuple[Bill, ...]:
    return asked_records(EnquiryRow.objects.get(pk=row.pk))


def out(desk: Client, row: EnquiryRow, number: int = 1) -> Any:
    mark = asked_bills(EnquiryRow.objects.get(pk=row.pk))[number - 1].mark
    return desk.post(here(row, "take_bill_out"), {"mark": mark}, follow=True)


@pytest.fixture
def with_one(asked: EnquiryRow, desk: Client) -> EnquiryRow:
    assert ask(desk, asked).status_code == 200
    return EnquiryRow.objects.get(pk=asked.pk)


def test_the_bill_being_tried_is_asked_about_under_its_name(desk: Client, asked: EnquiryRow) -> None:
    page = ask(desk, asked)
    assert {share for bill in bills(asked) for share in bill.shares} == set(TENTH.shares)
    assert enquiry_record(EnquiryRow.objects.get()).asked[0].same_grist(TENTH)
    text = words(page)
    assert "“A tenth caramel” will be answered by a search." in text
    assert "90 % PD-1 + 10 % CM-120" in text
    assert "can be tried, 1 asked about" in text
    assert "A search answers this one too, whether or not it would offer it." in words(desk.get(here(asked, "answers")))


def test_without_a_name_it_goes_by_its_shares_as_its_lots_are_called(desk: Client, asked: EnquiryRow) -> None:
    ask(desk, asked, "")
    assert bills(asked)[0].name == "90 % PD-1 + 10 % CM-120"
    named = asked.named.get(name="CM-120")
    named.name = "Caramel, new"
    named.save()
    assert bills(asked)[0].name == "90 % PD-1 + 10 % Caramel, new"


@pytest.mark.parametrize(
    ("name", "share", "said"),
    [
        ("Another name", "10", "these shares are asked about already, as “A tenth caramel”."),
        ("a tenth CARAMEL", "12", "“a tenth CARAMEL” is the name of another bill asked about."),
        ("x" * 61, "12", "has 61 characters; a table has room for 60."),
        ("a\u202eb", "12", "documents"),
    ],
)
def test_a_bill_is_told_from_the_others(desk: Client, with_one: EnquiryRow, name: str, share: str, said: str) -> None:
    page = ask(desk, with_one, name, CM_120=share)
    assert page.status_code == 422
    assert said in words(page)
    assert 'aria-invalid="true"' in field(page, "bill-name")
    assert len(bills(with_one)) == 1


@pytest.mark.parametrize("shares", [{"rest": ""}, {"share.CM-120": "ten"}])
def test_shares_that_do_not_add_up_are_refused_and_stand_as_they_were_sent(
    desk: Client, asked: EnquiryRow, shares: dict[str, str]
) -> None:
    page = desk.post(here(asked, "ask_bill"), {**TEN, **shares, "bill_name": "Mine"})
    assert page.status_code == 422
    assert bills(asked) == ()
    assert 'value="Mine"' in field(page, "bill-name")


def test_one_is_tried_again_and_taken_out(desk: Client, with_one: EnquiryRow) -> None:
    text = desk.get(here(with_one, "bill")).content.decode()
    section = text[text.index('id="asked"') :]
    sent = dict(re.findall(r'name="(share\.[^"]*)" value="([^"]*)"', section))
    assert sent == {"share.PD-1": "90", "share.CM-120": "10"}
    assert "“A tenth caramel” is no longer asked about." in words(out(desk, with_one))
    assert bills(with_one) == ()
    assert "None. A search answers today's bill" in words(desk.get(here(with_one, "bill")))


def test_what_was_changed_in_another_window_is_not_taken_out(desk: Client, with_one: EnquiryRow) -> None:
    mark = asked_bills(with_one)[0].mark
    out(desk, with_one)
    ask(desk, with_one, "A tenth caramel", CM_120="12")
    page = desk.post(here(with_one, "take_bill_out"), {"mark": mark}, follow=True)
    assert "That bill was taken out or changed meanwhile. Nothing was done." in words(page)
    assert len(bills(with_one)) == 1


def test_changes_tell_both_and_who_did_it(desk: Client, with_one: EnquiryRow, owner: Any) -> None:
    out(desk, with_one)
    told = [line for line in changes.changes(EnquiryRow.objects.get()) if line.what.endswith("Bills asked about")]
    shares = "A tenth caramel: 90 % PD-1 + 10 % CM-120"
    assert [(line.verb, line.old, line.new, line.who) for line in told] == [
        ("taken out", shares, "", owner.username),
        ("added", "", shares, owner.username),
    ]
    assert "Bills asked about" in words(desk.get(here(with_one, "changes")))


def test_a_lot_that_is_deleted_is_named_and_undo_brings_the_bill_back(desk: Client, with_one: EnquiryRow) -> None:
    key = with_one.named.get(name="CM-120").pk
    along = "its 10 % of “A tenth caramel”, which is asked about and cannot be answered without it"
    assert along in words(desk.get(reverse("lot", args=[with_one.pk, key])))
    assert along in words(desk.post(reverse("delete_lot", args=[with_one.pk, key]), follow=True))
    fault = "“A tenth caramel” holds 10 % of CM-120, which was deleted. Undo that under Lots, or take this bill out."
    for page in ("bill", "answers"):
        assert fault in words(desk.get(here(with_one, page)))
    with pytest.raises(Refused, match="which was deleted"):
        enquiry_record(EnquiryRow.objects.get())
    assert tried_record(EnquiryRow.objects.get()).asked == ()
    assert fault in words(desk.post(here(with_one, "find"), {"draws": "2048"}))
    step = EnquiryRow.objects.get().lot_steps.all()[0]
    desk.post(reverse("undo_step", args=[with_one.pk, step.pk]))
    assert bills(with_one)[0].same_grist(TENTH)
    assert enquiry_record(EnquiryRow.objects.get()).asked[0].same_grist(TENTH)


def test_a_bill_whose_lot_is_gone_can_be_taken_out_and_others_tried(desk: Client, with_one: EnquiryRow) -> None:
    desk.post(reverse("delete_lot", args=[with_one.pk, with_one.named.get(name="CM-120").pk]))
    page = desk.get(here(with_one, "bill"))
    assert 'class="headline"' in page.content.decode()
    section = page.content.decode().split('id="asked"', 1)[1].split('id="mash"', 1)[0]
    assert "Take out<" in section and "Try<" not in section
    out(desk, with_one)
    assert enquiry_record(EnquiryRow.objects.get()).asked == ()


def test_a_lot_taken_off_the_list_is_told_where_that_is_done(desk: Client, with_one: EnquiryRow) -> None:
    sent = opened(desk, with_one, "offer")
    number = [offer.lot_id for offer in with_one.offered.all()].index("CM-120")
    save(desk, with_one, "offer", sent, **{f"offers-{number}-DELETE": "on"})
    fault = "“A tenth caramel” holds 10 % of CM-120, which is not on offer. Take this bill out."
    assert fault in words(desk.get(here(with_one, "offer")))
    assert fault in words(desk.get(here(with_one, "answers")))


def test_a_lot_that_a_bill_holds_stays_when_its_coming_is_undone(desk: Client, asked: EnquiryRow) -> None:
    take(desk, asked, "new.csv", NEW)
    ask(desk, asked, "With the new one", N_1="10", CM_120="0")
    page = words(undo(desk, asked))
    assert (
        "N-1 is in “With the new one”, asked about, so it stays. Take that out under Bill, then undo this again."
        in page
    )
    out(desk, asked)
    assert "Undone: N-1 deleted again." in words(undo(desk, asked))


def test_a_copy_asks_about_the_same_bills_of_its_own_lots(desk: Client, with_one: EnquiryRow) -> None:
    desk.post(here(with_one, "copy"))
    made = EnquiryRow.objects.exclude(pk=with_one.pk).get()
    assert asked_records(made) == bills(with_one)
    assert not set(made.asked[0]["parts"]) & set(with_one.asked[0]["parts"])
    assert not [line for line in changes.changes(made) if "Bills asked about" in line.what]


def test_the_files_bring_them_back(desk: Client, with_one: EnquiryRow) -> None:
    EnquiryRow.objects.update(language="de")
    packed = desk.get(here(with_one, "give_files")).content
    assert "[[asked]]" in zipfile.ZipFile(io.BytesIO(packed)).read("enquiry.toml").decode()
    desk.post(reverse("start"), {"way": "files", "files": SimpleUploadedFile("all.zip", packed)})
    made = EnquiryRow.objects.exclude(pk=with_one.pk).get()
    assert enquiry_record(made) == enquiry_record(EnquiryRow.objects.get(pk=with_one.pk))
    assert made.language == "de"


def test_a_bill_file_that_is_asked_about_and_not_sent_is_asked_for(desk: Client) -> None:
    sent = {name: (FOLDER / name).read_bytes() for name in ("enquiry.toml", "plant.toml", "bill.toml", "lots.csv")}
    sent["enquiry.toml"] += b'\n[[asked]]\nname = "Other"\nbill = "other.toml"\n'
    with pytest.raises(Refused, match=r"names 'other.toml', which was not sent"):
        from_files(sent, None)  # type: ignore[arg-type]


def test_archive_and_bin_leave_them(desk: Client, with_one: EnquiryRow) -> None:
    for name in ("archive", "bin"):
        desk.post(here(with_one, name), {"aside": "yes"})
    assert bills(with_one)[0].same_grist(TENTH)


def test_trying_and_asking_cost_the_draws_once(desk: Client, with_one: EnquiryRow) -> None:
    """What is tried does not wait for, nor follow from, what is asked about."""
    row = EnquiryRow.objects.get()
    before = tried_record(row)
    out(desk, row)
    assert tried_record(EnquiryRow.objects.get()) == before == replace(enquiry(), asked=())


def test_a_brewers_bill_is_asked_about_too(desk: Client, owner: Any) -> None:
    row = save_enquiry(brewers(), brewers_lots(), owner)
    lot = row.offered.all()[0].lot_id
    page = desk.post(here(row, "ask_bill"), {f"share.{lot}": "100", "bill_name": "All of one"}, follow=True)
    assert "“All of one” will be answered by a search." in words(page)
    assert bills(row) == (Bill("All of one", (Share(lot, 10_000),)),)


def test_bills_of_a_file_are_kept_by_the_keys_of_their_lots(owner: Any) -> None:
    row = save_enquiry(replace(enquiry(), asked=(TENTH,)), lots(), owner)
    assert bills(row) == (TENTH,)
    assert set(row.asked[0]["parts"]) == {str(row.named.get(name=name).pk) for name in ("PD-1", "CM-120")}


def test_the_language_is_chosen_with_the_question(desk: Client, asked: EnquiryRow) -> None:
    page = desk.get(here(asked, "question"))
    assert "Language of the customer's pages" in words(page)
    assert "German" in words(page)
    save(desk, asked, "question", opened(desk, asked, "question"), language="de")
    assert enquiry_record(EnquiryRow.objects.get()).language == "de"


def test_every_language_that_is_printed_in_can_be_chosen() -> None:
    assert set(dict(LANGUAGES)) == set(LOCALES)
