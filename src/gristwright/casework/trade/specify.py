"""A purchase specification out of a bill: what to ask of a lot, and what a unit of it is worth. See docs/trade.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gristwright.basics import Assumption, Band, Draws, FloatArray, Problem, Refused, Standing, at
from gristwright.casework.bench import limits
from gristwright.casework.bench.bench import Bench
from gristwright.casework.bench.boards import why_of
from gristwright.casework.bench.grounds import HOUSE, PSY, assumptions
from gristwright.casework.bench.setting_up import set_up
from gristwright.casework.bench.words import plain_field
from gristwright.economics.new_make import cost_per_lpa
from gristwright.flowsheet.line import NewMake
from gristwright.numerics import draws as drawing
from gristwright.numerics.weights import quantiles
from gristwright.quantities.extract import PSY_FACTOR
from gristwright.quantities.shown import plain
from gristwright.records.enquiry import BillSheet
from gristwright.records.lot import Lot, Material
from gristwright.records.results import Figure
from gristwright.records.trade import LotSpecification, Specification, SpecLine
from gristwright.reference import csv_rows
from gristwright.rules.hazard import cautions
from gristwright.stages.grist.boards import AMBER_SHARE, floors
from gristwright.stages.grist.certificate import LotBelief, column

CAUTIONS = ("planning", "dust")
EXTRACTS = ("extract_asis_pct", "extract_fine_dry_pct")
MOST_VALUE = 1000.0
LITRES = "L pure alcohol/t"
GIVEN = (PSY, HOUSE)
NOTES = (
    "Worth is what one unit more of a field brings a tonne of that lot, in this bill and house, all else unchanged.",
    "The bounds of quality are what the type usually shows (5 to 95 %); tighten them where the worth pays for it.",
    "Enzyme minimums are what this bill needs with the spread between laboratories, not what the type usually shows.",
    "Limits of law were read on 25 November 2026 in notices and secondary texts and are those of unprocessed cereals "
    "where nothing is said of malt. Have the present texts confirmed before a contract rests on them.",
)


@dataclass(frozen=True)
class BillOnBench:
    """One bill on its bench, what a litre is counted at (None: litres are not turned into money), and the floors."""

    bench: Bench
    sheet: BillSheet
    made: NewMake
    value: float | None
    floor: dict[str, float]
    said: bool = True  # False where the litres of the bill are withheld

    @property
    def shares(self) -> FloatArray:
        """Shares of the bench's lots, (lots,)."""
        return self.bench.shares(self.sheet.bill)

    def share(self, belief: LotBelief) -> float:
        """One lot's share of the grist."""
        return self.sheet.bill.parts_of(belief.lot.lot_id) / 10_000.0

    def drawn(self, belief: LotBelief, field: str) -> FloatArray:
        """A lot's column of draws, (members,)."""
        return self.bench.draws[column(belief.lot.lot_id, field)]


def specify(
    sheet: BillSheet,
    lots: Sequence[Lot],
    value_per_lpa: float | None = None,
    inputs: Sequence[tuple[str, str]] = (),
    warnings: Sequence[Problem] = (),
    members: int = drawing.MEMBERS,
    seed: int = drawing.SEED,
) -> Specification:
    """What to ask of every lot of a bill. `value_per_lpa` is what a litre of new spirit is worth [money at 20 degC].

    Without it a litre counts at what its malt costs; without prices either, worth is given in litres. Raises Refused.
    """
    in_bill = {share.lot_id for share in sheet.bill.shares}
    faults = limits.sheet_problems(sheet, lots) + value_problems(value_per_lpa)
    if sheet.cask is None:
        raise Refused([*faults, Problem(at("plant", "cask"), "is missing.", "Say what the spirit is filled into.")])
    chosen = [lot for lot in lots if lot.lot_id in in_bill]
    bench = set_up(chosen, sheet.prices, sheet.plant, sheet.cask, faults, members, seed, behind=sheet.bill).traced()
    made, why = bench.made(sheet.bill), why_of(bench, sheet.bill)
    value, words = (
        (None, f"{why.sentence} So no field has a worth here.") if why else _value(sheet, bench, made, value_per_lpa)
    )
    job = BillOnBench(bench, sheet, made, value, _floor(bench), why is None)
    return Specification(
        bill=sheet.bill.name,
        plant=sheet.plant.name,
        currency=sheet.currency,
        value_per_lpa=value,
        value_words=words,
        lots=tuple(_lot(job, belief) for belief in bench.lots),
        assumptions=(
            *assumptions(bench, {*bench.runs.rests_on(made.spirit.lpa_per_t), *GIVEN}),
            *_counted_at(sheet, value, words, stated=value_per_lpa is not None),
        ),
        notes=NOTES,
        warnings=tuple(problem.sentence() for problem in (*warnings, *bench.warnings)) + _assumed(job),
        cautions=tuple(caution.text for caution in cautions(*CAUTIONS)),
        inputs=tuple(inputs),
        seed=seed,
        members=members,
        issued=sheet.date,
    )


def value_problems(value_per_lpa: float | None) -> list[Problem]:
    """A value of new spirit that cannot be one."""
    if value_per_lpa is None or 0.0 < value_per_lpa <= MOST_VALUE:
        return []
    what = f"{value_per_lpa:g} a litre is outside 0-{MOST_VALUE:g}."
    return [Problem("value of new spirit", what, "Give money a litre of pure alcohol, or leave it out.")]


def _value(sheet: BillSheet, bench: Bench, made: NewMake, given: float | None) -> tuple[float | None, str]:
    money = sheet.currency or "money"
    if given is not None:
        return given, f"New spirit counts at {given:g} {money} a litre of pure alcohol, as stated."
    if not {share.lot_id for share in sheet.bill.shares} <= set(sheet.prices):
        return None, "No value of new spirit and no prices were given: worth is in litres of pure alcohol."
    cost = bench.runs.band(cost_per_lpa(made.grist.malt_cost_per_t, 0.0, made.spirit.lpa_per_t)).middle
    value = round(cost, 3)
    return value, (
        f"No value of new spirit was given: a litre of pure alcohol counts at what its malt costs, {plain(value, 3)} "
        f"{money}. New spirit is worth more, so every worth is on the low side."
    )


def _counted_at(sheet: BillSheet, value: float | None, words: str, *, stated: bool) -> list[Assumption]:
    if value is None:
        return []
    unit = f"{sheet.currency or 'money'}/L pure alcohol"
    standing = Standing.MEASURED if stated else Standing.DERIVED
    return [Assumption("input.value_per_lpa", "value of new spirit", unit, Band(value, value, value), standing, words)]


def _floor(bench: Bench) -> dict[str, float]:
    row = floors(bench.plant.grain_cooked, bench.plant.wort_boiled)
    return {
        "diastatic_power": float(row["green_from_degLintner"]),
        "dextrinising_units": float(row["red_below_DU"]),
    }


def _assumed(job: BillOnBench) -> tuple[str, ...]:
    in_bill = [belief for belief in job.bench.lots if job.share(belief)]
    named = [f"{b.lot.lot_id}: {', '.join(map(plain_field, b.assumed))}" for b in in_bill if b.assumed]
    return (f"Not on the certificate, typical of the type instead: {'; '.join(named)}.",) if named else ()


def _lot(job: BillOnBench, belief: LotBelief) -> LotSpecification:
    rows = [row for row in csv_rows("tables/specification.csv") if applies(row["applies"], words_of(belief.material))]
    quality = [line for row in rows if row["kind"] != "contaminant" and (line := _line(job, belief, row))]
    contaminants = tuple(_contaminant(belief, row) for row in rows if row["kind"] == "contaminant")
    missed = [line.title for line in (*quality, *contaminants) if _outside(line)]
    return LotSpecification(
        lot_id=belief.lot.lot_id,
        title=belief.material.title,
        share_pct=100.0 * job.share(belief),
        lines=tuple(quality),
        contaminants=contaminants,
        misses=tuple(dict.fromkeys(missed)),
        identity=belief.lot.identity,
    )


def words_of(material: Material) -> set[str]:
    """The words by which rows of the table choose their lots."""
    return {"malt" if material.malted else "grain", material.species, material.process}


def applies(rule: str, words: set[str]) -> bool:
    """Whether a row is for a lot: `malt barley` wants both words, `a|b` one of the two, `not a or b` neither."""
    if rule.startswith("not "):
        return not words & set(rule.removeprefix("not ").split(" or "))
    return any(set(choice.split()) <= words for choice in rule.split("|"))


def _outside(line: SpecLine) -> bool:
    value = line.certificate
    if value is None:
        return False
    return (line.least is not None and value < line.least) or (line.most is not None and value > line.most)


def _line(job: BillOnBench, belief: LotBelief, row: dict[str, str]) -> SpecLine | None:
    """One line of quality or enzymes; None when the type does not show the field or the bill does not read it."""
    field, typical = row["field"], belief.material.typical.get(row["field"])
    unread = field in EXTRACTS and column(belief.lot.lot_id, field) not in belief.used
    if typical is None or unread or (row["kind"] == "enzyme" and typical.high == 0.0):
        return None
    if row["kind"] == "enzyme":
        least, how = _least_enzyme(job, belief, field)
        return _filled(belief, row, least, None, None, how, row["standing"], row["source"])
    least_q = typical.low if row["least"] == "type" else None
    most_q = typical.high if row["most"] == "type" else None
    worth = _worth(job, belief, field)
    return _filled(belief, row, least_q, most_q, worth, row["source"], typical.standing.value, typical.source)


def _contaminant(belief: LotBelief, row: dict[str, str]) -> SpecLine:
    return _filled(belief, row, None, float(row["most"]), None, "", row["standing"], row["source"])


def _filled(
    belief: LotBelief,
    row: dict[str, str],
    least: float | None,
    most: float | None,
    worth: Figure | None,
    how: str,
    standing: str,
    source: str,
) -> SpecLine:
    return SpecLine(
        field=row["field"],
        title=title_of(row["field"]),
        unit=row["unit"],
        basis=row["basis"],
        method=row["method"],
        least=least,
        most=most,
        certificate=belief.values.get(row["field"]),
        worth=worth,
        how=how,
        standing=standing,
        source=source,
    )


TITLES = {
    "glycosidic_nitrile_g_per_t": "glycosidic nitrile",
    "ndma_ug_per_kg": "nitrosodimethylamine (NDMA)",
    "don_ug_per_kg": "deoxynivalenol (DON)",
    "t2_ht2_ug_per_kg": "T-2 and HT-2 toxins, together",
    "ochratoxin_ug_per_kg": "ochratoxin A",
    "zearalenone_ug_per_kg": "zearalenone",
}


def title_of(field: str) -> str:
    """A field in words."""
    named = {row["field"]: row["title"] for row in csv_rows("tables/certificate_fields.csv")}
    return TITLES.get(field) or named.get(field, field)


# ------------------------------------------------------------------ what a unit is worth


def _worth(job: BillOnBench, belief: LotBelief, field: str) -> Figure | None:
    """One unit more of a field in money (or litres) a tonne of the lot; none where litres are withheld."""
    if not job.said:
        return None
    if field == "psy_lpa_per_t":
        litres = _gain(job, belief, _moved(job, belief, "fermentability_pct"))
        litres = litres / (PSY_FACTOR * _extract_asis(job, belief) / 100.0)
    elif field in ("moisture_pct", *EXTRACTS, "fermentability_pct", "starch_dry_pct"):
        litres = _gain(job, belief, _moved(job, belief, field))
    else:
        return None
    key, label, runs = f"worth.{field}", "worth of one more", job.bench.runs
    if job.value is None:
        return Figure.of(key, label, LITRES, litres, 2, runs, *GIVEN)
    unit = f"{job.sheet.currency or 'money'}/t"
    return Figure.of(key, label, unit, litres * job.value, 2, runs, *GIVEN, "input.value_per_lpa")


def _moved(job: BillOnBench, belief: LotBelief, field: str) -> Draws:
    """The draws with one unit more in a field of one lot; the dry matter stays what it is when moisture moves."""
    lot = belief.lot.lot_id
    changed = {column(lot, field): job.drawn(belief, field) + 1.0}
    if field == "moisture_pct":
        dry = 100.0 - job.drawn(belief, "moisture_pct")
        changed[column(lot, "extract_asis_pct")] = job.drawn(belief, "extract_asis_pct") * (dry - 1.0) / dry
    return dict(job.bench.draws) | changed


def _gain(job: BillOnBench, belief: LotBelief, draws: Draws) -> FloatArray:
    """Litres a tonne of the lot gives more on other draws, (members,)."""
    after = job.bench.new_make(job.shares, draws, job.bench.house_effect(job.shares, job.bench.draws)).spirit.lpa_per_t
    return np.asarray((after - job.made.spirit.lpa_per_t) / job.share(belief))


def _extract_asis(job: BillOnBench, belief: LotBelief) -> FloatArray:
    k = job.bench.lots.index(belief)
    return np.asarray(job.bench.lot_columns(job.bench.draws).extract_asis_pct[:, k])


# ------------------------------------------------------------------ enzymes the bill needs


def _least_enzyme(job: BillOnBench, belief: LotBelief, field: str) -> tuple[float | None, str]:
    """The least certificate value that keeps the grist at its floor in 95 of 100 runs, and how that was found."""
    grist, floor = job.made.grist, job.floor[field]
    total = grist.diastatic_power_degLintner if field == "diastatic_power" else grist.dextrinising_units
    own = job.share(belief) * job.drawn(belief, field)
    on = job.bench.runs.on_draws
    factor = least_factor(on(own), on(total - own), floor, job.bench.weights)
    unit = "degLintner" if field == "diastatic_power" else "DU"
    if factor is None:
        return None, "no value of this lot alone brings the grist to its floor"
    if factor == 0.0:
        return None, f"the other lots alone keep the grist at {floor:g} {unit} or more"
    least = factor * job.bench.runs.band(job.drawn(belief, field)).middle
    return least, f"keeps the grist at {floor:g} {unit} or more in 95 of 100 runs"


def least_factor(own: FloatArray, rest: FloatArray, floor: float, weights: FloatArray) -> float | None:
    """By how much a lot's part must be multiplied for the sum to stand at the floor in 95 of 100 runs; by bisection.

    Zero when the rest does it alone, None when even a hundredfold does not.
    """

    def low(factor: float) -> float:
        return quantiles(factor * own + rest, weights, (AMBER_SHARE,))[0]

    if low(0.0) >= floor:
        return 0.0
    below, above = 0.0, 100.0
    if low(above) < floor:
        return None
    for _ in range(60):
        middle = 0.5 * (below + above)
        below, above = (below, middle) if low(middle) >= floor else (middle, above)
    return above
