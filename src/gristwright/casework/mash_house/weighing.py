"""Kilograms of each lot in one mash, rounded to what a mash house can weigh, and what the rounding does."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import replace
from types import MappingProxyType

from gristwright.basics import Problem, Refused, at
from gristwright.casework.bench.bench import GristBench, SpiritBench
from gristwright.casework.bench.boards import why_of
from gristwright.casework.bench.grounds import HOUSE, PSY
from gristwright.records.bill import WHOLE, Bill, Share
from gristwright.records.order import Weighing
from gristwright.records.plant import PlantRecord
from gristwright.records.results import Figure

# Litres that rounding may move, over the spread between mashes: our choice; and that spread where no record tells it.
NOISE, USUAL_SD_LPA_PER_T = 0.25, 4.0


def special_lots(bench: GristBench) -> set[str]:
    """The lots that come in bags where nothing else is said: the special malts."""
    return {b.lot.lot_id for b in bench.lots if b.material.specialty}


def weighings(
    labels: Collection[tuple[str, str, float]],
    kg_per_mash: float,
    bagged: Collection[str],
    bag_kg: float = 25.0,
    silo_kg: float = 5.0,
    rounding_pct: float = 0.5,
    types: Mapping[str, str] = MappingProxyType({}),
) -> tuple[Weighing, ...]:
    """Each lot (id, title, share in %) in kilograms; together exactly the mash. `types` are the lots' types by key.

    Lots in `bagged` go in whole bags where that is within `rounding_pct` of the grist, else what the bags lack is
    weighed out loose; the others go in steps of the silo's weigher. The largest lot takes what is left, so it may need
    an odd kilogram. Raises Refused when a step is not above zero.
    """
    _refuse_steps(bag_kg, silo_kg)
    most_kg = rounding_pct / 100.0 * kg_per_mash
    largest = max(labels, key=lambda label: (label[0] not in bagged, label[2]))[0]
    kg = {
        lot: _bags(pct / 100.0 * kg_per_mash, bag_kg, most_kg)
        if lot in bagged
        else _rounded(pct / 100.0 * kg_per_mash, silo_kg)
        for lot, _, pct in labels
        if lot != largest
    }
    kg[largest] = round(kg_per_mash - sum(kg.values()), 6)
    if kg[largest] <= 0.0:
        what = f"steps of {bag_kg:g} and {silo_kg:g} kg leave nothing of {largest!r} in {kg_per_mash:g} kg."
        raise Refused([Problem(at("order"), what, "Weigh in smaller steps or mash more.")])
    made = (_weighing(label, kg[label[0]], kg_per_mash, bagged, bag_kg, silo_kg) for label in labels)
    return tuple(replace(line, material=types.get(line.lot_id, "")) for line in made)


def of_plan(bench: GristBench, bill: Bill, bagged: Collection[str] | None, rounding_pct: float) -> tuple[Weighing, ...]:
    """A bill of the bench weighed as its house weighs; `bagged` the special malts where None."""
    plan, bags = bench.plant.mash, special_lots(bench) if bagged is None else bagged
    types = {belief.lot.lot_id: belief.material.key for belief in bench.lots}
    return weighings(bench.labels(bill), plan.kg_per_mash, bags, plan.bag_kg, plan.silo_kg, rounding_pct, types)


def _refuse_steps(bag_kg: float, silo_kg: float) -> None:
    problems = [
        Problem(at("order", name), f"{value:g} kg is not above zero.", "Give what is weighed at the least.")
        for name, value in (("bag_kg", bag_kg), ("silo_kg", silo_kg))
        if not value > 0.0
    ]
    if problems:
        raise Refused(problems)


def _bags(kg: float, bag_kg: float, most_kg: float) -> float:
    """Whole bags where they are near enough, else what is weighed out."""
    whole = _rounded(kg, bag_kg)
    return whole if abs(whole - kg) <= most_kg + 1e-9 else _loose(kg)


def _loose(kg: float) -> float:
    """To the tenth of a kilogram, under ten of them to the hundredth."""
    return round(kg, 1 if kg >= 10.0 else 2)


def _rounded(kg: float, step: float) -> float:
    """To the nearest step; weighed out where that would be nothing."""
    count = math.floor(kg / step + 0.5)
    return count * step if count else _loose(kg)


def _weighing(
    label: tuple[str, str, float], kg: float, total: float, bagged: Collection[str], bag_kg: float, silo_kg: float
) -> Weighing:
    lot, title, pct = label
    bags = lot in bagged
    unit = bag_kg if bags else silo_kg
    full = math.floor(kg / unit + 1e-9)
    loose = round(kg - full * unit, 6)
    return Weighing(lot, title, pct, pct / 100.0 * total, kg, unit, bags, full, loose, 100.0 * kg / total)


def weighed_bill(bill: Bill, weighed: Collection[Weighing]) -> Bill:
    """The bill as it is weighed, in hundredths of a per cent that add up (largest remainders)."""
    exact = {line.lot_id: line.weighed_pct * WHOLE / 100.0 for line in weighed}
    parts = {lot: math.floor(value + 1e-9) for lot, value in exact.items()}
    by_remainder = sorted(exact, key=lambda lot: (parts[lot] - exact[lot], lot))
    for lot in by_remainder[: WHOLE - sum(parts.values())]:
        parts[lot] += 1
    return Bill(f"{bill.name}, as weighed", tuple(Share(lot, count) for lot, count in parts.items() if count))


def noise_lpa_per_t(record: PlantRecord | None) -> float:
    """Change of litres a tonne that no house sees: a quarter of the spread between its mashes (our choice)."""
    return NOISE * (record.sd_lpa_per_t if record is not None else USUAL_SD_LPA_PER_T)


def rounding(bench: SpiritBench, bill: Bill, weighed: Collection[Weighing]) -> Figure | None:
    """Litres a tonne the bill gives more as weighed than as asked, on the same draws; None where they are withheld."""
    if why_of(bench, bill) is not None:
        return None
    as_weighed: Mapping[str, float] = {line.lot_id: line.weighed_pct / 100.0 for line in weighed}
    shares = bench.shares(bill)
    for k, belief in enumerate(bench.lots):
        shares[k] = as_weighed.get(belief.lot.lot_id, 0.0)
    # So near the bill asked for that its own mash serves both.
    mashed = bench.house_effect(bench.shares(bill), bench.draws)
    litres = [bench.new_make(s, bench.draws, mashed).spirit.lpa_per_t for s in (shares, bench.shares(bill))]
    label, unit = "change by rounding the weights", "L pure alcohol/t"
    return Figure.of("rounding_lpa_per_t", label, unit, litres[0] - litres[1], 2, bench.runs, PSY, HOUSE)
