"""Invented grists for the simulated mash; the enzymes are those of the malt the published constants were fitted to."""

from __future__ import annotations

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.numerics.draws import at_quantile, middles
from gristwright.records.mash import MaltEnzymes, MashCourse, MashGrain, MashProgramme
from gristwright.reference import priors
from gristwright.stages.mash.models import simulate
from gristwright.stages.mash.programme import programmed_rests

MIDDLES: Draws = middles(priors("mash"))
REST = ((64.0, 60.0),)


def random_draws(members: int, number: int = 1) -> Draws:
    """Draws of every prior of the mash."""
    source = np.random.default_rng(number)
    return {prior.name: at_quantile(prior, source.uniform(0.01, 0.99, members)) for prior in priors("mash")}


def one(value: float) -> FloatArray:
    return np.array([value])


def malt(share: float = 1.0, species: str = "barley") -> MashGrain:
    return MashGrain("malt", species, True, one(share), one(0.62), one(0.05), one(0.11), one(4.5))


def raw(species: str, share: float) -> MashGrain:
    return MashGrain("raw", species, False, one(share), one(0.61), one(0.01), one(0.03), one(13.0))


def enzymes(alpha: float = 1.0, beta: float = 1.0, dextrinase: float = 1.0) -> dict[str, MaltEnzymes]:
    return {"malt": MaltEnzymes(one(220.29 * alpha), one(486.957 * beta), one(400.0 * dextrinase))}


def rests(*pairs: tuple[float, float], L_per_kg: float = 4.0, pH: float | None = None) -> MashProgramme:
    return programmed_rests(["malt"], list(pairs), L_per_kg, mash_pH=pH)


def all_malt(*pairs: tuple[float, float], L_per_kg: float = 4.0, **strength: float) -> MashCourse:
    """An all-malt mash at the middle of every prior; strengths of the enzymes relative to the fitted malt."""
    return simulate(rests(*(pairs or REST), L_per_kg=L_per_kg), [malt()], enzymes(**strength), MIDDLES)
