"""What the simulated wash of a bill lets the mash house expect: gravity by the hour, heat, yeast. See docs/order.md."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from gristwright.basics import Band, Standing
from gristwright.casework.bench.bench import GristBench
from gristwright.casework.mash_house.wash_run import pitched
from gristwright.numerics.draws import FULL_SPAN_SD
from gristwright.records.bill import Bill
from gristwright.records.order import Aim
from gristwright.records.plant import PlantRecord
from gristwright.records.said import Amount, said
from gristwright.records.washbacks import Washbacks
from gristwright.stages.wash import setting
from gristwright.stages.wash.boards import headspace, mash_L

# Hours at which a washback is read, and the one of them at which its temperature is expected.
READ_H, WARMED_H = (12, 24, 36, 48), 24
# Standard deviation of the litres of single mashes, share of them, where no record tells it: our choice.
USUAL_SPREAD = 0.01
# How far a reading may lie from what is expected at the least: hydrometer, thermometer, pH meter; our choice.
NEAR_SG, NEAR_K, NEAR_PH = 0.002, 1.0, 0.15
# Dry matter of dried and of pressed yeast, from memory.
DRIED, PRESSED = 0.94, 0.30
# A count that the house states, either way: our choice.
NEAR_PITCH = 0.25
SOURCE = "simulated wash of this bill"
DERIVED, MEASURED, MEMORY = Standing.DERIVED.value, Standing.MEASURED.value, Standing.FROM_MEMORY.value


@dataclass(frozen=True)
class OrderedYeast:
    """Yeast of one mash: living and dead cells [million/mL], dry matter [kg], cells [10^12]."""

    million_per_mL: Band
    dry_kg: Band
    cells: Band
    stated: bool


@dataclass(frozen=True)
class OrderedWash:
    """The wash of one mash as it is expected; gravities and temperatures by the hour, as one mash may lie."""

    gravity_sg: dict[int, Band]
    warmed_degC: Band | None  # at WARMED_H; None: it is charged before
    peak_degC: Band
    peak_h: Band
    stops_h: Band
    pH: Band


def ordered_wash(few: GristBench, bill: Bill, record: PlantRecord | None) -> OrderedWash:
    """The simulated wash of a bill on a few draws."""
    course, runs = pitched(few, bill, few.draws).run(), few.runs
    at = {hour: int(np.argmin(np.abs(course.times_h - hour))) for hour in READ_H if hour < few.plant.washbacks.hours}
    gravity = {
        hour: _at_least(widened(runs.band(course.gravity_sg[row]), record, 1.0), NEAR_SG) for hour, row in at.items()
    }
    warmed = _at_least(runs.band(course.degC[at[WARMED_H]]), NEAR_K) if WARMED_H in at else None
    end = course.end
    return OrderedWash(
        gravity,
        warmed,
        runs.band(end.peak_degC),
        runs.band(end.peak_h),
        runs.band(end.stops_h),
        _at_least(runs.band(end.pH), NEAR_PH),
    )


def ordered_yeast(bench: GristBench) -> OrderedYeast:
    """What is pitched into one mash: the house's count, or the usual one."""
    backs, draws, litres = bench.plant.washbacks, bench.draws, mash_L(bench.plant.mash)
    yeast = setting.pitched(backs, draws, bench.plant.wort_boiled)
    stated = backs.pitch_million_per_mL
    usual = draws["wash.pitch_million_per_mL"]
    million = bench.runs.band(usual if stated is None else np.full_like(usual, stated))
    return OrderedYeast(
        million if stated is None else Band((1.0 - NEAR_PITCH) * stated, stated, (1.0 + NEAR_PITCH) * stated),
        bench.runs.band((yeast.alive_g_per_L + yeast.dead_g_per_L) * litres / 1000.0),
        Band(*(litres * one / 1000.0 for one in (million.low, million.middle, million.high))),
        stated is not None,
    )


def wash_aims(wash: OrderedWash, record: PlantRecord | None) -> list[Aim]:
    """Gravity by the hour and the temperature of the first day, outside which somebody acts."""
    spread = "a usual spread between mashes (our choice)" if record is None else "the record's spread between mashes"
    made = [
        Aim(f"gravity_{hour}_sg", "fermentation", said("order.aim.gravity_after", hours=Amount(hour, "h")), "SG",
            band.middle, band.low, band.high, 4, None, DERIVED, f"{SOURCE}, {spread} with it")
        for hour, band in wash.gravity_sg.items()
    ]  # fmt: skip
    if wash.warmed_degC is not None:
        warmed = wash.warmed_degC
        title = said("order.aim.warmed", hours=Amount(WARMED_H, "h"))
        made.append(
            Aim(f"warmed_{WARMED_H}_degC", "fermentation", title, "degC", warmed.middle, warmed.low, warmed.high, 1,
                None, DERIVED, f"{SOURCE}; 1 K either way at the least is our choice")
        )  # fmt: skip
    return made


def room_pct(bench: GristBench) -> float:
    """Room over the wash of one mash, % of the washback."""
    return 100.0 * headspace(bench.plant.mash, bench.plant.washbacks)


def least_hours(backs: Washbacks, wash: OrderedWash | None) -> float | None:
    """Hours under which litres are left behind: nearly all that the house's hours give is made; None: not known."""
    return None if wash is None else min(float(backs.hours), math.ceil(wash.stops_h.high))


def widened(one: Band, record: PlantRecord | None, zero: float) -> Band:
    """The band of a house's average made that of one mash: mashes spread like the litres of the record, from `zero` on.

    Without a record they are taken to spread as usual.
    """
    part = USUAL_SPREAD if record is None else record.sd_lpa_per_t / record.mean_lpa_per_t
    spread = FULL_SPAN_SD / 2.0 * part * (one.middle - zero)
    return Band(
        one.middle - math.hypot(one.middle - one.low, spread),
        one.middle,
        one.middle + math.hypot(one.high - one.middle, spread),
    )


def _at_least(band: Band, near: float) -> Band:
    return Band(min(band.low, band.middle - near), band.middle, max(band.high, band.middle + near))
