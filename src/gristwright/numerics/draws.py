"""Draws from priors: a Latin hypercube, each column in an order that its name decides. See docs/numbers.md."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence

import numpy as np

from gristwright.basics import Band, Draws, FloatArray, Prior

MEMBERS = 2048
SEED = 1
FULL_SPAN_SD = 3.29  # 5 to 95 % of a normal distribution in standard deviations


def stratified(name: str, members: int, seed: int) -> FloatArray:
    """One share in each of `members` equal parts of 0..1, at its centre, in an order of the name's own, (members,).

    A Latin hypercube whose columns are put in order by a hash of name and seed (McKay, Beckman & Conover 1979): a
    column depends on nothing but its name, so an added parameter moves no other.
    """
    digest = hashlib.blake2b(f"{seed}:{name}".encode(), digest_size=16).digest()
    order = np.random.default_rng(int.from_bytes(digest, "big")).permutation(members)
    return np.asarray((order + 0.5) / members, dtype=np.float64)


def members_of(draws: Draws) -> int:
    """How many members the columns of these draws have."""
    return next(iter(draws.values())).size


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


def sample(priors: Iterable[Prior], members: int = MEMBERS, seed: int = SEED) -> Draws:
    """Draw every prior, a column of shape (members,) for each.

    A prior's column depends on its name, or what it is `drawn_as`, and the seed: neither order nor another prior moves
    it. Priors of one name in two places are one column.
    """
    return {prior.name: at_quantile(prior, stratified(prior.drawn_as or prior.name, members, seed)) for prior in priors}


def middles(priors: Sequence[Prior]) -> Draws:
    """Every prior at its middle: one member, the reference run. Columns of shape (1,)."""
    half = np.array([0.5])
    return {prior.name: at_quantile(prior, half) for prior in priors}


def prior_band(prior: Prior) -> Band:
    """The prior's own low, middle and high."""
    low, middle, high = at_quantile(prior, np.array([0.05, 0.5, 0.95]))
    return Band(float(low), float(middle), float(high))
