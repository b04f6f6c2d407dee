"""One house's mash of one grist, simulated, and what it does to the laboratory's figures. See docs/mash.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.numerics.draws import members_of
from gristwright.records.mash import MaltEnzymes, MashCourse, MashGrain, MashProgramme
from gristwright.records.plant import CookerPlan, MashPlan, Plant, Water
from gristwright.records.ways import USUAL_STAND_MIN
from gristwright.reference.grains import raw, usual
from gristwright.stages.grist import certificate, raw_grain
from gristwright.stages.grist.certificate import LotBelief, column
from gristwright.stages.mash import enzymes, grains, laboratory, programme
from gristwright.stages.mash.laboratory import MashEffect
from gristwright.stages.mash.model import RECOVERY
from gristwright.stages.mash.simulation import simulate
from gristwright.stages.mash.waters import liquor_L_per_kg, usual_waters

# A step of 30 s moves no effect by more than half a thousandth against 5 s.
EFFECT_STEP_S = 30.0
IN_UNITS = ("alpha_amylase_U_per_g", "beta_amylase_U_per_g", "limit_dextrinase_U_per_kg")
IN_COOKER = "{}, in the cooker"


@dataclass(frozen=True)
class SetOut:
    """A mash ready to be run: its programme, its grains by lot, the enzymes of its malts."""

    programme: MashProgramme
    grains: tuple[MashGrain, ...]
    enzymes: dict[str, MaltEnzymes]


def set_out(
    lots: Sequence[LotBelief], plant: Plant, shares: FloatArray, draws: Draws, middles: Draws | None = None
) -> SetOut:
    """The house's mash of these shares, (lots,) or (members, lots), on these draws.

    Litres, boards and the course shown all rest on it. Its programme is laid out on the reference run, `middles`, so
    that it does not change with the number of draws; on the draws where that is not given. Raises Refused for a plan
    that cannot be.
    """
    ready = _set_out(lots, plant, shares, draws, middles or draws)
    plan = plant.mash
    watered = replace(
        ready.programme, calcium_mg_per_L=plan.calcium_mg_per_L, alkalinity_mg_per_L=plan.alkalinity_mg_per_L
    )
    return replace(ready, programme=watered)


def _set_out(lots: Sequence[LotBelief], plant: Plant, shares: FloatArray, draws: Draws, middles: Draws) -> SetOut:
    brought, power = _brought(lots, shares, draws)
    usual = np.atleast_2d(shares).mean(axis=0)
    moisture = float(np.mean(sum(grain.share * grain.moisture_pct for grain in _brought(lots, usual, middles)[0])))
    if plant.grain_cooked:
        brought, power = _premalt(brought, power, plant.mash.premalt_pct / 100.0)
        return SetOut(_cooker(plant.mash, brought, moisture), tuple(brought), power)
    keys = [grain.key for grain in brought]
    plan = plant.mash
    if plan.rests or plant.grain_in:
        rests = [(rest.settled_degC, rest.minutes) for rest in plan.rests]
        rests = rests or [(plan.settled_mash_degC, plan.stand_min or USUAL_STAND_MIN)]
        ready = programme.programmed_rests(
            keys, rests, liquor_L_per_kg(plan, moisture), plan.ramp_K_per_min, plan.grist_degC, plan.mash_pH,
            plan.backset_pct,
        )  # fmt: skip
        return SetOut(ready, tuple(brought), power)
    waters = plan.waters or _usual(lots, plan, usual, middles, moisture)
    return SetOut(_infusion(plan, keys, waters), tuple(brought), power)


def _brought(
    lots: Sequence[LotBelief], shares: FloatArray, draws: Draws
) -> tuple[list[MashGrain], dict[str, MaltEnzymes]]:
    """The grains of a grist and the enzymes of its malts."""
    of_lot = np.broadcast_to(shares, (members_of(draws), len(lots)))
    used = [(belief, of_lot[:, k]) for k, belief in enumerate(lots) if np.any(of_lot[:, k] > 0.0)]
    grist = [_grain(belief, share, draws) for belief, share in used]
    return grist, {b.lot.lot_id: _enzymes(b, draws) for b, _ in used if b.material.malted}


def effect(
    lots: Sequence[LotBelief],
    plant: Plant,
    shares: FloatArray,
    draws: Draws,
    usual_unopened: FloatArray,
    measured: MashCourse | None = None,
    middles: Draws | None = None,
) -> MashEffect:
    """What the house's mash does to the laboratory's figures of this grist, for every draw. `shares` as `set_out`.

    `measured` is the laboratory's mash of the grist where it was simulated before.
    """
    ready = set_out(lots, plant, shares, draws, middles)
    house = simulate(ready.programme, ready.grains, ready.enzymes, draws, EFFECT_STEP_S, None)
    bench = in_laboratory(lots, plant, shares, draws) if measured is None else measured
    openable = _openable(ready.grains, plant.mash.cook_degC, draws)
    return laboratory.effect(house, bench, openable, usual_unopened, plant.wort_boiled)


def in_laboratory(lots: Sequence[LotBelief], plant: Plant, shares: FloatArray, draws: Draws) -> MashCourse:
    """The laboratory's mash of this grist; of the house it asks only whether the wort is boiled."""
    brought, power = _brought(lots, shares, draws)
    standard, cooked = laboratory.laboratory_mash(_measured(brought, plant.wort_boiled))
    return simulate(standard, cooked, power, draws, EFFECT_STEP_S, None)


def usual_unopened(draws: Draws) -> FloatArray:
    """Starch that the model leaves in the laboratory's mash of a sound malt, share of it, (members,)."""
    flat = np.ones(members_of(draws))
    malt = MashGrain("malt", usual(), True, flat, 0.62 * flat, 0.05 * flat, 0.11 * flat, 4.5 * flat)
    standard, grist = laboratory.laboratory_mash([malt])
    return laboratory.unconverted_share(
        simulate(standard, grist, {"malt": enzymes.reference_malt()}, draws, EFFECT_STEP_S, None)
    )


def _measured(brought: Sequence[MashGrain], boiled: bool) -> list[MashGrain]:
    """The grist that the laboratory's fermentability was measured on.

    A boiled wort keeps the dextrins it has, so raw grain that thins the enzymes shows against the malts alone. In the
    washback the enzymes go on, by a closure that was never compared with bills of raw grain: the same grist it is.
    """
    malts = [grain for grain in brought if grain.malted]
    if not boiled or not malts:
        return list(brought)
    total = np.maximum(np.sum([grain.share for grain in malts], axis=0), 1e-9)
    return [replace(grain, share=grain.share / total) for grain in malts]


def _grain(belief: LotBelief, share: FloatArray, draws: Draws) -> MashGrain:
    lot_id, moisture = belief.lot.lot_id, draws[column(belief.lot.lot_id, "moisture_pct")]
    if belief.material.husk:
        return grains.husk(lot_id, belief.material, share, moisture)
    if not belief.material.malted:
        return grains.raw(lot_id, belief.material, share, certificate.starch_asis_pct(belief, draws), moisture)
    extract, fermentability, _, _ = certificate.lot_values(belief, draws)
    return grains.malt(
        lot_id, belief.material, share, extract, fermentability, draws["grist.carbohydrate_share"], moisture, draws
    )


def _enzymes(belief: LotBelief, draws: Draws) -> MaltEnzymes:
    """From the certificate's units where it states them, else from diastatic power and dextrinising units."""
    _, _, power, units = certificate.lot_values(belief, draws)
    return enzymes.from_certificate(draws, power, units, *(_stated(belief, name, draws) for name in IN_UNITS))


def _stated(belief: LotBelief, name: str, draws: Draws) -> FloatArray | None:
    value = belief.values.get(name)
    return None if value is None else value * draws["mash.enzyme_units_laboratory"]


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


def _cooker(plan: MashPlan, brought: Sequence[MashGrain], moisture: float) -> MashProgramme:
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
        liquor_L_per_kg(plan, moisture),
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


def _usual(
    lots: Sequence[LotBelief], plan: MashPlan, shares: FloatArray, draws: Draws, moisture: float
) -> tuple[Water, ...]:
    extract = np.stack([certificate.lot_values(belief, draws)[0] for belief in lots], axis=-1)
    into_wort = 10.0 * (shares * extract).sum(axis=-1) * draws[RECOVERY[plan.vessel]]
    kg = float(np.mean(into_wort))
    return usual_waters(plan.wort_L_per_t, plan.settled_mash_degC, kg, moisture, plan.liquor_L_per_kg)


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


def _openable(brought: Sequence[MashGrain], cook_degC: float | None, draws: Draws) -> FloatArray:
    """Share of the grist's starch that the published yields of raw grain count on after that cook, (members,)."""
    starch = [grain.share * grain.starch_kg_per_kg for grain in brought]
    counted = [part * _counted(grain, cook_degC, draws) for part, grain in zip(starch, brought, strict=True)]
    return np.asarray(np.sum(counted, axis=0) / np.maximum(np.sum(starch, axis=0), 1e-9))


def _counted(grain: MashGrain, cook_degC: float | None, draws: Draws) -> FloatArray:
    if grain.malted or grain.husk:
        return np.ones_like(grain.share)
    best = draws[raw_grain.efficiency_name(grain.species)]
    return np.asarray(raw_grain.efficiency(grain.species, cook_degC, draws, grain.opened) / best)
