"""What a washback may be set with, and what its fields may be beside each other. See docs/wash.md."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from gristwright.basics import Address, Problem
from gristwright.quantities.shown import counted
from gristwright.records.fields import faults
from gristwright.records.washbacks import MONTHS, Washbacks, WashMonth, WashReading

MOST_READINGS = 48
# A first gravity later than this says nothing of the hours in which most of the sugar goes.
LATEST_START_H = 24.0
# Two readings of one hydrometer differ by so much (from memory); what rises by more was read or written wrong.
SAME_SG = 0.001
# Cooling that begins so far below the set temperature is a slip: the wash would be chilled before it has begun.
BELOW_SET_K = 5.0
LAGER_MOST_DEGC, DISTILLING_LEAST_DEGC = 20.0, 15.0
HOW = "Say how they are cooled: jacket, coil or exchanger."
# Fields that only a cooled washback has.
COOLED = {"cooling_m2": "m2", "water_degC": "degC", "cooled_from_degC": "degC"}


def washback_problems(washbacks: Washbacks, where: Address, brews: bool = False) -> list[Problem]:
    """Everything outside its bounds, words that are none, and what cannot stand together; warnings are among them."""
    problems = faults(washbacks, where, "Correct the plant.")
    told = {problem.where for problem in problems}
    return problems + [one for one in between_problems(washbacks, where, brews) if one.where not in told]


def between_problems(washbacks: Washbacks, where: Address, brews: bool = False) -> list[Problem]:
    """What cannot stand together in washbacks, each number for itself taken to be right; warnings are among them."""
    return [
        *_cooling(washbacks, where),
        *_temperatures(washbacks, where),
        *_yeast(washbacks, where, brews),
        *_course(washbacks.course, where.to("course")),
        *_months(washbacks, where.to("months")),
    ]


def _cooling(washbacks: Washbacks, where: Address) -> Iterator[Problem]:
    """What is said of a cooling that is not there, or of one whose kind is not said."""
    given = {name: value for name in COOLED if (value := getattr(washbacks, name)) is not None}
    for name, value in given.items():
        if washbacks.cooling == "none":
            what = f"{value:g} {COOLED[name]} stands beside washbacks without cooling."
            yield Problem(where.to(name), what, f"Take it out. {HOW}")
        elif not washbacks.cooling:
            what = f"{value:g} {COOLED[name]} stands without a kind of cooling."
            yield Problem(where.to(name), what, f"{HOW} Or take it out.")


def _temperatures(washbacks: Washbacks, where: Address) -> Iterator[Problem]:
    """Set temperature, where cooling begins, its water and the ceiling, each against the other."""
    set_degC, begins, ceiling = washbacks.set_degC, washbacks.cooled_from_degC, washbacks.ceiling_degC
    if begins is not None and begins < set_degC - BELOW_SET_K:
        what = f"{begins:g} degC is more than {BELOW_SET_K:g} K below the set temperature, {set_degC:g} degC."
        yield Problem(where.to("cooled_from_degC"), what, "Give where cooling begins, or correct the set temperature.")
    water = washbacks.water_degC
    if begins is not None and water is not None and water >= begins:
        what = f"{water:g} degC is no colder than the wash that it cools, {begins:g} degC."
        yield Problem(where.to("water_degC"), what, "Give the water as it goes in, or where cooling begins.")
    if ceiling is not None and ceiling < set_degC:
        what = f"{ceiling:g} degC is below the set temperature, {set_degC:g} degC."
        yield Problem(where.to("ceiling_degC"), what, "Give a warmer one, or set the wash colder.")


def _yeast(washbacks: Washbacks, where: Address, brews: bool) -> Iterator[Problem]:
    """A yeast outside the temperatures it is set at, and one that leaves a distiller's sugar."""
    set_degC, yeast = washbacks.set_degC, washbacks.yeast
    if yeast == "lager" and set_degC > LAGER_MOST_DEGC:
        what = f"{set_degC:g} degC is above {LAGER_MOST_DEGC:g} degC, the warmest a lager yeast is set at."
        yield Problem(where.to("set_degC"), what, "Set it colder, or say which yeast it is.", warning=True)
    if (yeast == "distilling" or (not yeast and not brews)) and set_degC < DISTILLING_LEAST_DEGC:
        taken = "." if yeast else "; none is named, so that one is taken."
        coldest = f"below {DISTILLING_LEAST_DEGC:g} degC, the coldest a distilling yeast is set at"
        what = f"{set_degC:g} degC is {coldest}{taken}"
        yield Problem(where.to("set_degC"), what, "Set it warmer, or say which yeast it is.", warning=True)
    if yeast == "leaves maltotriose" and not brews:
        what = "this yeast leaves maltotriose, which is lost to the still."
        yield Problem(where.to("yeast"), what, "Take a distilling yeast, or count on fewer litres.", warning=True)


def _course(course: tuple[WashReading, ...], where: Address) -> Iterator[Problem]:
    """Readings that are none, out of their order or against each other, and too few of them to say a pace."""
    if len(course) > MOST_READINGS:
        what = f"has {len(course)} readings; at most {MOST_READINGS} are read."
        yield Problem(where, what, "Keep one every few hours.")
    for number, one in enumerate(course, start=1):
        # Hours that could not be read have a fault of their own.
        if one.gravity_sg is None and one.degC is None and one.hours == one.hours:
            what = f"{one.hours:g} h has neither gravity nor temperature."
            yield Problem(where.to(number), what, "Give one of them, or take the reading out.")
    for number, (before, after) in enumerate(pairwise(course), start=2):
        if after.hours <= before.hours:
            earlier = f"earlier than the reading before it, {before.hours:g} h."
            what = f"{after.hours:g} h is {'read twice.' if after.hours == before.hours else earlier}"
            yield Problem(where.to(number, "hours"), what, "Write them in order of time, one reading an hour.")
    yield from _gravities(course, where)


def _gravities(course: tuple[WashReading, ...], where: Address) -> Iterator[Problem]:
    """Gravities that begin late, rise, or are too few."""
    read = [(number, one.hours, one.gravity_sg) for number, one in enumerate(course, start=1) if one.gravity_sg]
    if course and len(read) < 2:
        what = f"{counted(len(read), 'gravity', 'gravities')} of a course cannot say how fast it went."
        way_out = "The pace of a usual wash is taken. Give two gravities or more, the first when it was pitched."
        yield Problem(where, what, way_out, warning=True)
    if read and read[0][1] > LATEST_START_H:
        number, hours, _ = read[0]
        what = f"{hours:g} h is the first gravity of the course, later than {LATEST_START_H:g} h."
        yield Problem(where.to(number, "hours"), what, "Give an earlier one, best the original gravity at 0 h.")
    for (_, _, before), (number, _, after) in pairwise(read):
        if after > before + SAME_SG + 1e-9:
            what = f"{after:.4f} SG is above the gravity before it, {before:.4f} SG, and a wash only falls."
            yield Problem(where.to(number, "gravity_sg"), what, "Correct it, or read it again freed of gas.")


def _months(washbacks: Washbacks, where: Address) -> Iterator[Problem]:
    """A month that stands twice, months left out, and water that cools nothing."""
    said: list[str] = []
    for number, one in enumerate(washbacks.months, start=1):
        name = _month(one)
        if name in said:
            yield Problem(where.to(number, "month"), f"{name} stands twice.", "Give each month once.")
        said += [name] if name else []
    left_out = [name for name in MONTHS if name not in said]
    if said and left_out:
        what = f"{', '.join(left_out)} {'is' if len(left_out) == 1 else 'are'} left out."
        yield Problem(
            where, what, "The peak is not looked at there: give them too, if it is mashed then.", warning=True
        )
    yield from _water_of_months(washbacks, where)


def _water_of_months(washbacks: Washbacks, where: Address) -> Iterator[Problem]:
    """Cooling water by month where nothing is cooled, or too warm for it; one sentence for all of them."""
    given = [(_month(one), one.water_degC) for one in washbacks.months if one.water_degC is not None]
    if given and washbacks.cooling in ("", "none"):
        what = (
            f"cooling water stands beside washbacks {'without' if washbacks.cooling else 'without a kind of'} cooling."
        )
        yield Problem(where, what, f"It cools nothing. {HOW}", warning=True)
    begins = washbacks.cooled_from_degC
    warm = [f"{month}, {water:g} degC" for month, water in given if begins is not None and water >= begins]
    if warm:
        what = f"the water of {'; '.join(warm)} is no colder than the wash that it cools, {begins:g} degC."
        yield Problem(where, what, "It cools nothing then: set the wash colder in these months.", warning=True)


def _month(one: WashMonth) -> str:
    """The name of a month; nothing for a number that is none, which has a fault of its own."""
    return MONTHS[one.month - 1] if 1 <= one.month <= len(MONTHS) else ""
