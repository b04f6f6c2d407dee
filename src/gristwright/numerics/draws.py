"""Draws from priors: one scrambled Sobol block, one column for each parameter name."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from gristwright.basics import Band, Draws, FloatArray, Prior

# The block always has this many columns, so that a parameter keeps its column whatever else is drawn.
COLUMNS = 1024
# Each room of process parameters has so many columns, each lot so many behind all rooms: adding one moves no other.
ROOM_COLUMNS, FIRST_LOT_COLUMN, LOT_COLUMNS = 32, 256, 16
MOST_LOTS = (COLUMNS - FIRST_LOT_COLUMN) // LOT_COLUMNS
MEMBERS = 2048
SEED = 1
FULL_SPAN_SD = 3.29  # 5 to 95 % of a normal distribution in standard deviations


@lru_cache(maxsize=2)
def sobol_block(members: int, seed: int) -> FloatArray:
    """A scrambled Sobol block, shape (members, COLUMNS), strictly inside 0..1. `members` is a power of two.

    The last two are kept, for one takes a second; nobody may write into them.
    """
    from scipy.stats import qmc

    block = qmc.Sobol(COLUMNS, scramble=True, rng=np.random.default_rng(seed)).random(members)
    tiny = 0.5 / members
    inside = np.asarray(np.clip(block, tiny * 1e-3, 1.0 - tiny * 1e-3), dtype=np.float64)
    inside.flags.writeable = False
    return inside


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


def sample(
    rooms: Sequence[Sequence[Prior]], lots: Sequence[Sequence[Prior]], members: int = MEMBERS, seed: int = SEED
) -> Draws:
    """Draw every prior, the process parameters by room and the rest by lot; columns of shape (members,).

    The same seed gives a parameter the same column as long as its place in its room or lot stays.
    """
    block = sobol_block(members, seed)
    columns: dict[str, FloatArray] = {}
    for first, size, groups in ((0, ROOM_COLUMNS, rooms), (FIRST_LOT_COLUMN, LOT_COLUMNS, lots)):
        for number, group in enumerate(groups):
            if len(group) > size:
                raise ValueError("more parameters than columns")
            start = first + number * size
            columns |= {prior.name: at_quantile(prior, block[:, start + k]) for k, prior in enumerate(group)}
    return columns


def middles(priors: Sequence[Prior]) -> Draws:
    """Every prior at its middle: one member, the reference run. Columns of shape (1,)."""
    half = np.array([0.5])
    return {prior.name: at_quantile(prior, half) for prior in priors}


def prior_band(prior: Prior) -> Band:
    """The prior's own low, middle and high."""
    low, middle, high = at_quantile(prior, np.array([0.05, 0.5, 0.95]))
    return Band(float(low), float(middle), float(high))
