"""Whether the hours of fermentation hold the week back or leave litres behind, by the simulated wash.

See docs/capacity.md.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from gristwright.basics import Band, FloatArray
from gristwright.casework.bench.bench import MashMemory, SpiritBench
from gristwright.casework.bench.capacity import CycleHours, mashes_per_week
from gristwright.flowsheet.line import NewMake
from gristwright.quantities.shown import plain, with_interval
from gristwright.records.bill import Bill
from gristwright.records.fields import number_of
from gristwright.records.washbacks import Washbacks

# The wash is run again on so many draws: a difference on the same draws is known far better than what it lies between.
MEMBERS = 256
# Hours are asked about in such steps, so much shorter at the least and so much longer; our choice.
STEP_H, SHORTER_H, LONGER_H = 2.0, 12.0, 24.0
# Shorter hours are worth a sentence from so many mashes a week on, longer ones from so many litres a tonne; our choice.
WORTH_MASHES, WORTH_LPA_PER_T = 0.1, 1.0
NO_CHANGE = 0.05  # mashes a week that are written as none


@dataclass(frozen=True)
class _At:
    """A house at other hours against the hours stated, on the same draws."""

    hours: float
    litres: Band  # more of them a tonne
    mashes: Band  # more of them a week
    of_week: Band  # more litres a week


def hours_words(bench: SpiritBench, bill: Bill, hours: CycleHours | None = None) -> tuple[str, ...]:
    """What shorter or longer fermentation would do to litres and week, a sentence each; none where neither moves."""
    few = _few(bench)
    stated, made = float(few.plant.washbacks.hours), few.made(bill)
    low, high = number_of(Washbacks, "hours").bounds
    said, shorter, longer = [], stated - SHORTER_H, min(high, stated + LONGER_H)
    done = done_h(few, bill)
    shorter = max(low, min(shorter, done))
    if shorter < stated and _more_mashes(few, made, shorter, hours) >= WORTH_MASHES:
        said.append(_shorter(_against(few, bill, shorter, hours), shorter >= done))
    if longer > stated:
        at = _against(few, bill, longer, hours)
        said += [_longer(stated, at)] if at.litres.middle >= WORTH_LPA_PER_T else []
    return tuple(said)


def done_h(bench: SpiritBench, bill: Bill) -> float:
    """Hours after which nearly all is made that the house's hours give, in 95 % of the runs; rounded up [h]."""
    end = bench.house_effect(bench.shares(bill), bench.draws).wash
    return STEP_H * math.ceil(bench.runs.band(end.stops_h).high / STEP_H)


def _more_mashes(few: SpiritBench, made: NewMake, at_h: float, hours: CycleHours | None) -> float:
    """Mashes a week that shorter hours leave room for, before the wash is run at them."""
    there = replace(few.plant, washbacks=replace(few.plant.washbacks, hours=at_h))
    now, then = (mashes_per_week(plant, made, few.draws, hours) for plant in (few.plant, there))
    return few.runs.band(then - now).middle


def _few(bench: SpiritBench) -> SpiritBench:
    """The bench on a few of its draws, without the members in which single inputs are moved."""
    count = min(MEMBERS, len(bench.weights))
    weights = bench.weights[:count] / bench.weights[:count].sum()
    draws = {name: column[:count] for name, column in bench.draws.items()}
    return replace(bench, draws=draws, weights=weights, moved=(), memory=MashMemory())


def _against(few: SpiritBench, bill: Bill, at_h: float, hours: CycleHours | None) -> _At:
    there = few.with_plant(replace(few.plant, washbacks=replace(few.plant.washbacks, hours=at_h)))
    (now, litres), (then, other) = (_week(bench, bill, hours) for bench in (few, there))
    runs, tonnes = few.runs, few.plant.mash.kg_per_mash / 1000.0
    more, of_week = (runs.band(x) for x in (then - now, tonnes * (then * other - now * litres)))
    return _At(at_h, runs.band(other - litres), more, of_week)


def _week(bench: SpiritBench, bill: Bill, hours: CycleHours | None) -> tuple[FloatArray, FloatArray]:
    made = bench.made(bill)
    return mashes_per_week(bench.plant, made, bench.draws, hours), made.spirit.lpa_per_t


def _shorter(at: _At, done: bool) -> str:
    fewer = Band(-at.litres.high, -at.litres.middle, -at.litres.low)
    enough = ", when nearly all is made," if done else ""
    return (
        f"{plain(at.hours, 0)} h of fermentation{enough} would let {with_interval(at.mashes, 1)} mashes a week more "
        f"through, at {with_interval(fewer, 1)} L of pure alcohol a tonne fewer; {_in_a_week(at)}."
    )


def _longer(stated: float, at: _At) -> str:
    lost = Band(-at.mashes.high, -at.mashes.middle, -at.mashes.low)
    cost = f"{with_interval(lost, 1)} mashes a week fewer" if lost.high >= NO_CHANGE else "no mash a week fewer"
    return (
        f"{plain(stated, 0)} h of fermentation leave {with_interval(at.litres, 1)} L of pure alcohol a tonne behind "
        f"that {plain(at.hours, 0)} h would give, at {cost}; {_in_a_week(at)}."
    )


def _in_a_week(at: _At) -> str:
    """What the change is worth in litres of a week, mashes and litres a tonne together."""
    return f"in a week {with_interval(at.of_week, 0, difference=True)} L"
