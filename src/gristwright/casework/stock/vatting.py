"""Which casks for a vatting of so many litres at a strength, at the least loss of value: a small exact choice.

See docs/stock.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gristwright.basics import BoolArray, FloatArray, Problem, Refused
from gristwright.casework.stock.following import follow
from gristwright.casework.stock.forecast import Read, ages_at, common_draws, marks_of, per_lpa, read
from gristwright.casework.stock.regauge import regauge
from gristwright.numerics.cover import cheapest_cover
from gristwright.numerics.weights import band, equal_weights
from gristwright.quantities import alcoholometry
from gristwright.quantities.mixing import lpa_from_kg, together
from gristwright.quantities.shown import counted
from gristwright.records.stock import Rates, Regauged, Stock, StockCask, VattingAnswer
from gristwright.stages.bottle.limits import of_bottle
from gristwright.stages.cask.course import IntArray

# More casks than this are first thinned: no more than are needed many times over of each age and strength.
MOST_CASKS = 3000
ROUNDS = 6
# How near to the least loss: while the margin is sought, and then of the choice that is kept. Casks of one fill are so
# much alike that a ten-thousandth may take minutes to prove, and no gauge tells it.
ROUGH_GAP, GAP = 1e-3, 3e-4
SECONDS = 60.0
USUAL_BOTTLE_L = 0.7


@dataclass(frozen=True)
class Vat:
    """What is to be vatted: litres at a strength [%vol], youngest age [years], spirits allowed, probability asked."""

    litres: float
    abv_pct: float
    youngest_years: int = 3
    spirits: tuple[str, ...] = ()
    chance: float = 0.9


@dataclass(frozen=True)
class Candidates:
    """Casks that may go in; each array (casks,), draws (casks, draws). Worth is by a cask's own age."""

    names: tuple[str, ...]
    years: IntArray
    ethanol_kg: FloatArray
    water_kg: FloatArray
    lpa: FloatArray
    worth: FloatArray
    draws_ethanol_kg: FloatArray
    draws_water_kg: FloatArray


@dataclass(frozen=True)
class Choice:
    """The casks picked, whose worth is taken out of the stock, and the probability that they do."""

    picked: BoolArray
    value_taken: float
    chance: float


def vat(stock: Stock, wanted: Vat, rates: Rates, regauged: Regauged | None = None) -> VattingAnswer:
    """The casks, emptied whole, whose value is least for the litres asked; water alone brings them down.

    A cask is worth its litres of a year from now, at the rate of its age today: one that leaks costs less to take. What
    is made is worth the litres asked at the rate of the age asked; surplus and years above it count as nothing. One
    mixed-integer programme, solved near its optimum (GAP), and again with more alcohol asked until the probability is
    reached. Raises Refused with every fault, or when the casks cannot do it.
    """
    rows, years, young = fitting(stock, wanted)
    casks = _candidates(stock, rates, rows, years, regauged or regauge(stock))
    left_out = _left_out(stock, wanted, young)
    needed = wanted.litres * wanted.abv_pct / 100.0
    _refuse_too_little(casks, wanted, needed)
    choice = _best(casks, wanted, needed)
    if choice is None:
        what = f"no choice of casks gives {wanted.litres:g} L at {wanted.abv_pct:g} %vol with {wanted.chance:.0%}."
        raise Refused([Problem("vatting", what, "Ask for less, a lower strength, a younger age or a lower chance.")])
    made = needed * float(per_lpa(rates, np.array([wanted.youngest_years]))[0])
    return _answer(casks, wanted, rates, choice, made, left_out)


def _refuse_faults(stock: Stock, wanted: Vat) -> None:
    faults = [fault for fault in of_bottle(wanted.abv_pct, USUAL_BOTTLE_L) if not fault.warning]
    if not wanted.litres > 0.0:
        faults.append(Problem("litres", f"{wanted.litres:g} L is not above 0.", "Give the litres of the vatting."))
    if not 0.01 <= wanted.chance <= 0.99:
        faults.append(Problem("chance", f"{wanted.chance:g} is outside 0.01 to 0.99.", "Usual are 0.8 to 0.95."))
    spirits = {cask.spirit for cask in stock.casks}
    for name in wanted.spirits:
        if name not in spirits:
            faults.append(
                Problem("spirit", f"{name!r} does not lie in the stock.", f"It has: {', '.join(sorted(spirits))}.")
            )
    if faults:
        raise Refused(faults)


def fitting(stock: Stock, wanted: Vat) -> tuple[IntArray, IntArray, int]:
    """Rows and years of the casks of the spirits and the age asked, and how many are too young.

    Raises Refused for faults of what is wanted, and where there is no cask, or more than can be chosen among.
    """
    _refuse_faults(stock, wanted)
    years = ages_at(stock.casks, [stock.on])[0]
    fitting = np.array([not wanted.spirits or cask.spirit in wanted.spirits for cask in stock.casks])
    old = years >= wanted.youngest_years
    rows = np.flatnonzero(fitting & old)
    young = int((fitting & ~old).sum())
    if not len(rows):
        what = f"no cask of {', '.join(wanted.spirits) or 'the stock'} is {counted(wanted.youngest_years, 'year')} old."
        raise Refused([Problem("vatting", what, "Ask for a younger age.")])
    if len(rows) > MOST_CASKS:
        what = f"{len(rows)} casks may go in, and {MOST_CASKS} fit."
        raise Refused([Problem("vatting", what, "Name spirits, or a higher age.")])
    return rows, years[rows], young


def _candidates(stock: Stock, rates: Rates, rows: IntArray, years: IntArray, known: Regauged) -> Candidates:
    """Casks that may go in, followed to the day and a year on."""
    marks, common = marks_of(stock.on, 1), common_draws(known.loss.shape[1], known.seed)
    casks = [stock.casks[row] for row in rows]
    place = {finding.cask_id: k for k, finding in enumerate(known.casks)}
    own = [place[cask.cask_id] for cask in casks]
    run = follow(casks, stock.climates, known.loss[own], known.water[own], common, marks, known.seed)
    shown = read(run, np.array([cask.fill_L for cask in casks]))
    keep = np.median(shown.rla_L[0], axis=1) > 0.01
    return _columns(casks, run.ethanol_kg[0], run.water_kg[0], shown, years, rates, keep)


def _left_out(stock: Stock, wanted: Vat, young: int) -> tuple[str, ...]:
    """Which casks could not be considered, and why."""
    least = counted(wanted.youngest_years, "year")
    said = [f"{counted(young, 'cask')} {'is' if young == 1 else 'are'} younger than {least}."] if young else []
    if stock.unknown:
        names = ", ".join(cask.cask_id for cask in stock.unknown)
        said.append(f"{len(stock.unknown)} of a kind that is not known: {names}.")
    return tuple(said)


def _columns(
    casks: Sequence[StockCask],
    ethanol: FloatArray,
    water: FloatArray,
    shown: Read,
    years: IntArray,
    rates: Rates,
    keep: BoolArray,
) -> Candidates:
    ethanol_kg, water_kg, lpa, next_lpa = (
        np.median(values, axis=1)[keep] for values in (ethanol, water, shown.rla_L[0], shown.rla_L[1])
    )
    return Candidates(
        tuple(cask.cask_id for cask, kept in zip(casks, keep, strict=True) if kept),
        years[keep],
        ethanol_kg,
        water_kg,
        lpa,
        next_lpa * per_lpa(rates, years[keep]),
        ethanol[keep],
        water[keep],
    )


def _refuse_too_little(casks: Candidates, wanted: Vat, needed: float) -> None:
    held = float(casks.lpa.sum())
    if held >= needed:
        return
    what = f"{needed:.0f} L of pure alcohol are asked and the casks that fit hold {held:.0f} L."
    raise Refused([Problem("vatting", what, "Ask for fewer litres, a younger age or more spirits.")])


def _best(casks: Candidates, wanted: Vat, needed: float) -> Choice | None:
    """The best choice; margin is added until the probability is reached, and the choice then sought more closely."""
    margin = 1.0
    for _ in range(ROUNDS):
        rough = _solve(casks, wanted, needed * margin, ROUGH_GAP)
        if rough is None:
            return None
        if _chance(casks, wanted, needed, rough) >= wanted.chance:
            fine = _solve(casks, wanted, needed * margin, GAP)
            found = [_choice(casks, wanted, needed, picked) for picked in (fine, rough) if picked is not None]
            return min((one for one in found if one.chance >= wanted.chance), key=lambda one: one.value_taken)
        margin *= _short(casks, needed, rough, wanted.chance)
    return None


def _choice(casks: Candidates, wanted: Vat, needed: float, picked: BoolArray) -> Choice:
    return Choice(picked, float(casks.worth[picked].sum()), _chance(casks, wanted, needed, picked))


def _solve(casks: Candidates, wanted: Vat, lpa: float, gap: float) -> BoolArray | None:
    """The binary programme: least worth, enough alcohol, strong enough together. None when there is no solution."""
    share = float(alcoholometry.mass_fraction_from_abv(wanted.abv_pct))
    strength = casks.ethanol_kg * (1.0 - share) - casks.water_kg * share
    # Between casks of one worth, the least alcohol.
    cost = casks.worth + 1e-6 * casks.lpa
    return cheapest_cover(cost, np.stack([casks.lpa, strength]), np.array([lpa, 0.0]), gap, SECONDS)


def _chance(casks: Candidates, wanted: Vat, needed: float, picked: BoolArray) -> float:
    """Share of the draws in which the casks hold enough alcohol and are strong enough together."""
    ethanol, water = casks.draws_ethanol_kg[picked].sum(axis=0), casks.draws_water_kg[picked].sum(axis=0)
    lpa = lpa_from_kg(ethanol)
    share = float(alcoholometry.mass_fraction_from_abv(wanted.abv_pct))
    return float(((lpa >= needed) & (ethanol / (ethanol + water) >= share)).mean())


def _short(casks: Candidates, needed: float, picked: BoolArray, chance: float) -> float:
    """By how much more alcohol to ask: what the draws at the probability asked fall short of the need."""
    lpa = lpa_from_kg(casks.draws_ethanol_kg[picked].sum(axis=0))
    return max(1.0005, needed / float(np.quantile(lpa, 1.0 - chance)))


def _answer(
    casks: Candidates, wanted: Vat, rates: Rates, best: Choice, made: float, left_out: tuple[str, ...]
) -> VattingAnswer:
    mix = together(casks.draws_ethanol_kg[best.picked], casks.draws_water_kg[best.picked])
    litres, abv = float(np.median(mix.litres)), float(np.median(mix.abv_pct))
    lpa = mix.lpa_L
    reduced = alcoholometry.reduction(litres, abv, min(wanted.abv_pct, abv))
    return VattingAnswer(
        casks=tuple(name for name, picked in zip(casks.names, best.picked, strict=True) if picked),
        litres_asked=wanted.litres,
        abv_pct=wanted.abv_pct,
        youngest_years=int(casks.years[best.picked].min()),
        rla_L=band(lpa, equal_weights(len(lpa))),
        mixed_L=litres,
        mixed_abv_pct=abv,
        water_L=reduced.water_L,
        surplus_L=float(np.median(lpa)) / (wanted.abv_pct / 100.0) - wanted.litres,
        chance=best.chance,
        value_taken=best.value_taken,
        value_made=made,
        loss_of_value=best.value_taken - made,
        currency=rates.currency,
        considered=len(casks.names),
        left_out=left_out,
    )
