"""What a programme and a grist may be for the simulated mash. See docs/mash_simulation.md."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from gristwright.basics import Address, Problem, at
from gristwright.quantities.shown import outside
from gristwright.records.mash import NEXT_MASH, WASHBACK, Corner, MashGrain, MashProgramme
from gristwright.records.streams import Wort

BRANDAM_DEGC = (37.0, 76.0)  # lowest and highest temperature of the mash profile printed with the model
BRANDAM_STARCH_g_per_L = (20.0, 300.0)
SETTLED_DEGC = (5.0, 160.0)
GRIST_DEGC = (-10.0, 45.0)
LIQUOR_L_PER_KG = (1.5, 12.0)
MASH_PH = (4.0, 7.0)
BACKSET_PCT = (0.0, 60.0)
LONGEST_MIN = 1440.0
MALT_NOT_ABOVE_DEGC = 67.0
HELD_L_PER_KG = (0.2, 2.0)
PARTS = 1e-6
STARCH = (0.0, 0.9)
# Above this share of its starch left a mash is not run any further; our choice.
MOST_LEFT_PCT = 50.0


def _outside(place: Address, value: float, limits: tuple[float, float], unit: str, way_out: str) -> list[Problem]:
    low, high = limits
    if low <= value <= high:
        return []
    return [Problem(place, outside(value, low, high, unit), way_out)]


def brandam_problems(
    corners: Sequence[Corner], least_starch: float, most_starch: float, where: Address
) -> list[Problem]:
    """Everything outside what the published model was fitted to."""
    problems = corner_problems(corners, where)
    way_out = "The published model was not fitted there: take another model, such as two_granules."
    for corner in corners:
        problems += _outside(where.to(f"{corner.at_min:g} min"), corner.settled_degC, BRANDAM_DEGC, "degC", way_out)
    for value in {least_starch, most_starch}:
        problems += _outside(where.to("starch"), value, BRANDAM_STARCH_g_per_L, "g/L", way_out)
    return problems


def corner_problems(corners: Sequence[Corner], where: Address) -> list[Problem]:
    """Too few corners, a start that is not zero, time that goes backwards."""
    if len(corners) < 2:
        return [Problem(where, "a course needs at least two corners.", "Give where it starts and where it ends.")]
    problems = []
    if corners[0].at_min != 0.0:
        what = f"the first corner stands at {corners[0].at_min:g} min, not at 0."
        problems.append(Problem(where, what, "Count the minutes from mashing in."))
    for before, after in pairwise(corners):
        if after.at_min < before.at_min:
            what = f"time goes backwards, from {before.at_min:g} to {after.at_min:g} min."
            problems.append(Problem(where, what, "Put the corners in the order of the clock."))
    if corners[-1].at_min > LONGEST_MIN:
        what = f"the mash lasts {corners[-1].at_min:g} min; the simulation ends at {LONGEST_MIN:g} min."
        problems.append(Problem(where, what, "Give minutes, not seconds."))
    return problems


def programme_problems(programme: MashProgramme, grains: Sequence[MashGrain]) -> list[Problem]:
    """Every fault of a programme for this grist, warnings with them."""
    where = at("mash programme", programme.name)
    problems = corner_problems(programme.corners, where)
    if problems:
        return problems
    way_out = "Give the settled mash in degC."
    for corner in programme.corners:
        problems += _outside(where.to(f"{corner.at_min:g} min"), corner.settled_degC, SETTLED_DEGC, "degC", way_out)
    problems += _outside(
        where.to("grist_degC"), programme.grist_degC, GRIST_DEGC, "degC", "Give the grist as it comes."
    )
    problems += _outside(where.to("backset_pct"), programme.backset_pct, BACKSET_PCT, "%", "Give % of the liquor.")
    if programme.mash_pH is not None:
        way_out = "Leave it out when it was not measured."
        problems += _outside(where.to("mash_pH"), programme.mash_pH, MASH_PH, "pH", way_out)
    return problems + _charge_problems(programme, grains, where) + _draw_problems(programme, where)


def _charge_problems(programme: MashProgramme, grains: Sequence[MashGrain], where: Address) -> list[Problem]:
    problems = _clock_problems([c.at_min for c in programme.charges], programme.end_min, where.to("charges"))
    known = {grain.key for grain in grains}
    for charge in programme.charges:
        if charge.liquor_L_per_kg < 0.0:
            what = f"{charge.liquor_L_per_kg:g} L/kg is less than nothing."
            problems.append(Problem(where.to(f"charge at {charge.at_min:g} min"), what, "Give zero or more."))
        for key, part in charge.grains:
            place = where.to(f"charge at {charge.at_min:g} min", key)
            if key not in known:
                problems.append(
                    Problem(place, "no such grain in the grist.", f"Use one of: {', '.join(sorted(known))}.")
                )
            problems += _outside(place, part, (0.0, 1.0), "of the grain", "Give a part between 0 and 1.")
    for grain in grains:
        total = sum(part for charge in programme.charges for key, part in charge.grains if key == grain.key)
        if abs(total - 1.0) > PARTS:
            what = f"its parts add to {total:g}, not to 1."
            problems.append(Problem(where.to(grain.key), what, "Put each grain in once, whole or in parts."))
    return problems + _liquor_problems(programme, where) + hot_malt_warnings(programme, grains, where)


def _liquor_problems(programme: MashProgramme, where: Address) -> list[Problem]:
    charges, ends = programme.charges, [draw.at_min for draw in programme.draw_offs]
    # What is drawn off thins nothing that is let in after it: the limit is on what stands on the grain at one time.
    standing: dict[int, float] = {}
    for charge in charges:
        waters = sum(charge.at_min >= end for end in ends)
        standing[waters] = standing.get(waters, 0.0) + charge.liquor_L_per_kg
    most = max(standing.values(), default=0.0)
    way_out = "Give litres per kilogram of the whole grist."
    problems = _outside(where.to("liquor"), most, LIQUOR_L_PER_KG, "L/kg", way_out)
    if charges and charges[0].liquor_L_per_kg == 0.0:
        what = "the first charge brings no liquor."
        problems.append(Problem(where.to("charges"), what, "Let liquor in before or with the first grain."))
    return problems


def _draw_problems(programme: MashProgramme, where: Address) -> list[Problem]:
    problems = _clock_problems([d.at_min for d in programme.draw_offs], programme.end_min, where.to("draw-offs"))
    for draw in programme.draw_offs:
        place = where.to(f"draw-off of the {draw.name}")
        if draw.goes_to not in (WASHBACK, NEXT_MASH):
            problems.append(Problem(place, f"{draw.goes_to!r} is no place.", f"Use {WASHBACK!r} or {NEXT_MASH!r}."))
        problems += _outside(place, draw.held_L_per_kg, HELD_L_PER_KG, "L/kg", "Give what the drained bed holds.")
        let_in = sum(c.liquor_L_per_kg for c in programme.charges if c.at_min < draw.at_min)
        if let_in <= draw.held_L_per_kg:
            what = f"only {let_in:g} L/kg were let in before it, the bed holds {draw.held_L_per_kg:g} L/kg."
            problems.append(Problem(place, what, "Let the water in before it is drawn."))
    return problems


def _clock_problems(times: Sequence[float], end_min: float, where: Address) -> list[Problem]:
    problems = []
    for before, after in pairwise(times):
        if after < before:
            what = f"time goes backwards, from {before:g} to {after:g} min."
            problems.append(Problem(where, what, "Put them in the order of the clock."))
    for time in times:
        if not 0.0 <= time <= end_min:
            what = f"{time:g} min lies outside the mash, 0-{end_min:g} min."
            problems.append(Problem(where, what, "Give a time within the corners of the temperature."))
    return problems


def hot_malt_warnings(programme: MashProgramme, grains: Sequence[MashGrain], where: Address) -> list[Problem]:
    """Most of a malt put into a mash hotter than 67 degC: allowed, and said aloud."""
    malts = {grain.key for grain in grains if grain.malted}
    minutes = np.array([corner.at_min for corner in programme.corners])
    degrees = np.array([corner.settled_degC for corner in programme.corners])
    problems = []
    for charge in programme.charges:
        settled = float(np.interp(charge.at_min, minutes, degrees))
        for key, part in charge.grains:
            if key in malts and part >= 0.5 and settled > MALT_NOT_ABOVE_DEGC:
                limit = f"above {MALT_NOT_ABOVE_DEGC:g} degC its enzymes die as they dissolve."
                what = f"malt goes in at {settled:g} degC; {limit}"
                place = where.to(f"charge at {charge.at_min:g} min", key)
                problems.append(Problem(place, what, "Cool the mash first.", warning=True))
    return problems


def grain_problems(grains: Sequence[MashGrain]) -> list[Problem]:
    """Shares that do not add to one, starch that cannot be, one key twice."""
    problems = []
    keys = [grain.key for grain in grains]
    for key in {key for key in keys if keys.count(key) > 1}:
        problems.append(Problem(at("grist", key), "stands in the grist twice.", "Give each lot a key of its own."))
    total = np.sum([grain.share for grain in grains], axis=0)
    if np.any(np.abs(total - 1.0) > PARTS):
        worst = float(np.ravel(total)[np.argmax(np.abs(np.ravel(total) - 1.0))])
        problems.append(
            Problem(at("grist"), f"shares add to {worst:g}, not to 1.", "Give kg per kg of the whole grist.")
        )
    for grain in grains:
        for value in {float(np.min(grain.starch_kg_per_kg)), float(np.max(grain.starch_kg_per_kg))}:
            problems += _outside(
                at("grist", grain.key, "starch"), value, STARCH, "kg/kg", "Give kg starch per kg as weighed."
            )
    return problems


def left_problems(wort: Wort) -> list[Problem]:
    """A simulated mash that leaves most of its starch: no answer rests on what little is left."""
    if wort.starch_left_pct is None or wort.unopened_pct is None:
        return []
    left, unopened = float(np.median(wort.starch_left_pct)), float(np.median(wort.unopened_pct))
    if left <= MOST_LEFT_PCT:
        return []
    if unopened > 0.5 * left:
        what = f"{left:.0f} % of the starch stays starch, for most of it never opens in this mash"
        way_out = "Cook the raw grain, settle hotter, or take malt in its place."
    else:
        what = f"{left:.0f} % of the starch stays starch, for the grist has too little enzyme"
        way_out = "Bring more malt, or malt with more enzyme."
    return [Problem(at("mash"), f"{what}; above {MOST_LEFT_PCT:g} % there is no balance.", way_out)]
