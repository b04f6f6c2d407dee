"""Weighted quantiles and importance weights on a fixed set of draws."""

from __future__ import annotations

import numpy as np

from gristwright.basics import Band, FloatArray

SHARES = (0.05, 0.5, 0.95)


def equal_weights(members: int) -> FloatArray:
    """The same weight for every member, shape (members,), adding to one."""
    return np.full(members, 1.0 / members)


def normal_weights(model: FloatArray, observed: float, sd: float) -> FloatArray:
    """Weights of draws given one observation with a normal error; shape (members,), adding to one."""
    log_weight = -0.5 * ((model - observed) / sd) ** 2
    weight = np.exp(log_weight - np.max(log_weight))
    return np.asarray(weight / weight.sum())


def effective_members(weights: FloatArray) -> float:
    """How many equal members carry as much as these weighted ones (Kish)."""
    return float(1.0 / np.sum(weights**2))


def weighted_mean(values: FloatArray, weights: FloatArray) -> float:
    """Mean over members."""
    return float(np.sum(values * weights))


def quantiles(values: FloatArray, weights: FloatArray, shares: tuple[float, ...] = SHARES) -> tuple[float, ...]:
    """Weighted quantiles over members, shape (members,); linear between mid-points of the sorted weights."""
    order = np.argsort(values, kind="stable")
    ordered = weights[order]
    centre = np.cumsum(ordered) - 0.5 * ordered
    return tuple(float(x) for x in np.interp(shares, centre, values[order]))


def band(values: FloatArray, weights: FloatArray) -> Band:
    """Low, middle and high over the members that are finite; how many were not is counted by `failed_share`."""
    finite = np.isfinite(values)
    if not finite.all():
        weights = weights[finite] / weights[finite].sum()
    low, middle, high = quantiles(values[finite], weights)
    return Band(low, middle, high)


def failed_share(values: FloatArray, weights: FloatArray) -> float:
    """Weight of the members that a model could not answer."""
    return float(weights[~np.isfinite(values)].sum())
