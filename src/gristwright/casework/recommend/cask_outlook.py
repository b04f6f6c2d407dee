"""What the cask of a plan does on the draws of a bench: strength, litres left, losses, floor. See docs/cask.md."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from gristwright.basics import Band, FloatArray
from gristwright.casework.bench.bench import Bench
from gristwright.casework.bench.laid_down import fill_of
from gristwright.casework.stock.ages import floor_abv_pct
from gristwright.records.cask import CaskOutlook, CaskYear, MaturedCask, YearlyLosses
from gristwright.stages.cask import ledger, model
from gristwright.stages.cask.limits import outside_model

# The floor is looked for so many years on, whatever the plan.
LOOKED_YEARS = 30


def cask_outlook(bench: Bench) -> CaskOutlook:
    """The bench's cask year by year to the end of its plan, and its floor year as far as we look."""
    if bench.lain is None:
        return _not_forecast(bench)
    plan = bench.cask
    climate, floor = plan.climate, floor_abv_pct()
    long = model.mature(replace(fill_of(plan), months=12 * LOOKED_YEARS), climate, bench.draws)
    floor_years, chance = _floor(bench, long, floor)
    ratio = bench.draws["cask.water_permeance"] / bench.draws["cask.ethanol_permeance"]
    mean_degC = float(np.mean(climate.month_degC))
    neutral = ledger.strength_neutral_humidity(np.full(len(ratio), plan.entry_abv_pct), mean_degC, ratio)
    return CaskOutlook(
        f"{plan.kind.name}, {plan.kind.capacity_L:g} L",
        climate.name,
        plan.entry_abv_pct,
        tuple(_year(bench, month) for month in _months(len(bench.matured.month_abv_pct) - 1)),
        _losses(bench),
        floor,
        floor_years,
        chance,
        LOOKED_YEARS,
        float(np.mean(climate.month_humidity)),
        bench.runs.band(neutral),
        _rests_on(bench),
    )


def _not_forecast(bench: Bench) -> CaskOutlook:
    """What is said of a plan that the cask's model does not reach."""
    plan, humidity = bench.cask, float(np.mean(bench.cask.climate.month_humidity))
    what = " ".join(dict.fromkeys(problem.what for problem in outside_model(fill_of(plan))))
    return CaskOutlook(
        cask=f"{plan.kind.name}, {plan.kind.capacity_L:g} L",
        store=plan.climate.name,
        entry_abv_pct=plan.entry_abv_pct,
        years=(),
        losses=None,
        floor_abv_pct=floor_abv_pct(),
        floor_years=None,
        floor_chance=0.0,
        looked_years=LOOKED_YEARS,
        store_humidity=humidity,
        neutral_humidity=None,
        rests_on=("input.cask",),
        withheld=f"Not forecast: {what}",
    )


def _rests_on(bench: Bench) -> tuple[str, ...]:
    """What moves the cask's strength or its litres at the end of the plan, and the cask itself."""
    lain = bench.matured
    return (*bench.runs.rests_on(lain.month_volume_L[-1], lain.month_abv_pct[-1]), "input.cask")


def _months(last: int) -> list[int]:
    """The month of every whole year, and the last one."""
    return sorted({*range(12, last + 1, 12), last})


def _year(bench: Bench, month: int) -> CaskYear:
    matured = bench.matured
    litres, abv = matured.month_volume_L[month], matured.month_abv_pct[month]
    alcohol = np.where(np.isnan(abv), 0.0, litres * abv) / matured.filled_lpa_L
    bulk = 100.0 * litres / matured.month_volume_L[0]
    return CaskYear(month / 12.0, *(bench.runs.band(values) for values in (abv, alcohol, bulk)))


def _losses(bench: Bench) -> YearlyLosses | None:
    if len(bench.matured.month_volume_L) < 2:
        return None
    losses = ledger.yearly_loss(bench.matured)
    columns: tuple[FloatArray, ...] = (
        losses.bulk_of_original_pct,
        losses.bulk_of_remaining_pct,
        losses.alcohol_of_original_pct,
        losses.alcohol_of_remaining_pct,
    )
    return YearlyLosses(*(bench.runs.band(column) for column in columns))


def _floor(bench: Bench, long: MaturedCask, floor: float) -> tuple[Band | None, float]:
    """Years until strength falls under the floor in the draws in which it does, and their weight."""
    years = ledger.first_month_below(long, floor) / 12.0
    falls = bench.runs.chance(np.isfinite(years))
    return (bench.runs.band(years) if falls > 0.0 else None), falls
