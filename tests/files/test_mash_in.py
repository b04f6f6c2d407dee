"""A mash plan as a distiller writes it: what holds is read, what does not is named with its place and the way out."""

from pathlib import Path

import pytest

from gristwright.basics import Problem, at
from gristwright.files.plant_in import plant_data, plant_of, read_plant
from gristwright.records.plant import CookerPlan, Decoction, MashPlan, Rest, Sparge, Water
from house.places import EXAMPLES
from scenario import FOLDER

SETTLED = "settled_mash_degC = 64\n"
MASH = "kg_per_mash = 2000\nwort_L_per_t = 5000\n"
GRAIN_IN = EXAMPLES / "maize-rye-column" / "plant.toml"
COOK = "cook_degC = 110\n"
REST = "rests = [{settled_degC = 64, minutes = 60}]\n"
SPARGE = "sparges = [{L_per_kg = 1, liquor_degC = 78}]\n"
TWO = "rests = [{settled_degC = 50, minutes = 10}, {settled_degC = 64, minutes = 60}]\n"
FIRST = '[[mash.waters]]\nname = "first"\nL_per_kg = 4\n'


def read(folder: Path, mash: str, plant: Path = FOLDER / "plant.toml") -> tuple[MashPlan, list[Problem]]:
    """An invented plant with the mash written here."""
    text = plant.read_text(encoding="utf-8")
    start, end = text.index("[mash]"), text.index("[washbacks]")
    path = folder / "plant.toml"
    path.write_text(f"{text[:start]}[mash]\n{mash}\n{text[end:]}", encoding="utf-8")
    problems: list[Problem] = []
    record, _ = read_plant(path, problems)
    return record.mash, problems


def grain_in(folder: Path, mash: str) -> tuple[MashPlan, list[Problem]]:
    return read(folder, f"kg_per_mash = 8000\nwort_L_per_t = 4400\n{mash}", GRAIN_IN)


def said(problems: list[Problem]) -> str:
    return "\n".join(problem.sentence() for problem in problems)


def test_a_plan_without_them_reads_as_before(tmp_path: Path) -> None:
    plan, problems = read(tmp_path, MASH)
    assert problems == []
    assert plan == MashPlan(2000.0, 5000.0)


def test_rests_are_read_and_the_longest_is_what_the_mash_is_judged_by(tmp_path: Path) -> None:
    rests = 'rests = [{settled_degC = 48, minutes = 15}, {settled_degC = "63,5", minutes = 40},\n'
    rests += "{settled_degC = 72, minutes = 20}]\n"
    more = 'vessel = "lauter"\nvessel_L = 12000\nliquor_L_per_kg = 3.6\nramp_K_per_min = 1.2\nrun_off_min = 90\n'
    plan, problems = read(tmp_path, MASH + rests + more)
    assert problems == []
    assert plan.rests == (Rest(48.0, 15.0), Rest(63.5, 40.0), Rest(72.0, 20.0))
    assert plan.settled_mash_degC == 63.5
    assert (plan.vessel, plan.vessel_L, plan.liquor_L_per_kg) == ("lauter", 12000.0, 3.6)
    assert (plan.ramp_K_per_min, plan.run_off_min) == (1.2, 90.0)
    plan, problems = read(tmp_path, MASH + rests + "settled_mash_degC = 72\n")
    assert (problems, plan.settled_mash_degC) == ([], 72.0)


def test_sparges_and_decoctions_are_read_beside_rests_and_written_as_they_were(tmp_path: Path) -> None:
    rests = "rests = [{settled_degC = 50, minutes = 10}, {settled_degC = 64, minutes = 40}]\n"
    sparges = (
        'sparges = [{L_per_kg = "1,2", liquor_degC = 78}, {L_per_kg = 0.8, liquor_degC = 76, goes_to = "next mash"}]\n'
    )
    decoctions = 'decoctions = [{after_rest = 1, boil_min = 15, share_pct = 25, part = "thin", held_min = 0}]\n'
    litres = 'vessel = "filter"\nliquor_L_per_kg = 3.2\n'
    plan, problems = read(tmp_path, MASH + litres + rests + sparges + decoctions)
    assert problems == []
    assert plan.sparges == (Sparge(1.2, 78.0), Sparge(0.8, 76.0, "next mash"))
    assert plan.decoctions == (Decoction(1, 15.0, 25.0, "thin", held_min=0.0),)
    path, found = tmp_path / "plant.toml", []
    plant, _ = read_plant(path, found)
    data = plant_data(plant)
    assert plant_of(data, at("plant"), found) == plant and found == []
    assert data["mash"]["sparges"][0] == {"L_per_kg": 1.2, "liquor_degC": 78.0}


def test_a_cooker_is_read(tmp_path: Path) -> None:
    table = '[mash.cooker]\ncook_min = 25\nslurry_degC = 55\nsecond_species = ["rye"]\nsecond_degC = 78\n'
    table += "second_min = 15\nmalt_min = 40\n"
    plan, problems = grain_in(tmp_path, f"settled_mash_degC = 63\n{COOK}premalt_pct = 1\nvessel_L = 40000\n{table}")
    assert problems == []
    assert plan.cooker == CookerPlan(25.0, 55.0, ("rye",), 78.0, 15.0, 40.0)


def test_waters_and_their_analysis_are_read(tmp_path: Path) -> None:
    salts = "calcium_mg_per_L = 40\nalkalinity_mg_per_L = 90\n"
    waters = f"{FIRST}settled_degC = 64\n"
    plan, problems = read(tmp_path, f"{MASH}{SETTLED}later_stand_min = 15\nwaters_to_washback = 1\n{salts}{waters}")
    assert problems == []
    assert (plan.calcium_mg_per_L, plan.alkalinity_mg_per_L) == (40.0, 90.0)
    assert (plan.later_stand_min, plan.waters_to_washback) == (15.0, 1)


def test_the_settled_mash_follows_from_the_liquor(tmp_path: Path) -> None:
    """By hand at 4.5 %: S 0.4025, rise 1.45 K: (0.4025 x 15 + 4 x 67.2) / 4.4025 + 1.45 = 63.878 degC."""
    by_hand = (0.4025 * 15 + 4 * 67.2) / 4.4025 + 1.45
    plan, problems = read(tmp_path, f"{MASH}liquor_degC = 67.2\nliquor_L_per_kg = 4\n")
    assert problems == []
    assert plan.settled_mash_degC == pytest.approx(by_hand, abs=1e-9)
    plan, problems = read(tmp_path, f"{MASH}liquor_degC = 67.2\nvessel_loss_K = 1\n{FIRST}")
    assert problems == []
    assert plan.waters == (Water("first", 4.0, plan.settled_mash_degC),)
    assert plan.settled_mash_degC == pytest.approx(by_hand - 1.0, abs=1e-9)


@pytest.mark.parametrize(
    ("mash", "words"),
    [
        (f"{SETTLED}liquor_degC = 67\nliquor_L_per_kg = 4", "settled_mash_degC: 64 degC stands beside liquor_degC"),
        ("liquor_degC = 67", "mash.liquor_degC: needs the litres of that water"),
        (f"liquor_degC = 67\n{REST}", "mash.liquor_degC: stands beside rests"),
        (f"liquor_degC = 67\nliquor_L_per_kg = 4\n{COOK}", "mash.liquor_degC: stands beside a cooker"),
        (f"liquor_degC = 67\n{FIRST}settled_degC = 64", "waters 1.settled_degC: 64 degC stands beside liquor_degC"),
        ("liquor_degC = 95\nliquor_L_per_kg = 4", "settles the mash at 89.1 degC, outside 40-78"),
        ("strike_degC = 67", "mash.strike_degC: is read two ways, as the liquor and as the settled mash. Write"),
        ("strike_temperature = 67", "strike_temperature: is read two ways"),
        ("strike = 67", "mash.strike: is read two ways"),
        (f"{FIRST}strike_degC = 68\nsettled_degC = 64", "mash.waters 1.strike_degC: is read two ways"),
        ("rests = [{settled_degC = 64, minutes = -5}]", "mash.rests 1.minutes: -5 min: time goes backwards."),
        ("rests = [{settled_degC = 64}]", "mash.rests 1.minutes: is missing"),
        ("rests = [{settled_degC = 2, minutes = 5}]", "mash.rests 1.settled_degC: 2 degC is outside"),
        ("rests = [{settled_degC = 64, minutes = 60, for = 1}]", "mash.rests 1.for: is not a field we know"),
        ("rests = [{settled_degC = 90, minutes = 60}]", "mash.rests: none lies in 40-78 degC"),
        ("rests = []", "mash.rests: is an empty list"),
        ("rests = 64", "mash.rests: is not a list of tables"),
        (f"settled_mash_degC = 65\n{REST}", "mash.settled_mash_degC: 65 degC is none of the rests"),
        (f"{REST}{FIRST}settled_degC = 64", "mash.rests: stand beside waters"),
        (f"{REST}{COOK}", "mash.rests: stand beside a cooker"),
        (f"{SPARGE}{FIRST}settled_degC = 64", "mash.sparges: stand beside waters"),
        ("sparges = [{L_per_kg = 0, liquor_degC = 78}]", "mash.sparges 1.L_per_kg: 0 L/kg is outside 0.1-8 L/kg"),
        ("sparges = [{L_per_kg = 1}]", "mash.sparges 1.liquor_degC: is missing"),
        ("sparges = [{L_per_kg = 1, strike_degC = 78, liquor_degC = 78}]", "Write liquor_degC for the water before"),
        ("sparges = [{L_per_kg = 1, liquor_degC = 78, goes_to = 'drain'}]", "mash.sparges 1.goes_to: 'drain'"),
        ("liquor_L_per_kg = 0", "mash.liquor_L_per_kg: 0 L/kg is outside 1.5-12 L/kg"),
        ("decoctions = [{after_rest = 1, boil_min = 9}]", "mash.decoctions: are given without rests"),
        (f"{REST}decoctions = [{{after_rest = 1, boil_min = 9}}]", "rest 1 of 1 has no rest behind it"),
        (f"{TWO}decoctions = [{{after_rest = 1, boil_min = 9, share_pct = 70}}]", "70 % of the mash is outside 5-50"),
        (f"{TWO}decoctions = [{{after_rest = 1, boil_min = -9}}]", "boil_min: -9 min: time goes backwards."),
        (
            f"liquor_L_per_kg = 4\n{TWO}decoctions = [{{after_rest = 1, boil_min = 9, share_pct = 45}}]",
            "decoctions 1.share_pct: 45 % of the mash settles it at 71.5 degC; the next rest says 64 degC. Take 29 %",
        ),
        ("stand_min = -1", "mash.stand_min: -1 min: time goes backwards."),
        ("run_off_min = 1000", "1000 min is outside 5-480 min"),
        ("waters_to_washback = 1.5", "1.5 is not a whole number of waters"),
        (f"waters_to_washback = 3\n{FIRST}settled_degC = 64", "3 waters go to the washback and 1 are given"),
        (f"liquor_L_per_kg = 4\n{FIRST}settled_degC = 64", "mash.liquor_L_per_kg: stands beside waters"),
        ("premalt_pct = 2", "mash.premalt_pct: 2 % of malt for a cooker, and the house has none."),
        ("[mash.cooker]\ncook_min = 20", "mash.cooker: is given without cook_degC"),
        (f"{COOK}[mash.cooker]\nslurry_degC = 100\nsecond_species = ['ry']", "Did you mean 'rye'?"),
        ("cook_degC = 90\n[mash.cooker]\nslurry_degC = 95", "mash.cooker.slurry_degC: 95 degC is hotter than"),
        (f"{COOK}[mash.cooker]\nsecond_species = ['rye']\nsecond_degC = 50", "50 degC is not between malt and cook"),
        ("vessel = 'ton'", "Did you mean 'tun'?"),
        ("vessel_L = 9000\nliquor_L_per_kg = 4", "fill 9340 L, and the vessel holds 9000 L. Mash less grain"),
        ("calcium_mg_per_L = 40", "mash.alkalinity_mg_per_L: is missing beside calcium_mg_per_L"),
        ("[[mash.water]]\nL_per_kg = 4", "mash.water: is not a field we know. Did you mean 'waters'?"),
        ("liquor_L_per_kg = '1,000'", "mash"),
    ],
)  # fmt: skip
def test_a_fault_is_one_sentence_with_the_way_out(tmp_path: Path, mash: str, words: str) -> None:
    _, problems = read(tmp_path, MASH + mash)
    (fault,) = problems
    assert words in fault.sentence()
    assert fault.address.words.startswith("plant.toml, mash.")
    assert fault.way_out
    assert not fault.warning


def test_a_grain_in_house_takes_no_waters_and_fills_its_vessel_with_the_whole_mash(tmp_path: Path) -> None:
    _, problems = grain_in(tmp_path, f"{SETTLED}{COOK}vessel_L = 40000\n{FIRST}settled_degC = 64")
    assert "mash.waters: are given for a grain-in house" in said(problems)
    assert len(problems) == 1
    _, problems = grain_in(tmp_path, SPARGE)
    assert "mash.sparges: are given for a grain-in house" in said(problems)
    _, problems = grain_in(tmp_path, f"{SETTLED}{COOK}vessel_L = 30000\n")
    assert "fill 35200 L, and the vessel holds 30000 L" in said(problems)


def test_a_faulty_field_does_not_count_as_missing(tmp_path: Path) -> None:
    table = "calcium_mg_per_L = 40\nalkalinity_mg_per_L = 4000\n[mash.cooker]\ncook_min = 30\n"
    _, problems = grain_in(tmp_path, f"cook_degC = 1100\npremalt_pct = 1\n{table}")
    assert len(problems) == 2
    assert "1100 degC is outside" in said(problems) and "4000 mg/L as CaCO3 is outside" in said(problems)


def test_all_faults_at_once(tmp_path: Path) -> None:
    rests = "rests = [{settled_degC = 64, minutes = -5}, {settled_degC = 200, minutes = 5}]\n"
    _, problems = read(tmp_path, f"{MASH}strike = 1\nvessel = 'x'\nramp_K_per_min = 9\n{rests}{COOK}premalt_pct = 30")
    assert len(problems) == 7
