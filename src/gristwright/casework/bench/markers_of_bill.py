"""What a bill brings of each marker into its spirit: its lots by their shares, through its house.

See docs/give_and_gain.md.
"""

from __future__ import annotations

from gristwright.casework.bench.bench import Bench, SpiritBench
from gristwright.casework.bench.besides_of_bill import amounts_of_bill
from gristwright.casework.bench.smoke_of_lot import markers_of
from gristwright.flowsheet.line import NewMake
from gristwright.records.bill import WHOLE, Bill
from gristwright.records.markers_through import MarkerAmount
from gristwright.records.plant import Plant
from gristwright.stages.markers.amounts import amounts, hearts_end, without_amounts
from gristwright.stages.markers.grist import MarkerSource
from gristwright.stages.markers.limits import LEAST_CUT, LEAST_LPA, MOST_CUT, MOST_LPA, HouseFigures

NO_POT = "the shares are those of two distillations in pots, and this house has a column."
NO_CUT = f"hearts ending outside {LEAST_CUT:g} to {MOST_CUT:g} %vol are outside the cuts whose shares are known."


def markers_of_bill(
    bench: SpiritBench, bill: Bill, made: NewMake, present: Bill | None = None, withheld: str = ""
) -> tuple[MarkerAmount, ...]:
    """Every marker of a bill with its amount in the spirit as filled, or why none is worked out.

    `present` is the bill it is held against, on the same draws; `withheld` says why the litres are not given.
    """
    parts = parts_of(bench, bill)
    house, why = house_figures(bench, made)
    if withheld or house is None:
        return without_amounts(parts, withheld or why)
    today, of_today = None, None
    if present is not None and present != bill:
        other, _ = house_figures(bench, bench.made(present))
        if other is not None:
            today, of_today = (parts_of(bench, present), other), amounts_of_bill(bench, present)
    of_wash = amounts_of_bill(bench, bill)
    return amounts(parts, house, today, seed=bench.seed, made=of_wash, made_today=of_today)


def parts_of(bench: SpiritBench, bill: Bill) -> tuple[MarkerSource, ...]:
    """The lots of a bill as they bring markers."""
    parts = []
    for belief in bench.lots:
        share = bill.parts_of(belief.lot.lot_id) / WHOLE
        if share:
            told = markers_of(belief.lot, belief.material, belief.values)
            parts.append(
                MarkerSource(
                    belief.lot.lot_id, frozenset(told.processes), share, told.malt_mg_per_kg, told.smoke,
                    told.store_months or 0.0,
                )
            )  # fmt: skip
    return tuple(parts)


def house_figures(bench: SpiritBench, made: NewMake) -> tuple[HouseFigures | None, str]:
    """What the house makes of amounts, every figure at its middle, and where none is, why.

    Strength and years are those of the cask plan; without one the spirit is as it leaves the still.
    """
    end, why = _cut(bench.plant)
    if end is None:
        return None, why
    lpa, wash, strength = (
        bench.runs.band(values).middle
        for values in (made.spirit.lpa_per_t, made.wash.volume_L_per_t, made.spirit.abv_pct)
    )
    if not LEAST_LPA <= lpa <= MOST_LPA:
        return None, f"{lpa:.0f} L of pure alcohol a tonne is outside {LEAST_LPA:g} to {MOST_LPA:g}."
    if isinstance(bench, Bench):
        return HouseFigures(lpa, bench.cask.entry_abv_pct, end, bench.cask.years, wash), ""
    return HouseFigures(lpa, strength, end, 0.0, wash), ""


def _cut(plant: Plant) -> tuple[float | None, str]:
    if plant.pot_stills is None:
        return None, NO_POT
    stated = plant.pot_stills.hearts_end_abv_pct
    end = hearts_end(plant.pot_stills.heart_abv_pct) if stated is None else stated
    if end is None or not LEAST_CUT <= end <= MOST_CUT:
        return None, NO_CUT
    return end, ""
