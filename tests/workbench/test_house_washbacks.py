"""The washbacks of the house as a form: yeast and cooling, a measured course, room and water by month."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from gristwright.records.fields import fields_of as said_of
from gristwright.records.washbacks import Washbacks, WashMonth, WashReading
from gristwright.store.mapping import enquiry_record
from gristwright.store.models import EnquiryRow
from gristwright.workbench.brewers_forms import BreweryForm
from gristwright.workbench.faults import plant_field
from gristwright.workbench.house_form import HouseForm
from scenario import FOLDER
from workbench.test_house import faults, keep
from workbench.test_pages import fields_of
from workbench.test_starting import sent

COOLED = {
    "washbacks-cooling": "coil", "washbacks-yeast": "ale", "washbacks-pitch_million_per_mL": "12,5",
    "washbacks-viability_pct": "94", "washbacks-room_degC": "17", "washbacks-cooling_m2": "4.5",
    "washbacks-water_degC": "11", "washbacks-cooled_from_degC": "31", "washbacks-ceiling_degC": "33",
    "washbacks-wall": "wood", "washbacks-bacteria": "clean",
}  # fmt: skip
COURSE = {
    "washbacks-course-1-hours": "0", "washbacks-course-1-gravity_sg": "1,0550",
    "washbacks-course-2-hours": "12", "washbacks-course-2-degC": "27",
    "washbacks-course-3-hours": "30", "washbacks-course-3-gravity_sg": "1.012",
}  # fmt: skip
MONTHS = {
    "washbacks-months-1-room_degC": "-2",
    "washbacks-months-7-room_degC": "24",
    "washbacks-months-7-water_degC": "16,5",
}
FOLDED = ("Yeast and cooling", "Measured course", "Room and water by month")


def kept() -> Washbacks:
    return enquiry_record(EnquiryRow.objects.get()).plant.washbacks


def folds(desk: Client, asked: EnquiryRow) -> dict[str, tuple[bool, str]]:
    """The sections that fold: whether they are open, and what the line says that unfolds them."""
    text = desk.get(f"/enquiries/{asked.pk}/house/").content.decode()
    found = re.findall(r'<legend>([^<]+)</legend><details class="fold"( open)?><summary>(.*?)</summary>', text)
    return {legend: (bool(is_open), re.sub("<[^>]+>", "", said)) for legend, is_open, said in found}


def test_everything_said_of_washbacks_is_kept_and_shown(desk: Client, asked: EnquiryRow) -> None:
    assert keep(desk, asked, **COOLED, **COURSE, **MONTHS).status_code == 302
    said = kept()
    assert said.course == (WashReading(0.0, 1.055), WashReading(12.0, None, 27.0), WashReading(30.0, 1.012))
    assert said.months == (WashMonth(1, -2.0), WashMonth(7, 24.0, 16.5))
    assert (said.cooling, said.yeast, said.pitch_million_per_mL, said.wall) == ("coil", "ale", 12.5, "wood")
    assert (said.cooling_m2, said.water_degC, said.cooled_from_degC, said.ceiling_degC) == (4.5, 11.0, 31.0, 33.0)
    assert (said.viability_pct, said.room_degC, said.bacteria) == (94.0, 17.0, "clean")
    shown = fields_of(desk.get(f"/enquiries/{asked.pk}/house/"))
    assert (shown["washbacks-months-7-water_degC"], shown["washbacks-months-2-room_degC"]) == ("16.5", "")
    assert (shown["washbacks-course-1-gravity_sg"], shown["washbacks-course-8-hours"]) == ("1.055", "")
    again = keep(desk, asked)
    assert "Nothing was changed." in desk.get(again.url).content.decode()


def test_a_house_that_says_nothing_of_them_is_kept_as_before(desk: Client, asked: EnquiryRow) -> None:
    found = folds(desk, asked)
    assert tuple(found) == FOLDED
    assert not any(is_open for is_open, _ in found.values())
    assert all(said.endswith("Nothing filled in.") for _, said in found.values())
    keep(desk, asked, **{"washbacks-hours": "60"})
    version = EnquiryRow.objects.get(pk=asked.pk).plant
    assert version is not None
    assert version.document["washbacks"] == {"count": 6, "volume_L": 12500.0, "hours": 60.0}


def test_what_is_filled_in_or_wrong_stands_unfolded(desk: Client, asked: EnquiryRow) -> None:
    keep(desk, asked, **MONTHS)
    found = folds(desk, asked)
    assert [legend for legend in FOLDED if found[legend][0]] == ["Room and water by month"]
    assert found["Room and water by month"][1].endswith("3 fields filled in.")
    refused = keep(desk, asked, **{"washbacks-cooling_m2": "4"})
    assert '<legend>Yeast and cooling</legend><details class="fold" open>' in refused.content.decode()


@pytest.mark.parametrize(
    ("said", "name", "words"),
    [
        ({"washbacks-cooling": "none", "washbacks-cooling_m2": "4"}, "washbacks-cooling_m2",
         "4 m² stands beside washbacks without cooling."),
        ({"washbacks-cooling_m2": "4"}, "washbacks-cooling_m2", "stands without a kind of cooling"),
        ({"washbacks-ceiling_degC": "18"}, "washbacks-ceiling_degC", "18 °C is below the set temperature, 20 °C."),
        ({"washbacks-course-2-hours": "6", "washbacks-course-2-degC": "25"}, "washbacks-course-1-hours",
         "Empty beside what is given"),
        ({**COURSE, "washbacks-course-2-degC": ""}, "washbacks-course-2-gravity_sg", "neither gravity nor temperature"),
        ({**COURSE, "washbacks-course-3-hours": "12"}, "washbacks-course-3-hours", "12 h is read twice."),
        ({**COURSE, "washbacks-course-3-gravity_sg": "1.06"}, "washbacks-course-3-gravity_sg", "a wash only falls"),
        ({**COURSE, "washbacks-course-1-gravity_sg": "1055"}, "washbacks-course-1-gravity_sg", "outside 0.98 to 1.13"),
        ({"washbacks-months-7-water_degC": "14"}, "washbacks-months-7-room_degC", "Empty beside what is given"),
        ({**MONTHS, "washbacks-months-7-water_degC": "60"}, "washbacks-months-7-water_degC", "60 °C is outside"),
        ({**MONTHS, "washbacks-months-7-room_degC": "warm"}, "washbacks-months-7-room_degC", "'warm' is not a number"),
    ],
)  # fmt: skip
def test_a_fault_stands_beside_its_field(
    desk: Client, asked: EnquiryRow, said: dict[str, str], name: str, words: str
) -> None:
    before = kept()
    found = faults(keep(desk, asked, **said))
    assert words in found[name]
    assert set(found) == {name}
    assert kept() == before


def test_what_is_only_unusual_is_kept_and_told(desk: Client, asked: EnquiryRow) -> None:
    said = {"washbacks-yeast": "lager", "washbacks-set_degC": "24", **MONTHS}
    text = desk.get(keep(desk, asked, **said).url).content.decode()
    assert "Set temperature: 24 °C is above 20 °C, the warmest a lager yeast is set at." in text
    assert "Room and water by month: February, March, April" in text


def test_months_keep_the_order_of_the_file_and_more_readings_have_room(desk: Client) -> None:
    readings = ", ".join(f"{{hours = {6 * n}, gravity_sg = {1.05 - 0.004 * n:.3f}}}" for n in range(10))
    more = (
        f"set_degC = 20\ncourse = [{readings}]\nmonths = [{{month = 7, room_degC = 24}}, {{month = 1, room_degC = 5}}]"
    )
    plant = (FOLDER / "plant.toml").read_text(encoding="utf-8").replace("set_degC = 20", more).encode()
    desk.post("/enquiries/start/", {"way": "files", "files": sent("enquiry.toml", "plant.toml", "bill.toml", "lots.csv",
                                                                  plant=plant)})  # fmt: skip
    asked = EnquiryRow.objects.get()
    assert "washbacks-course-11-hours" in fields_of(desk.get(f"/enquiries/{asked.pk}/house/"))
    assert keep(desk, asked, **{"washbacks-months-3-room_degC": "9"}).status_code == 302
    assert [one.month for one in kept().months] == [7, 1, 3]
    assert len(kept().course) == 10


def test_every_field_of_the_washbacks_is_labelled_by_its_record(desk: Client, asked: EnquiryRow) -> None:
    form = HouseForm(document={})
    for name, field in said_of(Washbacks).items():
        if not field.item:
            assert form.fields[f"washbacks-{name}"].label == field.said.label
    assert form.fields["washbacks-months-7-water_degC"].label == "July, cooling water"
    assert form.fields["washbacks-course-8-hours"].label == "Reading 8, after pitching"
    assert HouseForm.label_for("washbacks-months-12-room_degC") == "December, room"


def test_a_fault_of_a_list_leads_to_a_field_that_is_there() -> None:
    form = HouseForm(document={})
    for path in (("washbacks", "course"), ("washbacks", "course", 2), ("washbacks", "months"),
                 ("washbacks", "course", 3, "hours")):  # fmt: skip
        assert plant_field(path) in form.fields


def test_a_brewer_reads_what_stands_for_an_empty_field_in_his_own_house() -> None:
    form = BreweryForm(document={})
    assert form.fields["washbacks-cooled_from_degC"].help_text.endswith("Empty: the set temperature and 2 K.")
    assert form.fields["washbacks-yeast"].help_text.endswith("Empty: an ale yeast without clove.")
    assert form.words("Washbacks without cooling.") == "Fermenters without cooling."
