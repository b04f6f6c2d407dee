"""Copies, the archive, the bin; the list of many enquiries; another password."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest
from django.test import Client

from casework.full import claiming
from gristwright.records.dose import DoseAsked
from gristwright.store import frozen
from gristwright.store.library import lot_records
from gristwright.store.mapping import customer_named, enquiry_record, save_enquiry
from gristwright.store.models import Answer, AnswerStep, CertificateFile, EnquiryRow, Job, Papers
from gristwright.store.models.work import Decision, State
from gristwright.workbench import keeping
from pages import words
from scenario import enquiry, lots
from workbench.conftest import HERE

DOSES = DoseAsked(of="CM-120", from_parts=0, to_parts=1000, years=3.0, reads_low=6.0, reads_high=8.0)


def answered(row: EnquiryRow) -> Answer:
    job = Job.objects.create(enquiry=row, state=State.DONE)
    answer = Answer.objects.create(enquiry=row, job=job, inputs="{}", view="{}", inputs_sha256="0" * 64)
    Papers.objects.create(answer=answer, view="{}", pdf=b"%PDF")
    AnswerStep.objects.create(answer=answer, kind=Decision.ISSUED, who="A. Example")
    return answer


def do(desk: Client, row: EnquiryRow, what: str, **sent: str) -> Any:
    return desk.post(f"/enquiries/{row.pk}/{what}/", sent, follow=True)


def test_a_copy_asks_the_same_and_has_none_of_the_answers(desk: Client, owner: Any) -> None:
    row = save_enquiry(dataclasses.replace(claiming(), dose=DOSES), lots(), owner)
    CertificateFile.objects.create(enquiry=row, name="lots.csv", received=b"a", content=b"b", sent_by=owner)
    row.tried = {"PD-1": 10_000}
    row.save()
    answered(row)
    before = enquiry_record(row)
    page = do(desk, row, "copy")
    made = EnquiryRow.objects.exclude(pk=row.pk).get()
    assert f"/enquiries/{made.pk}/question/" in page.redirect_chain[0][0]
    assert made.title == f"Copy of {row.title}"
    assert enquiry_record(made) == dataclasses.replace(before, title=made.title)
    assert lot_records(made) == lot_records(row) == lots()
    assert made.tried == row.tried
    assert bytes(made.certificate_files.get().content) == b"b"
    assert (made.answers.count(), made.jobs.count()) == (0, 0)
    assert made.plant == row.plant
    assert enquiry_record(EnquiryRow.objects.get(pk=row.pk)) == before
    assert row.answers.count() == 1


def test_a_change_of_the_copy_leaves_the_other_as_it_is(desk: Client, asked: EnquiryRow) -> None:
    do(desk, asked, "copy")
    made = EnquiryRow.objects.exclude(pk=asked.pk).get()
    made.offered.update(price_per_t=1.0)
    made.named.all().delete()
    assert enquiry_record(asked).offered == enquiry().offered
    assert lot_records(asked) == lots()


def test_an_archived_enquiry_leaves_the_first_list_and_comes_back(desk: Client, asked: EnquiryRow) -> None:
    do(desk, asked, "archive", aside="yes")
    assert asked.title not in words(desk.get("/"))
    assert asked.title in words(desk.get("/?list=archived"))
    changes = words(desk.get(f"/enquiries/{asked.pk}/changes/"))
    assert f"{asked.title}: archived" in changes
    do(desk, asked, "archive", aside="no")
    assert asked.title in words(desk.get("/"))
    assert enquiry_record(EnquiryRow.objects.get()) == enquiry()


def test_the_bin_keeps_the_answers_and_gives_back(desk: Client, asked: EnquiryRow) -> None:
    answer = answered(asked)
    do(desk, asked, "bin", aside="yes")
    assert asked.title not in words(desk.get("/"))
    assert asked.title in words(desk.get("/?list=bin"))
    assert "put into the bin" in words(desk.get(f"/enquiries/{asked.pk}/changes/"))
    do(desk, asked, "bin", aside="no")
    assert asked.title in words(desk.get("/"))
    assert asked.answers.get() == answer


@pytest.mark.parametrize(
    ("binned", "sent", "said"),
    [
        (False, {"title": "T", "answers": "yes"}, "is not in the bin. Put it there first."),
        (True, {"title": "another", "answers": "yes"}, "'another' is not its title"),
        (True, {"title": "", "answers": "yes"}, "is not its title"),
        (True, {"title": "T"}, "it has 1 issued answer. Say that they are to be deleted with it."),
    ],
)
def test_nothing_is_deleted_unless_it_is_named(
    desk: Client, asked: EnquiryRow, binned: bool, sent: dict[str, str], said: str
) -> None:
    answered(asked)
    EnquiryRow.objects.filter(pk=asked.pk).update(title="T")
    if binned:
        do(desk, asked, "bin", aside="yes")
    page = do(desk, asked, "delete", **sent)
    assert page.status_code == 422
    assert said in words(page)
    assert (EnquiryRow.objects.count(), Answer.objects.count()) == (1, 1)


def test_what_is_named_is_gone_and_nothing_else(desk: Client, asked: EnquiryRow) -> None:
    other = save_enquiry(enquiry(), lots())
    answered(asked)
    answered(other)
    do(desk, asked, "bin", aside="yes")
    assert "1 issued answer" in words(desk.get(f"/enquiries/{asked.pk}/delete/"))
    do(desk, asked, "delete", title=asked.title, answers="yes")
    assert EnquiryRow.objects.get() == other
    assert Answer.objects.get().enquiry == other
    assert not EnquiryRow.history.filter(id=asked.pk).exists()
    assert EnquiryRow.history.filter(id=other.pk).exists()
    assert enquiry_record(other) == enquiry()


@pytest.mark.parametrize("what", ["bin", "delete"])
def test_an_enquiry_that_is_worked_on_stays(desk: Client, asked: EnquiryRow, what: str) -> None:
    Job.objects.create(enquiry=asked, state=State.RUNNING)
    page = do(desk, asked, what, aside="yes", title=asked.title)
    assert "a search or a mash of it is under way" in words(page)
    assert EnquiryRow.objects.get().binned_at is None


def many(owner: Any, count: int) -> None:
    customer = customer_named("Müller & Söhne (invented)")
    for number in range(count):
        EnquiryRow.objects.create(title=f"Enquiry {number}", customer=customer, owner=owner)


def test_two_hundred_enquiries_stand_on_pages_of_fifty(
    desk: Client, owner: Any, django_assert_max_num_queries: Any
) -> None:
    many(owner, 200)
    with django_assert_max_num_queries(25):
        page = words(desk.get("/"))
    assert "newest first: 1 to 50 of 200" in page
    assert "Enquiry 199" in page and "Enquiry 149" not in page
    assert "newest first: 151 to 200 of 200" in words(desk.get("/?page=4"))
    assert "Page 4 of 4" in words(desk.get("/?page=77"))


@pytest.mark.parametrize(("sought", "found"), [("MÜLLER 7", 19), ("enquiry 12", 1), ("nobody", 0), ("%", 0)])
def test_the_list_is_filtered_by_words(desk: Client, owner: Any, sought: str, found: int) -> None:
    many(owner, 100)
    text = words(desk.get("/", {"words": sought}))
    assert text.count("Nothing on offer yet") == found or found > 1
    assert (f"of {found}" in text) if found else "Nothing here holds" in text


def test_the_state_of_the_work_stands_in_words(desk: Client, asked: EnquiryRow) -> None:
    assert "No search yet" in words(desk.get("/"))
    job = Job.objects.create(enquiry=asked, state=State.STOPPED)
    assert "The last search was stopped" in words(desk.get("/"))
    job.delete()
    answer = answered(asked)
    assert f"Answer issued {answer.made_at.day} {answer.made_at:%B %Y}" in words(desk.get("/"))
    assert frozen.sha256("") not in words(desk.get("/"))


def test_untitled_enquiries_are_deleted_by_the_words_they_are_shown_by(owner: Any) -> None:
    row = EnquiryRow.objects.create(owner=owner)
    keeping.bin_(row, True)
    keeping.delete(row, "Enquiry without a title", False)
    assert not EnquiryRow.objects.exists()


NEW = "malt-and-water-8"


def other_password(desk: Client, old: str, new: str, again: str | None = None) -> Any:
    sent = {"old_password": old, "new_password1": new, "new_password2": new if again is None else again}
    return desk.post("/password/", sent, follow=True)


def test_the_password_is_changed_and_other_browsers_have_to_come_in_again(desk: Client, owner: Any) -> None:
    elsewhere = Client(headers={"host": HERE})
    elsewhere.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    assert elsewhere.get("/").status_code == 200
    assert 'href="/password/"' in desk.get("/").content.decode()
    assert "The password was changed." in words(other_password(desk, "barley-and-water-7", NEW))
    assert desk.get("/").status_code == 200
    assert elsewhere.get("/").status_code == 302
    owner.refresh_from_db()
    assert owner.check_password(NEW)


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        (("wrong-one-here", NEW), "This is not the password of now."),
        (("barley-and-water-7", NEW, "malt-and-water-9"), "The two new ones differ."),
        (("barley-and-water-7", "short"), "too short"),
        (("barley-and-water-7", "barley-and-water-7"), "This is the password of now. Choose another one."),
    ],
)
def test_a_password_that_cannot_be_is_refused_in_its_field(
    desk: Client, owner: Any, sent: tuple[str, ...], said: str
) -> None:
    page = other_password(desk, *sent)
    assert page.status_code == 422
    assert said in words(page)
    owner.refresh_from_db()
    assert owner.check_password("barley-and-water-7")
