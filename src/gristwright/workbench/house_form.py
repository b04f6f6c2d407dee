"""The house as a form: what its mash says is judged as in a plant file, and told beside the field."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from gristwright.basics import Problem, at
from gristwright.files.mash_in import USUAL_SETTLED_DEGC
from gristwright.records.plant import MashPlan
from gristwright.reference.grains import kept_raw
from gristwright.stages.mash import limits
from gristwright.stages.mash.limits_plan import plan_problems
from gristwright.stages.mash.settled import settled_by_liquor_degC
from gristwright.store.mapping import OF_RESTS, OF_WATERS, gaps, mash_record
from gristwright.store.models import House
from gristwright.workbench.faults import house_column, told
from gristwright.workbench.fields import Sectioned, WordsField, as_field

GAP = "Empty beside what is given. Fill it in, or empty what stands beside and after it."
# Two temperatures that are the same to a thermometer.
SAME_K = 0.05
NOT_READ = float("nan")


def raw_species() -> list[tuple[str, str]]:
    """Cereals that go into a cooker."""
    return [(name, name) for name in kept_raw()]


def beside_liquor(plan: MashPlan) -> str:
    """What stands against a liquor temperature, with the way out; nothing where nothing does."""
    if plan.rests:
        return "Stands beside rests; the first rest says where the mash settles. Empty it."
    if plan.cook_degC is not None or plan.cooker is not None:
        what = "Stands beside a cooker, whose slurry and malt have temperatures of their own."
        return f"{what} Empty it, and give the settled mash where the malt goes in."
    if not plan.waters and plan.liquor_L_per_kg is None:
        what = "Needs the litres of that water before the mash can settle."
        return f"{what} Give the liquor at mashing in or the first water, or the settled mash in its place."
    return ""


class HouseForm(Sectioned):
    """The house. A mash temperature left empty follows from the liquor or from the rests."""

    pairs = ("Waters", "Rests")
    cooker_second_species = WordsField(label="Second grain, put in on the way down", required=False)
    sections = (
        ("The house", "", (
            "name", "country", "kind", "one_distillery", "tonnes_per_year", "enzymes", "ferment_agents",
            "wort_boiled")),
        ("Mash", "Settled mash is what the thermometer shows after mixing, not the liquor before.", (
            "kg_per_mash", "wort_L_per_t", "settled_mash_degC", "liquor_degC", "liquor_L_per_kg", "stand_min",
            "grist_degC", "mash_pH", "pH_aim")),
        ("Vessel and mill", "", (
            "vessel", "vessel_L", "vessel_loss_K", "plate_area_m2", "usual_run_off_hours", "mill_gap_mm", "bag_kg",
            "silo_kg")),
        ("Waters", "For wort drawn off in waters. None given: the usual ones are worked out.", (
            "water_first_L_per_kg", "water_first_degC", "water_second_L_per_kg", "water_second_degC",
            "water_third_L_per_kg", "water_third_degC", "water_fourth_L_per_kg", "water_fourth_degC",
            "later_stand_min", "run_off_min", "waters_to_washback")),
        ("Rests", "For a mash heated from rest to rest and run off after the last; it has no waters then.", (
            *(name for pair in OF_RESTS.values() for name in pair), "ramp_K_per_min")),
        ("Raw grain", "For a house that cooks raw grain: slurry, cook, second grain, malt, in that order.", (
            "cook_degC", "premalt_pct", "backset_pct", "cooker_slurry_degC", "cooker_cook_min", "cooker_second_degC",
            "cooker_second_min", "cooker_malt_min", "cooker_second_species")),
        ("Analysis of the liquor", "Both or neither: they move the pH of the mash against each other.", (
            "calcium_mg_per_L", "alkalinity_mg_per_L")),
        ("Washbacks", "", (
            "washbacks", "washback_volume_L", "ferment_hours", "set_degC", "washback_cooling")),
        ("Stills", "Fill in the pots or the column, whichever this spirit runs through.", (
            "stills", "wash_charge_L", "spirit_charge_L", "low_wines_abv_pct", "charge_abv_pct", "heart_abv_pct",
            "beer_L_per_h", "head_abv_pct", "doubler_abv_pct")),
    )  # fmt: skip

    class Meta:
        model = House
        formfield_callback = as_field
        exclude = ("enquiry",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        column = House._meta.get_field("cooker_second_species")
        self.fields["cooker_second_species"].choices = raw_species()
        self.fields["cooker_second_species"].help_text = column.help_text
        self.fields["settled_mash_degC"].required = False
        self.remarks: list[str] = []

    def clean(self) -> dict[str, Any]:
        """The settled mash worked out, and every fault of the plan beside its field."""
        said: dict[str, Any] = super().clean() or self.cleaned_data
        house = self._read(said)
        by_liquor = said.get("liquor_degC") is not None and house.water_first_L_per_kg is not None
        if by_liquor and house.water_first_degC is None:
            house.water_first_degC = NOT_READ
        for name in [*gaps(house, OF_WATERS.values()), *gaps(house, OF_RESTS.values())]:
            self._fault(name, GAP)
        plan = mash_record(house)
        self._settle(said, plan)
        if said.get("settled_mash_degC") is not None:
            plan = replace(plan, settled_mash_degC=said["settled_mash_degC"])
        for problem in plan_problems(plan, at("plant", "mash"), said.get("kind") == "grain-in"):
            self._tell(problem)
        return said

    def _read(self, said: dict[str, Any]) -> House:
        """The house as it was sent; what could not be read and what must be given yet is no number."""
        faulty = {name: NOT_READ for name in self.errors if name in self.fields and name != "cooker_second_species"}
        unsaid = {name: NOT_READ for name in ("kg_per_mash", "wort_L_per_t") if said.get(name) is None}
        return House(**{**said, **unsaid, **faulty})

    def _fault(self, name: str | None, text: str) -> None:
        """A fault beside its field, unless the field has one of its own."""
        if name is None or name not in self.errors:
            self.add_error(name, text)

    def _tell(self, problem: Problem) -> None:
        column = house_column(problem.address.path[1:])
        name = column if column in self.fields else None
        if not problem.warning:
            self._fault(name, told(problem))
            return
        label = self.fields[name].label if name else ""
        self.remarks.append(f"{label}: {told(problem)}")

    def _settle(self, said: dict[str, Any], plan: MashPlan) -> None:
        """Where nothing is said of the settled mash, what liquor or rests make of it, or the usual one."""
        if said.get("liquor_degC") is not None:
            self._by_liquor(said, plan)
        elif plan.rests:
            self._by_rests(said, plan)
        if said.get("settled_mash_degC") is None and "settled_mash_degC" not in self.errors:
            said["settled_mash_degC"] = USUAL_SETTLED_DEGC

    def _by_liquor(self, said: dict[str, Any], plan: MashPlan) -> None:
        excluded = beside_liquor(plan)
        if excluded:
            self._fault("liquor_degC", excluded)
            return
        settled = settled_by_liquor_degC(plan)
        if settled is None or math.isnan(settled):
            return
        low, high = limits.SETTLED_DEGC
        if not low <= settled <= high:
            what = (
                f"Liquor of {plan.liquor_degC:g} °C settles the mash at {settled:.1f} °C, outside {low:g} to {high:g}."
            )
            self._fault("liquor_degC", f"{what} Correct the liquor, its litres or the grist.")
            return
        follows = ["settled_mash_degC", *(["water_first_degC"] if plan.waters else [])]
        for name in follows:
            stated = said.get(name)
            if name in self.changed_data and stated is not None and abs(stated - settled) > SAME_K:
                what = f"{stated:g} °C stands beside a liquor that settles the mash at {settled:.1f} °C."
                self._fault(name, f"{what} Empty this one, or the liquor of the first water.")
            said[name] = settled
        self.remarks.append(f"With liquor of {plan.liquor_degC:g} °C the mash settles at {settled:.1f} °C.")

    def _by_rests(self, said: dict[str, Any], plan: MashPlan) -> None:
        """The boards go by the longest rest in which malt converts, unless another one is named."""
        low, high = limits.SETTLED_DEGC
        if any(math.isnan(rest.settled_degC) or math.isnan(rest.minutes) for rest in plan.rests):
            return
        fit = [rest for rest in plan.rests if low <= rest.settled_degC <= high]
        stated = said.get("settled_mash_degC")
        if not fit:
            self._fault("rest_1_degC", f"No rest lies in {low:g} to {high:g} °C, where malt converts. Add one there.")
        elif stated is None:
            said["settled_mash_degC"] = max(fit, key=lambda rest: rest.minutes).settled_degC
        elif stated not in [rest.settled_degC for rest in fit]:
            what = f"{stated:g} °C is none of the rests."
            self._fault("settled_mash_degC", f"{what} Empty it, or name the rest that the mash is judged by.")
