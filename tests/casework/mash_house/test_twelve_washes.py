"""Twelve washes: each is warned of what a distiller expects, and one change of the house alone takes it away."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from gristwright.casework.bench.fermenting import ToldWash, told_of
from gristwright.casework.mash_house.mash_bench import grist_bench
from gristwright.flowsheet.line import to_wort
from gristwright.records.bill import Bill
from gristwright.records.plant import Plant
from gristwright.records.washbacks import Washbacks
from houses import LOTS, bill, brewhouse, sheet, tun, whole_mash

MEMBERS = 96
MALT = bill(PD_1=100)
# 14 degP in washbacks that one mash fills with 30 m3.
LARGE = {"count": 6, "volume_L": 34_000.0, "hours": 72.0, "room_degC": 18.0, "cooling": "none"}
SMALL = {**LARGE, "count": 200, "volume_L": 340.0}


def house(base: Plant, backs: dict[str, Any], **mash: Any) -> Plant:
    """A house with other washbacks, whose mash fills one of them to seven eighths, or to `filled`."""
    held = Washbacks(**{"count": 6, "volume_L": 18_000.0, "hours": 72.0, **backs})
    wort_L = mash.pop("wort_L_per_t", base.mash.wort_L_per_t)
    kg = 1000.0 * mash.pop("filled", 30.0 / 34.0) * held.volume_L / wort_L
    return replace(base, mash=replace(base.mash, kg_per_mash=kg, wort_L_per_t=wort_L, **mash), washbacks=held)


@cache
def bench_of(grist: Bill, plant: Plant):
    return grist_bench(sheet(grist, plant), LOTS, MEMBERS, 1)


@cache
def told(grist: Bill, plant: Plant) -> ToldWash:
    bench = bench_of(grist, plant)
    effect = bench.house_effect(bench.shares(grist), bench.draws)
    wort = to_wort(bench.shares(grist), bench.lot_columns(bench.draws), plant, bench.draws, effect)[1]
    return told_of(bench, grist, wort, effect.wash, withheld=False)


def keys(base: Plant, backs: dict[str, Any], grist: Bill = MALT, **mash: Any) -> set[str]:
    return {one.key for one in told(grist, house(base, backs, **mash)).findings}


def pots(backs: dict[str, Any], grist: Bill = MALT, **mash: Any) -> set[str]:
    return keys(tun(), backs, grist, **{"wort_L_per_t": 5100.0, **mash})


HOT, COLD = {**LARGE, "set_degC": 29.0, "wall": "steel"}, {**LARGE, "set_degC": 12.0}
COOL = {**LARGE, "cooling": "jacket", "cooling_m2": 20.0}


def test_hot_one_size_or_cooling_or_set_temperature_alone_takes_it_away() -> None:
    assert pots(HOT) >= {"hot", "yeast_dies"}
    assert not pots({**HOT, "volume_L": 340.0, "count": 200}) & {"hot", "yeast_dies"}
    assert not pots({**HOT, "cooling": "jacket", "cooling_m2": 20.0}) & {"hot", "yeast_dies"}
    assert "yeast_dies" not in pots({**HOT, "set_degC": 20.0})


def test_cold_a_warmer_set_or_more_yeast_alone_takes_it_away() -> None:
    assert "slow" in pots(COLD)
    assert "slow" not in pots({**COLD, "set_degC": 18.0})
    assert "slow" not in pots({**COLD, "pitch_million_per_mL": 40.0})


def test_underpitched_a_usual_pitch_alone_takes_it_away() -> None:
    assert pots({**LARGE, "pitch_million_per_mL": 2.0}) >= {"underpitched", "slow"}
    assert not pots({**LARGE, "pitch_million_per_mL": 15.0}) & {"underpitched", "slow"}


def test_strong_more_water_alone_takes_it_away_and_cooling_its_heat() -> None:
    assert pots(LARGE, wort_L_per_t=3900.0) >= {"strong", "hot"}
    assert "strong" not in pots(LARGE)
    assert "hot" not in pots(COOL, wort_L_per_t=3900.0)


def test_rye_foams_over_the_rim_where_barley_malt_has_room() -> None:
    rye, grain_in = bill(RM_1=100), whole_mash(63.0, None)
    assert "foam" in keys(grain_in, LARGE, rye, filled=0.8)
    assert "foam" not in keys(grain_in, LARGE, MALT, filled=0.8)
    assert "foam" not in keys(grain_in, LARGE, rye, filled=0.55)


def test_raw_grain_is_short_of_nitrogen_where_malt_is_not() -> None:
    maize = bill(MZ_1=88, HE_1=12)
    assert keys(whole_mash(), LARGE, maize) >= {"fan_short", "whole_mash"}
    assert "fan_short" not in keys(whole_mash(63.0, None), LARGE, MALT)


def test_boiled_wort_is_cooled_and_keeps_bacteria_out_unless_its_cooling_is_none() -> None:
    cellar = {**LARGE, "cooling": "", "yeast": "ale"}
    assert not keys(brewhouse(), cellar) & {"hot", "infection", "yeast_dies"}
    assert "hot" in keys(brewhouse(), {**cellar, "cooling": "none"})


def test_short_hours_more_of_them_alone_take_it_away() -> None:
    assert "short_hours" in pots({**COOL, "hours": 36.0})
    assert "short_hours" not in pots({**COOL, "hours": 72.0})


def test_long_hours_add_nothing_but_lactic_acid() -> None:
    assert pots({**COOL, "hours": 140.0}) >= {"idle_hours", "infection"}
    assert not pots({**COOL, "hours": 60.0}) & {"idle_hours", "infection"}


def test_low_nitrogen_more_malt_alone_takes_it_away() -> None:
    diluted, malty = bill(MZ_1=70, PD_1=30), bill(MZ_1=10, PD_1=90)
    assert "fan_short" in keys(whole_mash(), LARGE, diluted)
    assert "fan_short" not in keys(whole_mash(), LARGE, malty)


def test_dirty_a_clean_house_alone_takes_it_away() -> None:
    assert "infection" in pots({**COOL, "bacteria": "dirty"})
    assert not pots({**COOL, "bacteria": "clean"}) & {"infection", "dirty"}


def test_cooled_too_small_a_surface_is_told_and_a_larger_one_alone_takes_it_away() -> None:
    tight = {**COOL, "set_degC": 28.0, "cooling_m2": 1.0}
    assert pots(tight) >= {"cooling_small", "hot"}
    assert not pots({**tight, "cooling_m2": 20.0}) & {"cooling_small", "hot"}


@pytest.mark.parametrize(
    ("backs", "low", "high"),
    [
        ({**LARGE, "set_degC": 28.0}, 39.0, 42.0),
        ({**LARGE, "set_degC": 20.0}, 33.0, 36.0),
        ({**SMALL, "set_degC": 28.0}, 28.0, 35.0),
        ({**SMALL, "set_degC": 20.0}, 20.0, 35.0),
    ],
)
def test_the_heat_of_14_degP_by_size_and_set_temperature(backs: dict[str, Any], low: float, high: float) -> None:
    seen = told(MALT, house(tun(), backs, wort_L_per_t=5100.0)).seen
    assert seen is not None
    assert seen.runs.band(seen.original_gravity_degP).middle == pytest.approx(14.0, abs=0.3)
    assert low <= seen.runs.band(seen.end.peak_degC).middle <= high
    left = seen.runs.band(seen.left_pct).middle
    assert left > 5.0 if high == 42.0 else left < 4.0


def test_a_way_out_that_was_worked_out_takes_the_caution_away_when_it_is_taken() -> None:
    ways = told(MALT, house(tun(), HOT, wort_L_per_t=5100.0)).ways
    assert ways is not None
    cooler, surface = ways.by_key["set_cooler"], ways.by_key["cooling_surface"]
    for way in (cooler, surface):
        plant = way.change.of(house(tun(), HOT, wort_L_per_t=5100.0))
        assert not {one.key for one in told(MALT, plant).findings} & {"yeast_dies", "short_hours"}


def test_every_caution_holds_figures_and_a_way_out() -> None:
    told_all = [told(MALT, house(tun(), backs, wort_L_per_t=5100.0)) for backs in (HOT, COLD, LARGE)]
    for one in (one for each in told_all for one in each.findings if one.caution):
        assert any(letter.isdigit() for letter in one.what) and one.way_out.endswith(".")
    gas = next(one for one in told_all[0].findings if one.key == "co2")
    assert "gas test" in gas.sentence and "second person" in gas.sentence and "m3/h" in gas.sentence
