"""What a result rests on: every parameter, user's figure and constant with its band, standing and source."""

from __future__ import annotations

import math

from gristwright.basics import Assumption, Band, Standing
from gristwright.casework.bench.bench import Bench, GristBench
from gristwright.flowsheet import line as flowsheet
from gristwright.flowsheet import mashing
from gristwright.numerics.weights import band
from gristwright.records.bill import Bill
from gristwright.records.enquiry import Enquiry
from gristwright.reference import toml_table
from gristwright.stages.grist import raw_grain
from gristwright.stages.grist.certificate import ROUTES

# Read for some lots only: named where such a lot is in the bill.
OF_SOME_LOTS = tuple(prior for prior in ROUTES.values() if prior)


def rests_on(bench: GristBench, bill: Bill, through: str) -> tuple[str, ...]:
    """Names of the assumptions a figure of this bill rests on, up to and with the stage `through`."""
    lots = [name for belief in bench.lots if bill.parts_of(belief.lot.lot_id) for name in belief.used]
    lots += [prior for route, prior in ROUTES.items() if prior and any(name.endswith(route) for name in lots)]
    read = flowsheet.rests_on(bench.plant)
    stages = flowsheet.STAGES[: flowsheet.STAGES.index(through) + 1]
    in_bill = [belief for belief in bench.lots if bill.parts_of(belief.lot.lot_id)]
    idle = {*OF_SOME_LOTS, *mashing.not_read(bench.plant, in_bill)}
    process = list(dict.fromkeys(name for stage in stages for name in read[stage] if name not in idle))
    lots += [
        raw_grain.efficiency_name(belief.material.species)
        for belief in bench.lots
        if not belief.material.malted and bill.parts_of(belief.lot.lot_id)
    ]
    inputs = ["input.plant"] if through != "grist" else []
    inputs += ["input.cask"] if through in ("cask", "bottle") else []
    return (*lots, *process, "constant.psy_factor", *inputs)


def assumptions(
    bench: GristBench, names: set[str], currency: str = "", enquiry: Enquiry | None = None
) -> tuple[Assumption, ...]:
    """Every assumption among `names`, in the order of the priors, then the user's figures, then the constants."""
    found = [
        Assumption(
            prior.name,
            prior.meaning,
            prior.unit,
            band(bench.draws[prior.name], bench.weights),
            prior.source.standing,
            ". ".join(text for text in (prior.source.text, prior.source.note) if text),
        )
        for prior in bench.priors
        if prior.name in names
    ]
    given = [*_of_house(bench), *_of_prices(bench, currency), *(_of_enquiry(enquiry) if enquiry else ())]
    return (*found, *(assumption for assumption in given if assumption.name in names), *_constants(names))


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
        words = f"what the plant gets from its present bill, {record.mashes} mashes"
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
