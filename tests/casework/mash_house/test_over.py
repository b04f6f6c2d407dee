"""Settings that may be varied: what is read, what is refused, and what a changed plan holds."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gristwright.basics import Refused
from gristwright.casework.mash_house.over import (
    MOST_POINTS,
    axes_problems,
    axis_of,
    keys,
    setting_of,
    stands_at,
    with_setting,
)
from gristwright.records.plant import Plant, Rest, Sparge, Water
from scenario import sheet

PLANT = sheet().plant
WATERS = (Water("first", 3.7, 64.0), Water("second", 1.5, 72.0), Water("third", 3.7, 82.0))
TUN = replace(PLANT, mash=replace(PLANT.mash, waters=WATERS))
RESTS = replace(PLANT, mash=replace(PLANT.mash, rests=(Rest(62.0, 40.0), Rest(72.0, 20.0)), liquor_L_per_kg=4.0))
COOKS = replace(PLANT, kind="grain-in", mash=replace(PLANT.mash, cook_degC=110.0, premalt_pct=1.0))


SPARGED = replace(RESTS, mash=replace(RESTS.mash, liquor_L_per_kg=3.2, sparges=(Sparge(1.2, 78.0), Sparge(0.8, 76.0))))


def test_sparges_are_varied_by_their_number_and_give_way_to_a_thinner_mash() -> None:
    assert with_setting(SPARGED, "mash.sparges.2.liquor_degC", 72.0).mash.sparges[1] == Sparge(0.8, 72.0)
    thinner = with_setting(SPARGED, "mash.liquor_L_per_kg", 3.7).mash
    assert (thinner.liquor_L_per_kg, thinner.sparges[0].L_per_kg) == (3.7, pytest.approx(0.7))
    assert "leave -0.60 L/kg for the first sparge" in refused(SPARGED, "mash.liquor_L_per_kg", 5.0)
    assert "the plan has 2 sparges" in refused(SPARGED, "mash.sparges.3.L_per_kg", 1.0)
    assert "it is sparged" in refused(SPARGED, "mash.later_stand_min", 10.0)
    assert stands_at(SPARGED, "mash.sparges.1.L_per_kg") == 1.2


COILED = replace(PLANT, washbacks=replace(PLANT.washbacks, cooling="coil", cooled_from_degC=30.0, ceiling_degC=33.0))
UNCOOLED = replace(PLANT, washbacks=replace(PLANT.washbacks, cooling="none"))


def test_every_number_of_the_washbacks_is_varied_alone() -> None:
    values = {
        "set_degC": 24.0, "hours": 60.0, "pitch_million_per_mL": 8.0, "room_degC": 12.0, "cooling_m2": 3.0,
        "water_degC": 9.0, "cooled_from_degC": 32.0, "viability_pct": 80.0, "volume_L": 20_000.0,
    }  # fmt: skip
    assert {key for key in keys() if key.startswith("washback.")} == {f"washback.{name}" for name in values}
    for name, value in values.items():
        changed = with_setting(COILED, f"washback.{name}", value)
        assert changed == replace(COILED, washbacks=replace(COILED.washbacks, **{name: value}))  # type: ignore[arg-type]
        assert stands_at(changed, f"washback.{name}") == value
    assert stands_at(COILED, "washback.room_degC") is None


def test_short_and_long_names_of_the_washbacks_are_one_key() -> None:
    assert axis_of("washback.pitch=8,12").key == axis_of("washbacks.pitch=8,12").key == "washback.pitch_million_per_mL"
    assert axis_of("washbacks.set_degC=18:30:2").values == (18.0, 20.0, 22.0, 24.0, 26.0, 28.0, 30.0)


def said(text: str) -> str:
    with pytest.raises(Refused) as found:
        axis_of(text)
    return str(found.value)


def refused(plant: Plant, key: str, value: float) -> str:
    with pytest.raises(Refused) as found:
        with_setting(plant, key, value)
    return str(found.value)


def test_a_range_holds_both_ends_and_no_dust() -> None:
    assert axis_of("mash.settled_degC=62:63.2:0.3").values == (62.0, 62.3, 62.6, 62.9, 63.2)
    assert axis_of("mash.settled_degC=62:65:2").values == (62.0, 64.0)
    assert axis_of(" mash.pH = 5.2, 5.6 ").values == (5.2, 5.6)
    assert axis_of("mash.pH=5.2").key == "mash.mash_pH"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("mash.settled_degC", "key=from:to:step"),
        ("mash.settled_degC=", "not a number"),
        ("mash.settled_degC=62,5:70:1", "cannot be a decimal comma. Write 62.5:70:1."),
        ("mash.settled_degC=62:70", "2 numbers"),
        ("mash.settled_degC=70:62:1", "never gets from 70 to 62"),
        ("mash.settled_degC=62:70:0", "never gets"),
        ("mash.settled_degC=62:70:-1", "never gets"),
        ("mash.settled_degC=62:nan:1", "not a number"),
        ("mash.settled_degC=62:inf:1", "not a number"),
        ("mash.settled_degC=6_2", "not a number"),
        ("mash.settled_degC=62,64,62", "62 stands twice"),
        ("mash.settled_degC=62:70:0.001", f"more than the {MOST_POINTS}"),
        ("mash.setled_degC=62", "mash.settled_mash_degC"),
        ("mash.bag_kg=25", "no setting of the mash"),
        ("mash.waters.fifth.L_per_kg=2", "no setting of the mash"),
        ("mash.rests.settled_degC=62", "no setting of the mash"),
        ("still.heart_abv_pct=69", "no setting of the mash"),
        ("=3", "no setting of the mash"),
        ("washback.setdegC=20", "Use one of: washback.set_degC"),
        ("washback.count=6", "no setting of the mash or the washback"),
        ("washback.first.set_degC=20", "no setting of the mash or the washback"),
        ("washback.ceiling_degC=34", "no setting of the mash or the washback"),
        ("washback.original_gravity_sg=1.05", "follows from the litres of wort. Vary mash.wort_L_per_t"),
        ("washback.cooling=none", "is a word, and numbers are varied. Vary washback.cooling_m2"),
        ("washbacks.yeast=ale", "is a word, and numbers are varied."),
    ],
)
def test_what_cannot_be_read_says_why(text: str, words: str) -> None:
    assert words in said(text)


def test_every_fault_of_a_grid_is_named_at_once() -> None:
    axes = [axis_of("mash.settled_degC=30,64,90"), axis_of("mash.cook_degC=100"), axis_of("mash.settled_degC=60")]
    text = "\n".join(problem.sentence() for problem in axes_problems(PLANT, axes))
    for words in ("30 degC is outside 40-78", "90 degC is outside", "no cooker", "one or two", "stands twice"):
        assert words in text
    many = [axis_of("mash.settled_degC=50:70:1"), axis_of("mash.stand_min=10:70:3")]
    assert f"441 points are more than the {MOST_POINTS}" in axes_problems(PLANT, many)[0].sentence()


def test_every_key_has_its_unit_and_limits_in_their_order() -> None:
    for key in keys():
        setting = setting_of(key)
        assert setting.unit
        assert setting.limits[0] < setting.limits[1]


def test_a_plan_with_waters_keeps_settings_in_the_first() -> None:
    warm = with_setting(TUN, "mash.settled_degC", 66.0).mash
    assert (warm.settled_mash_degC, warm.waters[0].settled_degC) == (66.0, 66.0)
    thick = with_setting(TUN, "mash.liquor_L_per_kg", 3.0).mash
    assert [water.L_per_kg for water in thick.waters] == pytest.approx([3.0, 2.2, 3.7])
    alone = with_setting(TUN, "mash.waters.first.L_per_kg", 3.0).mash
    assert [water.L_per_kg for water in alone.waters] == pytest.approx([3.0, 1.5, 3.7])
    assert "second water" in refused(TUN, "mash.liquor_L_per_kg", 5.1)
    assert TUN.mash.waters == WATERS


def test_a_stated_liquor_moves_the_settled_mash() -> None:
    """Heat balance by hand: grist of 0.4 of water's heat at 15 degC in 3.7 L/kg of 74 degC mixes at 68.2 degC; slaking
    (handbook 1984/85) adds some two degrees."""
    mash = with_setting(TUN, "mash.liquor_degC", 74.0).mash
    assert 68.2 < mash.settled_mash_degC < 71.5
    assert mash.waters[0].settled_degC == mash.settled_mash_degC
    stated = replace(TUN, mash=mash)
    assert with_setting(stated, "mash.grist_degC", 30.0).mash.settled_mash_degC > mash.settled_mash_degC
    assert "Vary mash.liquor_degC" in refused(stated, "mash.settled_degC", 64.0)
    assert "outside 40-78" in refused(TUN, "mash.liquor_degC", 100.0)


@pytest.mark.parametrize(
    ("plant", "key", "value", "words"),
    [
        (PLANT, "mash.waters.first.L_per_kg", 4.0, "states no such water"),
        (PLANT, "mash.rests.1.minutes", 30.0, "has 0 rests"),
        (RESTS, "mash.rests.3.minutes", 30.0, "has 2 rests"),
        (RESTS, "mash.settled_degC", 64.0, "mash.rests.1.settled_degC"),
        (RESTS, "mash.stand_min", 64.0, "mashes by rests"),
        (PLANT, "mash.ramp_K_per_min", 1.0, "no rests to ramp"),
        (PLANT, "mash.premalt_pct", 5.0, "no cooker"),
        (PLANT, "mash.cooker.cook_min", 5.0, "no cooker"),
        (COOKS, "mash.liquor_degC", 70.0, "slurry"),
        (PLANT, "mash.settled_degC", 39.9, "outside 40-78"),
        (PLANT, "mash.nothing", 1.0, "no setting"),
        (PLANT, "washback.cooling_m2", 4.0, "does not say how its washbacks are cooled. Write cooling"),
        (UNCOOLED, "washback.cooling_m2", 4.0, "the washbacks are not cooled. Vary washback.set_degC"),
        (UNCOOLED, "washback.water_degC", 4.0, "the washbacks are not cooled"),
        (UNCOOLED, "washback.cooled_from_degC", 30.0, "the washbacks are not cooled"),
        (COILED, "washback.set_degC", 33.0, "33 degC is outside 10-32 degC"),
        (COILED, "washback.hours", 30.0, "30 h is outside 36-160 h"),
        (
            replace(COILED, washbacks=replace(COILED.washbacks, ceiling_degC=25.0)),
            "washback.set_degC",
            26.0,
            "25 degC is below the set temperature, 26 degC",
        ),
        (COILED, "washback.cooled_from_degC", 14.0, "more than 5 K below the set temperature"),
        (COILED, "washback.original_gravity_sg", 1.05, "Vary mash.wort_L_per_t"),
    ],
)
def test_a_setting_that_the_plan_does_not_read_is_refused(plant: Plant, key: str, value: float, words: str) -> None:
    assert words in refused(plant, key, value)


def test_parts_of_a_plan_are_changed_alone() -> None:
    rests = with_setting(RESTS, "mash.rests.2.settled_degC", 70.0).mash.rests
    assert rests == (Rest(62.0, 40.0), Rest(70.0, 20.0))
    cooked = with_setting(COOKS, "mash.cooker.malt_min", 45.0).mash
    assert cooked.cooker is not None
    assert (cooked.cooker.malt_min, cooked.cooker.cook_min) == (45.0, 30.0)


def test_where_a_plan_stands() -> None:
    assert stands_at(TUN, "mash.liquor_L_per_kg") == 3.7
    assert stands_at(TUN, "mash.waters.third.settled_degC") == 82.0
    assert stands_at(RESTS, "mash.rests.2.minutes") == 20.0
    assert stands_at(COOKS, "mash.cooker.cook_min") == 30.0
    assert stands_at(PLANT, "mash.pH") is None
    assert stands_at(PLANT, "mash.settled_degC") == 64.0


def test_a_vessel_too_small_is_refused_with_its_litres() -> None:
    small = replace(TUN, mash=replace(TUN.mash, vessel_L=9000.0))
    assert "vessel holds 9000 L" in refused(small, "mash.kg_per_mash", 2500.0)
