"""Calls of the simulated mash that give one number for one row of mash.csv. All at the middle of every prior."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import replace
from functools import cache

import numpy as np

from gristwright.basics import FloatArray
from gristwright.numerics.draws import middles
from gristwright.quantities.gravity import attenuation_quotient
from gristwright.records.mash import Corner, MaltEnzymes, MashCourse, MashGrain, MashProgramme
from gristwright.reference import priors
from gristwright.stages.mash import brandam2003, models, programme, two_granules
from gristwright.stages.mash.enzymes import from_certificate
from gristwright.stages.mash.gelatinisation import opening

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


MODEL = ContextVar("MODEL", default=models.MODEL)


@contextmanager
def by_model(name: str) -> Iterator[None]:
    """Every row asked inside is answered by that model."""
    token = MODEL.set(name)
    try:
        yield
    finally:
        MODEL.reset(token)


def simulate(
    plan: MashProgramme, grains: Sequence[MashGrain], lots: dict[str, MaltEnzymes], grind: str = "flour"
) -> MashCourse:
    """One mash at the middle of every prior, by the model that is asked for; laboratories mill to flour."""
    return models.simulate(replace(plan, model=MODEL.get(), grind=grind), grains, lots, DRAWS)


def stand(degC: float, minutes: float, L_per_kg: float, dose: float = 1.0) -> MashCourse:
    """An all-malt mash of the fitted malt, or of one with a part of its enzymes, at one temperature."""
    return _stand(MODEL.get(), degC, minutes, L_per_kg, dose, dose)


def stand_of(degC: float, minutes: float, L_per_kg: float, alpha: float, beta: float) -> MashCourse:
    """The same with alpha- and beta-amylase in different doses; limit dextrinase goes with beta-amylase."""
    return _stand(MODEL.get(), degC, minutes, L_per_kg, alpha, beta)


@cache
def _stand(model: str, degC: float, minutes: float, L_per_kg: float, alpha: float, beta: float) -> MashCourse:
    rests = programme.programmed_rests(["malt"], [(degC, minutes)], L_per_kg)
    doses = zip((alpha, beta, beta), FITTED, strict=True)
    return simulate(rests, [malt()], {"malt": MaltEnzymes(*(one(dose * unit) for dose, unit in doses))})


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
    course = simulate(rests, [malt(0.9), dextrin_malt], enzymes())
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
    return _at_end(stand(degC, minutes, L_per_kg), enzyme)


def _at_end(course: MashCourse, enzyme: str) -> float:
    """Share of an enzyme alive when a mash ends. Raises LookupError for one that the model has not."""
    share = getattr(course, f"{enzyme}_alive")
    if share is None:
        raise LookupError(f"no {enzyme} in this model")
    return float(share[-1, 0])


def alive_congress(enzyme: str) -> float:
    """Share alive after 30 min at 45 degC, a ramp of 1 K/min and 60 min at 70 degC in 8 L/kg."""
    rests = programme.programmed_rests(["malt"], [(45.0, 30.0), (70.0, 60.0)], 8.0)
    return _at_end(simulate(rests, [malt()], enzymes()), enzyme)


def unconverted_pct(degLintner: float, dextrinising_units: float) -> float:
    """Starch left after 60 min at 64 degC with such enzymes in the grist, as a certificate would say them."""
    lot = from_certificate(DRAWS, one(degLintner), one(dextrinising_units))
    doses = (float(lot.alpha_U_per_g[0]) / FITTED[0], float(lot.beta_U_per_g[0]) / FITTED[1])
    return float(stand_of(64.0, 60.0, 4.0, *doses).unconverted_pct[0])


def cooked(species: str, starch: float, cook_degC: float) -> MashCourse:
    """A tenth of high-enzyme malt on a cooked raw grain, fermented on the grain for three days."""
    plan: MashProgramme = programme.cooker(["raw"], ["malt"], cook_degC, 30.0, 3.5, ("malt", 0.2))
    grist = [grain("raw", species, False, 0.9, starch, 0.03), malt(0.1)]
    strong = {"malt": MaltEnzymes(one(220.0), one(960.0), one(400.0))}
    return simulate(plan, grist, strong)


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
        found.append(float(simulate(plan, grist, enzymes()).fermentability.now_kg_per_t[0]))
    return found[0] / found[1]


def roasted_sugar_ratio(roasted_share: float) -> float:
    """Fermentable sugar of pale malt with a share of roasted malt over that of pale malt alone."""
    dark = MashGrain("dark", "barley", True, one(roasted_share), one(0.0), one(0.0), one(0.65), one(3.0), dark=True)
    rests = programme.programmed_rests(["malt", "dark"], [(65.0, 60.0)], 4.0)
    mixed = simulate(rests, [malt(1.0 - roasted_share), dark], enzymes())
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


CONGRESS = ((45.0, 30.0), (70.0, 60.0))  # rests of the standard, joined by 1 K/min: 70 degC is reached at 55 min
REACHED_MIN = 55.0


@cache
def _congress(model: str, minutes_at_70: float) -> MashCourse:
    rests = programme.programmed_rests(["malt"], [CONGRESS[0], (70.0, minutes_at_70)], 8.0)
    return simulate(rests, [malt()], enzymes())


def _sugar(course: MashCourse) -> float:
    return float(course.washback.sugar_kg_per_t[0])


def congress_sugar_ratio() -> float:
    """Sugar of a Congress mash when 70 degC is reached, over that at its end."""
    return _sugar(_congress(MODEL.get(), 1e-3)) / _sugar(_congress(MODEL.get(), 60.0))


def congress_beta_at_70() -> float:
    """Beta-amylase alive when 70 degC is reached."""
    return float(_congress(MODEL.get(), 1e-3).beta_alive[-1, 0])


def congress_rise() -> float:
    """1 where sugar rises after 70 degC is reached by more than a hundredth and extract by less than two."""
    before, after = (_congress(MODEL.get(), minutes).washback for minutes in (1e-3, 60.0))
    sugar = float((after.sugar_kg_per_t / before.sugar_kg_per_t)[0])
    extract = float((after.extract_kg_per_t / before.extract_kg_per_t)[0])
    return float(sugar > 1.01 and extract < 1.02)


def iodine_normal_min() -> float:
    """Minutes after 70 degC is reached until less than 0.2 g/L of starch is open or unopened; our reading of normal."""
    for minutes in (1e-3, 1.0, 2.0, 3.0, 5.0, 8.0, 10.0, 15.0, 20.0, 30.0):
        course = _congress(MODEL.get(), minutes)
        left = course.unopened_end_kg_per_t + course.washback.open_starch_kg_per_t
        if float(left[0]) < 0.2 * 8.0:
            return minutes if minutes >= 1.0 else 0.0
    return 60.0


def hot_fermentability_pct(degC: float) -> float:
    """Fermentable part of the extract after an hour at 2.5 L/kg."""
    return float(stand(degC, 60.0, 2.5).fermentability.now_pct[0])


def _converted_kg_per_t(degC: float) -> float:
    wort = stand(degC, 60.0, 2.5).washback
    return float((wort.extract_kg_per_t - wort.open_starch_kg_per_t)[0])


def hot_extract_ratio(this_degC: float, other_degC: float) -> float:
    """Extract without starch after an hour at one temperature over that at another, 2.5 L/kg."""
    return _converted_kg_per_t(this_degC) / _converted_kg_per_t(other_degC)


def starch_from_85() -> float:
    """1 where starch is left in the wort at 85 degC, more than a hundredth of it, and not at 80 degC."""
    at_80, at_85 = (float(stand(t, 60.0, 2.5).unconverted_pct[0]) for t in (80.0, 85.0))
    return float(at_85 > 1.0 >= at_80)


def thin_is_poorer() -> float:
    """1 where a thin mash (6 L/kg) has less sugar than a thick one (2.5 L/kg) at 68, 70, 72 and 75 degC."""
    return float(all(sugar_fall(t) < 0.0 for t in (68.0, 70.0, 72.0, 75.0)))


def thick_is_poorer_cool() -> float:
    """1 where a thick mash has less sugar than a thin one at 62 and 63 degC."""
    return float(all(sugar_fall(t) > 0.0 for t in (62.0, 63.0)))


def small_open_last() -> float:
    """1 where after 10 min at 62 degC of small granules more than a tenth is unopened and of large ones less."""
    c = two_granules.fitted()
    place = opening([malt()], DRAWS)
    shift = float(DRAWS["mash.small_granule_shift_K"][0])
    half = float(place.centre_degC[0, 0]) + c["half_open_degC"] - two_granules.usual_malt_degC()
    rates = [
        np.exp(c["steepness_per_K"] * (62.0 - half)),
        np.exp(c["small_steepness_per_K"] * (62.0 - half - shift)),
    ]
    large, small = (float(np.exp(-600.0 * min(rate / c["half_open_s"], 0.02))) for rate in rates)
    return float(small > 0.1 > large)


def opening_onset_degC() -> float:
    """Temperature at which a tenth of malt starch is open when it is heated at 10 K/min in plenty of water."""
    c = two_granules.fitted()
    small, shift = two_granules.small_granules("barley", True), float(DRAWS["mash.small_granule_shift_K"][0])
    degC = np.arange(50.0, 75.0, 0.01)
    parts = (
        (1.0 - small, c["half_open_degC"], c["steepness_per_K"]),
        (small, c["half_open_degC"] + shift, c["small_steepness_per_K"]),
    )
    open_share = np.zeros_like(degC)
    for share, half, steep in parts:
        exponent = np.cumsum(np.exp(steep * (degC - half)) / c["half_open_s"]) * 0.01 / (10.0 / 60.0)
        open_share += share * (1.0 - np.exp(-exponent))
    return float(degC[np.searchsorted(open_share, 0.1)])


def alpha_best_degC(minutes: float = 10.0) -> float:
    """Temperature at which alpha-amylase takes most starch in a short assay with plenty of it."""
    degC = np.arange(37.0, 86.0, 0.5)
    return float(degC[np.argmax([_assay(t, minutes) for t in degC])])


def alpha_under_mash_conditions(degC: float, minutes: float = 10.0) -> float:
    """The same taken at one temperature, over that at the best."""
    return _assay(degC, minutes) / _assay(alpha_best_degC(minutes), minutes)


def _assay(degC: float, minutes: float) -> float:
    c = two_granules.fitted()
    activity, loss = (
        float(two_granules.warmed(c[name], one(degC))[0]) for name in ("alpha_kJ_per_mol", "alpha_loss_kJ_per_mol")
    )
    per_s = c["alpha_loss_per_s"] * loss
    return activity * (1.0 - float(np.exp(-60.0 * minutes * per_s))) / per_s


USUAL = ((52.0, 10.0), (63.0, 30.0), (72.0, 20.0), (78.0, 5.0))  # a usual programme of a brewery, 1 K/min between


@cache
def _usual(model: str) -> MashCourse:
    return simulate(programme.programmed_rests(["malt"], list(USUAL), 4.0), [malt()], enzymes())


def share_of_sugar_pct(sugar: str) -> float:
    """One sugar in per cent of all sugar of a usual programmed mash; what the malt brings counts as monosaccharide."""
    wort = _usual(MODEL.get()).washback
    parts = {
        "mono": wort.glucose_kg_per_t + wort.ready_sugar_kg_per_t,
        "maltose": wort.maltose_kg_per_t,
        "maltotriose": wort.maltotriose_kg_per_t,
    }
    return float(100.0 * (parts[sugar] / wort.sugar_kg_per_t)[0])


def share_of_carbohydrate_pct(sugar: str) -> float:
    """One sugar in per cent of all sugar and dextrin of that mash."""
    wort = _usual(MODEL.get()).washback
    return share_of_sugar_pct(sugar) * float((wort.sugar_kg_per_t / (wort.sugar_kg_per_t + wort.dextrin_kg_per_t))[0])


def share_of_products_pct() -> float:
    """Glucose, maltose and maltotriose in per cent of what became of the starch in that mash."""
    wort = _usual(MODEL.get()).washback
    sugar = wort.sugar_kg_per_t - wort.ready_sugar_kg_per_t
    return float(100.0 * (sugar / (sugar + wort.dextrin_kg_per_t))[0])


def congress_fermentability_pct() -> float:
    """Fermentable part of the extract of a Congress wort as it is."""
    return float(_congress(MODEL.get(), 60.0).fermentability.now_pct[0])


def maize_of_theory() -> float:
    """Alcohol of maize with a tenth of strong malt over what its starch could give, fermented whole for three days."""
    course = cooked("maize", 0.62, 100.0)
    starch = float(course.starch_in_kg_per_t[0])
    fermented = float(course.fermentability.unboiled_kg_per_t[0] - course.washback.ready_sugar_kg_per_t[0])
    # Sugar is counted as maltose; yeast's own share of it (PSY factor) is part of what theory leaves out.
    return fermented / (starch * MALTOSE) * 0.4783 / 0.5114


def protection() -> float:
    """Fall of the logarithm of beta-amylase's loss for each g/100 g."""
    return float(DRAWS["mash.beta_protection"][0])
