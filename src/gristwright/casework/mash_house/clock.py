"""A mash with rests by the clock, read off the programme that is simulated. See docs/order.md."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from gristwright.casework.mash_house.order_waters import readable_L
from gristwright.quantities.shown import plain
from gristwright.records.mash import Corner, DrawOff, MashProgramme, TakenOut
from gristwright.records.order import ClockStep
from gristwright.stages.mash.decoction import BOILS_DEGC
from gristwright.stages.mash.programme import FIRST_WORT
from gristwright.stages.mash.room import SOLIDS_L_PER_KG


def clock(programme: MashProgramme, kg_per_mash: float) -> tuple[ClockStep, ...]:
    """Every stand, ramp, decoction and run-off in the order of the clock, each with the settled mash it begins at."""
    return tuple(_steps(programme, kg_per_mash))


def _steps(programme: MashProgramme, kg_per_mash: float) -> Iterator[ClockStep]:
    draws = {round(draw.at_min, 6): draw for draw in programme.draw_offs}
    out = {round(one.at_min, 6): one for one in programme.decoctions}
    for a, b in pairwise(programme.corners):
        if b.at_min - a.at_min < 1e-6:
            continue
        if (taken := out.get(round(a.at_min, 6))) is not None and a.settled_degC == b.settled_degC:
            litres = taken.share_pct / 100.0 * kg_per_mash * (programme.mashed_in_L_per_kg + SOLIDS_L_PER_KG)
            yield ClockStep(a.at_min, _decoction(taken, litres), a.settled_degC)
        else:
            yield ClockStep(a.at_min, _words(a, b, draws.get(round(b.at_min, 6))), a.settled_degC)


def _words(a: Corner, b: Corner, draw: DrawOff | None) -> str:
    minutes = plain(b.at_min - a.at_min, 0)
    if draw is not None:
        way = "run off the first wort" if draw.name == FIRST_WORT else f"let the {draw.name} on and run it off"
        return f"{way} in {minutes} min, to the {draw.goes_to}"
    if a.settled_degC != b.settled_degC:
        way = "heat" if b.settled_degC > a.settled_degC else "cool"
        return f"{way} to {plain(b.settled_degC, 1)} °C in {minutes} min"
    return f"{'mash in, and ' if a.at_min == 0.0 else ''}stand {minutes} min"


def _decoction(taken: TakenOut, litres: float) -> str:
    """A decoction in words: what is taken out, what is done with it, when it is back."""
    pairs = [(a, b.at_min - a.at_min) for a, b in pairwise(taken.corners) if a.settled_degC == b.settled_degC]
    own = [_held(corner.settled_degC, minutes) for corner, minutes in pairs if minutes > 0.0] or ["to the boil"]
    what = f"take {plain(taken.share_pct, 0)} % of the mash out, {taken.part}, about {plain(readable_L(litres), 0)} L"
    back = f"give it back after {plain(taken.back_min - taken.at_min, 0)} min; the rest of the mash stands till then"
    return f"{what}: {', '.join(own)}; {back}"


def _held(degC: float, minutes: float) -> str:
    return f"boil {plain(minutes, 0)} min" if degC == BOILS_DEGC else f"{plain(degC, 1)} °C for {plain(minutes, 0)} min"
