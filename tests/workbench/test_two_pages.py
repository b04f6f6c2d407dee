"""Two pages of one thing, shown before either was sent: the second is told what the first changed; nothing is lost."""

from __future__ import annotations

from html import unescape
from typing import Any

import pytest
from django.db import OperationalError
from django.test import Client

from browser.writers import CLASH, form_of
from gristwright.store.models import CertificateFile, EnquiryRow, FileStanding, Job, LotStep, NamedLot, Remembered
from gristwright.store.models.work import State
from gristwright.workbench import certificates, jobs, turns, undoing
from gristwright.workbench.explaining import HEADING, MATERIAL, METHOD, Explained
from pages import words

TABLE = b"lot,material,moisture [%],colour\nN-1,house pale,4.6,3.1\n"


@pytest.fixture
def here(asked: EnquiryRow) -> str:
    return f"/enquiries/{asked.pk}/"


def shown(desk: Client, page: str, action: str = "") -> dict[str, str]:
    """The form of a page as a browser holds it."""
    return form_of(desk.get(page).content.decode(), action or page)


def send(desk: Client, address: str, form: dict[str, Any]) -> Any:
    return desk.post(address, form, follow=True)


def test_a_lot_that_was_changed_meanwhile_is_not_written_over(desk: Client, asked: EnquiryRow, here: str) -> None:
    lot = asked.named.all()[0]
    page = f"{here}certificates/lot/{lot.pk}/edit/"
    one, other = shown(desk, page), shown(desk, page)
    assert send(desk, page, {**one, "supplier": "First Malts (invented)"}).status_code == 200
    refused = send(desk, page, {**other, "crop": "2024"})
    assert refused.status_code == CLASH
    assert "was changed meanwhile. Supplier from" in unescape(words(refused))
    assert "to First Malts (invented). Nothing was saved." in unescape(words(refused))
    assert form_of(refused.content.decode(), page)["crop"] == "2024"
    assert NamedLot.objects.get(pk=lot.pk).version.document["supplier"] == "First Malts (invented)"
    again = form_of(refused.content.decode(), page)
    assert send(desk, page, again).status_code == 200
    assert NamedLot.objects.get(pk=lot.pk).version.document["crop"] == 2024


def test_a_lot_that_was_changed_meanwhile_is_not_deleted(desk: Client, asked: EnquiryRow, here: str) -> None:
    lot = asked.named.all()[0]
    page = f"{here}certificates/lot/{lot.pk}/"
    deleting = shown(desk, page, f"{page}delete/")
    send(desk, f"{page}edit/", {**shown(desk, f"{page}edit/"), "supplier": "First Malts (invented)"})
    assert "was changed meanwhile and was not deleted" in words(send(desk, f"{page}delete/", deleting))
    assert NamedLot.objects.filter(pk=lot.pk).exists()
    send(desk, f"{page}delete/", shown(desk, page, f"{page}delete/"))
    assert not NamedLot.objects.filter(pk=lot.pk).exists()


def test_remembered_words_of_two_pages(desk: Client, here: str) -> None:
    rows = [
        Remembered.objects.create(key=k, supplier=k, what=METHOD, word="moisture", means="old", by="A") for k in "abc"
    ]
    page = f"{here}certificates/remembered/"
    first, second = shown(desk, page), shown(desk, page)
    a, b, c = (f"means.{row.pk}" for row in rows)
    send(desk, page, {**first, a: "EBC 4.2"})
    told = words(send(desk, page, {**second, a: "IoB 2.1", b: "ASBC 3", "delete": str(rows[2].pk)}))
    assert [row.means for row in Remembered.objects.all()] == ["EBC 4.2", "ASBC 3"]
    assert "a: “moisture” was set to EBC 4.2 by A.Example meanwhile and stays so; look at it again." in told
    told = words(send(desk, page, {**first, c: "too late"}))
    assert "A word that you changed was deleted meanwhile" in told
    send(desk, page, {**first, "delete": str(rows[0].pk)})
    assert Remembered.objects.filter(pk=rows[0].pk).exists()


def test_words_of_a_file_said_on_two_pages(desk: Client, asked: EnquiryRow, here: str) -> None:
    """A page sends the words as it was shown; those that its person did not touch take nothing back."""
    file = certificates.receive(asked, "n.csv", TABLE, asked.owner)
    page = f"{here}certificates/{file.pk}/"
    form = shown(desk, page, f"{page}mend/")
    assert "stood" in form

    def say(what: str, word: str, means: str, stood: str) -> Any:
        return send(desk, f"{page}mend/", {"what": what, "heading": word, "means": means, "stood": stood})

    say(MATERIAL, "house pale", "pale_distilling_malt", "")
    late = say(MATERIAL, "house pale", "rye_malt", "")
    assert "by A.Example meanwhile and stays so." in words(late)
    assert "“house pale” was set to" in words(late)
    say(METHOD, "moisture [%]", "EBC 4.2", "")
    say(METHOD, "moisture [%]", "", "")
    kept = {line["heading"]: line["means"] for line in CertificateFile.objects.get().headings}
    assert kept == {"house pale": "pale_distilling_malt", "moisture [%]": "EBC 4.2"}
    say(METHOD, "moisture [%]", "", "EBC 4.2")
    assert len(CertificateFile.objects.get().headings) == 1


def test_how_a_file_stands_is_told_by_who_mended_it_last(
    asked: EnquiryRow, owner: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Reading takes its time: who reads what another one has mended since writes nothing down."""
    file = certificates.receive(asked, "n.csv", TABLE, owner)
    before = FileStanding.objects.get().faults
    read = certificates.read

    def slowly(this: CertificateFile) -> Any:
        found = read(this)
        monkeypatch.setattr(certificates, "read", read)
        certificates.mend(file, {}, "Another", [Explained(MATERIAL, "house pale", "pale_distilling_malt")])
        return found

    monkeypatch.setattr(certificates, "read", slowly)
    certificates.mend(file, {}, "One", [Explained(HEADING, "colour", "-")])
    assert FileStanding.objects.get().faults == len(read(CertificateFile.objects.get()).faults) < before


def test_a_password_that_another_window_changed_is_not_the_one_of_now(desk: Client, owner: Any) -> None:
    said = {
        "old_password": "barley-and-water-7",
        "new_password1": "oats-and-sand-8",
        "new_password2": "oats-and-sand-8",
    }
    owner.last_login = None
    owner.save()
    desk.get("/")
    owner.set_password("rye-and-stone-9")
    type(owner).objects.filter(pk=owner.pk).update(first_name="Kept")
    assert send(desk, "/password/", said).status_code == 200
    assert type(owner).objects.get().first_name == "Kept"
    assert (
        send(
            desk, "/password/", {**said, "new_password1": "x-and-y-and-z", "new_password2": "x-and-y-and-z"}
        ).status_code
        == 422
    )


def test_a_house_that_was_changed_once_more_is_shown_before_it_is_taken(
    desk: Client, asked: EnquiryRow, owner: Any, here: str
) -> None:
    from gristwright.store.models import PlantVersion
    from gristwright.store.versions import keep, newest

    other = EnquiryRow.objects.create(title="Other", owner=owner, plant=asked.plant)
    first = newest(PlantVersion, other)
    keep(PlantVersion, other, {**first, "name": "First"}, owner)
    form = shown(desk, f"{here}house/", f"{here}house/newest/")
    keep(PlantVersion, other, {**first, "name": "Second"}, owner)
    assert "was changed once more meanwhile" in words(send(desk, f"{here}house/newest/", form))
    send(desk, f"{here}house/newest/", shown(desk, f"{here}house/", f"{here}house/newest/"))
    assert EnquiryRow.objects.get(pk=asked.pk).plant.document["name"] == "Second"


def test_a_step_is_undone_once(desk: Client, asked: EnquiryRow, here: str) -> None:
    lot = asked.named.all()[0]
    send(desk, f"{here}certificates/lot/{lot.pk}/delete/", {})
    step = LotStep.objects.get()
    undoing.undo(step, "One")
    lines = LotStep.objects.get().lines
    assert undoing.undo(step, "Another") == ([], ["This was undone already."])
    assert LotStep.objects.get().lines == lines
    assert asked.named.filter(pk=lot.pk).count() == 1


def test_what_waits_for_a_turn_that_never_comes_is_told_so(
    desk: Client, here: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def locked(*_: object, **__: object) -> None:
        raise OperationalError("database is locked")

    form = shown(desk, f"{here}question/")
    monkeypatch.setattr(turns.transaction, "atomic", locked)
    answer = desk.post(f"{here}question/", {**form, "title": "x"})
    assert answer.status_code == 503
    assert "Nothing was saved" in words(answer)
    assert "is being written to by somebody else. Wait a moment and try again." in words(answer)


def test_a_job_outlives_a_lock_and_a_deleted_enquiry_is_told(
    asked: EnquiryRow, owner: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    from gristwright.basics import Refused
    from gristwright.workbench import steps

    job = jobs.ask(asked, 256, owner)

    class Locked:
        def filter(self, **said: Any) -> Any:
            return self

        def update(self, **said: Any) -> None:
            raise OperationalError("database is locked")

        def exists(self) -> bool:
            return False

    with monkeypatch.context() as patched:
        patched.setattr(steps.Job, "objects", Locked())
        steps.ticker(job)(1, 2, "half way")
    assert Job.objects.get().state == State.WAITING
    with pytest.raises(Refused, match="was deleted meanwhile"):
        turns.refuse_if_gone(EnquiryRow(title="gone"))
