"""The brewer's side: what a bill gives as boiled wort and beer, and how far its enzymes reach. See docs/wash.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from gristwright.basics import Assumption, Draws, FloatArray, Problem, at, refuse_if_any
from gristwright.casework.bench import limits
from gristwright.casework.bench.attenuation import held_back
from gristwright.casework.bench.bench import GristBench
from gristwright.casework.bench.boards import grist_boards, wash_boards, why_withheld
from gristwright.casework.bench.capacity import year_t
from gristwright.casework.bench.fermenting import told_of
from gristwright.casework.bench.grounds import HOUSE, assumptions, of_result
from gristwright.casework.bench.identity import identities
from gristwright.casework.bench.one_bill import Forecast
from gristwright.casework.bench.setting_up import set_up_grist
from gristwright.casework.bench.withheld import BEER, of_figures, unsaid
from gristwright.flowsheet.effects import HouseEffect
from gristwright.flowsheet.line import to_wort
from gristwright.numerics import draws as drawing
from gristwright.records.bill import Bill
from gristwright.records.enquiry import BillSheet
from gristwright.records.lot import Lot
from gristwright.records.results import BillResult, Board, Figure, Withheld
from gristwright.records.streams import Grist, Wort
from gristwright.records.wash import WashEnd
from gristwright.records.ways import Ways
from gristwright.reference.house_words import for_a_brewer
from gristwright.stages.grist.beta_glucan import filtration_board, rested, wort_beta_glucan_mg_per_L
from gristwright.stages.grist.limits import husk_problems
from gristwright.stages.mash.boards import attenuation_board, gravity_board
from gristwright.stages.mash.limits_simulation import left_problems
from gristwright.stages.wash import boiled

# A strong beer's wort is no fault in a brewery.
MOST_SG = 1.125
STRONG = "usual range of beers up to very strong ones, from memory"
# What the certificates say whatever the mash makes of it.
OF_THE_GRIST = ("colour_EBC", "power", "units")
# Key, label, unit and decimals of every figure.
ROWS = (
    ("extract_kg_per_t", "extract in the wort", "kg/t", 0),
    ("extract_yield_pct", "extract yield of the brewhouse", "% of the grist", 1),
    ("laboratory_yield_pct", "the same, of the laboratory's extract", "%", 1),
    ("original_gravity_degP", "original extract", "degP", 1),
    ("original_gravity_sg", "original gravity", "SG", 4),
    ("limit_attenuation_pct", "real limit attenuation, boiled", "%", 1),
    ("apparent_attenuation_pct", "apparent attenuation", "%", 1),
    ("attenuated_h", "hours until attenuated", "h", 0),
    ("final_gravity_sg", "final gravity", "SG", 4),
    ("abv_pct", "strength", "%vol", 2),
    ("colour_EBC", "colour, a first look", "EBC", 0),
    ("fan_mg_per_L", "free amino nitrogen of the wort", "mg/L", 0),
    ("beta_glucan_mg_per_L", "beta-glucan of the wort, an estimate", "mg/L", 0),
    ("power", "diastatic power of the grist", "degLintner", 0),
    ("units", "dextrinising units of the grist", "DU", 0),
    ("annual_wort_hL", "wort a year", "hL", 0),
)
MONEY = (
    ("cost_per_hL", "malt and grain", "hL", 2),
    ("cost_per_hL_degP", "malt and grain for the extract", "hL degP", 3),
)


@dataclass(frozen=True)
class Brew:
    """A brewer's bill followed to its beer; arrays (members,), or (bills,) on one run."""

    grist: Grist
    wort: Wort
    beer: boiled.Beer
    fan_mg_per_L: FloatArray
    beta_glucan_mg_per_L: FloatArray
    attenuated_h: FloatArray | None  # nearly all of it reached; None: not simulated
    annual_hL: FloatArray  # wort of a year: of the tonnes of the plant file, as far as the run-off leaves time for them
    wash: WashEnd | None = None  # of the simulated fermentation; None: as in the laboratory

    @property
    def values(self) -> dict[str, FloatArray]:
        """What bills are compared, searched and shown by, by the keys of their figures."""
        grist, wort, beer = self.grist, self.wort, self.beer
        everywhere = np.zeros_like(wort.original_gravity_sg)
        cost = 100.0 * grist.malt_cost_per_t / wort.volume_L_per_t + everywhere
        hours = {} if self.attenuated_h is None else {"attenuated_h": self.attenuated_h}
        return hours | {
            "extract_kg_per_t": wort.extract_kg_per_t,
            "extract_yield_pct": wort.extract_kg_per_t / 10.0,
            "laboratory_yield_pct": 10.0 * wort.extract_kg_per_t / grist.extract_asis_pct,
            "original_gravity_degP": wort.original_gravity_degP,
            "original_gravity_sg": wort.original_gravity_sg,
            "limit_attenuation_pct": beer.limit_attenuation_pct,
            "apparent_attenuation_pct": beer.apparent_attenuation_pct,
            "final_gravity_sg": beer.final_gravity_sg,
            "abv_pct": beer.abv_pct,
            "colour_EBC": beer.colour_EBC,
            "fan_mg_per_L": self.fan_mg_per_L,
            "beta_glucan_mg_per_L": self.beta_glucan_mg_per_L,
            "power": grist.diastatic_power_degLintner,
            "units": grist.dextrinising_units,
            "annual_wort_hL": self.annual_hL + everywhere,
            "cost_per_hL": cost,
            "cost_per_hL_degP": cost / wort.original_gravity_degP,
        }


def brew(sheet: BillSheet, lots: Sequence[Lot], members: int = drawing.MEMBERS, seed: int = drawing.SEED) -> Forecast:
    """Wort strength, attenuation, colour and enzyme boards for boiled wort. Raises Refused with every fault."""
    faults = limits.sheet_problems(sheet, lots) + _beer_problems(sheet)
    in_bill = {share.lot_id for share in sheet.bill.shares}
    chosen = [lot for lot in lots if lot.lot_id in in_bill]
    bench = set_up_grist(chosen, sheet.prices, sheet.plant, faults, members, seed, behind=sheet.bill).traced()
    result = brewed(bench, sheet)
    rests_on = assumed(bench, of_result(result), sheet.currency)
    return Forecast(result, rests_on, bench.warnings, remarks=result.warnings)


def brewing_bench(
    sheet: BillSheet, lots: Sequence[Lot], faults: list[Problem], members: int, seed: int = drawing.SEED
) -> GristBench:
    """A bench of all these lots for bills of one house, for who tries several. Raises Refused with every fault."""
    return set_up_grist(
        lots, sheet.prices, sheet.plant, faults + _beer_problems(sheet), members, seed, behind=sheet.bill
    )


def assumed(bench: GristBench, names: set[str], currency: str) -> tuple[Assumption, ...]:
    """What a brewer's figures rest on, in his words."""
    return for_a_brewer(assumptions(bench, names, currency))


def brewed(bench: GristBench, sheet: BillSheet, present: Bill | None = None) -> BillResult:
    """Everything computed for a brewer's bill on a bench, in his words; `present` is today's, where there is one.

    Raises Refused where the mash cannot be.
    """
    made = mashed(bench, sheet.bill)
    refuse_if_any([*husk_problems(sheet.bill, bench.materials, at("bill")), *left_problems(made.wort)])
    why, figures = withheld_of(bench, sheet.bill, made), _figures(bench, sheet, made)
    kept = [figure for figure in figures if why is None or figure.key in OF_THE_GRIST]
    told = told_of(bench, sheet.bill, made.wort, made.wash, why is not None)
    result = BillResult(
        bill=sheet.bill,
        labels=bench.labels(sheet.bill),
        figures={figure.key: figure for figure in kept},
        ledger=None,
        boards=unsaid(told.among(brewers_boards(bench, sheet, made, present)), why),
        law=(),
        warnings=() if why else held_back(bench, sheet.bill, bench.runs.band(made.beer.abv_pct)),
        cautions=told.sentences,
        withheld=of_figures(why, [figure for figure in figures if figure not in kept]) if why else None,
        lots=identities(bench, sheet.bill),
    )
    return for_a_brewer(result)


def withheld_of(bench: GristBench, bill: Bill, made: Brew) -> Withheld | None:
    """Why gravity and strength of a bill are not said; None where they are."""
    return why_withheld(bench, bill, made.grist, made.wort, BEER)


def values_of(bench: GristBench, bill: Bill) -> dict[str, FloatArray]:
    """What two bills are compared by, on every draw; by the keys of their figures."""
    return mashed(bench, bill).values


def mashed(bench: GristBench, bill: Bill) -> Brew:
    """A brewer's bill through its simulated mash to its beer, on the bench's draws."""
    shares = bench.shares(bill)
    return brew_on(bench, shares, bench.draws, bench.house_effect(shares, bench.draws))


def brew_on(bench: GristBench, shares: FloatArray, draws: Draws, effect: HouseEffect | None = None) -> Brew:
    """Shares (lots,) or (members, lots) followed to beer on these draws; without an `effect` as in the laboratory."""
    grist, wort = to_wort(shares, bench.lot_columns(draws), bench.plant, draws, effect, bench.usual_shares)
    raw_extract = grist.extract_asis_pct - grist.malt_extract_asis_pct
    limit = boiled.limit_attenuation_pct(grist.fermentable_extract_pct, raw_extract, grist.extract_asis_pct, draws)
    attenuated = limit if effect is None else np.minimum(limit * effect.mash.attenuation, 100.0)
    colour = np.asarray((shares * bench.of_lots("colour_EBC", draws)).sum(axis=-1))
    glucan = wort_beta_glucan_mg_per_L(
        shares, bench.of_lots("beta_glucan_mg_per_L", draws), wort.original_gravity_degP, bench.plant.mash.rests, draws
    )
    end = None if effect is None else effect.wash
    beer = boiled.brew(wort, attenuated, colour, draws, end)
    annual_hL = year_t(bench.plant, wort, draws) * wort.volume_L_per_t / 100.0
    hours = None if end is None else end.stops_h
    return Brew(grist, wort, beer, bench.wort_fan(shares, wort, draws), glucan, hours, np.asarray(annual_hL), end)


def wort_boards(bench: GristBench, bill: Bill, made: Brew, present: Bill | None = None) -> tuple[Board, ...]:
    """A brewer's boards that the grist and the mash decide."""
    raw = any(not b.material.malted and bill.parts_of(b.lot.lot_id) for b in bench.lots)
    return (
        *grist_boards(bench, bill, made.grist, made.wort, present),
        filtration_board(made.beta_glucan_mg_per_L, bench.runs, raw, rested(bench.plant.mash.rests)),
        replace(gravity_board(made.wort, bench.runs, MOST_SG), standing="from memory", source=STRONG),
        *wash_boards(bench, bill, made.wort, made.wash),
    )


def _beer_problems(sheet: BillSheet) -> list[Problem]:
    problems = limits.law_of_beer_problems(sheet.categories, at("bill", "categories"))
    problems += limits.law_of_beer_problems(sheet.markets, at("bill", "markets"))
    if sheet.plant.grain_in:
        problems.append(Problem(at("plant", "kind"), "beer is brewed from wort drawn off the grain.", "Use separated."))
    if not sheet.plant.wort_boiled:
        way_out = "Say so: wort_boiled = true in the plant file."
        problems.append(
            Problem(at("plant", "wort_boiled"), "a brewer boils the wort, and this plant does not.", way_out)
        )
    return problems


def _figures(bench: GristBench, sheet: BillSheet, made: Brew) -> list[Figure]:
    values, bill = made.values, sheet.bill
    figures = [
        Figure.of(key, label, unit, values[key], digits, bench.runs, *(() if key in OF_THE_GRIST else (HOUSE,)))
        for key, label, unit, digits in ROWS
    ]
    if sheet.currency and {share.lot_id for share in bill.shares} <= set(sheet.prices):
        prices = tuple(f"input.price.{share.lot_id}" for share in bill.shares)
        figures += [
            Figure.of(key, label, f"{sheet.currency}/{unit}", values[key], digits, bench.runs, HOUSE, *prices)
            for key, label, unit, digits in MONEY
        ]
    return figures


def brewers_boards(bench: GristBench, sheet: BillSheet, made: Brew, present: Bill | None = None) -> tuple[Board, ...]:
    """Every board of a brewer's bill; `present` is the bill that the house's usual run-off hours belong to."""
    target = sheet.target_attenuation_pct
    boards = wort_boards(bench, sheet.bill, made, present)
    if target is None:
        return boards
    ways, reached = Ways.of(bench.plant.mash, boiled=True), made.beer.apparent_attenuation_pct
    return (*boards, attenuation_board(reached, target, bench.runs, ways))
