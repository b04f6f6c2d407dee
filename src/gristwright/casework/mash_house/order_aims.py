"""What a mash house keeps and writes down for one mash, and what it does when something is off. See docs/order.md."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from string import Formatter

from gristwright.basics import Band, Standing
from gristwright.casework.bench.bench import Bench
from gristwright.numerics.draws import FULL_SPAN_SD
from gristwright.quantities.shown import lower, plain
from gristwright.records.mash import NEXT_MASH, MashProgramme
from gristwright.records.order import Action, Aim
from gristwright.records.plant import Plant, PlantRecord
from gristwright.records.results import BillResult
from gristwright.reference import csv_rows
from gristwright.stages.grist.bed import huskless_share

# Beside the house's own figure: our choice of what is near enough.
NEAR_VOLUME, NEAR_SET_K, NEAR_SETTLED_K, NEAR_PH = 0.02, 1.0, 0.5, 0.2
HOT_DEGC, COLD_DEGC = 65.5, 61.0
YEAST_KG_PER_T = (4.0, 5.0)
OF_THE_RUNS = "band of the calculation"
OF_THE_HOUSE = "plant file"
OF_HUSK = ("husk_pct",)  # of no use where no grain has any
OF_WEAK_WORTS = ("stop_sg",)
OF_ONE_STAND = ("stand_min",)  # the clock says how long each rest stands
OF_THE_CALCULATION = ("original_gravity_sg", "final_gravity_sg", "wash_abv_pct")
Limits = tuple[float | None, float | None, float | None]


def aims(bench: Bench, result: BillResult, record: PlantRecord | None, programme: MashProgramme) -> tuple[Aim, ...]:
    """Every aim of one mash, the table's figures with the house's, its programme's and the calculation's in place."""
    bounds = _own(bench.plant) | _computed(result, record)
    bare = huskless_share(bench.shares(result.bill), [belief.material for belief in bench.lots]) > 1.0 - 1e-9
    left_out = {*(OF_HUSK if bare else ()), *(() if has_weak_worts(programme) else OF_WEAK_WORTS)}
    if by_clock(bench.plant):
        left_out |= {*OF_ONE_STAND}
        bounds["settled_degC"] = (_near(programme.corners[0].settled_degC), Standing.MEASURED.value, OF_THE_HOUSE)
    return tuple(_filled(aim, bounds) for aim in _table(bench.plant.grain_in) if aim.key not in left_out)


def by_clock(plant: Plant) -> bool:
    """Whether the house runs its mash from rest to rest: it stands at no one temperature."""
    return bool(plant.mash.rests)


def has_weak_worts(programme: MashProgramme) -> bool:
    """Whether a wort of this mash goes into the next one."""
    return any(draw.goes_to == NEXT_MASH for draw in programme.draw_offs)


def _near(settled_degC: float) -> Limits:
    return settled_degC, settled_degC - NEAR_SETTLED_K, settled_degC + NEAR_SETTLED_K


def _table(grain_in: bool) -> list[Aim]:
    house = "grain-in" if grain_in else "separated"
    return [_aim(row) for row in csv_rows("tables/order_aims.csv") if row["house"] in ("both", house)]


def _aim(row: dict[str, str]) -> Aim:
    aim, low, high = (float(row[name]) if row[name] else None for name in ("aim", "low", "high"))
    texts = {name: row[name] for name in ("key", "group", "title", "unit", "words", "standing", "source")}
    return Aim(aim=aim, low=low, high=high, decimals=int(row["decimals"]), **texts)


def _filled(aim: Aim, bounds: Mapping[str, tuple[Limits, str, str]]) -> Aim:
    if aim.key not in bounds:
        return aim
    (middle, low, high), standing, source = bounds[aim.key]
    return replace(aim, aim=middle, low=low, high=high, standing=standing, source=source)


def _own(plant: Plant) -> dict[str, tuple[Limits, str, str]]:
    """What the plant file says: measured, with what is near enough beside it."""
    plan, tonnes = plant.mash, plant.mash.kg_per_mash / 1000.0
    volume = tonnes * plan.wort_L_per_t
    settled, set_degC = plan.settled_mash_degC, plant.washbacks.set_degC
    given: dict[str, Limits] = {
        "settled_degC": _near(settled),
        "mash_L" if plant.grain_in else "wort_L": (
            volume,
            (1.0 - NEAR_VOLUME) * volume,
            (1.0 + NEAR_VOLUME) * volume,
        ),
        "set_degC": (set_degC, set_degC - NEAR_SET_K, set_degC + NEAR_SET_K),
        "hours": (plant.washbacks.hours, 48.0, None),
        "mill_gap_mm": (plan.mill_gap_mm, None, None),
        "run_off_hours": (plan.usual_run_off_hours, None, None),
    }
    if plan.pH_aim is not None:
        given["mash_pH"] = (plan.pH_aim, plan.pH_aim - NEAR_PH, plan.pH_aim + NEAR_PH)
    if plan.stand_min is not None:
        given["stand_min"] = (plan.stand_min, None, None)
    known = {key: limits for key, limits in given.items() if limits[0] is not None}
    measured = {key: (limits, Standing.MEASURED.value, OF_THE_HOUSE) for key, limits in known.items()}
    low, high = (tonnes * kg for kg in YEAST_KG_PER_T)
    return measured | {"yeast_kg": ((0.5 * (low + high), low, high), Standing.FROM_MEMORY.value, _source("yeast_kg"))}


def _source(key: str) -> str:
    return next(row["source"] for row in csv_rows("tables/order_aims.csv") if row["key"] == key)


def _computed(result: BillResult, record: PlantRecord | None) -> dict[str, tuple[Limits, str, str]]:
    """What the calculation expects: outside its band somebody acts. Nothing where it is withheld."""
    if result.withheld is not None:
        reason = lower(result.withheld.sentence)
        return dict.fromkeys(OF_THE_CALCULATION, ((None, None, None), Standing.DERIVED.value, reason))
    bands = {
        "original_gravity_sg": gravity_band(result, record),
        "final_gravity_sg": result.figures["final_gravity_sg"].band,
        "wash_abv_pct": widened(result.figures["wash_abv_pct"].band, record, 0.0),
    }
    source = OF_THE_RUNS if record is None else f"{OF_THE_RUNS}, the record's spread between mashes with it"
    return {
        key: (
            (one.middle, one.low, one.high),
            Standing.DERIVED.value,
            OF_THE_RUNS if key == "final_gravity_sg" else source,
        )
        for key, one in bands.items()
    }


def gravity_band(result: BillResult, record: PlantRecord | None) -> Band:
    """Original gravity inside which one mash may lie."""
    return widened(result.figures["original_gravity_sg"].band, record, 1.0)


def widened(one: Band, record: PlantRecord | None, zero: float) -> Band:
    """The band of a house's average made that of one mash: mashes spread like the litres of the record, from `zero` on.

    Without a record it stays, which is too narrow for one mash.
    """
    if record is None:
        return one
    spread = FULL_SPAN_SD / 2.0 * record.sd_lpa_per_t / record.mean_lpa_per_t * (one.middle - zero)
    return Band(
        one.middle - math.hypot(one.middle - one.low, spread),
        one.middle,
        one.middle + math.hypot(one.high - one.middle, spread),
    )


def actions(bench: Bench, result: BillResult, record: PlantRecord | None, per_degC: float) -> tuple[Action, ...]:
    """If this is seen, then that; `per_degC` is how many degrees of liquor one degree of settled mash takes."""
    plan = bench.plant.mash
    hours = plan.usual_run_off_hours
    # What is too hot or too cold for one stand says nothing of a mash that goes from rest to rest.
    ends = (
        {}
        if by_clock(bench.plant)
        else {
            "hot_degC": plain(max(HOT_DEGC, plan.settled_mash_degC + NEAR_SETTLED_K), 1),
            "cold_degC": plain(min(COLD_DEGC, plan.settled_mash_degC - NEAR_SETTLED_K), 1),
        }
    )
    numbers = (
        _gravities(result, record)
        | ends
        | {
            "settled_degC": plain(plan.settled_mash_degC, 1),
            "per_degC": plain(per_degC, 1),
            "run_off": f"{plain(hours, 1)} hours" if hours else "usual",
        }
    )
    house = "grain-in" if bench.plant.grain_in else "separated"
    return tuple(
        Action(row["seen"].format(**numbers), row["do"].format(**numbers), row["standing"], row["source"])
        for row in csv_rows("tables/order_actions.csv")
        if row["house"] in ("both", house) and _named(row["seen"] + row["do"]) <= set(numbers)
    )


def _gravities(result: BillResult, record: PlantRecord | None) -> dict[str, str]:
    """Gravities an action may name; none where they are withheld, and the actions that name them go."""
    if result.withheld is not None:
        return {}
    gravity, final = gravity_band(result, record), result.figures["final_gravity_sg"].band
    return {
        "og_low": plain(gravity.low, 4),
        "og": plain(gravity.middle, 4),
        "og_high": plain(gravity.high, 4),
        "fg_high": plain(final.high, 4),
    }


def _named(text: str) -> set[str]:
    """Names of the numbers that a text is waiting for."""
    return {name for _, name, _, _ in Formatter().parse(text) if name}
