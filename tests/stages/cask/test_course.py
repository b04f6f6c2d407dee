"""Many casks side by side: the balance, an integration of its own, steps, dates."""

from __future__ import annotations

import datetime as dt
import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from gristwright.numerics.draws import middles
from gristwright.records.cask import CaskFill, CaskKind, Climate
from gristwright.reference.load import priors
from gristwright.stages.cask import content, course, model, stores, vapour

FILL = CaskFill(CaskKind("barrel", 200.0), 63.5, 200.0, 36)
SEASONS = Climate(
    "seasons", (2, 3, 7, 12, 17, 21, 24, 23, 19, 13, 7, 3), tuple(0.6 + 0.02 * (k % 5) for k in range(12))
)
MIDDLE = middles(priors("cask"))


def walls(fill: CaskFill = FILL, loss: np.ndarray | None = None) -> course.Walls:
    shell = model.shell_of(fill.kind, fill.fill_L, fill.entry_abv_pct)
    return model.walls_of(shell, np.ones(1) if loss is None else loss, np.ones(1), MIDDLE)


def filled(members: int) -> np.ndarray:
    state = np.zeros((6, members))
    state[0], state[1] = content.masses_kg(FILL.fill_L, FILL.entry_abv_pct)
    return state


def journey(members: int, first: dt.date, last: dt.date) -> course.Journey:
    start, end = (np.full(members, day.toordinal()) for day in (first, last))
    return course.Journey(np.zeros(members, dtype=np.int64), start, end, start)


def independent(fill: CaskFill, climate: Climate, first: dt.date, months: int) -> np.ndarray:
    """Our equations written out again and integrated by an adaptive solver of order 8, month by month."""
    value = {name: float(column[0]) for name, column in MIDDLE.items()}
    area = 1.82 * (fill.kind.capacity_L / 200.0) ** (2.0 / 3.0)
    e0, w0 = (float(kg) for kg in content.masses_kg(fill.fill_L, fill.entry_abv_pct))
    soak = value["cask.wood_uptake_L_per_m2"] * area * (e0 + w0) / fill.fill_L
    given, tau = value["cask.wood_water_kg_per_m2"] * area, value["cask.soak_years"]

    def rate(t: float, y: np.ndarray, degC: float, humidity: float) -> list[float]:
        moles_e, moles_w = y[0] / 46.069, y[1] / 18.015
        x = moles_e / (moles_e + moles_w)
        mixed = 1.6798 * x + 0.9227 * (1 - x)
        a_e = x * math.exp(1.6798 * (0.9227 * (1 - x) / mixed) ** 2)
        a_w = (1 - x) * math.exp(0.9227 * (1.6798 * x / mixed) ** 2)
        p_e = 101.325 / 760.0 * 10 ** (8.20417 - 1642.89 / (degC + 230.3))
        p_w = 0.61094 * math.exp(17.625 * degC / (degC + 243.04))
        out_e = value["cask.ethanol_permeance"] * area * a_e * p_e
        out_w = value["cask.water_permeance"] * area * (a_w - humidity) * p_w
        pace, share = math.exp(-t / tau) / tau, y[0] / (y[0] + y[1])
        in_e, in_w = soak * share * pace, (soak * (1 - share) - given) * pace
        return [-out_e - in_e, -out_w - in_w, out_e, out_w, in_e, in_w]

    y = np.array([e0, w0, 0.0, 0.0, 0.0, 0.0])
    starts = [
        dt.date(first.year + (first.month - 1 + k) // 12, (first.month - 1 + k) % 12 + 1, 1) for k in range(months + 1)
    ]
    for start, end in pairwise(starts):
        air = (climate.month_degC[start.month - 1], climate.month_humidity[start.month - 1])
        span = ((start - first).days / 365.25, (end - first).days / 365.25)
        y = solve_ivp(rate, span, y, "DOP853", args=air, rtol=1e-13, atol=1e-12).y[:, -1]
    return y


def test_an_independent_integration_agrees_to_a_billionth_uptake_included(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three years in 64 steps a month, with the air of every month; each of cask, air and wood, ethanol and water."""
    first, last = dt.date(2020, 4, 1), dt.date(2023, 4, 1)
    monkeypatch.setattr(course, "FAST_STEP", 1e-9)
    monkeypatch.setattr(course, "MOST_PARTS", 64)
    found, _ = course.run(filled(1), walls(), course.air_of([SEASONS]), journey(1, first, last))
    known = independent(FILL, SEASONS, first, 36)
    assert np.max(np.abs(found[:, 0] - known)) / known[:2].sum() < 1e-9


def test_the_steps_a_forecast_takes_are_fine_enough() -> None:
    """Twelve years with a month a step and three months a step after the soaking."""
    first, last = dt.date(2020, 4, 1), dt.date(2032, 4, 1)
    found, _ = course.run(filled(1), walls(), course.air_of([SEASONS]), journey(1, first, last))
    known = independent(FILL, SEASONS, first, 144)
    assert np.max(np.abs(found[:, 0] - known)) / filled(1).sum() < 3e-5


def test_longer_and_shorter_steps_agree(monkeypatch: pytest.MonkeyPatch) -> None:
    loss = np.array([0.5, 1.0, 3.0])
    trip = journey(3, dt.date(2020, 2, 17), dt.date(2040, 7, 3))
    air = course.air_of([SEASONS])
    long, _ = course.run(filled(3), walls(loss=loss), air, trip)
    monkeypatch.setattr(course, "FAST_STEP", 1e-3)
    short, _ = course.run(filled(3), walls(loss=loss), air, trip)
    assert np.max(np.abs(long - short)[:4]) / 180.0 < 1e-4


def test_ethanol_and_water_are_accounted_for_in_every_member() -> None:
    loss = np.geomspace(0.3, 20.0, 40)
    state = filled(40)
    out, _ = course.run(
        state, walls(loss=loss), course.air_of([SEASONS]), journey(40, dt.date(2010, 1, 1), dt.date(2040, 1, 1))
    )
    together = out[:2] + out[2:4] + out[4:6]
    assert np.max(np.abs(together - state[:2]) / state[:2]) < 1e-9
    assert np.all(out[:2] >= 0.0)


def test_members_do_not_depend_on_the_chunk(monkeypatch: pytest.MonkeyPatch) -> None:
    loss = np.linspace(0.5, 1.5, 30)
    trip, air = journey(30, dt.date(2020, 5, 1), dt.date(2031, 5, 1)), course.air_of([SEASONS])
    marks = [dt.date(2025, 5, 1).toordinal()]
    whole = course.run(filled(30), walls(loss=loss), air, trip, marks)
    monkeypatch.setattr(course, "CHUNK", 7)
    cut = course.run(filled(30), walls(loss=loss), air, trip, marks)
    assert np.array_equal(whole[0], cut[0])
    assert np.array_equal(whole[1], cut[1])


def test_a_journey_in_two_parts_is_the_whole_journey() -> None:
    first, middle, last = dt.date(2020, 3, 9), dt.date(2023, 8, 14), dt.date(2029, 1, 2)
    air, wall = course.air_of([SEASONS]), walls()
    whole, _ = course.run(filled(1), wall, air, journey(1, first, last))
    half, _ = course.run(filled(1), wall, air, journey(1, first, middle))
    rest = course.Journey(np.zeros(1, dtype=np.int64), *(np.array([d.toordinal()]) for d in (middle, last, first)))
    both, _ = course.run(half, wall, air, rest)
    assert np.max(np.abs(whole - both)) / 180.0 < 3e-5


def test_no_time_changes_nothing() -> None:
    day = dt.date(2020, 3, 9)
    out, _ = course.run(filled(2), walls(loss=np.ones(2)), course.air_of([SEASONS]), journey(2, day, day))
    assert np.array_equal(out, filled(2))


def test_seasons_lose_more_than_their_mean() -> None:
    """Vapour pressure is convex in temperature."""
    mean = Climate("mean", (float(np.mean(SEASONS.month_degC)),) * 12, SEASONS.month_humidity)
    trip = journey(1, dt.date(2020, 1, 1), dt.date(2030, 1, 1))
    lost = [course.run(filled(1), walls(), course.air_of([c]), trip)[0][2, 0] for c in (SEASONS, mean)]
    assert lost[0] > 1.05 * lost[1]


def test_activities_are_those_of_the_vapour_module() -> None:
    share = np.linspace(0.05, 0.95, 19)
    wall = course.Walls(*(np.ones(1) for _ in range(6)))
    liquid = course.liquid_of(100.0 * share, 100.0 * (1.0 - share), wall)
    known = vapour.activities(share)
    assert liquid.ethanol_activity == pytest.approx(known[0], rel=1e-12)
    assert liquid.water_activity == pytest.approx(known[1], rel=1e-12)


def test_litres_are_those_of_the_tables() -> None:
    ethanol, water = np.array([[100.0, 40.0]]), np.array([[80.0, 90.0]])
    litres, _ = content.volume_and_strength(ethanol, water)
    assert content.litres_of(ethanol, water) == pytest.approx(litres, rel=1e-12)


def test_a_generic_store_has_air() -> None:
    air = course.air_of([stores.climate_named(name) for name in stores.climate_names()])
    assert air.ethanol_kPa.shape == air.humidity.shape == (3, 12)
