"""The simulated wash of a bill in its house: its course with bands, its end, what to measure next. See docs/wash.md."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TypeAlias

import numpy as np

from gristwright.basics import Band, Draws, FloatArray
from gristwright.casework.bench.bench import GristBench
from gristwright.casework.bench.besides_of_bill import besides_of_bill
from gristwright.casework.bench.boards import why_withheld
from gristwright.casework.bench.fermenting import told_of
from gristwright.casework.bench.grounds import HOUSE, assumptions, named
from gristwright.casework.mash_house.mash_bench import grist_bench, quick_course, range_warnings, set_out
from gristwright.casework.mash_house.measuring import measure_next, suspected
from gristwright.flowsheet import washing
from gristwright.flowsheet.line import to_wort
from gristwright.numerics import draws as drawing
from gristwright.numerics import weights
from gristwright.numerics.runs import Runs
from gristwright.records.bill import Bill
from gristwright.records.enquiry import BillSheet
from gristwright.records.lot import Lot
from gristwright.records.mash import MashCourse
from gristwright.records.results import Figure
from gristwright.records.streams import Wort
from gristwright.records.wash import WashCourse, WashEnd
from gristwright.records.wash_besides import MadeBesides
from gristwright.records.wash_trials import WASH_COURSES, BesidesLine, PeakOfMonth, WashRun
from gristwright.reference.house_words import in_words_of
from gristwright.stages.wash.foam import CO2_m3_PER_KG
from gristwright.stages.wash.lines import ceiling_degC
from gristwright.stages.wash.setting import cooled, cooled_from_degC

# Key, label, unit, decimals and what it is of the end of a wash.
ENDS = (
    ("peak_degC", "warmest", "degC", 1),
    ("peak_h", "warmest after", "h", 0),
    ("stops_h", "hours until nearly all is made", "h", 0),
    ("attenuated_pct", "fermented of what the mash offers", "%", 1),
    ("sugar_left_g_per_L", "sugar left", "g/L", 1),
    ("co2_m3_per_m3", "carbon dioxide, as gas at 20 degC", "m3/m3", 1),
    ("most_co2_m3_per_m3_h", "carbon dioxide at its most", "m3/m3/h", 2),
    ("heat_MJ_per_m3", "heat of fermentation", "MJ/m3", 0),
    ("cooled_MJ_per_m3", "heat taken by the cooling", "MJ/m3", 0),
    ("yeast_dead_pct", "dead yeast at the end", "% of the yeast", 0),
    ("fan_left_mg_per_L", "amino nitrogen left", "mg/L", 0),
    ("glycerol_g_per_L", "glycerol", "g/L", 1),
    ("lactic_g_per_L", "lactic acid", "g/L", 2),
    ("lactic_cost_pct", "litres lost to lactic acid", "%", 2),
    ("stripped_pct", "alcohol gone with the gas", "%", 2),
    ("furfural_left_pct", "furfural of the wort left", "%", 1),
    ("pH", "pH at the end", "pH", 2),
)
Worted: TypeAlias = tuple[MashCourse, Wort, FloatArray]
# Draws of these names move the wash alone: the wort stays as it is.
OF_THE_WASH = "wash."
# What a wash holds besides alcohol that its end tells already, with a band.
TOLD_AT_THE_END = ("lactic_acid", "glycerol")
# The end values that inputs are held against.
KEPT, WARMEST = "litres made of what the mash promises", "the peak temperature"
UNITS = {KEPT: "points", WARMEST: "K"}


def wash_run(
    sheet: BillSheet, lots: Sequence[Lot], members: int = drawing.MEMBERS, seed: int = drawing.SEED
) -> WashRun:
    """The simulated wash of a bill in its house, for distillers and brewers alike. Raises Refused with every fault."""
    return wash_on(grist_bench(sheet, lots, members, seed), sheet.bill)


def wash_on(bench: GristBench, bill: Bill) -> WashRun:
    """The simulated wash of a bill on a bench. Raises Refused for a plan that cannot be mashed."""
    ready = set_out(bench, bill, bench.draws)
    course = pitched(bench, bill, bench.draws).run()
    runs, figures = bench.runs, end_figures(course.end, bench.runs)
    backs, brews = bench.plant.washbacks, bench.plant.wort_boiled
    return WashRun(
        bill=bill.name,
        house=bench.plant.name,
        times_h=tuple(float(t) for t in course.times_h),
        courses={key: _bands(course, key, runs) for key in WASH_COURSES},
        figures=figures,
        months=peaks_by_month(bench, bill),
        measured=backs.course,
        cautions=cautions_of(bench, bill, course.end),
        measure_next=measure_next(bench, suspected(bench, ends_of(course.end)), UNITS, again(bench, bill)),
        assumptions=assumptions(bench, named(figures)),
        warnings=tuple(dict.fromkeys((*bench.warnings, *range_warnings(ready, bench.plant.wort_boiled)))),
        balance_error=course.balance_error,
        heat_error=course.heat_error,
        ceiling_degC=ceiling_degC(backs, bench.plant.wort_boiled),
        cooled_from_degC=cooled_from_degC(backs, brews) if cooled(backs, brews) else None,
        besides=tuple(_besides(one) for one in besides_of_bill(bench, bill) if one.key not in TOLD_AT_THE_END),
    )


def _besides(made: MadeBesides) -> BesidesLine:
    band = None if made.values is None else weights.band(made.values, weights.equal_weights(made.values.size))
    return BesidesLine(made.key, made.words, made.unit, band, made.standing, made.source, made.moved, made.why_none)


def again(bench: GristBench, bill: Bill) -> Callable[[Draws, str], dict[str, FloatArray]]:
    """Gives the two end values on draws of which one input was moved; the mash is run again where that moves it."""
    kept: list[Worted] = []

    def ends_on(draws: Draws, moved: str) -> dict[str, FloatArray]:
        of_wash = bool(kept) and moved.startswith(OF_THE_WASH)
        worted = kept[0] if of_wash else into_the_washback(bench, bill, draws)
        if not moved:
            kept.append(worted)
        return ends_of(washing.set_out(*worted, bench.plant, draws).run(None).end)

    return ends_on


def pitched(bench: GristBench, bill: Bill, draws: Draws) -> washing.Pitched:
    """The washback of the bench's house with the wort of a bill, on the bench's draws or its middles."""
    return washing.set_out(*into_the_washback(bench, bill, draws), bench.plant, draws)


def into_the_washback(bench: GristBench, bill: Bill, draws: Draws) -> Worted:
    """The course of the mash, its wort by the balance, and the amino nitrogen of that [mg/L]."""
    shares = bench.shares(bill)
    course = quick_course(set_out(bench, bill, draws), draws)
    effect = bench.house_effect(shares, draws)
    wort = to_wort(shares, bench.lot_columns(draws), bench.plant, draws, effect, bench.usual_shares)[1]
    return course, wort, bench.wort_fan(shares, wort, draws)


def ends_of(end: WashEnd) -> dict[str, FloatArray]:
    """The two end values that inputs are held against, each (members,)."""
    return {KEPT: 100.0 * end.kept, WARMEST: end.peak_degC}


def cautions_of(bench: GristBench, bill: Bill, end: WashEnd) -> tuple[str, ...]:
    """What is told of the wash, in the words of the house: the same that the answer on its bill tells."""
    shares, brews = bench.shares(bill), bench.plant.wort_boiled
    effect = bench.house_effect(shares, bench.draws)
    grist, wort = to_wort(shares, bench.lot_columns(bench.draws), bench.plant, bench.draws, effect, bench.usual_shares)
    told = told_of(bench, bill, wort, end, why_withheld(bench, bill, grist, wort) is not None)
    return tuple(in_words_of(text, brews) for text in told.sentences)


def end_values(end: WashEnd) -> dict[str, FloatArray]:
    """What a wash has come to, by the keys of ENDS; (members,)."""
    alcohol = np.maximum(end.ethanol_g_per_L + end.stripped_g_per_L, 1e-9)
    given = {name: values for name, values in vars(end).items() if name != "stuck"}
    return given | {
        "attenuated_pct": 100.0 * end.attenuated,
        "co2_m3_per_m3": end.co2_kg_per_m3 * CO2_m3_PER_KG,
        "most_co2_m3_per_m3_h": end.most_co2_kg_per_m3_h * CO2_m3_PER_KG,
        "yeast_dead_pct": 100.0 * end.yeast_dead_share,
        "lactic_cost_pct": 100.0 * end.lactic_cost,
        "stripped_pct": 100.0 * end.stripped_g_per_L / alcohol,
        "furfural_left_pct": 100.0 * end.furfural_left,
    }


def end_figures(end: WashEnd, runs: Runs) -> tuple[Figure, ...]:
    """Where the wash ends, each with its band."""
    values = end_values(end)
    return tuple(Figure.of(key, label, unit, values[key], digits, runs, HOUSE) for key, label, unit, digits in ENDS)


def peaks_by_month(bench: GristBench, bill: Bill) -> tuple[PeakOfMonth, ...]:
    """How warm the wash becomes in every month that the house gives a room for."""
    backs, found = bench.plant.washbacks, []
    ready = pitched(bench, bill, bench.draws) if backs.months else None
    for month in sorted(backs.months, key=lambda one: one.month):
        assert ready is not None
        flat, water = np.ones_like(ready.vessel.room_degC), ready.vessel.water_degC
        room = month.room_degC * flat
        vessel = replace(
            ready.vessel, room_degC=room, water_degC=water if month.water_degC is None else month.water_degC * flat
        )
        end = replace(ready, vessel=vessel).run(None).end
        peak, hour = bench.runs.band(end.peak_degC), bench.runs.band(end.peak_h)
        found.append(PeakOfMonth(month.month, month.room_degC, month.water_degC, peak, hour.middle))
    return tuple(found)


def _bands(course: WashCourse, key: str, runs: Runs) -> tuple[Band, ...]:
    return tuple(runs.band(row) for row in getattr(course, key))
