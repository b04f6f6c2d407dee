"""A house's mash laid out from its plan: the programme, with the grains and enzymes it is run on. See docs/mash.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from gristwright.basics import Draws, FloatArray, at, refuse_if_any
from gristwright.records.mash import MaltEnzymes, MashGrain, MashProgramme
from gristwright.records.plant import CookerPlan, MashPlan, Plant, Water
from gristwright.records.ways import USUAL_STAND_MIN
from gristwright.reference.grains import raw
from gristwright.stages.grist import certificate
from gristwright.stages.grist.certificate import LotBelief
from gristwright.stages.mash import heat, infusion, programme
from gristwright.stages.mash.decoction import share_problems, shares_pct
from gristwright.stages.mash.model import RECOVERY
from gristwright.stages.mash.waters import Liquors, liquor_L_per_kg, sparged, usual_waters

IN_COOKER = "{}, in the cooker"


@dataclass(frozen=True)
class SetOut:
    """A mash ready to be run: its programme, its grains by lot, the enzymes of its malts."""

    programme: MashProgramme
    grains: tuple[MashGrain, ...]
    enzymes: dict[str, MaltEnzymes]


@dataclass(frozen=True)
class LaidOn:
    """What a programme is laid out on, the same on any number of draws: shares (lots,), moisture [%], reference run."""

    shares: FloatArray
    moisture_pct: float
    middles: Draws


def laid_out(
    lots: Sequence[LotBelief],
    plant: Plant,
    brought: list[MashGrain],
    power: dict[str, MaltEnzymes],
    on: LaidOn,
) -> SetOut:
    """The mash of a house, of the grains and enzymes brought. Raises Refused for a plan that cannot be."""
    plan = plant.mash
    if plant.grain_cooked:
        brought, power = _premalt(brought, power, plan.premalt_pct / 100.0)
    keys = [grain.key for grain in brought]
    if in_waters(plant):
        ready = _infusion(plan, keys, plan.waters or _usual(lots, plan, on))
    else:
        liquors = _liquors(lots, plant, on)
        first = liquors.first_L_per_kg
        ready = _cooker(plan, brought, first) if plant.grain_cooked else _rests(plan, keys, first, on.moisture_pct)
        if not plant.grain_in:
            ready = programme.drawn_off(ready, liquors.sparges, plan.run_off_min)
    watered = replace(ready, calcium_mg_per_L=plan.calcium_mg_per_L, alkalinity_mg_per_L=plan.alkalinity_mg_per_L)
    return SetOut(watered, tuple(brought), power)


def in_waters(plant: Plant) -> bool:
    """Whether the mash is drawn off in waters, each of which stands; all else is run off once and then sparged."""
    plan = plant.mash
    return not (plan.rests or plan.sparges or plant.grain_in or plant.grain_cooked)


def _liquors(lots: Sequence[LotBelief], plant: Plant, on: LaidOn) -> Liquors:
    """Litres at mashing in, and the sparges of a mash that is drawn off its grain."""
    if plant.grain_in:
        return Liquors(liquor_L_per_kg(plant.mash, on.moisture_pct), ())
    return sparged(plant.mash, _extract(lots, plant.mash, on), on.moisture_pct)


def _rests(plan: MashPlan, keys: Sequence[str], first_L_per_kg: float, moisture: float) -> MashProgramme:
    rests = [(rest.settled_degC, rest.minutes) for rest in plan.rests]
    refuse_if_any(share_problems(plan, first_L_per_kg, moisture, at("plant", "mash")))
    refuse_if_any(infusion.split_problems(plan, first_L_per_kg, moisture, at("plant", "mash")))
    shares = shares_pct(plan, first_L_per_kg, moisture)
    hot, ratio = plan.rest_liquor_degC, float(heat.slaking(moisture)[0])
    return programme.programmed_rests(
        keys,
        rests or [(plan.settled_mash_degC, plan.stand_min or USUAL_STAND_MIN)],
        first_L_per_kg,
        plan.ramp_K_per_min,
        plan.grist_degC,
        plan.mash_pH,
        plan.backset_pct,
        [programme.SharedDecoction(*pair) for pair in zip(plan.decoctions, shares, strict=True)],
        () if hot is None else infusion.liquors_L_per_kg(plan.rests, first_L_per_kg, hot, ratio),
    )


def _premalt(
    brought: list[MashGrain], power: dict[str, MaltEnzymes], premalt: float
) -> tuple[list[MashGrain], dict[str, MaltEnzymes]]:
    """The malt in the cooker as a grain of its own, taken off the malt of which there is most."""
    malts = [grain for grain in brought if grain.malted and grain.key in power]
    if premalt <= 0.0 or not malts:
        return brought, power
    largest = max(malts, key=lambda grain: float(np.mean(grain.share)))
    early = np.minimum(premalt, largest.share)
    key = IN_COOKER.format(largest.key)
    split = [replace(g, share=g.share - early) if g.key == largest.key else g for g in brought]
    return [*split, replace(largest, key=key, share=early)], power | {key: power[largest.key]}


def goes_in_second(species: str, plan: MashPlan) -> bool:
    """Whether a raw grain goes in below the cook, on the way down."""
    return not raw(species).goes_in_first or (plan.cooker is not None and species in plan.cooker.second_species)


def _cooker(plan: MashPlan, brought: Sequence[MashGrain], first_L_per_kg: float) -> MashProgramme:
    how = plan.cooker or CookerPlan()
    premalts = [grain.key for grain in brought if grain.key.endswith(IN_COOKER.format(""))]
    unmalted = [grain for grain in brought if not (grain.malted or grain.husk or grain.opened)]
    raws = {grain.key for grain in unmalted}
    malts = [grain.key for grain in brought if grain.key not in raws and grain.key not in premalts]
    second = [g.key for g in unmalted if goes_in_second(g.species, plan)]
    cooked = [g.key for g in unmalted if g.key not in second]
    if not cooked:
        cooked, second = second, []
    return programme.cooker(
        cooked or premalts,
        malts,
        plan.cook_degC or 0.0,
        how.cook_min,
        first_L_per_kg,
        premalt=(premalts[0], 1.0) if premalts and cooked else None,
        second=second,
        second_degC=how.second_degC,
        second_min=how.second_min,
        malt_degC=plan.settled_mash_degC,
        malt_min=how.malt_min,
        slurry_degC=how.slurry_degC,
        grist_degC=plan.grist_degC,
        backset_pct=plan.backset_pct,
        mash_pH=plan.mash_pH,
    )


def _usual(lots: Sequence[LotBelief], plan: MashPlan, on: LaidOn) -> tuple[Water, ...]:
    return usual_waters(
        plan.wort_L_per_t, plan.settled_mash_degC, _extract(lots, plan, on), on.moisture_pct, plan.liquor_L_per_kg
    )


def _extract(lots: Sequence[LotBelief], plan: MashPlan, on: LaidOn) -> float:
    """Extract that the balance brings into the wort [kg/t]."""
    extract = np.stack([certificate.lot_values(belief, on.middles)[0] for belief in lots], axis=-1)
    return float(np.mean(10.0 * (on.shares * extract).sum(axis=-1) * on.middles[RECOVERY[plan.vessel]]))


def _infusion(plan: MashPlan, keys: Sequence[str], waters: Sequence[Water]) -> MashProgramme:
    return programme.single_infusion(
        keys,
        waters,
        plan.stand_min or USUAL_STAND_MIN,
        plan.later_stand_min,
        plan.run_off_min,
        plan.waters_to_washback,
        plan.grist_degC,
        plan.mash_pH,
    )
