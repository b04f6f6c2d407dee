"""Does the wort run off the bed? An engineering estimate that the house's own hours correct. See docs/boards.md."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gristwright.basics import BoolArray, Draws, FloatArray, Light
from gristwright.numerics.runs import Runs
from gristwright.quantities.shown import either, interval, plain
from gristwright.records.lot import Material
from gristwright.records.plant import MashPlan
from gristwright.records.results import Board, Figure
from gristwright.reference.grains import mashed, usual
from gristwright.stages.grist.board_floors import at, floor, light_of, share_where, sticky_share, sticky_words

HOUSE = "input.plant"
FILTER = "filter"  # the vessel that has no bed of husk
# The mash that grist.bed_run_off_h is said of: all malt of barley.
REFERENCE_LOAD_KG_PER_M2, REFERENCE_WORT_L_PER_KG = 200.0, 5.0
REFERENCE_FINES_PCT, REFERENCE_BETA_GLUCAN_MG_PER_L = 10.0, 120.0


def huskless_share(shares: FloatArray, materials: Sequence[Material]) -> float:
    """Share (0 to 1) of grain without husk. `shares` (lots,)."""
    return share_where(shares, [not mashed(m.species, m.key).husk for m in materials])


def pentosan_pct(shares: FloatArray, materials: Sequence[Material]) -> float:
    """Extractable pentosan of the grist [% of dry grain]; `shares` (lots,)."""
    each = [mashed(m.species, m.key).pentosan_pct for m in materials]
    return float(np.sum(np.asarray(shares) * np.array(each)))


def tightness(
    shares: FloatArray,
    materials: Sequence[Material],
    beta_glucan_mg_per_L: FloatArray,
    fines_pct: float,
    draws: Draws,
    husk_counts: bool = True,
) -> FloatArray:
    """Run-off of this grist over that of an all-malt mash of barley in the same vessel, (members,).

    `shares` (lots,), `beta_glucan_mg_per_L` of laboratory wort (members, lots), `fines_pct` flour of the milled grist;
    `husk_counts` is false of a mash filter, which holds its thin bed by its cloth.
    """
    glucan = (shares * beta_glucan_mg_per_L).sum(axis=-1) - REFERENCE_BETA_GLUCAN_MG_PER_L
    pentosan = pentosan_pct(shares, materials) - mashed(usual()).pentosan_pct
    logarithm = (
        draws["grist.bed_huskless_effect"] * (huskless_share(shares, materials) if husk_counts else 0.0)
        + draws["grist.bed_pentosan_effect"] * pentosan
        + draws["grist.bed_beta_glucan_effect"] * glucan / 100.0
        + draws["grist.bed_fines_effect"] * (fines_pct - REFERENCE_FINES_PCT) / 10.0
    )
    return np.asarray(np.exp(logarithm))


def bed_depth_m(plan: MashPlan, draws: Draws) -> FloatArray:
    """Depth of the settled bed [m], (members,)."""
    return np.asarray(_load_kg_per_m2(plan, draws) * draws["grist.bed_L_per_kg"] / 1000.0)


def _load_kg_per_m2(plan: MashPlan, draws: Draws) -> FloatArray:
    if plan.plate_area_m2 is None:
        return draws["grist.bed_load_kg_per_m2"]
    return np.full_like(draws["grist.bed_load_kg_per_m2"], plan.kg_per_mash / plan.plate_area_m2)


def run_off_h(tightness: FloatArray, plan: MashPlan, draws: Draws, usual_tightness: FloatArray | None) -> FloatArray:
    """Hours of run-off, (members,): the house's own scaled by tightness, or the reference mash scaled by the bed.

    `usual_tightness` is that of the bill behind the house's own hours; the reference mash where it is not given.
    """
    if plan.usual_run_off_hours is not None:
        against = np.ones_like(tightness) if usual_tightness is None else usual_tightness
        return np.asarray(plan.usual_run_off_hours * tightness / against)
    reference_m = REFERENCE_LOAD_KG_PER_M2 * draws["grist.bed_L_per_kg"] / 1000.0
    depth = (bed_depth_m(plan, draws) / reference_m) ** draws["grist.bed_depth_exponent"]
    wort = plan.wort_L_per_t / 1000.0 / REFERENCE_WORT_L_PER_KG
    return np.asarray(draws["grist.bed_run_off_h"] * depth * wort * tightness)


def bed_board(
    shares: FloatArray,
    materials: Sequence[Material],
    beta_glucan_mg_per_L: FloatArray,
    plan: MashPlan,
    runs: Runs,
    draws: Draws,
    usual_shares: FloatArray | None = None,
    fines_pct: float = REFERENCE_FINES_PCT,
) -> Board:
    """Run-off of a separated house; `shares` (lots,), `beta_glucan_mg_per_L` (members, lots), one tun a mash.

    `usual_shares` (lots,) are those of the bill that the house's own hours belong to.
    """
    bare, sticky = huskless_share(shares, materials), sticky_share(shares, materials)
    if plan.vessel == FILTER and plan.usual_run_off_hours is None:
        return _not_estimated(sticky)
    husk = plan.vessel != FILTER
    tight = tightness(shares, materials, beta_glucan_mg_per_L, fines_pct, draws, husk)
    usual = (
        None
        if usual_shares is None
        else tightness(usual_shares, materials, beta_glucan_mg_per_L, fines_pct, draws, husk)
    )
    hours = run_off_h(tight, plan, draws, usual)
    bare = bare if husk else 0.0
    never = husk and _beyond(shares, materials) and not _runs_such_off(usual_shares, materials, plan)
    red = (hours > _line(plan, "red")) | never
    probability = runs.chance(red)
    band = runs.band(hours)
    easy = band.middle <= _line(plan, "watch") and bare < at("huskless_watch") and sticky < at("rye_bed_watch")
    light = light_of(probability, easy)
    depth = runs.band(bed_depth_m(plan, draws))
    known = plan.plate_area_m2 is not None
    return Board(
        key="bed",
        title="Run-off",
        light=light,
        probability_red=probability,
        figure=Figure.of("run_off_h", "run-off", "h", hours, 1, runs, HOUSE),
        sentence=f"{plain(band.middle, 1)} h ({interval(band, 1)}) through "
        f"{_bed_words(depth.middle if known else None) if husk else 'the mash filter'}, an estimate; over "
        f"{_line(plan, 'red'):.3g} h is too long. {_why(bare, sticky, never)}".rstrip(),
        remedy="" if light is Light.GREEN else _remedy(never, bare, sticky, husk) + _asked(never, plan),
        standing="estimate",
        source=_source(sticky, bare),
    )


def _line(plan: MashPlan, name: str) -> float:
    """Hours from which the run-off is watched or red: against the house's own hours where it states them."""
    if plan.usual_run_off_hours is None:
        return at(f"run_off_{name}_h")
    return plan.usual_run_off_hours * at(f"run_off_{name}_times")


def _why(bare: float, sticky: float, never: bool) -> str:
    if bare <= 0.0:
        return (
            f"{100 * sticky:.0f} % of the grist is {sticky_words()}, whose pentosan thickens the wort."
            if sticky > 0.0
            else ""
        )
    grain = f"{100 * bare:.0f} % of the grist has no husk"
    grain += f", {100 * sticky:.0f} % is {sticky_words()}, whose pentosan thickens the wort" if sticky > 0.0 else ""
    return f"{grain}: a conventional tun does not run this off." if never else f"{grain}."


def _beyond(shares: FloatArray, materials: Sequence[Material]) -> bool:
    """Whether a usual tun does not run this grist off."""
    bare, sticky = huskless_share(shares, materials), sticky_share(shares, materials)
    return bool(beyond_a_tun(np.array(bare), np.array(sticky)))


def _runs_such_off(usual_shares: FloatArray | None, materials: Sequence[Material], plan: MashPlan) -> bool:
    """Whether the house states hours of a bill that a usual tun does not run off: what it runs off, it runs off, and
    for others like it the hours decide."""
    return plan.usual_run_off_hours is not None and usual_shares is not None and _beyond(usual_shares, materials)


def _asked(never: bool, plan: MashPlan) -> str:
    if not never or plan.usual_run_off_hours is not None:
        return ""
    return " If the house runs it off today, its own hours of run-off settle it: state them."


def _bed_words(depth_m: float | None) -> str:
    return "a bed of a depth not stated" if depth_m is None else f"a bed {depth_m:.2f} m deep"


def _not_estimated(sticky: float) -> Board:
    """A mash filter whose hours the house does not state."""
    thick = (
        f" {100 * sticky:.0f} % of the grist is {sticky_words()}, whose pentosan thickens the wort in a filter too."
        if sticky
        else ""
    )
    return Board(
        key="bed",
        title="Run-off",
        light=Light.AMBER if sticky >= at("rye_bed_watch") else Light.UNKNOWN,
        probability_red=0.0,
        figure=None,
        sentence=f"A mash filter needs no husk, and how long it takes was not estimated.{thick}",
        remedy="State the house's own hours of run-off: then the change against them is estimated.",
        standing="estimate",
        source="our estimate of hours is that of a tun (docs/boards.md)",
    )


def _remedy(never: bool, bare: float, sticky: float, husk: bool) -> str:
    """What shortens the run-off of a tun with a bed of husk, or of a mash filter."""
    if not husk:
        return either(
            f"less {sticky_words()}" if sticky > 0.0 else "", "a lot with less beta-glucan", "less grain in a charge"
        )
    if never:
        return (
            f"Ferment the whole mash on the grain, or use a mash filter; or put malt of {usual()} in its place. "
            "Enzymes against gums only where the category allows them."
        )
    grain = f"More malt of {usual()} with its husk" if bare > 0.0 else "A lot with less beta-glucan"
    return f"{grain}, a coarser mill, less in the tun, a slow start of the run-off."


def _source(sticky: float, bare: float) -> str:
    lines = ["our engineering estimate (docs/boards.md)", "Barrett et al. 1973, J. Inst. Brew. 79:407-413"]
    lines += [floor("rye_bed_red").source] if sticky > 0.0 else []
    lines += [floor("huskless_red").source] if bare > sticky else []
    return "; ".join(lines)


def beyond_a_tun(bare: FloatArray, sticky: FloatArray) -> BoolArray:
    """Which bills a conventional tun does not run off whatever the hours; shares 0 to 1, shape (bills,)."""
    return np.asarray((bare >= at("huskless_red")) | (sticky >= at("rye_bed_red")), dtype=np.bool_)
