"""What a result rests on: every parameter, user's figure and constant with its band, standing and source."""

from __future__ import annotations

from gristwright import flowsheet
from gristwright.basics import Assumption, Band, Standing
from gristwright.casework.bench import Bench
from gristwright.numerics.weights import band
from gristwright.records.bill import Bill
from gristwright.records.enquiry import Enquiry
from gristwright.reference import toml_table
from gristwright.stages.grist import raw_grain

# Read for some lots only: named where such a lot is in the bill.
OF_SOME_LOTS = ("grist.fine_to_coarse_pct",)


def rests_on(bench: Bench, bill: Bill, through: str) -> tuple[str, ...]:
    """Names of the assumptions a figure of this bill rests on, up to and with the stage `through`."""
    lots = [name for belief in bench.lots if bill.parts_of(belief.lot.lot_id) for name in belief.used]
    if any(name.endswith("extract_fine_dry_pct") for name in lots):
        lots.append("grist.fine_to_coarse_pct")
    read = flowsheet.rests_on(bench.plant)
    stages = flowsheet.STAGES[: flowsheet.STAGES.index(through) + 1]
    process = [name for stage in stages for name in read[stage] if name not in OF_SOME_LOTS]
    lots += [
        raw_grain.efficiency_name(belief.material.species)
        for belief in bench.lots
        if not belief.material.malted and bill.parts_of(belief.lot.lot_id)
    ]
    inputs = ["input.plant"] if through != "grist" else []
    inputs += ["input.cask"] if through in ("cask", "bottle") else []
    return (*lots, *process, "constant.psy_factor", *inputs)


def assumptions(bench: Bench, names: set[str], enquiry: Enquiry | None = None) -> tuple[Assumption, ...]:
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
    return (*found, *_inputs(bench, names, enquiry), *_constants(names))


def _inputs(bench: Bench, names: set[str], enquiry: Enquiry | None) -> list[Assumption]:
    plant, plan = bench.plant, bench.cask
    file = "plant file"
    given = [
        _given("input.plant", f"wort collected at {plant.name}", "L/t", plant.mash.wort_L_per_t, file),
        _given("input.cask", f"years in a {plan.kind.name} in a {plan.climate.name}", "years", plan.years, file),
    ]
    if enquiry is not None:
        given += [
            _given("input.tonnes_per_year", "grist mashed in a year", "t", plant.tonnes_per_year, file),
            _given(
                "input.processing",
                "processing cost of a tonne mashed",
                f"{enquiry.currency}/t",
                enquiry.processing_cost_per_t,
                "enquiry",
            ),
        ]
        given += [
            _given(f"input.price.{o.lot_id}", f"price of {o.lot_id}", f"{enquiry.currency}/t", o.price_per_t, "enquiry")
            for o in enquiry.offered
        ]
        if enquiry.record is not None:
            record = enquiry.record
            spread = 1.645 * record.sd_lpa_per_t
            low, high = record.mean_lpa_per_t - spread, record.mean_lpa_per_t + spread
            words = f"what the plant gets from its present bill, {record.mashes} mashes"
            source = "enquiry, the plant's own record"
            given.append(
                Assumption(
                    "input.record", words, "L/t", Band(low, record.mean_lpa_per_t, high), Standing.MEASURED, source
                )
            )
    return [assumption for assumption in given if assumption.name in names]


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
