"""The house's mash as a form: what it takes, what follows from what, and each fault beside its field."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from gristwright.files.jobs_in import read_enquiry
from gristwright.records.plant import CookerPlan, MashPlan, Rest, Water
from gristwright.store.mapping import enquiry_record
from gristwright.store.models import EnquiryRow
from scenario import FOLDER, copied
from workbench.test_pages import fields_of
from workbench.test_starting import sent

WATERS = {
    "water_first_L_per_kg": "3.75", "water_first_degC": "64", "water_second_L_per_kg": "1.5", "water_second_degC": "72",
}  # fmt: skip
RESTS = {"rest_1_degC": "52", "rest_1_min": "10", "rest_2_degC": "64", "rest_2_min": "45"}


def keep(desk: Client, asked: EnquiryRow, **said: str) -> Any:
    address = f"/enquiries/{asked.pk}/house/"
    return desk.post(address, {**fields_of(desk.get(address)), **said})


def kept() -> MashPlan:
    return enquiry_record(EnquiryRow.objects.get()).plant.mash


def faults(answer: Any) -> dict[str, str]:
    assert answer.status_code == 422
    return {name: " ".join(found) for name, found in answer.context["form"].errors.items()}


def test_every_step_of_a_mash_is_kept(desk: Client, asked: EnquiryRow) -> None:
    said = {
        "vessel": "lauter", "vessel_L": "12000", "stand_min": "50", "later_stand_min": "15", "run_off_min": "35",
        "waters_to_washback": "2", "calcium_mg_per_L": "60", "alkalinity_mg_per_L": "110,5",
    }  # fmt: skip
    assert keep(desk, asked, **WATERS, **said).status_code == 302
    plan = kept()
    assert plan.waters == (Water("first", 3.75, 64.0), Water("second", 1.5, 72.0))
    assert (plan.vessel, plan.vessel_L, plan.later_stand_min, plan.run_off_min) == ("lauter", 12_000.0, 15.0, 35.0)
    assert (plan.calcium_mg_per_L, plan.alkalinity_mg_per_L) == (60.0, 110.5)


def test_the_settled_mash_follows_from_the_liquor_as_in_a_plant_file(
    desk: Client, asked: EnquiryRow, tmp_path: Any
) -> None:
    keep(desk, asked, liquor_degC="68", liquor_L_per_kg="3.75")
    folder = copied(tmp_path)
    text = (folder / "plant.toml").read_text(encoding="utf-8")
    assert "settled_mash_degC = 64" in text
    changed = text.replace("settled_mash_degC = 64", "liquor_degC = 68\nliquor_L_per_kg = 3.75")
    (folder / "plant.toml").write_text(changed, encoding="utf-8")
    assert kept() == read_enquiry(folder / "enquiry.toml").accepted().plant.mash
    assert kept().settled_mash_degC != 64.0
    again = keep(desk, asked)
    assert again.status_code == 302
    assert "Nothing was changed." in desk.get(again.url).content.decode()


def test_the_first_water_settles_where_its_liquor_brings_it(desk: Client, asked: EnquiryRow) -> None:
    said = {**WATERS, "water_first_degC": "", "liquor_degC": "68", "settled_mash_degC": ""}
    answer = keep(desk, asked, **said)
    assert answer.status_code == 302
    assert kept().waters[0].settled_degC == kept().settled_mash_degC == pytest.approx(64.3, abs=0.1)
    assert "the mash settles at 64.3 °C" in desk.get(answer.url).content.decode()


def test_a_liquor_given_twice_over_is_told_at_each_field(desk: Client, asked: EnquiryRow) -> None:
    told = faults(keep(desk, asked, **{**WATERS, "liquor_degC": "68", "settled_mash_degC": "66"}))
    assert "stands beside a liquor that settles the mash at 64.3" in told["settled_mash_degC"]


@pytest.mark.parametrize(
    ("said", "field", "sentence"),
    [
        ({"liquor_degC": "72"}, "liquor_degC", "Needs the litres of that water"),
        ({"liquor_degC": "72", **RESTS}, "liquor_degC", "Stands beside rests"),
        ({"liquor_degC": "72", "cook_degC": "95"}, "liquor_degC", "Stands beside a cooker"),
        ({"liquor_degC": "99", "liquor_L_per_kg": "6"}, "liquor_degC", "outside 40 to 78"),
        ({**RESTS, **WATERS}, "rest_1_degC", "Stand beside waters"),
        ({**RESTS, "settled_mash_degC": "66"}, "settled_mash_degC", "66 °C is none of the rests"),
        ({"rest_1_degC": "35", "rest_1_min": "5"}, "rest_1_degC", "No rest lies in 40 to 78 °C"),
        ({"rest_1_degC": "64"}, "rest_1_min", "Empty beside what is given"),
        ({"rest_2_degC": "64", "rest_2_min": "5"}, "rest_1_degC", "Empty beside what is given"),
        ({"water_second_L_per_kg": "2"}, "water_first_degC", "Empty beside what is given"),
        ({**WATERS, "liquor_L_per_kg": "4"}, "liquor_L_per_kg", "Keep “First water”, or take the waters out"),
        ({**WATERS, "waters_to_washback": "4"}, "waters_to_washback", "4 waters go to the washback and 2 are given"),
        ({**WATERS, "kind": "grain-in"}, "water_first_L_per_kg", "draws nothing off its grain"),
        ({"calcium_mg_per_L": "60"}, "alkalinity_mg_per_L", "Is missing beside “Calcium”"),
        ({"cooker_malt_min": "20"}, "cook_degC", "Is given without “Cooker, at its hottest”"),
        ({"cook_degC": "90", "cooker_slurry_degC": "95"}, "cooker_slurry_degC", "hotter than the cook, 90 °C"),
        ({"premalt_pct": "5"}, "premalt_pct", "Give “Cooker, at its hottest”"),
        ({**WATERS, "vessel_L": "5000"}, "vessel_L", "the vessel holds 5000 L"),
        ({"vessel_L": "1"}, "vessel_L", "1 L is outside 5 to"),
        ({"run_off_min": "-4"}, "run_off_min", "-4 min is outside 5 to 480 min"),
    ],
)
def test_a_fault_stands_beside_its_field(
    desk: Client, asked: EnquiryRow, said: dict[str, str], field: str, sentence: str
) -> None:
    before = kept()
    assert sentence in faults(keep(desk, asked, **said))[field]
    assert kept() == before


def test_all_faults_are_told_at_once(desk: Client, asked: EnquiryRow) -> None:
    told = faults(keep(desk, asked, **RESTS, **WATERS, kg_per_mash="0", calcium_mg_per_L="10", premalt_pct="5"))
    assert set(told) == {"rest_1_degC", "kg_per_mash", "alkalinity_mg_per_L", "premalt_pct"}


def test_rests_name_the_mash_by_the_longest_in_which_malt_converts(desk: Client, asked: EnquiryRow) -> None:
    rests = {**RESTS, "rest_3_degC": "78", "rest_3_min": "90", "rest_4_degC": "80", "rest_4_min": "5"}
    keep(desk, asked, **rests, settled_mash_degC="")
    assert kept().settled_mash_degC == 78.0
    assert kept().rests[3] == Rest(80.0, 5.0)


def test_an_empty_settled_mash_is_the_usual_one(desk: Client, asked: EnquiryRow) -> None:
    keep(desk, asked, settled_mash_degC="")
    assert kept().settled_mash_degC == 64.0


def test_what_is_only_unusual_is_kept_and_told(desk: Client, asked: EnquiryRow) -> None:
    colder = {"rest_1_degC": "66", "rest_1_min": "40", "rest_2_degC": "60", "rest_2_min": "20", "settled_mash_degC": ""}
    answer = keep(desk, asked, **colder)
    assert answer.status_code == 302
    text = desk.get(answer.url).content.decode()
    assert "Rest 2, settled at: 60 °C is colder than the rest before it, 66 °C." in text


def test_a_cooker_takes_what_is_said_and_the_usual_for_the_rest(desk: Client, asked: EnquiryRow) -> None:
    keep(desk, asked, cook_degC="95", cooker_second_species="rye", cooker_second_degC="70")
    assert kept().cooker == CookerPlan(second_species=("rye",), second_degC=70.0)
    address = f"/enquiries/{asked.pk}/house/"
    said = {**fields_of(desk.get(address)), "cooker_second_degC": ""}
    del said["cooker_second_species"]
    assert desk.post(address, said).status_code == 302
    assert kept().cooker is None


def test_a_plant_file_fills_it_all_in(desk: Client) -> None:
    plant = (FOLDER / "plant.toml").read_text(encoding="utf-8")
    more = 'vessel = "filter"\nrests = [{settled_degC = 62, minutes = 30}, {settled_degC = 72, minutes = 20}]\n'
    more += "liquor_L_per_kg = 3.2\nramp_K_per_min = 0.7\nwater.calcium_mg_per_L = 50\nwater.alkalinity_mg_per_L = 90\n"
    changed = plant.replace("settled_mash_degC = 64", more).encode()
    names = ("enquiry.toml", "plant.toml", "bill.toml", "lots.csv")
    desk.post("/enquiries/start/", {"way": "files", "files": sent(*names, plant=changed)})
    house = EnquiryRow.objects.get().house
    assert (house.vessel, house.rest_2_degC, house.rest_2_min, house.rest_3_degC) == ("filter", 72.0, 20.0, None)
    assert (house.settled_mash_degC, house.ramp_K_per_min, house.alkalinity_mg_per_L) == (62.0, 0.7, 90.0)


def test_more_rests_than_the_desk_keeps_are_refused_with_the_file(desk: Client) -> None:
    plant = (FOLDER / "plant.toml").read_text(encoding="utf-8")
    rests = ", ".join(f"{{settled_degC = {60 + n}, minutes = 5}}" for n in range(7))
    changed = plant.replace("settled_mash_degC = 64", f"rests = [{rests}]").encode()
    names = ("enquiry.toml", "plant.toml", "bill.toml", "lots.csv")
    answer = desk.post("/enquiries/start/", {"way": "files", "files": sent(*names, plant=changed)})
    assert answer.status_code == 422
    assert "7 are more than the 6 that the desk keeps" in answer.content.decode()
    assert not EnquiryRow.objects.exists()
