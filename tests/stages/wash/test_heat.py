"""Heat in the washback: always said not to be judged, and a caution by volume, gravity, set temperature and cooling."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gristwright.basics import at
from gristwright.records.fields import fields_of
from gristwright.records.washbacks import Washbacks
from gristwright.reference import csv_rows
from gristwright.stages.wash.heat import heat_cautions
from gristwright.stages.wash.limits import washback_problems

HOT = Washbacks(count=6, volume_L=12_500.0, hours=72.0, set_degC=26.0, cooling="none")
STRONG_DEGP = 14.3
NOT_JUDGED = "Heat in the washback is not judged"


def told(washbacks: Washbacks, degP: float = STRONG_DEGP) -> tuple[str, ...]:
    return heat_cautions(washbacks, degP)


@pytest.mark.parametrize("washbacks", [HOT, replace(HOT, set_degC=20.0), replace(HOT, cooling="jacket")])
def test_every_house_is_told_that_heat_is_not_judged(washbacks: Washbacks) -> None:
    assert told(washbacks)[0].startswith(NOT_JUDGED)
    assert "32 to 34 degC" in told(washbacks)[0]


def test_a_strong_wort_set_warm_in_a_large_washback_without_cooling_is_cautioned() -> None:
    _, caution = told(HOT)
    for said in ("26 degC", "over 12 degP", "12\u202f500 L", "without cooling", "35 degC", "(estimate)", "20 degC"):
        assert said in caution


@pytest.mark.parametrize(
    ("changed", "degP"),
    [
        ({"volume_L": 2000.0}, STRONG_DEGP),
        ({"set_degC": 24.0}, STRONG_DEGP),
        ({"cooling": "jacket"}, STRONG_DEGP),
        ({"cooling": "coil"}, STRONG_DEGP),
        ({"cooling": "exchanger"}, STRONG_DEGP),
        ({}, 12.0),
    ],
)
def test_volume_gravity_set_temperature_or_cooling_alone_takes_the_caution_away(
    changed: dict[str, float | str], degP: float
) -> None:
    assert len(told(HOT)) == 2
    assert len(told(replace(HOT, **changed), degP)) == 1


@pytest.mark.parametrize(
    ("changed", "degP"), [({"volume_L": 2000.1}, STRONG_DEGP), ({"set_degC": 24.1}, STRONG_DEGP), ({}, 12.1)]
)
def test_just_above_a_line_the_caution_stands(changed: dict[str, float], degP: float) -> None:
    assert len(told(replace(HOT, **changed), degP)) == 2


def test_cooling_that_is_not_stated_is_unknown_and_asked_for() -> None:
    _, caution = told(replace(HOT, cooling=""))
    assert "cooling is not stated" in caution
    assert "without cooling" not in caution
    assert caution.endswith("or state how the washbacks are cooled.")


def test_the_lines_are_a_table_with_a_standing_each() -> None:
    rows = {row["key"]: row for row in csv_rows("tables/washback_heat.csv")}
    assert {key: float(rows[key]["value"]) for key in ("hot_set_degC", "strong_degP", "large_L")} == {
        "hot_set_degC": 24.0, "strong_degP": 12.0, "large_L": 2000.0,
    }  # fmt: skip
    assert {row["standing"] for row in rows.values()} <= {"estimate", "common practice", "published"}


def test_cooling_is_a_word_that_is_known() -> None:
    words = fields_of(Washbacks)["cooling"].options
    assert words == ("", "none", "jacket", "coil", "exchanger")
    assert all(washback_problems(replace(HOT, cooling=word), at("plant", "washbacks")) == [] for word in words)
    (problem,) = washback_problems(replace(HOT, cooling="ice"), at("plant", "washbacks"))
    assert problem.sentence() == (
        "plant, washbacks, cooling: 'ice' is not known here. Use one of: none, jacket, coil, exchanger."
    )
