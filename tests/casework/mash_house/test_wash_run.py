"""One simulated wash as a distiller reads it, and what to measure so that it is better known."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from gristwright.casework.mash_house.mash_bench import grist_bench
from gristwright.casework.mash_house.wash_run import KEPT, WARMEST, ends_of, pitched, wash_run
from gristwright.numerics.weights import band, equal_weights
from gristwright.records.enquiry import BillSheet
from gristwright.records.wash_trials import WASH_COURSES, WashRun
from gristwright.records.washbacks import WashReading
from scenario import lots, sheet

MEMBERS = 128


@cache
def found() -> WashRun:
    return wash_run(sheet(), lots(), members=MEMBERS)


def in_washbacks(**said: object) -> BillSheet:
    asked = sheet()
    plant = asked.plant
    return replace(asked, plant=replace(plant, washbacks=replace(plant.washbacks, **said)))  # type: ignore[arg-type]


def test_every_course_has_a_band_at_every_hour_to_the_charge() -> None:
    run = found()
    assert set(run.courses) == set(WASH_COURSES)
    assert all(len(bands) == len(run.times_h) for bands in run.courses.values())
    assert run.times_h[-1] == sheet().plant.washbacks.hours
    assert run.balance_error < 1e-9 and run.heat_error < 1e-9


def test_it_says_whether_it_is_cooled_and_where_it_is_too_warm() -> None:
    said = in_washbacks(cooling="coil", cooled_from_degC=30.0, ceiling_degC=31.0, course=(WashReading(24.0, 1.02),))
    run = wash_run(said, lots(), members=16)
    assert (run.cooled_from_degC, run.ceiling_degC, run.measured[0].gravity_sg) == (30.0, 31.0, 1.02)
    assert (found().cooled_from_degC, found().ceiling_degC) == (None, 34.0)


def test_what_to_measure_next_narrows_litres_or_peak_and_says_how() -> None:
    named = found().measure_next
    assert {item.narrows for item in named} <= {KEPT, WARMEST}
    assert all(item.by > 0.0 and item.how for item in named)
    assert all(item.unit == ("K" if item.narrows == WARMEST else "points") for item in named)
    assert "wash.room_degC" in {item.assumption for item in named}


def test_what_the_house_has_measured_is_not_asked_for_again() -> None:
    run = wash_run(in_washbacks(room_degC=18.0), lots(), members=MEMBERS)
    assert "wash.room_degC" not in {item.assumption for item in run.measure_next}


def test_the_narrowing_is_what_a_whole_new_run_gives() -> None:
    """The wort is kept where only the wash's own input was moved; mashed again it is the same."""
    bench = grist_bench(sheet(), lots(), MEMBERS, 1)
    run = wash_run(sheet(), lots(), MEMBERS, 1)
    item = next(m for m in run.measure_next if m.assumption == "wash.room_degC")
    some = {name: column[:MEMBERS] for name, column in bench.draws.items()}
    middle = bench.middles[item.assumption][0]
    halved = some | {item.assumption: middle + 0.5 * (some[item.assumption] - middle)}
    before, after = (ends_of(pitched(bench, sheet().bill, one).run(None).end)[WARMEST] for one in (some, halved))
    weights = equal_weights(MEMBERS)
    assert abs(band(before, weights).width - band(after, weights).width - item.by) < 1e-9
