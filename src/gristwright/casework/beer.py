"""The brewer's side: what a bill gives as boiled wort and beer, and how far its enzymes reach. See docs/wash.md."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gristwright.basics import FloatArray, Problem, at, refuse_if_any
from gristwright.casework.bench import limits
from gristwright.casework.bench.bench import GristBench, set_up_grist
from gristwright.casework.bench.boards import grist_boards, why_withheld
from gristwright.casework.bench.capacity import year_t
from gristwright.casework.bench.grounds import HOUSE, assumptions, of_result
from gristwright.casework.bench.identity import identities
from gristwright.casework.bench.one_bill import Forecast
from gristwright.casework.bench.withheld import BEER, of_figures, unsaid
from gristwright.flowsheet.line import to_wort
from gristwright.numerics import draws as drawing
from gristwright.records.bill import Bill
from gristwright.records.enquiry import BillSheet
from gristwright.records.lot import Lot
from gristwright.records.results import BillResult, Board, Figure
from gristwright.records.streams import Grist, Wort
from gristwright.records.ways import Ways
from gristwright.stages.grist import certificate
from gristwright.stages.grist.limits import husk_problems
from gristwright.stages.mash.boards import attenuation_board, gravity_board
from gristwright.stages.mash.laboratory import MashEffect
from gristwright.stages.mash.limits_simulation import left_problems
from gristwright.stages.wash import boiled
from gristwright.stages.wash.boards import washback_board
from gristwright.stages.wash.heat import heat_cautions

# A strong beer's wort is no fault in a brewery.
MOST_SG = 1.125
# What the certificates say whatever the mash makes of it.
OF_THE_GRIST = ("colour_EBC", "power", "units")


def brew(sheet: BillSheet, lots: Sequence[Lot], members: int = drawing.MEMBERS, seed: int = drawing.SEED) -> Forecast:
    """Wort strength, attenuation, colour and enzyme boards for boiled wort. Raises Refused with every fault."""
    faults = limits.sheet_problems(sheet, lots) + _beer_problems(sheet)
    in_bill = {share.lot_id for share in sheet.bill.shares}
    chosen = [lot for lot in lots if lot.lot_id in in_bill]
    bench = set_up_grist(chosen, sheet.prices, sheet.plant, faults, members, seed).traced()
    result = brewed(bench, sheet)
    return Forecast(result, assumptions(bench, of_result(result), sheet.currency), bench.warnings)


def brewing_bench(
    sheet: BillSheet, lots: Sequence[Lot], faults: list[Problem], members: int, seed: int = drawing.SEED
) -> GristBench:
    """A bench of all these lots for bills of one house, for who tries several. Raises Refused with every fault."""
    return set_up_grist(lots, sheet.prices, sheet.plant, faults + _beer_problems(sheet), members, seed)


def brewed(bench: GristBench, sheet: BillSheet) -> BillResult:
    """Everything computed for a brewer's bill on a bench. Raises Refused where the mash cannot be."""
    grist, wort, effect = mashed(bench, sheet.bill)
    refuse_if_any([*husk_problems(sheet.bill, bench.materials, at("bill")), *left_problems(wort)])
    beer = _beer(bench, sheet.bill, grist, wort, effect)
    why, figures = why_withheld(bench, sheet.bill, grist, wort, BEER), _figures(bench, sheet, grist, wort, beer)
    kept = [figure for figure in figures if why is None or figure.key in OF_THE_GRIST]
    return BillResult(
        bill=sheet.bill,
        labels=bench.labels(sheet.bill),
        figures={figure.key: figure for figure in kept},
        ledger=None,
        boards=unsaid(_boards(bench, sheet, grist, wort, beer), why),
        law=(),
        cautions=heat_cautions(sheet.plant.washbacks, bench.runs.band(wort.original_gravity_degP).middle),
        withheld=of_figures(why, [figure for figure in figures if figure not in kept]) if why else None,
        lots=identities(bench, sheet.bill),
    )


def values_of(bench: GristBench, bill: Bill) -> dict[str, FloatArray]:
    """What two bills are compared by, on every draw; by the keys of their figures."""
    grist, wort, effect = mashed(bench, bill)
    beer = _beer(bench, bill, grist, wort, effect)
    return {
        "extract_kg_per_t": wort.extract_kg_per_t,
        "original_gravity_degP": wort.original_gravity_degP,
        "original_gravity_sg": wort.original_gravity_sg,
        "limit_attenuation_pct": beer.limit_attenuation_pct,
        "apparent_attenuation_pct": beer.apparent_attenuation_pct,
        "final_gravity_sg": beer.final_gravity_sg,
        "abv_pct": beer.abv_pct,
        "colour_EBC": beer.colour_EBC,
        "power": grist.diastatic_power_degLintner,
        "units": grist.dextrinising_units,
        "cost_per_hL": _cost_per_hL(grist, wort),
    }


def _cost_per_hL(grist: Grist, wort: Wort) -> FloatArray:
    """Malt and grain in a hectolitre of wort; one value for every member."""
    return np.asarray(100.0 * grist.malt_cost_per_t / wort.volume_L_per_t + 0.0 * wort.original_gravity_sg)


def mashed(bench: GristBench, bill: Bill) -> tuple[Grist, Wort, MashEffect]:
    """A brewer's grist, its wort after the simulated mash, and what that mash did."""
    shares, draws = bench.shares(bill), bench.draws
    effect = bench.mash_effect(shares, draws)
    grist, wort = to_wort(shares, bench.lot_columns(draws), bench.plant, draws, effect, bench.usual_shares)
    return grist, wort, effect


def wort_boards(bench: GristBench, bill: Bill, grist: Grist, wort: Wort) -> tuple[Board, ...]:
    """A brewer's boards that the grist and the mash decide."""
    return (
        *grist_boards(bench, bill, grist, wort),
        gravity_board(wort, bench.runs, MOST_SG),
        washback_board(bench.plant.mash, bench.plant.washbacks),
    )


def _beer_problems(sheet: BillSheet) -> list[Problem]:
    problems = []
    if sheet.categories:
        what = f"whisky categories ({', '.join(sheet.categories)}) do not apply to beer."
        problems.append(Problem(at("bill", "categories"), what, "Leave them out; ask your local beer law."))
    if sheet.plant.grain_in:
        problems.append(Problem(at("plant", "kind"), "beer is brewed from wort drawn off the grain.", "Use separated."))
    if not sheet.plant.wort_boiled:
        way_out = "Say so: wort_boiled = true in the plant file."
        problems.append(
            Problem(at("plant", "wort_boiled"), "a brewer boils the wort, and this plant does not.", way_out)
        )
    return problems


def _beer(bench: GristBench, bill: Bill, grist: Grist, wort: Wort, effect: MashEffect) -> boiled.Beer:
    raw_extract = grist.extract_asis_pct - grist.malt_extract_asis_pct
    limit = boiled.limit_attenuation_pct(
        grist.fermentable_extract_pct, raw_extract, grist.extract_asis_pct, bench.draws
    )
    return boiled.brew(wort, np.minimum(limit * effect.attenuation, 100.0), _colour(bench, bill), bench.draws)


def _annual_hL(bench: GristBench, wort: Wort) -> FloatArray:
    """Wort of a year [hL], (members,): of the tonnes of the plant file, as far as the run-off leaves time for them."""
    return np.asarray(year_t(bench.plant, wort, bench.draws) * wort.volume_L_per_t / 100.0)


def _colour(bench: GristBench, bill: Bill) -> FloatArray:
    """Colour of the grist as its Congress wort would have it [EBC], by mass; (members,)."""
    columns = [bench.draws[certificate.column(b.lot.lot_id, "colour_EBC")] for b in bench.lots]
    return np.asarray(np.stack(columns, axis=-1) @ bench.shares(bill))


def _figures(bench: GristBench, sheet: BillSheet, grist: Grist, wort: Wort, beer: boiled.Beer) -> list[Figure]:
    bill, runs = sheet.bill, bench.runs
    rows = (
        ("extract_kg_per_t", "extract in the wort", "kg/t", wort.extract_kg_per_t, 0, True),
        ("original_gravity_degP", "original extract", "degP", wort.original_gravity_degP, 1, True),
        ("original_gravity_sg", "original gravity", "SG", wort.original_gravity_sg, 4, True),
        ("limit_attenuation_pct", "real limit attenuation, boiled", "%", beer.limit_attenuation_pct, 1, True),
        ("apparent_attenuation_pct", "apparent attenuation", "%", beer.apparent_attenuation_pct, 1, True),
        ("final_gravity_sg", "final gravity", "SG", beer.final_gravity_sg, 4, True),
        ("abv_pct", "strength", "%vol", beer.abv_pct, 2, True),
        ("colour_EBC", "colour, a first look", "EBC", beer.colour_EBC, 0, True),
        ("power", "diastatic power of the grist", "degLintner", grist.diastatic_power_degLintner, 0, False),
        ("units", "dextrinising units of the grist", "DU", grist.dextrinising_units, 0, False),
        ("annual_wort_hL", "wort a year", "hL", _annual_hL(bench, wort), 0, True),
    )
    figures = [
        Figure.of(key, label, unit, values, digits, runs, *((HOUSE,) if mashed else ()))
        for key, label, unit, values, digits, mashed in rows
    ]
    if sheet.currency and {share.lot_id for share in bill.shares} <= set(sheet.prices):
        cost = _cost_per_hL(grist, wort)
        prices = tuple(f"input.price.{share.lot_id}" for share in bill.shares)
        figures.append(
            Figure.of("cost_per_hL", "malt and grain", f"{sheet.currency}/hL", cost, 2, runs, HOUSE, *prices)
        )
    return figures


def _boards(bench: GristBench, sheet: BillSheet, grist: Grist, wort: Wort, beer: boiled.Beer) -> tuple[Board, ...]:
    target = sheet.target_attenuation_pct
    boards = wort_boards(bench, sheet.bill, grist, wort)
    if target is None:
        return boards
    ways, beer_boards = Ways.of(bench.plant.mash, boiled=True), beer.apparent_attenuation_pct
    return (*boards, attenuation_board(beer_boards, target, bench.runs, ways))
