"""A plan that is made in code meets the same limits as one that is read; warnings are no refusals."""

from dataclasses import replace

from gristwright.basics import Problem, at
from gristwright.records.plant import CookerPlan, MashPlan, Rest, Water
from gristwright.stages.mash.limits import mash_problems
from gristwright.stages.mash.limits_plan import filled_L
from gristwright.stages.mash.settled import first_L_per_kg, settled_by_liquor_degC

PLAN = MashPlan(2000.0, 5000.0)


def problems(**changed: object) -> list[Problem]:
    return mash_problems(replace(PLAN, **changed), at("plant", "mash"))  # type: ignore[arg-type]


def test_a_good_plan_has_none() -> None:
    assert problems() == []
    assert problems(rests=(Rest(64.0, 60.0), Rest(72.0, 20.0)), liquor_L_per_kg=3.5, vessel_L=9000.0) == []
    assert problems(cook_degC=142.0, cooker=CookerPlan(second_species=("rye",)), premalt_pct=1.0) == []


def test_every_number_has_limits() -> None:
    cooker = CookerPlan(300.0, 2.0, (), 120.0, -1.0, 900.0)
    found = problems(cooker=cooker, cook_degC=100.0, rests=(Rest(101.0, -1.0),), vessel="pot", ramp_K_per_min=0.0)
    fields = {problem.address.words.removeprefix("plant, mash, ") for problem in found}
    steps = {f"cooker.{name}" for name in ("cook_min", "slurry_degC", "second_degC", "second_min", "malt_min")}
    assert fields == steps | {"rests", "rests 1.settled_degC", "rests 1.minutes", "vessel", "ramp_K_per_min"}
    numbers = {"vessel_L": 1.0, "liquor_degC": 101.0, "liquor_L_per_kg": 13.0, "later_stand_min": -1.0}
    numbers |= {"run_off_min": 1.0, "waters_to_washback": 9}
    for field, value in numbers.items():
        (fault,) = problems(**{field: value})
        assert fault.address.words == f"plant, mash, {field}"
    found = problems(calcium_mg_per_L=-1.0, alkalinity_mg_per_L=900.0)
    assert [problem.address.path[-1] for problem in found] == ["calcium_mg_per_L", "alkalinity_mg_per_L"]


def test_litres_in_the_vessel_by_hand() -> None:
    """2000 kg with 4 L/kg: 8000 L of water and 2000 x 0.67 L of grain."""
    waters = (Water("first", 4.0, 64.0),)
    assert filled_L(replace(PLAN, waters=waters)) == 9340.0
    assert filled_L(PLAN) is None
    assert filled_L(PLAN, grain_in=True) == 10000.0


def test_a_nearly_full_vessel_and_a_colder_rest_are_said_and_allowed() -> None:
    (full,) = problems(liquor_L_per_kg=4.0, vessel_L=9500.0)
    (colder,) = problems(rests=(Rest(72.0, 20.0), Rest(62.0, 40.0)))
    assert full.warning and colder.warning
    assert "rests 2.settled_degC" in colder.address.words
    (refused,) = problems(liquor_L_per_kg=4.0, vessel_L=9300.0)
    assert not refused.warning


def test_the_liquor_of_a_plan() -> None:
    assert first_L_per_kg(PLAN) is None
    assert settled_by_liquor_degC(replace(PLAN, liquor_L_per_kg=4.0)) is None
    thin, thick = (
        settled_by_liquor_degC(replace(PLAN, liquor_degC=68.0, liquor_L_per_kg=litres)) for litres in (5.0, 3.0)
    )
    assert thin is not None and thick is not None
    assert thin > thick
