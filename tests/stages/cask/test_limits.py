"""Each fault of a cask input in one sentence with its value, its limit and the way out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gristwright.basics import Problem, Refused, Standing
from gristwright.records.cask import CaskFill, CaskKind, Climate
from gristwright.stages.cask import limits, stores

GOOD_FILL = CaskFill(CaskKind("barrel", 200.0), 63.5, 200.0, 36)
GOOD_CLIMATE = Climate("store", (10.0,) * 12, (0.8,) * 12)


def found(fill: CaskFill = GOOD_FILL, climate: Climate = GOOD_CLIMATE) -> list[Problem]:
    return limits.cask_problems(fill, climate)


def kind(**changes: float) -> CaskFill:
    changed = replace(GOOD_FILL.kind, **changes)
    return replace(GOOD_FILL, kind=changed, fill_L=changed.capacity_L)


def test_nothing_to_say_of_a_good_cask() -> None:
    assert found() == []


@pytest.mark.parametrize(
    ("fill", "climate", "words"),
    [
        (GOOD_FILL, replace(GOOD_CLIMATE, month_degC=(10.0,) * 11), "temperature has 11 months and 12 are needed"),
        (GOOD_FILL, replace(GOOD_CLIMATE, month_humidity=(0.8,) * 13), "humidity has 13 months"),
        (GOOD_FILL, replace(GOOD_CLIMATE, month_humidity=(0.8,) * 11 + (85.0,)), "month 12: humidity 85 .* write 0.85"),
        (GOOD_FILL, replace(GOOD_CLIMATE, month_humidity=(-0.1,) + (0.8,) * 11), "month 1: humidity -0.1"),
        (GOOD_FILL, replace(GOOD_CLIMATE, month_humidity=(float("nan"),) + (0.8,) * 11), "month 1: humidity nan"),
        (GOOD_FILL, replace(GOOD_CLIMATE, month_degC=(50.0,) + (10.0,) * 11), "month 1: 50 degC is outside -10 to 45"),
        (replace(GOOD_FILL, entry_abv_pct=85.0), GOOD_CLIMATE, "strength 85 %vol is outside 40 to 80"),
        (replace(GOOD_FILL, entry_abv_pct=0.635), GOOD_CLIMATE, "strength 0.635 %vol"),
        (replace(GOOD_FILL, fill_L=210.0), GOOD_CLIMATE, "210 L does not fit a cask of 200 L"),
        (replace(GOOD_FILL, fill_L=0.0), GOOD_CLIMATE, "0 L does not fit"),
        (replace(GOOD_FILL, months=601), GOOD_CLIMATE, "601 months is outside 0 to 600"),
        (replace(GOOD_FILL, first_month=0), GOOD_CLIMATE, "month of filling 0"),
        (kind(capacity_L=1.0), GOOD_CLIMATE, "capacity 1 L is outside 2 to 750"),
        (kind(capacity_L=800.0), GOOD_CLIMATE, "capacity 800 L is outside 2 to 750"),
        (kind(wall_mm=2.5), GOOD_CLIMATE, "wall 2.5 mm"),
        (kind(fill_number=0), GOOD_CLIMATE, "fill number 0"),
    ],
)
def test_refused(fill: CaskFill, climate: Climate, words: str) -> None:
    from gristwright.basics import refuse_if_any

    with pytest.raises(Refused, match=words):
        refuse_if_any(found(fill, climate))


@pytest.mark.parametrize(
    ("fill", "climate", "words"),
    [
        (kind(capacity_L=720.0), GOOD_CLIMATE, "above 700 L"),
        (kind(capacity_L=50.0), GOOD_CLIMATE, "never gives the same whisky faster"),
        (replace(GOOD_FILL, fill_L=150.0), GOOD_CLIMATE, "nine tenths"),
        (replace(GOOD_FILL, entry_abv_pct=72.0), GOOD_CLIMATE, "usual 55 to 70"),
        (GOOD_FILL, replace(GOOD_CLIMATE, month_humidity=(0.97,) * 12), "draw more water"),
    ],
)
def test_warned(fill: CaskFill, climate: Climate, words: str) -> None:
    (problem,) = found(fill, climate)
    assert problem.warning
    assert words in problem.sentence()


def test_every_fault_at_once() -> None:
    fill = replace(kind(wall_mm=2.0), entry_abv_pct=90.0, months=-1)
    assert sum(not problem.warning for problem in found(fill)) == 3


def test_every_cask_of_the_table_can_be_filled() -> None:
    for name in stores.kind_names():
        cask = stores.kind_named(name)
        faults = [p for p in found(replace(GOOD_FILL, kind=cask, fill_L=cask.capacity_L)) if not p.warning]
        assert faults == []


def test_generic_stores_say_that_they_are_estimates() -> None:
    for name in stores.climate_names():
        climate = stores.climate_named(name)
        assert climate.standing is Standing.ESTIMATE
        assert found(climate=climate) == []


@pytest.mark.parametrize("look_up", [stores.kind_named, stores.climate_named])
def test_unknown_names_are_refused_with_the_known_ones(look_up: object) -> None:
    assert callable(look_up)
    with pytest.raises(Refused, match=r"called 'nowhere'.*The table has"):
        look_up("nowhere")
