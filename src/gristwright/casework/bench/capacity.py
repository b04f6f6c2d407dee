"""What a house can mash and distil in a week, what holds it back and what would lift it. See docs/capacity.md."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from gristwright.basics import Assumption, Band, Draws, FloatArray, Prior, Problem, Refused, Source, Standing, at
from gristwright.casework.bench import batches
from gristwright.casework.bench.batches import WashbackFilling, filling
from gristwright.flowsheet.line import NewMake
from gristwright.numerics import draws as drawing
from gristwright.numerics.runs import Runs
from gristwright.numerics.weights import weighted_mean
from gristwright.quantities.shown import WITHHELD, plain, with_interval
from gristwright.records.plant import Plant
from gristwright.records.results import Figure
from gristwright.records.streams import Wort
from gristwright.records.trade import Capacity, UnitCapacity
from gristwright.reference import csv_rows
from gristwright.stages.grist.bed_board import never_of

WEEK_H = 168.0
HOUSE = "input.plant"
SURE = 0.9
# Figures and parts of the house that follow from the litres of the bill.
BY_LITRES = ("lpa_per_week", "spirit_charges", "spirit_still", "wash_stops_h")

TITLES = {
    "mash": "mash house",
    "washbacks": "washbacks",
    "wash_still": "wash still",
    "spirit_still": "spirit still",
    "column": "beer column",
}
LIFTS = {
    "mash": "a shorter cycle of the mash, more hours worked, or a larger mash",
    "washbacks": "one more washback, fewer hours in it, or a larger one",
    "wash_still": "a larger charge, a shorter turn-round, or a second wash still",
    "spirit_still": "a larger charge, a shorter turn-round, or a second spirit still",
    "column": "more litres of beer an hour, or more hours worked",
}


@dataclass(frozen=True)
class CycleHours:
    """Hours of the cycles, hours worked, number of stills: each a prior, typical or the house's own."""

    ranges: Mapping[str, Prior]

    def given(self, **own: float) -> CycleHours:
        """The same with the house's own figures in place of the typical ones.

        Raises Refused for a name that is not in the table, and for a figure that is not above zero.
        """
        problems = [
            Problem(at("hours", key), "is not a figure we ask for.", f"Use one of: {', '.join(self.ranges)}.")
            if key not in self.ranges
            else Problem(at("hours", key), f"{value:g} is not above zero.", "Give the house's own figure.")
            for key, value in own.items()
            if key not in self.ranges or not value > 0.0
        ]
        if problems:
            raise Refused(problems)
        source = Source("stated by the house", Standing.MEASURED)
        fixed = {
            key: replace(
                self.ranges[key],
                family="fixed",
                arguments=(value,),
                low=-math.inf,
                high=math.inf,
                source=source,
            )
            for key, value in own.items()
        }
        return CycleHours({**self.ranges, **fixed})

    def columns(self, draws: Draws) -> dict[str, FloatArray]:
        """Each figure on these draws, (members,): as drawn, or the house's own."""
        return {
            key: np.full_like(draws[prior.name], prior.arguments[0]) if prior.family == "fixed" else draws[prior.name]
            for key, prior in self.ranges.items()
        }


@cache
def usual_hours() -> CycleHours:
    """The typical figures of reference/tables/cycle_hours.csv."""
    return CycleHours({row["key"]: _prior(row) for row in csv_rows("tables/cycle_hours.csv")})


def _prior(row: dict[str, str]) -> Prior:
    low, high = float(row["low"]), float(row["high"])
    family, arguments = ("fixed", (low,)) if low == high else ("uniform", (low, high))
    source = Source(row["source"], Standing(row["standing"]))
    return Prior(f"hours.{row['key']}", row["meaning"], row["unit"], family, arguments, low, high, source)


@dataclass(frozen=True)
class Pace:
    """One part of the house on every draw: hours of its cycle and mashes in a week, each (members,)."""

    key: str
    hours: FloatArray
    mashes_per_week: FloatArray


def capacity(
    plant: Plant, made: NewMake, runs: Runs, draws: Draws, hours: CycleHours | None = None, said: bool = True
) -> Capacity:
    """What a house can do in a week with the bill `made` was computed for, on the same draws as `made`.

    Washbacks work round the clock, all else in the hours worked. Without `hours` the typical ones are used and listed.
    Where the litres of the bill are not `said`, whatever rests on them is left out and named.
    """
    hours = hours or usual_hours()
    drawn = hours.columns(draws)
    fill = filling(plant)
    paces = [pace for pace in _paces(plant, made, fill, drawn, hours) if said or pace.key not in BY_LITRES]
    week = np.min([pace.mashes_per_week for pace in paces], axis=0)
    units = tuple(_unit(pace, paces, runs) for pace in paces)
    slowest = max(units, key=lambda unit: unit.slowest)
    figures = _figures(plant, made, fill, drawn, week, runs)
    kept = [figure for figure in figures if said or figure.key not in BY_LITRES]
    whole = batches.words(plant, fill, next((figure for figure in kept if figure.key == "spirit_charges"), None))
    words = (*whole, *_words(plant, units, slowest, figures, paces, runs), *_never(made.wort, runs))
    return Capacity(
        figures={figure.key: figure for figure in kept},
        units=units,
        bottleneck=slowest.key,
        words=words if said else (*words, _left_out(plant)),
        assumptions=_assumptions(hours, _names(figures, units) | _stated(plant, hours)),
        withheld=tuple((figure.key, figure.label, figure.unit) for figure in figures if figure not in kept),
    )


def _paces(
    plant: Plant, made: NewMake, fill: WashbackFilling, drawn: dict[str, FloatArray], hours: CycleHours
) -> list[Pace]:
    cycle = mash_cycle_h(plant, made.wort, drawn, hours)
    return [_mash_house(cycle, drawn), _washbacks(plant, fill, drawn, cycle), *_stills(plant, made, fill, drawn)]


def mashes_per_week(plant: Plant, made: NewMake, draws: Draws, hours: CycleHours | None = None) -> FloatArray:
    """Mashes a week of a house with a bill, on the draws it was followed on; (members,)."""
    hours = hours or usual_hours()
    paces = _paces(plant, made, filling(plant), hours.columns(draws), hours)
    return np.asarray(np.min([pace.mashes_per_week for pace in paces], axis=0))


def _left_out(plant: Plant) -> str:
    still = " The spirit still is left out, for its charges follow from them." if plant.pot_stills else ""
    return f"New spirit a week is withheld with the litres of the bill.{still}"


def _never(wort: Wort, runs: Runs) -> tuple[str, ...]:
    """What hours and mashes are worth where the mash never runs off."""
    if wort.run_off is None or not never_of(wort.run_off, runs):
        return ()
    return ("This mash never runs off: its hours and mashes a week are the model's arithmetic, and no plan.",)


def mash_cycle_h(
    plant: Plant, wort: Wort, drawn: Mapping[str, FloatArray], hours: CycleHours, usual: bool = False
) -> FloatArray:
    """One mash from mash-in to the vessel emptied [h], (members,): a usual cycle with this wort's own run-off in it.

    `usual` asks for the cycle of an all-malt mash of barley in the same house. A cycle that the house states is that
    of its own hours of run-off where it states these too, else of the mash it is asked about.
    """
    ran = wort.run_off
    if plant.grain_in or ran is None:
        return drawn["cook_cycle_h" if plant.grain_in else "mash_cycle_h"]
    off, own = ran.usual_h if usual else ran.hours, plant.mash.usual_run_off_hours
    if hours.ranges["mash_cycle_h"].family == "fixed":
        return np.asarray(drawn["mash_cycle_h"] + (0.0 if own is None else off - own))
    cycle = drawn["mash_cycle_h"] + off - ran.in_cycle_h
    return np.asarray(np.maximum(cycle, off + drawn["beside_run_off_h"]))


def year_t(plant: Plant, wort: Wort, draws: Draws, hours: CycleHours | None = None) -> FloatArray:
    """Grist of a year [t], (members,): what the plant file states, or less where the run-off leaves no time for it.

    The house mashes its tonnes with a usual run-off, whatever its hours are taken to be; only what this run-off takes
    longer counts, and only where no time was left over.
    """
    tonnes = np.full_like(wort.volume_L_per_t, plant.tonnes_per_year)
    if plant.grain_in or wort.run_off is None:
        return tonnes
    hours = hours or usual_hours()
    drawn = hours.columns(draws)
    here, usual = (mash_cycle_h(plant, wort, drawn, hours, usual=one) for one in (False, True))
    worked = drawn["worked_h_per_week"] * drawn["worked_weeks_per_year"]
    could = np.maximum(worked / usual * plant.mash.kg_per_mash / 1000.0, tonnes)
    return np.asarray(np.minimum(tonnes, could * usual / here))


def _mash_house(cycle: FloatArray, drawn: dict[str, FloatArray]) -> Pace:
    return Pace("mash", cycle, drawn["worked_h_per_week"] / cycle)


def _washbacks(plant: Plant, fill: WashbackFilling, drawn: dict[str, FloatArray], cycle: FloatArray) -> Pace:
    cycle = plant.washbacks.hours + drawn["washback_turn_h"] + (fill.mashes - 1) * cycle
    fillings = plant.washbacks.count * WEEK_H / cycle
    return Pace("washbacks", cycle, fillings * fill.mashes / fill.washbacks)


def _stills(plant: Plant, made: NewMake, fill: WashbackFilling, drawn: dict[str, FloatArray]) -> list[Pace]:
    worked = drawn["worked_h_per_week"]
    if plant.column is not None:
        beer_L = fill.fill_L * fill.washbacks / fill.mashes
        hours = np.full_like(worked, beer_L / plant.column.beer_L_per_h)
        return [Pace("column", hours, worked / hours)]
    return [_still(kind, charges, fill, drawn) for kind, charges in _charges(plant, made, fill, drawn).items()]


def _charges(plant: Plant, made: NewMake, fill: WashbackFilling, drawn: dict[str, FloatArray]) -> dict[str, FloatArray]:
    """Charges of each pot still for one washback, (members,).

    Low wines and feints stand in one receiver, so charges of the spirit still are counted in parts.
    """
    stills = plant.pot_stills
    if stills is None:
        return {}
    tonnes = plant.mash.kg_per_mash / 1000.0 * fill.mashes / fill.washbacks
    charge_L = made.spirit.low_wines_L_per_t * tonnes / (1.0 - drawn["feints_share_pct"] / 100.0)
    wash = np.full_like(charge_L, math.ceil(fill.fill_L / stills.wash_charge_L - 1e-9))
    return {"wash": wash, "spirit": charge_L / stills.spirit_charge_L}


def _still(kind: str, charges: FloatArray, fill: WashbackFilling, drawn: dict[str, FloatArray]) -> Pace:
    run = drawn[f"{kind}_run_h"] + drawn[f"{kind}_turn_h"]
    in_week = drawn[f"{kind}_stills"] * drawn["worked_h_per_week"] / run
    return Pace(f"{kind}_still", run, in_week / charges * fill.mashes / fill.washbacks)


def _unit(pace: Pace, paces: list[Pace], runs: Runs) -> UnitCapacity:
    least = np.min([p.mashes_per_week for p in paces], axis=0)
    title = TITLES[pace.key]
    return UnitCapacity(
        key=pace.key,
        title=title,
        hours=Figure.of(f"{pace.key}_h", f"{title}: one cycle", "h", pace.hours, 1, runs, HOUSE),
        mashes_per_week=Figure.of(f"{pace.key}_mashes", title, "mashes/week", pace.mashes_per_week, 1, runs, HOUSE),
        slowest=runs.chance(pace.mashes_per_week <= least),
        lift=LIFTS[pace.key],
    )


def _figures(
    plant: Plant,
    made: NewMake,
    fill: WashbackFilling,
    drawn: dict[str, FloatArray],
    week: FloatArray,
    runs: Runs,
) -> list[Figure]:
    tonnes = plant.mash.kg_per_mash / 1000.0
    weeks = drawn["worked_weeks_per_year"]
    per = f"{fill.mashes} mashes" if fill.mashes > 1 else f"a mash in {fill.washbacks}" if fill.washbacks > 1 else ""
    label = f"fill of a washback ({per})" if per else "fill of a washback"
    lpa = week * tonnes * made.spirit.lpa_per_t
    needed = plant.tonnes_per_year / tonnes / weeks
    year = (HOUSE, "input.tonnes_per_year")
    end = made.wash.end
    rows = [
        *([] if end is None else [("wash_stops_h", "hours until nearly all is made", "h", end.stops_h, 0, (HOUSE,))]),
        *(
            (f"{kind}_charges", f"{kind} still charges of a washback", "charges", x, 1, (HOUSE,))
            for kind, x in _charges(plant, made, fill, drawn).items()
            if plant.column is None
        ),
        ("mashes_per_week", "mashes a week", "mashes/week", week, 1, (HOUSE,)),
        ("lpa_per_week", "new spirit a week", "L pure alcohol/week", lpa, 0, (HOUSE, "constant.psy_factor")),
        ("tonnes_per_year", "grist a year at that pace", "t", week * tonnes * weeks, 0, (HOUSE,)),
        ("needed_per_week", "mashes a week for the tonnes of the plant file", "mashes/week", needed, 1, year),
    ]
    return [
        Figure("kg_per_mash", "grist of a mash", "kg", _one(plant.mash.kg_per_mash), 0, (HOUSE,)),
        Figure("fill_L", label, "L", _one(fill.fill_L), 0, (HOUSE,)),
        Figure("room_pct", "room above it", "%", _one(fill.room_pct), 0, (HOUSE,)),
        *batches.figures(plant, fill),
        *(Figure.of(key, words, unit, x, digits, runs, *given) for key, words, unit, x, digits, given in rows),
    ]


def _stated(plant: Plant, hours: CycleHours) -> set[str]:
    """What is not drawn and so cannot be seen to move a figure: the house's own figures, and one still where more are
    not stated."""
    absent = {"mash_cycle_h", "beside_run_off_h"} if plant.grain_in else {"cook_cycle_h"}
    absent |= {"beside_run_off_h"} if hours.ranges["mash_cycle_h"].family == "fixed" else set()
    absent |= {key for key in hours.ranges if key.startswith(("wash_", "spirit_", "feints_")) and not plant.pot_stills}
    return {prior.name for key, prior in hours.ranges.items() if prior.family == "fixed" and key not in absent}


def _names(figures: Iterable[Figure], units: Iterable[UnitCapacity]) -> set[str]:
    resting = [*figures, *(figure for unit in units for figure in (unit.hours, unit.mashes_per_week))]
    return {name for figure in resting for name in figure.rests_on}


def _one(value: float) -> Band:
    return Band(value, value, value)


def _words(
    plant: Plant,
    units: tuple[UnitCapacity, ...],
    slowest: UnitCapacity,
    figures: list[Figure],
    paces: list[Pace],
    runs: Runs,
) -> tuple[str, ...]:
    named = {figure.key: figure for figure in figures}
    week, needed = named["mashes_per_week"], named["needed_per_week"]
    lines = [f"The house can mash {with_interval(week.band, 1)} times a week."]
    rival = max((unit for unit in units if unit is not slowest), key=lambda unit: unit.slowest)
    if slowest.slowest >= SURE:
        lines.append(f"The {slowest.title} holds it back.".replace("washbacks holds", "washbacks hold"))
    else:
        shares = f"{100 * slowest.slowest:.0f} % and {100 * rival.slowest:.0f} % of the runs"
        lines.append(f"Either the {slowest.title} or the {rival.title} holds it back ({shares}).")
    others = np.min([pace.mashes_per_week for pace in paces if pace.key != slowest.key], axis=0)
    after = min(
        (pace for pace in paces if pace.key != slowest.key),
        key=lambda p: weighted_mean(runs.on_draws(p.mashes_per_week), runs.weights),
    )
    lines.append(
        f"What would lift it: {slowest.lift}. With the {slowest.title} out of the way the {TITLES[after.key]} would "
        f"come next, at {with_interval(runs.band(others), 1)} mashes a week."
    )
    lines.append(_asked(plant, week, needed))
    return tuple(lines)


def _asked(plant: Plant, week: Figure, needed: Figure) -> str:
    asked = f"{plain(plant.tonnes_per_year, 0)} t a year need {with_interval(needed.band, 1)} mashes a week"
    if week.band.low >= needed.band.high:
        return f"{asked}: the house can do that."
    if week.band.high < needed.band.low:
        return f"{asked}: the house cannot do that."
    return f"{asked}: that is within what is not known here; state the house's own hours."


def _assumptions(hours: CycleHours, names: set[str]) -> tuple[Assumption, ...]:
    return tuple(
        Assumption(
            prior.name, prior.meaning, prior.unit, drawing.prior_band(prior), prior.source.standing, prior.source.text
        )
        for prior in hours.ranges.values()
        if prior.name in names
    )


def capacity_lines(capacity: Capacity) -> tuple[tuple[str, str, str, str, str], ...]:
    """Rows of a table (what, unit, low, middle, high): the figures, then the mashes a week of each part."""
    shown = [*capacity.figures.values(), *(unit.mashes_per_week for unit in capacity.units)]
    titles = [figure.label for figure in capacity.figures.values()] + [f"{unit.title} alone" for unit in capacity.units]
    said = tuple((title, figure.unit, *_ends(figure)) for title, figure in zip(titles, shown, strict=True))
    return said + tuple((label, unit, "", WITHHELD, "") for _, label, unit in capacity.withheld)


def _ends(figure: Figure) -> tuple[str, str, str]:
    low, middle, high = (plain(x, figure.decimals) for x in (figure.band.low, figure.band.middle, figure.band.high))
    return low, middle, high


def assumed_lines(capacity: Capacity) -> tuple[str, ...]:
    """What was taken because the house states nothing, a sentence each."""
    return tuple(
        f"{a.meaning}: {plain(a.band.low, 1)} to {plain(a.band.high, 1)} {a.unit} ({a.standing.value}; {a.source})"
        if a.band.width
        else f"{a.meaning}: {a.band.middle:g} {a.unit} ({a.standing.value}; {a.source})"
        for a in capacity.assumptions
    )
