"""What a result rests on: every parameter, user's figure and constant with its band, standing and source."""

from __future__ import annotations

import math
from collections.abc import Iterable

from gristwright.basics import Assumption, Band, Standing
from gristwright.casework.bench.bench import Bench, GristBench
from gristwright.quantities.shown import counted
from gristwright.records.enquiry import Enquiry
from gristwright.records.results import BillResult, Figure, LedgerRow
from gristwright.reference import toml_table

# What is not drawn: the house as its file says it, the factor of the predicted spirit yield.
HOUSE, PSY = "input.plant", "constant.psy_factor"


def named(figures: Iterable[Figure | LedgerRow]) -> set[str]:
    """Names of everything that one of the figures rests on."""
    return {name for figure in figures for name in figure.rests_on}


def of_result(result: BillResult) -> set[str]:
    """Names of everything that a figure, ledger row, board or reason of a bill rests on."""
    rows = result.ledger.rows if result.ledger else ()
    boards = [board.figure for board in result.boards if board.figure]
    return named((*result.figures.values(), *rows, *boards, *(result.withheld.reasons if result.withheld else ())))


def assumptions(
    bench: GristBench, names: set[str], currency: str = "", enquiry: Enquiry | None = None
) -> tuple[Assumption, ...]:
    """Every assumption among `names`, in the order of the priors, then the user's figures, then the constants."""
    assumed = [
        Assumption(
            prior.name,
            prior.meaning,
            prior.unit,
            bench.runs.band(bench.draws[prior.name]),
            prior.source.standing,
            ". ".join(text for text in (prior.source.text, prior.source.note) if text),
        )
        for prior in bench.priors
        if prior.name in names
    ]
    given = [*_of_house(bench), *_of_prices(bench, currency), *(_of_enquiry(enquiry) if enquiry else ())]
    return (*assumed, *(assumption for assumption in given if assumption.name in names), *_constants(names))


def _of_house(bench: GristBench) -> list[Assumption]:
    plant, file = bench.plant, "plant file"
    volume = f"{'whole mash' if plant.grain_in else 'wort collected'} at {plant.name}"
    given = [
        _given("input.plant", volume, "L/t", plant.mash.wort_L_per_t, file),
        _given("input.tonnes_per_year", "grist mashed in a year", "t", plant.tonnes_per_year, file),
    ]
    if isinstance(bench, Bench):
        plan = bench.cask
        words = f"years in a {plan.kind.name} in a {plan.climate.name}"
        given.append(_given("input.cask", words, "years", plan.years, file))
    return given


def _of_prices(bench: GristBench, currency: str) -> list[Assumption]:
    return [
        _given(f"input.price.{b.lot.lot_id}", f"price of {b.lot.lot_id}", f"{currency}/t", price, "price given")
        for b, price in zip(bench.lots, bench.prices, strict=True)
        if not math.isnan(price)
    ]


def _of_enquiry(enquiry: Enquiry) -> list[Assumption]:
    unit = f"{enquiry.currency}/t"
    words = "processing cost of a tonne mashed"
    given = [_given("input.processing", words, unit, enquiry.processing_cost_per_t, "enquiry")]
    record = enquiry.record
    if record is not None:
        spread = 1.645 * record.sd_lpa_per_t
        ends = Band(record.mean_lpa_per_t - spread, record.mean_lpa_per_t, record.mean_lpa_per_t + spread)
        words = f"what the plant gets from its present bill, {counted(record.mashes, 'mash', 'mashes')}"
        source = "enquiry, the plant's own record"
        given.append(Assumption("input.record", words, "L/t", ends, Standing.MEASURED, source))
    return given


def _given(name: str, meaning: str, unit: str, value: float, source: str) -> Assumption:
    return Assumption(name, meaning, unit, Band(value, value, value), Standing.MEASURED, source)


def _constants(names: set[str]) -> list[Assumption]:
    table = toml_table("tables/constants.toml")["constant"]
    return [
        Assumption(
            f"constant.{key}",
            entry["meaning"],
            entry["unit"],
            Band(*[float(entry["value"])] * 3),
            Standing(entry["standing"]),
            entry["source"],
        )
        for key, entry in table.items()
        if f"constant.{key}" in names
    ]
