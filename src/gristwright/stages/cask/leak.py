"""What a cask loses over the model, learned from its gauges: a grid for the cask inside a grid for its store.

See docs/stock.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from gristwright.basics import FloatArray, Prior
from gristwright.numerics.draws import at_quantile, middles
from gristwright.reference.load import csv_rows, priors
from gristwright.stages.cask.course import IntArray

RESTS_ON: tuple[str, ...] = (
    "cask.store_factor",
    "cask.joint_share",
    "cask.leak_factor",
    "cask.leaker_share",
    "cask.leaker_factor",
    "cask.leak_opens_per_year",
    "cask.leak_drift",
    "cask.weather_scatter",
)

# The loss of a cask over the model's, from tight to a cask that empties within months; about 2 % from point to point.
LEAST, MOST, POINTS = 0.3, 20.0, 211
NODES, WATER_NODES = 18, 5
STORE_POINTS, WATER_POINTS = 15, 7
SHARE_POINTS = 400
REACH = 2.4
TINY = 1e-300


@dataclass(frozen=True)
class Grid:
    """The points on which casks and stores are believed.

    `log_loss` (points,) is the log of a cask's loss over the model's, store and leak together; `log_store` (stores,)
    and `log_water` (waters,) are the store's own factor and its water permeance over its ethanol permeance, both over
    the model's. Casks are integrated at `nodes` and `water_nodes` only; `spread` (points, nodes) and `water_spread`
    (waters, water nodes) lead from there to every point. `store_prior` (stores, waters) and `cask_prior` (points,
    stores) add to one over what is believed.
    """

    log_loss: FloatArray
    nodes: FloatArray
    spread: FloatArray
    log_store: FloatArray
    log_water: FloatArray
    water_nodes: FloatArray
    water_spread: FloatArray
    store_prior: FloatArray
    cask_prior: FloatArray
    sound_prior: FloatArray
    leaky_prior: FloatArray
    joint_share: float
    weather_share: float
    drift: FloatArray
    opens_per_year: float


@cache
def standard() -> Grid:
    """The grid of the priors of the room, wide enough for any store."""
    store_sd, water_sd, _ = _store_spread()
    return grid_at(
        store_sd * np.linspace(-REACH, REACH, STORE_POINTS), water_sd * np.linspace(-REACH, REACH, WATER_POINTS)
    )


def refined(grid: Grid, store: FloatArray) -> Grid:
    """A grid drawn closely around the belief of a store (stores, waters), no closer than a fifth of a step."""
    axes = []
    for points, weights in ((grid.log_store, store.sum(axis=1)), (grid.log_water, store.sum(axis=0))):
        mean = float(weights @ points)
        sd = float(np.sqrt(weights @ (points - mean) ** 2))
        reach = min(max(3.0 * sd, 1.2 * float(points[1] - points[0])), float(points[-1] - points[0]) / 2.0)
        centre = float(np.clip(mean, points[0] + reach, points[-1] - reach))
        axes.append(centre + reach * np.linspace(-1.0, 1.0, len(points)))
    return grid_at(axes[0], axes[1])


def coarse(grid: Grid, store: FloatArray, stores: int = 5, waters: int = 3) -> Grid:
    """A grid of a few points around a store that is well known (stores, waters): two sd either way of its factor."""
    axes = []
    for points, weights, number, reach in (
        (grid.log_store, store.sum(axis=1), stores, 2.0),
        (grid.log_water, store.sum(axis=0), waters, 1.5),
    ):
        mean = float(weights @ points)
        sd = max(float(np.sqrt(weights @ (points - mean) ** 2)), 0.25 * float(points[1] - points[0]))
        axes.append(mean + reach * sd * np.linspace(-1.0, 1.0, number))
    return grid_at(axes[0], axes[1])


def nearest(points: FloatArray, wanted: FloatArray) -> IntArray:
    """Index of the point nearest to each of those wanted, (wanted,)."""
    return np.asarray(np.abs(points[:, None] - wanted[None, :]).argmin(axis=0))


def grid_at(log_store: FloatArray, log_water: FloatArray) -> Grid:
    """The grid of the priors of the room on these points of a store."""
    believed = {prior.name: prior for prior in priors("cask")}
    middle = {name: float(column[0]) for name, column in middles(tuple(believed.values())).items()}
    log_loss = np.linspace(np.log(LEAST), np.log(MOST), POINTS)
    nodes = chebyshev(float(log_loss[0]), float(log_loss[-1]), NODES)
    far = REACH * _store_spread()[1]
    water_nodes = chebyshev(-far, far, WATER_NODES)
    share, opens = middle["cask.joint_share"], middle["cask.leaker_share"]
    sound = _cask_density(log_loss, log_store, share, believed["cask.leak_factor"])
    leaky = _cask_density(log_loss, log_store, share, believed["cask.leaker_factor"])
    return Grid(
        log_loss,
        nodes,
        barycentric(nodes, log_loss),
        log_store,
        log_water,
        water_nodes,
        barycentric(water_nodes, log_water),
        _store_prior(log_store, log_water),
        (1.0 - opens) * sound + opens * leaky,
        sound,
        leaky,
        share,
        middle["cask.weather_scatter"],
        _drift(log_loss, np.log(middle["cask.leak_drift"])),
        middle["cask.leak_opens_per_year"],
    )


def leaker_share(leaking: float, casks: int) -> float:
    """Share of leakers believed after so many of so many casks were found to leak: the prior's, updated by counting.

    `leaking` is a sum of probabilities and need not be whole. The mean over the belief.
    """
    prior = next(prior for prior in priors("cask") if prior.name == "cask.leaker_share")
    share = at_quantile(prior, (np.arange(SHARE_POINTS) + 0.5) / SHARE_POINTS)
    log_like = leaking * np.log(share) + (casks - leaking) * np.log1p(-share)
    weight = np.exp(log_like - log_like.max())
    return float(weight @ share / weight.sum())


def with_leakers(grid: Grid, share: float) -> Grid:
    """The grid with another share of leakers in its prior of a cask."""
    return replace(grid, cask_prior=(1.0 - share) * grid.sound_prior + share * grid.leaky_prior)


def chebyshev(low: float, high: float, number: int) -> FloatArray:
    """Chebyshev points of the second kind from low to high, shape (number,)."""
    x = -np.cos(np.pi * np.arange(number) / (number - 1))
    return np.asarray(low + 0.5 * (high - low) * (x + 1.0))


def barycentric(nodes: FloatArray, at: FloatArray) -> FloatArray:
    """The matrix (at, nodes) that leads from values at Chebyshev points to values elsewhere.

    Second barycentric formula: Berrut & Trefethen 2004, SIAM Review 46, 501-517, eq. 4.2 and 5.4.
    """
    weight = (-1.0) ** np.arange(len(nodes))
    weight[[0, -1]] *= 0.5
    apart = at[:, None] - nodes[None, :]
    hit = np.isclose(apart, 0.0, atol=1e-12)
    terms = np.where(hit.any(axis=1, keepdims=True), hit, weight / np.where(hit, 1.0, apart))
    return np.asarray(terms / terms.sum(axis=1, keepdims=True))


def _log_sd(prior: Prior) -> float:
    return float(np.log(prior.arguments[1]))


def _store_spread() -> tuple[float, float, float]:
    """One sd of the log of the store's factor, of its water over its ethanol permeance, and their correlation.

    The permeances are drawn independently, so a high ethanol permeance goes with a low ratio of water to it.
    """
    believed = {prior.name: prior for prior in priors("cask")}
    ethanol, water = (_log_sd(believed[f"cask.{name}_permeance"]) for name in ("ethanol", "water"))
    store_sd = float(np.hypot(ethanol, _log_sd(believed["cask.store_factor"])))
    water_sd = float(np.hypot(ethanol, water))
    return store_sd, water_sd, -(ethanol**2) / (store_sd * water_sd)


def _store_prior(log_store: FloatArray, log_water: FloatArray) -> FloatArray:
    """Joint prior of a store on these points, (stores, waters), adding to one."""
    store_sd, water_sd, together = _store_spread()
    a, b = log_store[:, None] / store_sd, log_water[None, :] / water_sd
    density = np.exp(-0.5 * (a**2 - 2.0 * together * a * b + b**2) / (1.0 - together**2))
    return np.asarray(density / density.sum())


def _cask_density(log_loss: FloatArray, log_store: FloatArray, joint_share: float, prior: Prior) -> FloatArray:
    """Prior of a cask's loss in a store of known factor, (points, stores): loss = store (1 - share + share leak)."""
    over = np.exp(log_loss[:, None] - log_store[None, :])
    leak = np.maximum((over - (1.0 - joint_share)) / joint_share, 1e-9)
    off = (np.log(leak) - np.log(prior.arguments[0])) / _log_sd(prior)
    density = np.exp(-0.5 * off**2) * over / leak
    density = np.where((leak >= prior.low) & (leak <= prior.high), density, 0.0) + TINY
    return np.asarray(density / density.sum(axis=0))


def _drift(log_loss: FloatArray, sd: float) -> FloatArray:
    """How a loss moves from one interval to the next, (to, from)."""
    kernel = np.exp(-0.5 * ((log_loss[:, None] - log_loss[None, :]) / sd) ** 2)
    return np.asarray(kernel / kernel.sum(axis=0))


@cache
def gauging() -> dict[str, tuple[float, float]]:
    """Method -> one sd of volume [%] and of strength [%vol]."""
    rows = csv_rows("tables/cask_gauging.csv")
    return {row["method"]: (float(row["volume_sd_pct"]), float(row["abv_sd_pct"])) for row in rows}


@dataclass(frozen=True)
class Interval:
    """From one gauge to the next, for several casks at once.

    `litres` and `abv_pct` are forecast at the grid's nodes, (casks, nodes, water nodes); the rest is (casks,): what was
    measured, the sd of the measurement at both ends together, what the wood may have drunk, and whether there is one.
    """

    litres: FloatArray
    abv_pct: FloatArray
    start_L: FloatArray
    start_abv_pct: FloatArray
    measured_L: FloatArray
    measured_abv_pct: FloatArray
    sd_L: FloatArray
    sd_abv_pct: FloatArray
    years: FloatArray
    there: FloatArray


def log_likelihood(grid: Grid, interval: Interval) -> FloatArray:
    """Log likelihood of the measured volume and strength, (casks, points, waters); zero where there is no interval.

    Normal errors of both gauges, plus the weather's share of the loss and of the change of strength.
    """
    total = np.zeros((len(interval.there), len(grid.log_loss), len(grid.log_water)))
    for forecast, start, measured, sd in (
        (interval.litres, interval.start_L, interval.measured_L, interval.sd_L),
        (interval.abv_pct, interval.start_abv_pct, interval.measured_abv_pct, interval.sd_abv_pct),
    ):
        value = grid.spread @ (forecast @ grid.water_spread.T)
        weather = grid.weather_share * (start[:, None, None] - value)
        spread = np.hypot(sd[:, None, None], weather)
        total += -0.5 * ((measured[:, None, None] - value) / spread) ** 2 - np.log(spread)
    return np.asarray(total * interval.there[:, None, None])


@dataclass(frozen=True)
class Filtered:
    """Belief of each cask after its last gauge for every store (casks, points, stores, waters); log evidence of all."""

    cask: FloatArray
    log_evidence: FloatArray


def filtered(grid: Grid, intervals: Sequence[FloatArray], years: Sequence[FloatArray]) -> Filtered:
    """Follow the casks through their intervals; each entry is a log likelihood (casks, points, waters) and its years.

    Between intervals a loss drifts a little and a leak may open, so that old gauges never hide a new leak.
    """
    casks, waters = intervals[0].shape[0], len(grid.log_water)
    belief = np.broadcast_to(grid.cask_prior[None, :, :, None], (casks, *grid.cask_prior.shape, waters)).copy()
    evidence = np.zeros((casks, len(grid.log_store), waters))
    for number, log_like in enumerate(intervals):
        present = years[number] > 0.0
        if number:
            belief[present] = _moved(grid, belief[present], years[number][present])
        top = log_like.max(axis=(1, 2), keepdims=True)
        belief *= np.exp(log_like - top)[:, :, None, :]
        total = belief.sum(axis=1) + TINY
        belief /= total[:, None]
        evidence += np.log(total) + top
    return Filtered(belief, evidence)


def _moved(grid: Grid, belief: FloatArray, years: FloatArray) -> FloatArray:
    opened = 1.0 - (1.0 - grid.opens_per_year) ** years[:, None, None, None]
    shape = belief.shape
    drifted = (grid.drift @ belief.reshape(shape[0], shape[1], -1)).reshape(shape)
    return np.asarray((1.0 - opened) * drifted + opened * grid.leaky_prior[None, :, :, None])


def store_belief(grid: Grid, log_evidence: FloatArray) -> FloatArray:
    """Belief of a store from the evidence of all its casks (casks, stores, waters); (stores, waters), adding to one."""
    log_post = log_evidence.sum(axis=0) + np.log(grid.store_prior)
    weight = np.exp(log_post - log_post.max())
    return np.asarray(weight / weight.sum())


def leak_of(grid: Grid) -> FloatArray:
    """The leak factor that belongs to each loss in each store, (points, stores); negative where no leak explains it."""
    over = np.exp(grid.log_loss[:, None] - grid.log_store[None, :])
    return np.asarray((over - (1.0 - grid.joint_share)) / grid.joint_share)


def leaking(grid: Grid, cask: FloatArray, store: FloatArray, multiple: float) -> FloatArray:
    """Probability that the leak factor of each cask is above a multiple of the middle cask's, (casks,)."""
    above = (leak_of(grid) > multiple).astype(np.float64)
    return np.asarray(np.clip(np.einsum("cpsw,ps,sw->c", cask, above, store), 0.0, 1.0 - 1e-9))


def of_cask(cask: FloatArray, store: FloatArray) -> FloatArray:
    """Belief of each cask's loss over all stores, (casks, points)."""
    return np.asarray(np.einsum("cpsw,sw->cp", cask, store))


def grid_quantiles(grid: Grid, belief: FloatArray, shares: tuple[float, ...] = (0.05, 0.5, 0.95)) -> FloatArray:
    """Quantiles of the loss over the model's from beliefs (casks, points), shape (casks, shares)."""
    below = np.cumsum(belief, axis=1) - 0.5 * belief
    return np.array([np.exp(np.interp(shares, row, grid.log_loss)) for row in below])


def draw_store(store: FloatArray, draws: int, seed: int) -> tuple[IntArray, IntArray]:
    """Stores and waters drawn evenly from a belief: indices (draws,) each, shuffled."""
    rng = np.random.default_rng((seed, 1))
    below = np.cumsum(store.ravel())
    places = (np.arange(draws) + rng.random()) / draws
    picked = np.minimum(np.searchsorted(below, places * below[-1]), store.size - 1)
    rng.shuffle(picked)
    return picked // store.shape[1], picked % store.shape[1]


def draw_loss(grid: Grid, belief: FloatArray, shares: FloatArray) -> FloatArray:
    """Loss over the model's at cumulative shares (draws,) of a belief (points,), even between points; (draws,)."""
    half = 0.5 * (grid.log_loss[1] - grid.log_loss[0])
    edges = np.concatenate([[grid.log_loss[0] - half], grid.log_loss + half])
    below = np.concatenate([[0.0], np.cumsum(belief)])
    return np.asarray(np.exp(np.interp(shares * below[-1], below, edges)))


def draw_losses(grid: Grid, casks: FloatArray, picked: tuple[IntArray, IntArray], shares: FloatArray) -> FloatArray:
    """As `draw_loss` for casks of a belief each (casks, points, stores, waters), each draw in a store and a water of
    its own (draws,) at its own share (casks, draws)."""
    points, waters = casks.shape[1], casks.shape[3]
    below = np.cumsum(casks, axis=1).reshape(len(casks), points, -1).swapaxes(1, 2).copy()
    whole = np.arange(len(casks))[:, None] * below.shape[1] + (picked[0] * waters + picked[1])[None, :]
    first, flat = whole * points, below.reshape(-1)
    wanted = shares * flat[first + points - 1]
    k = np.minimum(_places(flat, first, points, wanted), points - 1)
    before = np.where(k > 0, flat[first + np.maximum(k - 1, 0)], 0.0)
    part = (wanted - before) / np.maximum(flat[first + k] - before, TINY)
    return _between(grid, k, part)


def _places(flat: FloatArray, first: IntArray, points: int, wanted: FloatArray) -> IntArray:
    """How many of so many rising values from a first one on lie below what is wanted; by halving."""
    low, high = np.zeros_like(first), np.full_like(first, points)
    while (open_ := low < high).any():
        middle = (low + high) // 2
        under = open_ & (flat[first + np.minimum(middle, points - 1)] < wanted)
        low, high = np.where(under, middle + 1, low), np.where(under, high, np.where(open_, middle, high))
    return low


def draw_alike(grid: Grid, beliefs: FloatArray, shares: FloatArray) -> FloatArray:
    """As `draw_losses` for casks of one belief, by draw (points, draws), at their own shares (casks, draws)."""
    below = np.cumsum(beliefs, axis=0)
    wanted, each = shares * below[-1], np.arange(shares.shape[1])
    k = np.stack([np.searchsorted(below[:, draw], wanted[:, draw]) for draw in each], axis=1)
    k = np.minimum(k, len(below) - 1)
    before = np.where(k > 0, below[k - 1, each], 0.0)
    return _between(grid, k, (wanted - before) / np.maximum(below[k, each] - before, TINY))


def _between(grid: Grid, k: IntArray, part: FloatArray) -> FloatArray:
    """The loss a part of the way through a step of the grid."""
    step = float(grid.log_loss[1] - grid.log_loss[0])
    return np.asarray(np.exp(grid.log_loss[0] + step * (k - 0.5 + np.minimum(part, 1.0))))
