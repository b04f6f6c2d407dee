"""Draws from priors: one scrambled Sobol block, one column for each parameter name."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gristwright.basics import Band, Draws, FloatArray, Prior

# The block always has this many columns, so that a parameter keeps its column whatever else is drawn.
COLUMNS = 1024
# Process parameters take the first columns in the order of their files, the lots' parameters those from here on.
FIRST_LOT_COLUMN = 256
MEMBERS = 2048
SEED = 1


def sobol_block(members: int, seed: int) -> FloatArray:
    """A scrambled Sobol block, shape (members, COLUMNS), strictly inside 0..1. `members` is a power of two."""
    from scipy.stats import qmc

    block = qmc.Sobol(COLUMNS, scramble=True, rng=np.random.default_rng(seed)).random(members)
    tiny = 0.5 / members
    return np.asarray(np.clip(block, tiny * 1e-3, 1.0 - tiny * 1e-3), dtype=np.float64)


def at_quantile(prior: Prior, share: FloatArray) -> FloatArray:
    """The prior's value at each cumulative share; shape as `share`. Bounds cut the family and its mass is rescaled."""
    from scipy.special import ndtr, ndtri

    first = prior.arguments[0]
    if prior.family == "fixed":
        return np.full_like(share, first)
    second = prior.arguments[1]
    if prior.family == "uniform":
        return np.asarray(first + (second - first) * share)
    if prior.family == "loguniform":
        return np.asarray(first * (second / first) ** share)
    if prior.family == "normal":
        low, high = ndtr((prior.low - first) / second), ndtr((prior.high - first) / second)
        return np.asarray(np.clip(first + second * ndtri(low + (high - low) * share), prior.low, prior.high))
    if prior.family == "lognormal":
        centre, spread = np.log(first), np.log(second)
        edges = np.log(np.maximum([prior.low, prior.high], 1e-300))
        low, high = ndtr((edges - centre) / spread)
        return np.asarray(np.clip(np.exp(centre + spread * ndtri(low + (high - low) * share)), prior.low, prior.high))
    raise ValueError(f"prior {prior.name}: no family {prior.family!r}")


def sample(process: Sequence[Prior], lots: Sequence[Prior], members: int = MEMBERS, seed: int = SEED) -> Draws:
    """Draw every prior; columns of shape (members,). The same seed and names give the same columns."""
    if len(process) > FIRST_LOT_COLUMN or len(lots) > COLUMNS - FIRST_LOT_COLUMN:
        raise ValueError("more parameters than columns")
    block = sobol_block(members, seed)
    columns = {prior.name: at_quantile(prior, block[:, k]) for k, prior in enumerate(process)}
    columns |= {prior.name: at_quantile(prior, block[:, FIRST_LOT_COLUMN + k]) for k, prior in enumerate(lots)}
    return columns


def middles(priors: Sequence[Prior]) -> Draws:
    """Every prior at its middle: one member, the reference run. Columns of shape (1,)."""
    half = np.array([0.5])
    return {prior.name: at_quantile(prior, half) for prior in priors}


def prior_band(prior: Prior) -> Band:
    """The prior's own low, middle and high."""
    low, middle, high = at_quantile(prior, np.array([0.05, 0.5, 0.95]))
    return Band(float(low), float(middle), float(high))
