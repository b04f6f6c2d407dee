"""A question is begun with what is known: a house of the desk, certificates, or nothing but a click."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from gristwright.store.library import lot_names
from gristwright.store.models import EnquiryRow, House, PlantVersion
from gristwright.store.versions import newest
from pages import words
from versions import plant

RYE = b"lot,material,moisture [%]\nRY-1,raw_rye,12.6\nEM-1,high_enzyme_malt,5.1\n"
TORN = b"lot,material,moisture [%]\nRY-1,rye of the hill,12.6\n"


def begun(desk: Client, **said: Any) -> tuple[EnquiryRow, str]:
    """The enquiry that was begun, and the page it goes on to."""
    answer = desk.post("/enquiries/start/", {"way": "empty", **said})
    made = EnquiryRow.objects.first()
    assert made is not None
    return made, answer["Location"]


def sent(content: bytes, name: str = "rye.csv") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content)


def test_nothing_need_be_typed(desk: Client) -> None:
    made, there = begun(desk)
    day = timezone.localdate()
    assert made.title == f"Enquiry of {day.day} {day:%B %Y}"
    assert there == f"/enquiries/{made.pk}/question/"


def test_certificates_without_a_fault_bring_their_lots_and_others_wait(desk: Client) -> None:
    made, _ = begun(desk, certificates=[sent(RYE), sent(TORN, "torn.csv")])
    assert lot_names(made) == ("RY-1", "EM-1")
    page = words(desk.get(f"/enquiries/{made.pk}/certificates/"))
    assert "2 lots added from rye.csv: RY-1, EM-1." in page
    assert "torn.csv was kept and has faults to mend" in page


def test_what_is_no_table_begins_nothing(desk: Client) -> None:
    answer = desk.post("/enquiries/start/", {"way": "empty", "certificates": [sent(b"%PDF", "scan.pdf")]})
    assert answer.status_code == 422 and "is not a table we read" in words(answer)
    assert not EnquiryRow.objects.exists()


def test_a_house_of_the_desk_is_chosen_and_shared(desk: Client, asked: EnquiryRow) -> None:
    assert asked.plant is not None
    made, _ = begun(desk, house=str(asked.plant.house_id))
    assert made.plant == asked.plant
    plant(asked, "mash", "kg_per_mash", value=2222.0)
    page = words(desk.get(f"/enquiries/{made.pk}/house/"))
    assert f"also asked about in {asked.title}" in page
    assert "Grist of one mash: 2000 → 2222" in page or "→ 2222" in page
    assert desk.post(f"/enquiries/{made.pk}/house/newest/").status_code == 302
    made.refresh_from_db()
    assert newest(PlantVersion, made)["mash"]["kg_per_mash"] == 2222.0
    assert "changed since" not in words(desk.get(f"/enquiries/{made.pk}/house/"))
    assert House.objects.count() == 1


def test_a_house_that_is_not_here_is_refused(desk: Client) -> None:
    for key in ("nonsense", "00000000-0000-0000-0000-000000000000"):
        assert desk.post("/enquiries/start/", {"way": "empty", "house": key}).status_code == 422
    assert not EnquiryRow.objects.exists()


@pytest.mark.django_db
def test_the_owner_may_have_a_name_as_people_have() -> None:
    page = Client(headers={"host": "127.0.0.1"})
    word = "barley-and-water-7"
    answer = page.post("/begin/", {"username": "Änne Invented O'Hara", "password1": word, "password2": word})
    assert answer.status_code == 302
    assert get_user_model().objects.get().get_username() == "Änne Invented O'Hara"
