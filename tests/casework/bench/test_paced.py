"""A house's own course moves the pace of its yeast, and everything downstream with it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gristwright.basics import Refused, Standing
from gristwright.casework.bench.bench import SpiritBench
from gristwright.casework.bench.setting_up import set_up_spirit
from gristwright.casework.mash_house.wash_run import pitched
from gristwright.records.bill import Bill, Share
from gristwright.records.washbacks import WashReading
from houses import LOTS, PRICES, tun

BILL = Bill("pale", (Share("PD-1", 10_000),))
SLOW = (
    WashReading(12.0, 1.0540),
    WashReading(24.0, 1.0400, 26.0),
    WashReading(36.0, 1.0180),
    WashReading(48.0, 1.0050),
)


def bench(course: tuple[WashReading, ...] = (), members: int = 256) -> SpiritBench:
    plant = tun()
    plant = replace(plant, washbacks=replace(plant.washbacks, room_degC=18.0, course=course))
    pale = [lot for lot in LOTS if lot.lot_id == "PD-1"]
    return set_up_spirit(pale, PRICES, plant, [], members, behind=BILL)


def gravity(of: SpiritBench, hour: float) -> np.ndarray:
    course = pitched(of, BILL, of.draws).run()
    return np.array([np.interp(hour, course.times_h, values) for values in course.gravity_sg.T])


def test_every_draw_passes_the_houses_readings() -> None:
    free, own = bench(), bench(SLOW)
    for reading in SLOW[1:3]:
        assert reading.gravity_sg is not None
        assert np.median(gravity(own, reading.hours)) == pytest.approx(reading.gravity_sg, abs=0.004)
    spread = [np.ptp(np.quantile(gravity(of, 24.0), (0.05, 0.95))) for of in (free, own)]
    assert spread[1] < 0.4 * spread[0]


def test_a_slow_house_has_a_slow_yeast_and_its_pace_is_measured() -> None:
    own = bench(SLOW)
    (pace,) = (prior for prior in own.priors if prior.name == "wash.pace")
    assert pace.source.standing is Standing.MEASURED and "4 readings" in pace.source.text
    assert float(own.middles["wash.pace"][0]) < 0.9


def test_litres_at_short_hours_feel_it() -> None:
    litres = []
    for course in ((), SLOW):
        of = bench(course)
        short = of.with_plant(replace(of.plant, washbacks=replace(of.plant.washbacks, hours=40.0)))
        litres.append(float(np.median(short.made(BILL).spirit.lpa_per_t)))
    assert litres[1] < litres[0] - 5.0


def test_a_course_no_yeast_takes_is_refused_with_the_reading() -> None:
    dead = (WashReading(24.0, 1.0560), WashReading(48.0, 1.0555))
    with pytest.raises(Refused) as caught:
        bench(dead)
    (problem,) = caught.value.problems
    assert "1.0555 SG at 48 h cannot be explained by any pace of the yeast" in problem.what
    assert "washbacks, course 2.gravity_sg" in problem.sentence()


def test_one_gravity_tells_no_pace() -> None:
    one = bench((WashReading(24.0, 1.030),))
    assert np.array_equal(one.draws["wash.pace"], bench().draws["wash.pace"])
