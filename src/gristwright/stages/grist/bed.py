"""How long wort takes off its grain, by Darcy's law for a bed: an engineering estimate that the house's own hours
correct. See docs/boards.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from gristwright.basics import BoolArray, Draws, FloatArray
from gristwright.records.lot import Material
from gristwright.records.plant import MashPlan
from gristwright.records.streams import Draining, RunOff
from gristwright.reference import csv_rows
from gristwright.reference.grains import mashed, usual
from gristwright.stages.grist.board_floors import at, share_where, sticky_share
from gristwright.stages.grist.gums import log_thickness, wort_mPa_s

FILTER, LAUTER, TUN = "filter", "lauter", "tun"
# The mash that grist.bed_run_off_h and grist.filter_run_off_h are said of: all malt of barley.
REFERENCE_LOAD_KG_PER_M2, REFERENCE_WORT_L_PER_KG = 200.0, 5.0
REFERENCE_FINES_PCT = 10.0
LEAST_FILL = 0.3  # of the chambers of a filter


@dataclass(frozen=True)
class Laid:
    """The grist in the vessel: `shares` (..., lots), beta-glucan of laboratory wort (members, lots).

    `husks` is the share of it that is husk put in beside the lots; shares and husks add to one.
    """

    shares: FloatArray
    materials: Sequence[Material]
    beta_glucan_mg_per_L: FloatArray
    husks: float = 0.0

    @property
    def husk(self) -> FloatArray:
        """Husk over that of a grist of barley, (...)."""
        each = np.array([husk_share(material) for material in self.materials])
        return np.asarray((self.shares @ each + self.husks) / husk_of(usual()))

    @property
    def bare(self) -> FloatArray:
        """Part of the husk of barley that is missing, 0 to 1: the share of grain without husk where none was added."""
        return np.asarray(np.clip(1.0 - self.husk, 0.0, 1.0))

    @property
    def added_husks(self) -> FloatArray:
        """Share of the grist that is husk bought as such, of lots and beside them."""
        each = np.array([float(material.husk) for material in self.materials])
        return np.asarray(self.shares @ each + self.husks)


@cache
def husk_of(grain: str) -> float:
    """Share of a grain that is husk; nothing of one that is not in the table."""
    return {row["grain"]: float(row["husk_pct"]) / 100.0 for row in csv_rows("tables/husk.csv")}.get(grain, 0.0)


def husk_share(material: Material) -> float:
    """Share of a type that is husk."""
    if material.husk:
        return 1.0
    return husk_of(material.species) if mashed(material.species, material.key).husk else 0.0


def huskless_share(shares: FloatArray, materials: Sequence[Material]) -> float:
    """Share (0 to 1) of grain without husk. `shares` (lots,)."""
    return share_where(shares, [husk_share(material) == 0.0 for material in materials])


def openness(laid: Laid, draws: Draws) -> FloatArray:
    """How far the husk is missing, (members,): 1 without any, 0 with that of barley; more husk helps less and less."""
    fall = draws["grist.bed_husk_diminishing"]
    end = np.exp(-fall)
    return np.asarray((np.exp(-fall * laid.husk) - end) / (1.0 - end))


def flour_pct(plan: MashPlan, draws: Draws) -> FloatArray:
    """Flour of the milled grist [%], (members,): from the gap of the last rolls, the usual where none is stated."""
    usual_gap = draws["grist.bed_usual_gap_mm"]
    if plan.mill_gap_mm is None:
        return np.full_like(usual_gap, REFERENCE_FINES_PCT)
    return np.asarray(REFERENCE_FINES_PCT * (usual_gap / plan.mill_gap_mm) ** draws["grist.bed_flour_power"])


def tightness(laid: Laid, plan: MashPlan, draws: Draws) -> FloatArray:
    """Run-off of this grist over that of an all-malt mash of barley in the same vessel, (members,).

    Husk and flour are left out of a mash filter, which holds its thin bed by its cloth and takes a fine grist.
    """
    logarithm = log_thickness(laid.shares, laid.materials, laid.beta_glucan_mg_per_L, plan, draws)
    if plan.vessel != FILTER:
        rakes = draws["grist.bed_rakes_effect"] if plan.vessel == LAUTER else 1.0
        logarithm = logarithm + draws["grist.bed_huskless_effect"] * rakes * openness(laid, draws)
        fines = flour_pct(plan, draws) - REFERENCE_FINES_PCT
        logarithm = logarithm + draws["grist.bed_fines_effect"] * fines / 10.0
    return np.asarray(np.exp(logarithm))


def thinness(here: Draining, reference: Draining, draws: Draws) -> FloatArray:
    """Viscosity of all the wort over that of the reference mash, gums apart, (members,): strength and temperature."""

    def mean(off: Draining) -> FloatArray:
        first = off.first_L_per_kg * wort_mPa_s(off.first_g_per_100g, off.first_degC, draws)
        wash = off.wash_L_per_kg * wort_mPa_s(off.wash_g_per_100g, off.wash_degC, draws)
        return np.asarray((first + wash) / (off.first_L_per_kg + off.wash_L_per_kg))

    return np.asarray(mean(here) / mean(reference))


def bed_depth_m(plan: MashPlan, draws: Draws) -> FloatArray:
    """Depth of the settled bed [m], (members,)."""
    return np.asarray(_load_kg_per_m2(plan, draws) * draws["grist.bed_L_per_kg"] / 1000.0)


def _load_kg_per_m2(plan: MashPlan, draws: Draws) -> FloatArray:
    if plan.plate_area_m2 is None:
        return draws["grist.bed_load_kg_per_m2"]
    return np.full_like(draws["grist.bed_load_kg_per_m2"], plan.kg_per_mash / plan.plate_area_m2)


def fill_of(plan: MashPlan) -> float:
    """Grist in a filter over what its chambers are made for; full where they are not stated."""
    if plan.chambers_L is None:
        return 1.0
    return plan.kg_per_mash * at("chamber_L_per_kg") / plan.chambers_L


def reference_h(plan: MashPlan, draws: Draws) -> FloatArray:
    """Hours of the reference mash in such a vessel, (members,)."""
    return draws["grist.filter_run_off_h" if plan.vessel == FILTER else "grist.bed_run_off_h"]


def _loaded(plan: MashPlan, draws: Draws) -> FloatArray:
    """What load and litres do to the hours, (members,): twice the load is twice the wort through twice the bed."""
    wort = plan.wort_L_per_t / 1000.0 / REFERENCE_WORT_L_PER_KG
    if plan.vessel == FILTER:
        return np.full_like(reference_h(plan, draws), wort * max(fill_of(plan), LEAST_FILL))
    over = _load_kg_per_m2(plan, draws) / REFERENCE_LOAD_KG_PER_M2
    return np.asarray(wort * over ** draws["grist.bed_depth_exponent"])


def run_off(
    laid: Laid,
    plan: MashPlan,
    draws: Draws,
    thick: FloatArray | float = 1.0,
    usual_laid: Laid | None = None,
    own: FloatArray | None = None,
) -> RunOff:
    """Hours of one mash. `thick` is its wort's viscosity over the reference's, gums apart (`thinness`), (members,).

    Where the house states its own hours they are those of `usual_laid`, of an all-malt mash of barley where that is not
    given; `own` is the factor of another plan (`own_factor`) that the house's hours are carried over by.
    """
    tight = tightness(laid, plan, draws)
    factor = own_factor(plan, draws, thick, usual_laid) if own is None else own
    plain = reference_h(plan, draws) * _loaded(plan, draws) * thick
    hours, usual_h = plain * factor * tight, plain * factor
    stated = plan.plate_area_m2 is not None or plan.usual_run_off_hours is not None or plan.vessel == FILTER
    vessel = beyond(laid, plan) & (not runs_such_off(usual_laid, plan))
    over_load = _loaded(plan, draws) * REFERENCE_WORT_L_PER_KG / (plan.wort_L_per_t / 1000.0)
    return RunOff(
        hours=np.asarray(hours),
        usual_h=np.asarray(usual_h),
        in_cycle_h=np.asarray(reference_h(plan, draws) if stated else usual_h),
        slow=np.asarray(tight * thick * (over_load if plan.plate_area_m2 or plan.vessel == FILTER else 1.0)),
        never=np.asarray((hours > at("run_off_never_h")) | vessel, dtype=np.bool_),
    )


def own_factor(
    plan: MashPlan, draws: Draws, thick: FloatArray | float = 1.0, usual_laid: Laid | None = None
) -> FloatArray:
    """The house's own hours over those that are estimated for the same mash, (members,); 1 where it states none."""
    plain = reference_h(plan, draws) * _loaded(plan, draws) * thick
    if plan.usual_run_off_hours is None:
        return np.ones_like(plain)
    tight = 1.0 if usual_laid is None else tightness(usual_laid, plan, draws)
    return np.asarray(plan.usual_run_off_hours / (plain * tight))


def beyond(laid: Laid, plan: MashPlan) -> BoolArray:
    """Which grists an infusion tun does not run off whatever the hours, (...); it has no knives and stands deep."""
    if plan.vessel != TUN:
        return np.zeros(np.shape(laid.bare), dtype=np.bool_)
    sticky = sticky_share(laid.shares, laid.materials)
    return np.asarray((laid.bare >= at("huskless_red")) | (sticky >= at("rye_bed_red")), dtype=np.bool_)


def runs_such_off(usual_laid: Laid | None, plan: MashPlan) -> bool:
    """Whether the house states hours of a grist that a tun does not run off: what it runs off, it runs off, and for
    others like it the hours decide."""
    return plan.usual_run_off_hours is not None and usual_laid is not None and bool(np.all(beyond(usual_laid, plan)))


def with_husks(laid: Laid, kg_per_kg: float) -> Laid:
    """The same grist with so much more husk put in, kg a kilogram of grist; of what then lies there it is less."""
    whole = 1.0 + kg_per_kg
    return replace(laid, shares=np.asarray(laid.shares) / whole, husks=(laid.husks + kg_per_kg) / whole)
