"""Calls of the simulated mash that give one number for one row of mash.csv. All at the middle of every prior."""

from __future__ import annotations

from functools import cache

import numpy as np

from gristwright.basics import FloatArray
from gristwright.numerics.draws import middles
from gristwright.quantities.gravity import attenuation_quotient
from gristwright.records.mash import Corner, MaltEnzymes, MashCourse, MashGrain, MashProgramme
from gristwright.reference import priors
from gristwright.stages.mash import brandam2003, programme
from gristwright.stages.mash.enzymes import from_certificate
from gristwright.stages.mash.gelatinisation import opening
from gristwright.stages.mash.simulation import simulate

DRAWS = dict(middles(priors("mash")))
FITTED = (220.29, 486.957, 400.0)
GLUCOSE, MALTOSE, MALTOTRIOSE = 1.1111, 1.0556, 1.0370


def one(value: float) -> FloatArray:
    return np.array([value])


def grain(key: str, species: str, malted: bool, share: float, starch: float, inert: float) -> MashGrain:
    ready = 0.05 if malted else 0.01
    moisture = 4.5 if malted else 13.0
    return MashGrain(key, species, malted, one(share), one(starch), one(ready), one(inert), one(moisture))


def malt(share: float = 1.0) -> MashGrain:
    return grain("malt", "barley", True, share, 0.62, 0.11)


def enzymes(dose: float = 1.0) -> dict[str, MaltEnzymes]:
    return {"malt": MaltEnzymes(*(one(dose * unit) for unit in FITTED))}


@cache
def stand(degC: float, minutes: float, L_per_kg: float, dose: float = 1.0) -> MashCourse:
    """An all-malt mash of the fitted malt, or of one with a part of its enzymes, at one temperature."""
    rests = programme.programmed_rests(["malt"], [(degC, minutes)], L_per_kg)
    return simulate(rests, [malt()], enzymes(dose), DRAWS)


def starch_as_sugar(course: MashCourse) -> float:
    """Kilograms of starch that have become sugar, per tonne."""
    wort = course.washback
    parts = (
        wort.glucose_kg_per_t / GLUCOSE,
        wort.maltose_kg_per_t / MALTOSE,
        wort.maltotriose_kg_per_t / MALTOTRIOSE,
    )
    return float(sum(parts)[0])


def published(degC: float, minutes: float, quantity: str, starch_g_per_L: float = 100.0) -> float:
    """One quantity of the published model after a stand at one temperature."""
    found = brandam2003.mash([Corner(0.0, degC), Corner(minutes, degC)], starch_g_per_L)
    return float(getattr(found, quantity)[0])


def published_optimum_degC() -> float:
    """Temperature of most fermentable sugar after 60 min in the published model."""
    degC = np.arange(58.0, 72.05, 0.5)
    return float(degC[np.argmax([published(t, 60.0, "fermentable") for t in degC])])


def optimum_degC(L_per_kg: float = 4.0) -> float:
    """Temperature of most sugar in the wort after 60 min."""
    degC = np.arange(58.0, 70.05, 0.5)
    return float(degC[np.argmax([stand(float(t), 60.0, L_per_kg).fermentability.now_kg_per_t[0] for t in degC])])


def relative_sugar_pct(degC: float, minutes: float, L_per_kg: float = 5.0) -> float:
    """Sugar made in % of that after 60 min at 65 degC."""
    reference = stand(65.0, 60.0, L_per_kg)
    return 100.0 * starch_as_sugar(stand(degC, minutes, L_per_kg)) / starch_as_sugar(reference)


def apparent_attenuation_pct(degC: float, minutes: float = 60.0) -> float:
    """Apparent limit attenuation of a boiled wort of 90 % of the malt and 10 % without enzymes or starch, 3 L/kg."""
    dextrin_malt = grain("dextrin", "barley", True, 0.1, 0.0, 0.65)
    rests = programme.programmed_rests(["malt", "dextrin"], [(degC, minutes)], 3.0)
    course = simulate(rests, [malt(0.9), dextrin_malt], enzymes(), DRAWS)
    original = float(course.wort_g_per_100g[-1, 0])
    return float((1.0 + attenuation_quotient(original)) * course.fermentability.now_pct[0])


def sugar_yield_pct(L_per_kg: float, degC: float) -> float:
    """Starch turned into sugar after 60 min, % of the starch."""
    return 100.0 * starch_as_sugar(stand(degC, 60.0, L_per_kg)) / 620.0


def sugar_fall(degC: float) -> float:
    """By how many points that falls from 6 to 2.5 L/kg."""
    return sugar_yield_pct(6.0, degC) - sugar_yield_pct(2.5, degC)


def shift_K(from_g_per_100g: float, to_g_per_100g: float) -> float:
    """How far gelatinisation moves between two strengths, both above the thin mash."""
    place = opening([malt()], DRAWS)
    thin, thick = (place.shifted_degC(one(65.0), one(10.0 + g)) for g in (from_g_per_100g, to_g_per_100g))
    return float((thin - thick)[0])


def alive(enzyme: str, degC: float, minutes: float, L_per_kg: float) -> float:
    """Share of one enzyme alive after a stand."""
    return float(getattr(stand(degC, minutes, L_per_kg), f"{enzyme}_alive")[-1, 0])


def alive_congress(enzyme: str) -> float:
    """Share alive after 30 min at 45 degC, a ramp of 1 K/min and 60 min at 70 degC in 8 L/kg."""
    rests = programme.programmed_rests(["malt"], [(45.0, 30.0), (70.0, 60.0)], 8.0)
    return float(getattr(simulate(rests, [malt()], enzymes(), DRAWS), f"{enzyme}_alive")[-1, 0])


def beta_in_maltose(degC: float, minutes: float, maltose_g_per_100g: float) -> float:
    """Share of beta-amylase alive in a solution of maltose instead of wort, by the same law."""
    from gristwright.stages.mash.enzymes import beta_loss_per_s, protected

    loss = beta_loss_per_s(one(degC), one(1.0))
    return float(np.exp(-60.0 * minutes * protected(loss, one(maltose_g_per_100g), DRAWS["mash.beta_protection"]))[0])


def unconverted_pct(degIoB: float) -> float:
    """Starch left after 60 min at 64 degC with the enzymes of so many degIoB in the grist; 75 for the fitted malt."""
    return float(stand(64.0, 60.0, 4.0, degIoB / 75.0).unconverted_pct[0])


def cooked(species: str, starch: float, cook_degC: float) -> MashCourse:
    """A tenth of high-enzyme malt on a cooked raw grain."""
    plan: MashProgramme = programme.cooker(["raw"], ["malt"], cook_degC, 30.0, 3.5, ("malt", 0.2))
    grist = [grain("raw", species, False, 0.9, starch, 0.03), malt(0.1)]
    strong = {"malt": MaltEnzymes(one(220.0), one(960.0), one(400.0))}
    return simulate(plan, grist, strong, DRAWS)


def opened_ratio(species: str, starch: float, this_degC: float, best_degC: float) -> float:
    """Raw starch opened by one cook over that opened by another."""
    raw = 900.0 * starch
    parts = [raw - float(cooked(species, starch, t).unopened_end_kg_per_t[0]) for t in (this_degC, best_degC)]
    return parts[0] / parts[1]


def lpa_per_t_dry(species: str, starch_dry: float, cook_degC: float) -> float:
    """Alcohol from a tonne of dry cooked grist, the fermentable extract at 0.4783 g/g (PSY factor 6.06)."""
    course = cooked(species, starch_dry * 0.87, cook_degC)
    dry = 0.9 * 0.87 + 0.1 * 0.955
    return float(course.fermentability.unboiled_kg_per_t[0]) * 0.4783 / 0.78924 / dry


def rye_sugar_ratio(high_share: float, low_share: float) -> float:
    """Sugar at the end of the mash of raw rye with two shares of malt, one over the other."""
    found = []
    for share in (high_share, low_share):
        plan = programme.cooker(["rye"], ["malt"], 90.0, 20.0, 4.0)
        grist = [grain("rye", "rye", False, 1.0 - share, 0.621, 0.05), malt(share)]
        found.append(float(simulate(plan, grist, enzymes(), DRAWS).fermentability.now_kg_per_t[0]))
    return found[0] / found[1]


def roasted_sugar_ratio(roasted_share: float) -> float:
    """Fermentable sugar of pale malt with a share of roasted malt over that of pale malt alone."""
    dark = MashGrain("dark", "barley", True, one(roasted_share), one(0.0), one(0.0), one(0.65), one(3.0), dark=True)
    rests = programme.programmed_rests(["malt", "dark"], [(65.0, 60.0)], 4.0)
    mixed = simulate(rests, [malt(1.0 - roasted_share), dark], enzymes(), DRAWS)
    return float(mixed.fermentability.now_kg_per_t[0] / stand(65.0, 60.0, 4.0).fermentability.now_kg_per_t[0])


def alpha_of_units(dextrinising_units: float) -> float:
    """Alpha-amylase [U/g] read from dextrinising units."""
    return float(from_certificate(DRAWS, 80.0, dextrinising_units).alpha_U_per_g[0])


def beta_of_power(degLintner: float) -> float:
    """Beta-amylase [U/g] read from diastatic power."""
    return float(from_certificate(DRAWS, degLintner, 45.0).beta_U_per_g[0])


def dextrinase_unmeasured() -> float:
    """Limit dextrinase [U/kg] of a malt of which only power and dextrinising units are known."""
    return float(from_certificate(DRAWS, 80.0, 45.0).limit_dextrinase_U_per_kg[0])
