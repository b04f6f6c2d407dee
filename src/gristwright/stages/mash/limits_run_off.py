"""What may be in a vessel that wort is run off in: chambers of a filter, sparge, enzyme. See docs/mash.md."""

from __future__ import annotations

from gristwright.basics import Address, Problem
from gristwright.records.plant import MashPlan
from gristwright.reference import csv_rows
from gristwright.stages.mash.kept import HELD_L_PER_KG
from gristwright.stages.mash.room import SOLIDS_L_PER_KG


def run_off_problems(plan: MashPlan, at: Address, grain_in: bool = False, overflows: bool = False) -> list[Problem]:
    """Faults of a vessel and of what is put through it; warnings are among them. Nothing of a grain-in house.

    A vessel that `overflows` at mashing in is told once, not again for every water behind.
    """
    if grain_in:
        return []
    return _chambers(plan, at) if overflows else [*_chambers(plan, at), *_sparge(plan, at)]


def enzyme_problems(plan: MashPlan, enzymes: str, at: Address) -> list[Problem]:
    """Enzyme against gums in a house that says it adds none; `at` is the address of the mash."""
    if plan.gum_enzyme != "added" or enzymes != "malt only":
        return []
    what = "says added, and enzymes says malt only: the law is asked about what goes in."
    return [Problem(at.to("gum_enzyme"), what, "Say added natural or added microbial under enzymes, or add none.")]


def _line(key: str) -> float:
    return next(float(row["value"]) for row in csv_rows("tables/board_floors.csv") if row["key"] == key)


def _chambers(plan: MashPlan, at: Address) -> list[Problem]:
    """A filter without its chambers, too much grist for them, or too little to fill them."""
    where, per_kg = at.to("chambers_L"), _line("chamber_L_per_kg")
    if plan.vessel != "filter" and plan.chambers_L is None:
        return []
    if plan.vessel != "filter":
        what = f"{plan.chambers_L:g} L of chambers are given for a vessel that is no filter."
        return [Problem(where, what, "Make the vessel filter, or take them out.")]
    if plan.chambers_L is None:
        what = (
            f"is missing: whether {plan.kg_per_mash:g} kg fit the frames is not known, about {per_kg:g} L a kilogram."
        )
        way_out = "State what all frames hold together; till then they are taken as filled."
        return [Problem(where, what, way_out, warning=True)]
    fill, most, least = (
        plan.kg_per_mash * per_kg / plan.chambers_L,
        _line("chamber_most_over"),
        _line("chamber_least_fill"),
    )
    holds = f"{plan.chambers_L:g} L of chambers take {plan.chambers_L / per_kg:.0f} kg of grist"
    if fill > most:
        what = f"{holds}, at most {most * plan.chambers_L / per_kg:.0f}, and the mash is {plan.kg_per_mash:g} kg."
        return [Problem(where, what, "Mash less grain, or correct chambers_L.")]
    if fill < least:
        what = f"{holds}, and {plan.kg_per_mash:g} kg fill less than {100.0 * least:g} % of them."
        return [Problem(where, what, "Take frames out, or mash more: water finds holes in a thin cake.", warning=True)]
    return []


def _sparge(plan: MashPlan, at: Address) -> list[Problem]:
    """A later water that does not go onto the drained grain, or a sparge larger than the vessel."""
    if plan.vessel_L is None:
        return []
    problems = []
    grain_L = plan.kg_per_mash * (SOLIDS_L_PER_KG + HELD_L_PER_KG)
    for number, water in enumerate(plan.waters[1:], start=2):
        litres = plan.kg_per_mash * water.L_per_kg
        if litres + grain_L > plan.vessel_L:
            what = f"{litres:.0f} L on {grain_L:.0f} L of drained grain are more than the vessel's {plan.vessel_L:g} L."
            most = max(plan.vessel_L - grain_L, 0.0) / plan.kg_per_mash
            way_out = f"At most {most:.1f} L/kg at once: sparge in two waters."
            problems.append(Problem(at.to("waters", number, "L_per_kg"), what, way_out))
    for number, one in enumerate(plan.sparges, start=1):
        litres = plan.kg_per_mash * one.L_per_kg
        if litres > plan.vessel_L:
            what = f"{litres:.0f} L of sparge are more than the vessel holds, {plan.vessel_L:g} L."
            problems.append(Problem(at.to("sparges", number, "L_per_kg"), what, "Sparge in two, or correct vessel_L."))
    if plan.rests and not plan.sparges and plan.liquor_L_per_kg is not None:
        sparge = plan.kg_per_mash * (plan.wort_L_per_t / 1000.0 - plan.liquor_L_per_kg + HELD_L_PER_KG)
        if sparge > plan.vessel_L:
            what = f"needs {sparge:.0f} L of sparge, more than the vessel holds, {plan.vessel_L:g} L."
            problems.append(
                Problem(at.to("wort_L_per_t"), what, "Collect less wort, mash thinner, or correct vessel_L.")
            )
    return problems
