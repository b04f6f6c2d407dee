"""What a search weighs of a bill and asks of it, as data: by keys of figures, for spirit and for beer.

See docs/casework.md.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias, cast

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.casework import beer
from gristwright.casework.beer import Brew
from gristwright.casework.bench.bench import GristBench, SpiritBench
from gristwright.casework.bench.boards import distillers_boards, why_withheld
from gristwright.casework.bench.withheld import BEER, LITRES
from gristwright.economics.new_make import cost_per_lpa
from gristwright.flowsheet.effects import HouseEffect
from gristwright.flowsheet.line import NewMake
from gristwright.records.bill import Bill
from gristwright.records.enquiry import BillSheet, Enquiry
from gristwright.records.results import Board, Withheld
from gristwright.stages.mash.boards import RED_SG

# A bill followed as far as it is weighed.
Made: TypeAlias = NewMake | Brew
# How likely a board may be out of order for a bill still to be offered; filtration, an estimate, only warns.
MOST_STARCH_RISK, MOST_RISK = 0.1, 0.5
LET_PASS = {"enzymes": MOST_STARCH_RISK, "filtration": math.inf}


# What a person would call different: litres a tonne and money a litre; kilograms of extract a tonne and money for a hL
# of a degree Plato.
LITRE_STEP, COST_STEP = 1.0, 0.01
EXTRACT_STEP, EXTRACT_COST_STEP = 2.0, 0.002


@dataclass(frozen=True)
class Limit:
    """A bound on the figure of a key: at least or at most so much, in words."""

    key: str
    words: str
    bound: float
    unit: str
    least: bool


@dataclass(frozen=True)
class Objective:
    """What is weighed: the figure of a key, and the step of it that a person would call different."""

    key: str
    step: float


@dataclass(frozen=True)
class Work:
    """One kind of work as a search sees it.

    `gain` is wanted high and `cost` low; `shifted` is what simulated mash and wash leave of the gain; `changes` are the
    figures an offer is compared by, key and decimals, and `tells` words a gain and a cost.
    """

    gain: Objective
    cost: Objective
    limits: tuple[Limit, ...]
    withheld: str
    follow: Callable[[GristBench, FloatArray, Draws, HouseEffect | None], Made]
    values: Callable[[Made], Mapping[str, FloatArray]]
    boards: Callable[[GristBench, Bill, Made], Sequence[Board]]
    shifted: Callable[[GristBench, HouseEffect], FloatArray]
    tells: Callable[[float, float], str]
    of_the_best: str
    chosen_for: str = "the cheapest litre"
    trading: str = "that trade litres against money"

    def made(self, bench: GristBench, bill: Bill) -> Made:
        """A bill through its simulated mash, on the bench's draws."""
        shares = bench.shares(bill)
        return self.follow(bench, shares, bench.draws, bench.house_effect(shares, bench.draws))

    def near(self, bench: GristBench, bill: Bill, known: Bill) -> Made:
        """A bill little different from a known one, through its mash as `house_effect_near` has it."""
        shares = bench.shares(bill)
        effect = bench.house_effect_near(shares, bench.shares(known))
        return self.follow(bench, shares, bench.draws, effect)

    def why(self, bench: GristBench, bill: Bill, made: Made | None = None) -> Withheld | None:
        """Why the figures of a bill are not said, its own mash behind it; None where they are."""
        of = self.made(bench, bill) if made is None else made
        wash = of.wash if isinstance(of, NewMake) else None
        return why_withheld(bench, bill, of.grist, of.wort, self.withheld, wash)


def most_risk(key: str) -> float:
    """How likely a board may be out of order for a bill still to be offered."""
    return LET_PASS.get(key, MOST_RISK)


def work_of(enquiry: Enquiry) -> Work:
    """The work that an enquiry asks about."""
    return _beer(enquiry) if enquiry.brews else _spirit(enquiry)


def _spirit(enquiry: Enquiry) -> Work:
    def values(made: Made) -> Mapping[str, FloatArray]:
        of = cast(NewMake, made)
        litres = of.spirit.lpa_per_t
        return {
            "lpa_per_t": litres,
            "cost_per_lpa": cost_per_lpa(of.grist.malt_cost_per_t, enquiry.processing_cost_per_t, litres),
            "wash_abv_pct": of.wash.abv_pct,
            "original_gravity_sg": of.wort.original_gravity_sg,
        }

    def boards(bench: GristBench, bill: Bill, made: Made) -> Sequence[Board]:
        of = cast(NewMake, made)
        return distillers_boards(cast(SpiritBench, bench), bill, of, enquiry.limits, (), enquiry.present)

    return Work(
        gain=Objective("lpa_per_t", LITRE_STEP),
        cost=Objective("cost_per_lpa", COST_STEP),
        limits=_of_spirit(enquiry),
        withheld=LITRES,
        follow=lambda bench, shares, draws, effect: cast(SpiritBench, bench).new_make(shares, draws, effect),
        values=values,
        boards=boards,
        shifted=lambda bench, effect: effect.factor / bench.middles["wash.alcohol_recovery"],
        tells=lambda gain, cost: f"{gain:.0f} L/t at {cost:.2f} {enquiry.currency} a litre",
        of_the_best="the litres of the best are withheld",
    )


def _beer(enquiry: Enquiry) -> Work:
    def follow(bench: GristBench, shares: FloatArray, draws: Draws, effect: HouseEffect | None) -> Made:
        if effect is None:  # many bills at once: each is taken to ferment as today's does in this house
            here = bench.house_effect(bench.shares(enquiry.present), draws)
            effect = replace(here, mash=replace(here.mash, converted=np.ones_like(here.mash.converted)))
        return beer.brew_on(bench, shares, draws, effect)

    def boards(bench: GristBench, bill: Bill, made: Made) -> Sequence[Board]:
        return beer.brewers_boards(bench, sheet_of(enquiry, bill), cast(Brew, made), enquiry.present)

    return Work(
        gain=Objective("extract_kg_per_t", EXTRACT_STEP),
        cost=Objective("cost_per_hL_degP", EXTRACT_COST_STEP),
        limits=_of_beer(enquiry),
        withheld=BEER,
        follow=follow,
        values=lambda made: cast(Brew, made).values,
        boards=boards,
        shifted=lambda bench, effect: 1.0 - effect.mash.unconverted,
        tells=lambda gain, cost: f"{gain:.0f} kg/t of extract at {cost:.3f} {enquiry.currency} for a hL degP",
        of_the_best="the extract of the best is withheld",
        chosen_for="the cheapest extract",
        trading="that trade extract against money",
    )


def sheet_of(enquiry: Enquiry, bill: Bill) -> BillSheet:
    """A bill of a brewer's enquiry as a sheet of its own."""
    return BillSheet(
        bill=bill,
        plant=enquiry.plant,
        cask=None,
        prices={offered.lot_id: offered.price_per_t for offered in enquiry.offered},
        currency=enquiry.currency,
        date=enquiry.date,
        purpose="beer",
        target_attenuation_pct=enquiry.target_attenuation_pct,
    )


def _of_spirit(enquiry: Enquiry) -> tuple[Limit, ...]:
    given, money = enquiry.limits, enquiry.currency
    cost = f"at most {{}} {money} a litre of pure alcohol in malt and processing"
    return (
        *_least("lpa_per_t", "at least {} L of pure alcohol a tonne", given.least_lpa_per_t, "L/t"),
        *_least("wash_abv_pct", "wash of at least {} %vol", given.least_wash_abv_pct, "%vol"),
        *_most("cost_per_lpa", cost, given.most_cost_per_lpa, f"{money} a litre"),
        Limit(
            "original_gravity_sg",
            "original gravity the house can take",
            given.most_original_gravity_sg or RED_SG[1],
            "SG",
            least=False,
        ),
    )


def _of_beer(enquiry: Enquiry) -> tuple[Limit, ...]:
    given, money = enquiry.limits, enquiry.currency
    return (
        *_least("original_gravity_degP", "at least {} degP", given.least_original_gravity_degP, "degP"),
        *_most("original_gravity_degP", "at most {} degP", given.most_original_gravity_degP, "degP"),
        *_most("original_gravity_sg", "original gravity of at most {}", given.most_original_gravity_sg, "SG"),
        *_least("limit_attenuation_pct", "limit attenuation of at least {} %", given.least_limit_attenuation_pct, "%"),
        *_least("extract_yield_pct", "extract yield of at least {} %", given.least_extract_yield_pct, "%"),
        *_least("fan_mg_per_L", "at least {} mg/L of free amino nitrogen", given.least_fan_mg_per_L, "mg/L"),
        *_most("beta_glucan_mg_per_L", "at most {} mg/L of beta-glucan", given.most_beta_glucan_mg_per_L, "mg/L"),
        *_least("colour_EBC", "colour of at least {} EBC", given.least_colour_EBC, "EBC"),
        *_most("colour_EBC", "colour of at most {} EBC", given.most_colour_EBC, "EBC"),
        *_most("cost_per_hL", f"at most {{}} {money} of malt and grain a hL", given.most_cost_per_hL, f"{money}/hL"),
    )


def _least(key: str, words: str, bound: float | None, unit: str) -> tuple[Limit, ...]:
    return () if bound is None else (Limit(key, words.format(f"{bound:g}"), bound, unit, least=True),)


def _most(key: str, words: str, bound: float | None, unit: str) -> tuple[Limit, ...]:
    return () if bound is None else (replace(_least(key, words, bound, unit)[0], least=False),)
