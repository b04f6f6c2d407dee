"""The house's mash as a form: what it takes, what follows from what, and each fault beside its field."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from gristwright.files.jobs_in import read_enquiry
from gristwright.records.plant import CookerPlan, Decoction, MashPlan, Rest, Sparge, Water
from gristwright.store.mapping import enquiry_record
from gristwright.store.models import EnquiryRow, PlantVersion
from gristwright.store.versions import newest
from pages import field
from scenario import FOLDER, copied
from workbench.test_pages import fields_of
from workbench.test_starting import sent

WATERS = {
    "mash-waters-1-L_per_kg": "3.75", "mash-waters-1-settled_degC": "64",
    "mash-waters-2-L_per_kg": "1.5", "mash-waters-2-settled_degC": "72",
}  # fmt: skip
RESTS = {
    "mash-rests-1-settled_degC": "52",
    "mash-rests-1-minutes": "10",
    "mash-rests-2-settled_degC": "64",
    "mash-rests-2-minutes": "45",
}


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
        "mash-vessel": "lauter", "mash-vessel_L": "12000", "mash-stand_min": "50",
        "mash-later_stand_min": "15", "mash-run_off_min": "35",
        "mash-waters_to_washback": "2", "mash-calcium_mg_per_L": "60", "mash-alkalinity_mg_per_L": "110,5",
    }  # fmt: skip
    assert keep(desk, asked, **WATERS, **said).status_code == 302
    plan = kept()
    assert plan.waters == (Water("first", 3.75, 64.0), Water("second", 1.5, 72.0))
    assert (plan.vessel, plan.vessel_L, plan.later_stand_min, plan.run_off_min) == ("lauter", 12_000.0, 15.0, 35.0)
    assert (plan.calcium_mg_per_L, plan.alkalinity_mg_per_L) == (60.0, 110.5)


SPARGES = {
    "mash-sparges-1-L_per_kg": "1,2", "mash-sparges-1-liquor_degC": "78",
    "mash-sparges-2-L_per_kg": "0.8", "mash-sparges-2-liquor_degC": "76", "mash-sparges-2-goes_to": "next mash",
}  # fmt: skip
DECOCTION = {"mash-decoctions-1-after_rest": "1", "mash-decoctions-1-boil_min": "15"}


def test_a_lauter_programme_with_sparges_and_a_decoction_is_kept_and_shown(desk: Client, asked: EnquiryRow) -> None:
    steps = {"mash-settled_mash_degC": "", "mash-vessel": "lauter", "mash-liquor_L_per_kg": "3.2"}
    assert keep(desk, asked, **steps, **RESTS, **SPARGES, **DECOCTION).status_code == 302
    plan = kept()
    assert plan.sparges == (Sparge(1.2, 78.0), Sparge(0.8, 76.0, "next mash"))
    assert plan.decoctions == (Decoction(1, 15.0),)
    again = desk.get(f"/enquiries/{asked.pk}/house/")
    assert fields_of(again)["mash-sparges-2-goes_to"] == "next mash"
    assert "mash-sparges-3-L_per_kg" in fields_of(again) and "mash-decoctions-2-boil_min" in fields_of(again)
    text = desk.get(f"/enquiries/{asked.pk}/house/").content.decode()
    assert "Sparge 1, liquor at" in text and "Decoction 1, taken out after rest" in text


@pytest.mark.parametrize(
    ("said", "name", "words"),
    [
        ({**WATERS, **SPARGES}, "mash-sparges-1-L_per_kg", "Stand beside waters"),
        ({**RESTS, "mash-sparges-1-L_per_kg": "1"}, "mash-sparges-1-liquor_degC", "Empty beside what is given"),
        ({**RESTS, "mash-decoctions-1-after_rest": "2", "mash-decoctions-1-boil_min": "9"},
         "mash-decoctions-1-after_rest", "Rest 2 of 2 has no rest behind it"),
        ({**RESTS, **DECOCTION, "mash-liquor_L_per_kg": "4", "mash-decoctions-1-share_pct": "45"},
         "mash-decoctions-1-share_pct", "the next rest says 64 °C"),
        ({**RESTS, **DECOCTION, "mash-decoctions-1-share_pct": "80"}, "mash-decoctions-1-share_pct", "5"),
        (DECOCTION, "mash-decoctions-1-after_rest", "Are given without rests"),
    ],
)  # fmt: skip
def test_a_fault_of_a_programme_stands_beside_its_field(
    desk: Client, asked: EnquiryRow, said: dict[str, str], name: str, words: str
) -> None:
    found = faults(keep(desk, asked, **{"mash-settled_mash_degC": "", **said}))
    assert words in found[name]


def test_the_settled_mash_follows_from_the_liquor_as_in_a_plant_file(
    desk: Client, asked: EnquiryRow, tmp_path: Any
) -> None:
    keep(desk, asked, **{"mash-liquor_degC": "68", "mash-liquor_L_per_kg": "3.75"})
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
    said = {**WATERS, "mash-waters-1-settled_degC": "", "mash-liquor_degC": "68", "mash-settled_mash_degC": ""}
    answer = keep(desk, asked, **said)
    assert answer.status_code == 302
    assert kept().waters[0].settled_degC == kept().settled_mash_degC == pytest.approx(64.3, abs=0.1)
    assert "the mash settles at 64.3 °C" in desk.get(answer.url).content.decode()


def test_a_liquor_given_twice_over_is_told_at_each_field(desk: Client, asked: EnquiryRow) -> None:
    told = faults(keep(desk, asked, **{**WATERS, "mash-liquor_degC": "68", "mash-settled_mash_degC": "66"}))
    assert (
        "66 °C stands beside “Liquor of the first water”, which settles the mash at 64.3"
        in told["mash-settled_mash_degC"]
    )


@pytest.mark.parametrize(
    ("said", "field", "sentence"),
    [
        ({"mash-liquor_degC": "72"}, "mash-liquor_degC", "Needs the litres of that water"),
        ({"mash-liquor_degC": "72", **RESTS}, "mash-liquor_degC", "Stands beside rests"),
        ({"mash-liquor_degC": "72", "mash-cook_degC": "95"}, "mash-liquor_degC", "Stands beside a cooker"),
        ({"mash-liquor_degC": "99", "mash-liquor_L_per_kg": "6"}, "mash-liquor_degC", "outside 40-78"),
        ({**RESTS, **WATERS}, "mash-rests-1-settled_degC", "Stand beside waters"),
        ({**RESTS, "mash-settled_mash_degC": "66"}, "mash-settled_mash_degC", "66 °C is none of the rests"),
        (
            {"mash-rests-1-settled_degC": "35", "mash-rests-1-minutes": "5"},
            "mash-rests-1-settled_degC",
            "None lies in 40-78 °C",
        ),
        ({"mash-rests-1-settled_degC": "64"}, "mash-rests-1-minutes", "Empty beside what is given"),
        (
            {"mash-rests-2-settled_degC": "64", "mash-rests-2-minutes": "5"},
            "mash-rests-1-settled_degC",
            "Empty beside what is given",
        ),
        ({"mash-waters-2-L_per_kg": "2"}, "mash-waters-1-settled_degC", "Empty beside what is given"),
        (
            {**WATERS, "mash-liquor_L_per_kg": "4"},
            "mash-liquor_L_per_kg",
            "Keep “First water, liquor”, or take the waters out",
        ),
        (
            {**WATERS, "mash-waters_to_washback": "4"},
            "mash-waters_to_washback",
            "4 waters go to the washback and 2 are given",
        ),
        ({**WATERS, "kind": "grain-in"}, "mash-waters-1-L_per_kg", "draws nothing off its grain"),
        ({"mash-calcium_mg_per_L": "60"}, "mash-alkalinity_mg_per_L", "Is missing beside “Calcium”"),
        ({"mash-cooker-malt_min": "20"}, "mash-cook_degC", "Is given without “Cooker, at its hottest”"),
        (
            {"mash-cook_degC": "90", "mash-cooker-slurry_degC": "95"},
            "mash-cooker-slurry_degC",
            "hotter than the cook, 90 °C",
        ),
        ({"mash-premalt_pct": "5"}, "mash-premalt_pct", "Give “Cooker, at its hottest”"),
        ({**WATERS, "mash-vessel_L": "5000"}, "mash-vessel_L", "the vessel holds 5000 L"),
        ({"mash-vessel_L": "1"}, "mash-vessel_L", "1 L is outside 5 to"),
        ({"mash-run_off_min": "-4"}, "mash-run_off_min", "-4 min is outside 5 to 480 min"),
    ],
)
def test_a_fault_stands_beside_its_field(
    desk: Client, asked: EnquiryRow, said: dict[str, str], field: str, sentence: str
) -> None:
    before = kept()
    assert sentence in faults(keep(desk, asked, **said))[field]
    assert kept() == before


def test_all_faults_are_told_at_once(desk: Client, asked: EnquiryRow) -> None:
    told = faults(
        keep(
            desk,
            asked,
            **RESTS,
            **WATERS,
            **{"mash-kg_per_mash": "0", "mash-calcium_mg_per_L": "10", "mash-premalt_pct": "5"},
        )
    )
    assert set(told) == {
        "mash-rests-1-settled_degC",
        "mash-kg_per_mash",
        "mash-alkalinity_mg_per_L",
        "mash-premalt_pct",
    }


def test_rests_name_the_mash_by_the_longest_in_which_malt_converts(desk: Client, asked: EnquiryRow) -> None:
    rests = {
        **RESTS,
        "mash-rests-3-settled_degC": "78",
        "mash-rests-3-minutes": "90",
        "mash-rests-4-settled_degC": "80",
        "mash-rests-4-minutes": "5",
    }
    keep(desk, asked, **rests, settled_mash_degC="")
    assert kept().settled_mash_degC == 78.0
    assert kept().rests[3] == Rest(80.0, 5.0)


def test_the_usual_settled_mash_is_kept_where_another_would_follow(desk: Client, asked: EnquiryRow) -> None:
    rests = {"mash-rests-1-settled_degC": "64", "mash-rests-1-minutes": "20",
             "mash-rests-2-settled_degC": "72", "mash-rests-2-minutes": "40"}  # fmt: skip
    assert keep(desk, asked, **rests, **{"mash-settled_mash_degC": "64"}).status_code == 302
    assert kept().settled_mash_degC == 64.0
    assert keep(desk, asked, **{"mash-settled_mash_degC": ""}).status_code == 302
    assert kept().settled_mash_degC == 72.0
    assert 'value="64"' not in field(desk.get(f"/enquiries/{asked.pk}/house/"), "id_mash-settled_mash_degC")


def test_an_empty_settled_mash_is_the_usual_one(desk: Client, asked: EnquiryRow) -> None:
    keep(desk, asked, **{"mash-settled_mash_degC": ""})
    assert kept().settled_mash_degC == 64.0


def test_what_is_only_unusual_is_kept_and_told(desk: Client, asked: EnquiryRow) -> None:
    colder = {
        "mash-rests-1-settled_degC": "66",
        "mash-rests-1-minutes": "40",
        "mash-rests-2-settled_degC": "60",
        "mash-rests-2-minutes": "20",
        "mash-settled_mash_degC": "",
    }
    answer = keep(desk, asked, **colder)
    assert answer.status_code == 302
    text = desk.get(answer.url).content.decode()
    assert "Rest 2, settled at: 60 °C is colder than the rest before it, 66 °C." in text


def test_a_cooker_takes_what_is_said_and_the_usual_for_the_rest(desk: Client, asked: EnquiryRow) -> None:
    keep(desk, asked, **{"mash-cook_degC": "95", "mash-cooker-second_species": "rye", "mash-cooker-second_degC": "70"})
    assert kept().cooker == CookerPlan(second_species=("rye",), second_degC=70.0)
    address = f"/enquiries/{asked.pk}/house/"
    said = {**fields_of(desk.get(address)), "mash-cooker-second_degC": ""}
    del said["mash-cooker-second_species"]
    assert desk.post(address, said).status_code == 302
    assert kept().cooker is None


def test_a_plant_file_fills_it_all_in(desk: Client) -> None:
    plant = (FOLDER / "plant.toml").read_text(encoding="utf-8")
    more = 'vessel = "filter"\nrests = [{settled_degC = 62, minutes = 30}, {settled_degC = 72, minutes = 20}]\n'
    more += "liquor_L_per_kg = 3.2\nramp_K_per_min = 0.7\ncalcium_mg_per_L = 50\nalkalinity_mg_per_L = 90\n"
    changed = plant.replace("settled_mash_degC = 64", more).encode()
    names = ("enquiry.toml", "plant.toml", "bill.toml", "lots.csv")
    desk.post("/enquiries/start/", {"way": "files", "files": sent(*names, plant=changed)})
    mash = newest(PlantVersion, EnquiryRow.objects.get())["mash"]
    assert (mash["vessel"], mash["rests"][1], len(mash["rests"])) == ("filter", {"settled_degC": 72, "minutes": 20}, 2)
    assert (kept().settled_mash_degC, mash["ramp_K_per_min"], mash["alkalinity_mg_per_L"]) == (62.0, 0.7, 90.0)


def test_a_house_with_many_rests_keeps_them_all_and_has_room_for_another(desk: Client) -> None:
    text = (FOLDER / "plant.toml").read_text(encoding="utf-8")
    rests = ", ".join(f"{{settled_degC = {60 + n}, minutes = 5}}" for n in range(7))
    changed = text.replace("settled_mash_degC = 64", f"rests = [{rests}]").encode()
    names = ("enquiry.toml", "plant.toml", "bill.toml", "lots.csv")
    desk.post("/enquiries/start/", {"way": "files", "files": sent(*names, plant=changed)})
    asked = EnquiryRow.objects.get()
    answer = keep(desk, asked, **{"mash-rests-8-settled_degC": "78", "mash-rests-8-minutes": "2"})
    assert answer.status_code == 302
    assert kept().rests == (*(Rest(60.0 + n, 5.0) for n in range(7)), Rest(78.0, 2.0))
