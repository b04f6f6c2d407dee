"""One house's mash of one grist, simulated, and what it does to the laboratory's figures. See docs/mash.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.flowsheet.setting_out import LaidOn, SetOut, laid_out
from gristwright.numerics.draws import members_of
from gristwright.records.mash import MaltEnzymes, MashCourse, MashGrain
from gristwright.records.plant import Plant
from gristwright.reference.grains import usual
from gristwright.stages.grist import certificate, raw_grain
from gristwright.stages.grist.certificate import LotBelief, column
from gristwright.stages.mash import enzymes, grains, laboratory
from gristwright.stages.mash.laboratory import MashEffect
from gristwright.stages.mash.models import simulate

# A step of 30 s moves no effect by more than half a thousandth against 5 s.
EFFECT_STEP_S = 30.0
IN_UNITS = ("alpha_amylase_U_per_g", "beta_amylase_U_per_g", "limit_dextrinase_U_per_kg")


def set_out(
    lots: Sequence[LotBelief], plant: Plant, shares: FloatArray, draws: Draws, middles: Draws | None = None
) -> SetOut:
    """The house's mash of these shares, (lots,) or (members, lots), on these draws.

    Litres, boards and the course shown all rest on it. Its programme is laid out on the reference run, `middles`, so
    that it does not change with the number of draws; on the draws where that is not given. Raises Refused for a plan
    that cannot be.
    """
    reference = middles or draws
    usual_shares = np.atleast_2d(shares).mean(axis=0)
    laid_on, _ = _brought(lots, usual_shares, reference)
    moisture = float(np.mean(sum(grain.share * grain.moisture_pct for grain in laid_on)))
    ready = laid_out(lots, plant, *_brought(lots, shares, draws), LaidOn(usual_shares, moisture, reference))
    here = replace(
        ready.programme,
        model=plant.mash.model,
        grind=_grind(plant),
        ferment_hours=plant.washbacks.hours,
    )
    return replace(ready, programme=here)


def _grind(plant: Plant) -> str:
    """A filter and a house that ferments on the grain mill with hammers, a bed of husk needs rolls."""
    return "hammer" if plant.grain_in or plant.mash.vessel == "filter" else "rolls"


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
    """What the house's mash does to the laboratory's figures of this grist, for every draw; as `mashed`."""
    return mashed(lots, plant, shares, draws, usual_unopened, measured, middles)[0]


def mashed(
    lots: Sequence[LotBelief],
    plant: Plant,
    shares: FloatArray,
    draws: Draws,
    usual_unopened: FloatArray,
    measured: MashCourse | None = None,
    middles: Draws | None = None,
) -> tuple[MashEffect, MashCourse]:
    """The house's mash of this grist, and what it does to the laboratory's figures. `shares` as `set_out`.

    `measured` is the laboratory's mash of the grist where it was simulated before.
    """
    ready = set_out(lots, plant, shares, draws, middles)
    house = simulate(ready.programme, ready.grains, ready.enzymes, draws, EFFECT_STEP_S, None)
    bench = in_laboratory(lots, plant, shares, draws) if measured is None else measured
    openable = _openable(ready.grains, plant.mash.cook_degC, draws)
    return laboratory.effect(house, bench, openable, usual_unopened, plant.wort_boiled), house


def in_laboratory(lots: Sequence[LotBelief], plant: Plant, shares: FloatArray, draws: Draws) -> MashCourse:
    """The laboratory's mash of this grist, with enough enzyme; of the house it asks the model and the washback."""
    brought, _ = _brought(lots, shares, draws)
    return _standard(brought, plant, draws)


def usual_unopened(plant: Plant, draws: Draws) -> FloatArray:
    """Starch that the model leaves in the laboratory's mash of a sound malt, share of it, (members,)."""
    flat = np.ones(members_of(draws))
    malt = MashGrain("malt", usual(), True, flat, 0.62 * flat, 0.05 * flat, 0.11 * flat, 4.5 * flat)
    return laboratory.unconverted_share(_standard([malt], plant, draws))


def _standard(brought: Sequence[MashGrain], plant: Plant, draws: Draws) -> MashCourse:
    programme, cooked, enough = laboratory.laboratory_mash(brought, plant.mash.model, _alive_on_the_grain(plant))
    return simulate(programme, cooked, enough, draws, EFFECT_STEP_S, None)


def alike_in_laboratory(one: Plant, other: Plant) -> bool:
    """Whether the laboratory's mash of a grist is the same for two houses."""
    return (_alive_on_the_grain(one), one.mash.model) == (_alive_on_the_grain(other), other.mash.model)


def _alive_on_the_grain(plant: Plant) -> bool:
    """Whether the whole mash ferments unboiled, so that the washback finishes what a little malt began."""
    return plant.grain_in and not plant.wort_boiled


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
