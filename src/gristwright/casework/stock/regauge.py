"""Each gauge updates its cask, and all gauges of a store update the store. See docs/stock.md."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import cache

import numpy as np

from gristwright.basics import Band, FloatArray, Problem, Refused, Tick, no_tick
from gristwright.casework.stock import course as along
from gristwright.casework.stock.gauges import BLOCK, Evidence, blocks_of, evidence_of
from gristwright.casework.stock.pace import (
    LEAST_TEACHING,
    TEACHING,
    draws_that_fit,
    evenly,
    fewer,
    is_large,
)
from gristwright.records.stock import CaskFinding, Learned, Regauged, Stock, StockCask, StoreFinding
from gristwright.reference.woods import same_wood
from gristwright.stages.cask import leak
from gristwright.stages.cask.course import IntArray

DRAWS = 512
SEED = 1
LEAK_MULTIPLE = 3.0
LIKELY_LEAK = 0.5
# How often the points of a store are drawn closer around what its gauges say.
REFINEMENTS = 2
SHARES = (0.05, 0.5, 0.95)


def regauge(
    stock: Stock,
    draws: int = DRAWS,
    seed: int = SEED,
    multiple: float = LEAK_MULTIPLE,
    tick: Tick = no_tick,
    only: Sequence[int] | None = None,
) -> Regauged:
    """What the gauges of a stock say of every cask and store, with draws of each cask's loss for a forecast.

    Each interval between two gauges is forecast from what was measured at its start, for a grid of losses and of the
    store's ratio of water to ethanol. The likelihood of volume and strength at its end updates the cask; the product
    over the casks of a store updates the store, and through it the casks that were never gauged. A large stock is
    drawn on fewer draws where it does not fit, which is said. All casks teach their stores; with `only` the findings
    and draws are of these rows alone, in their order. `tick` may raise to stop. Raises Refused for a multiple of 1 or
    less.
    """
    if not multiple > 1.0:
        what = f"{multiple:g} times the middle cask's loss at the joints is not above 1."
        raise Refused([Problem("multiple", what, "Usual is 3; a higher one names fewer leakers.")])
    wanted = range(len(stock.casks)) if only is None else only
    place, count = {row: k for k, row in enumerate(wanted)}, len(wanted)
    problems = [*stock.set_aside, *fewer(count, draws)]
    draws = draws_that_fit(count, draws)
    evidence = evidence_of(leak.standard(), stock, problems, tick)
    by_store: dict[str, list[int]] = {}
    for row, cask in enumerate(stock.casks):
        by_store.setdefault(cask.store, []).append(row)
    loss = np.empty((count, draws))
    water = np.empty_like(loss)
    findings: dict[int, CaskFinding] = {}
    stores = []
    for store, rows in sorted(by_store.items()):
        believed = _store_of(
            [evidence[row] for row in rows if evidence[row]], is_large(len(stock.casks)), len(by_store)
        )
        gauged = sum(bool(stock.casks[row].gauges) for row in rows)
        stores.append(_store_finding(believed.grid, store, gauged, believed.belief))
        picked = leak.draw_store(believed.belief, draws, seed + zlib.crc32(store.encode()))
        told = [row for row in rows if row in place]
        water[[place[row] for row in told]] = np.exp(believed.grid.log_water[picked[1]])
        for block in blocks_of(told):
            tick(len(findings), count, "what the gauges say of every cask")
            for row, found in _of_casks(stock, block, evidence, believed, picked, (multiple, seed)).items():
                findings[row], loss[place[row]] = found
    ordered = tuple(findings[row] for row in wanted)
    return Regauged(ordered, tuple(stores), loss, water, tuple(problems), seed)


@dataclass(frozen=True)
class StoreKnown:
    """What a store is believed to be: its grid and the belief on it (stores, waters), and the same on fewer points for
    the gauged casks of a large stock, whose own loss hardly hangs on it."""

    grid: leak.Grid
    belief: FloatArray
    few: leak.Grid
    few_belief: FloatArray


def _store_of(evidence: Sequence[Evidence], large: bool, stores: int) -> StoreKnown:
    """What the gauged casks of a store say of it; in a large stock so many of them, at even distances."""
    if not large:
        near, belief = _believed(evidence)
        return StoreKnown(near, belief, near, belief)
    teaching = evenly(evidence, max(LEAST_TEACHING, TEACHING // stores))
    near, belief = _believed(teaching)
    # Without a gauge there is nothing to tell, and the coarse grid is of no cask.
    few = leak.coarse(near, belief)
    return StoreKnown(near, belief, few, leak.store_belief(few, _together(few, teaching)))


Found = dict[int, tuple[CaskFinding, FloatArray]]
Picked = tuple[IntArray, IntArray]  # indices of stores and waters, (draws,) each


def _of_casks(
    stock: Stock,
    rows: Sequence[int],
    evidence: Sequence[Evidence],
    store: StoreKnown,
    picked: Picked,
    asked: tuple[float, int],
) -> Found:
    """The finding and the draws of loss of some casks of a store, by row; `asked` is the multiple and the seed.

    In a large stock those never gauged are all alike, and are looked at once.
    """
    if store.few is store.grid:
        return _each(stock, rows, [evidence[row] for row in rows], (store.grid, store.belief), picked, asked)
    gauged, never = [row for row in rows if evidence[row]], [row for row in rows if not evidence[row]]
    at = (
        leak.nearest(store.few.log_store, store.grid.log_store[picked[0]]),
        leak.nearest(store.few.log_water, store.grid.log_water[picked[1]]),
    )
    found: Found = {}
    if gauged:
        found |= _each(stock, gauged, [evidence[row] for row in gauged], (store.few, store.few_belief), at, asked)
    if never:
        found |= _each(stock, never, [[]], (store.grid, store.belief), picked, asked)
    return found


def _each(
    stock: Stock,
    rows: Sequence[int],
    evidence: Sequence[Evidence],
    store: tuple[leak.Grid, FloatArray],
    picked: Picked,
    asked: tuple[float, int],
) -> Found:
    """Findings and draws of casks with their evidence each, or with one evidence for all of them."""
    (grid, belief), (multiple, seed) = store, asked
    casks = leak.filtered(grid, *_padded(grid, evidence)).cask
    leaking = leak.leaking(grid, casks, belief, multiple)
    bands = leak.grid_quantiles(grid, leak.of_cask(casks, belief))
    shares = np.stack([_shares(stock.casks[row], seed, len(picked[0])) for row in rows])
    if len(casks) == len(rows):
        losses = leak.draw_losses(grid, casks, picked, shares)
    else:
        losses = leak.draw_alike(grid, casks[0][:, picked[0], picked[1]], shares)
    found: Found = {}
    for place, row in enumerate(rows):
        k = min(place, len(casks) - 1)
        found[row] = _finding(stock.casks[row], bands[k], float(leaking[k]), multiple), losses[place]
    return found


def _believed(evidence: Sequence[Evidence]) -> tuple[leak.Grid, FloatArray]:
    """The grid drawn closely around a store, and its belief (stores, waters), from its casks' evidence."""
    near = _around(leak.standard(), evidence)
    return near, leak.store_belief(near, _together(near, evidence))


@dataclass(frozen=True)
class StoreBelief:
    """What like casks taught of a store: the grid with their share of leakers, the belief on it, and both in words."""

    grid: leak.Grid
    belief: FloatArray
    learned: Learned


def learn(stock: Stock, store: str, wood: str, tick: Tick = no_tick) -> StoreBelief | None:
    """What the gauges of casks of a wood that lie in a store teach of casks to be filled there; None without any."""
    lying = [cask for cask in stock.casks if cask.store == store and cask.gauges]
    like = tuple(evenly([cask for cask in lying if same_wood(cask.kind.wood, wood)], TEACHING))
    evidence = [item for item in evidence_of(leak.standard(), replace(stock, casks=like), [], tick) if item]
    if not evidence:
        return None
    near, belief = _believed(evidence)
    leaking = 0.0
    for block in blocks_of(range(len(evidence))):
        cask = leak.filtered(near, *_padded(near, [evidence[row] for row in block])).cask
        leaking += float(leak.leaking(near, cask, belief, LEAK_MULTIPLE).sum())
    share = leak.leaker_share(leaking, len(evidence))
    finding = _store_finding(near, store, len(evidence), belief)
    learned = Learned(store, wood, len(evidence), finding.prior, finding.factor, leaking, share)
    return StoreBelief(leak.with_leakers(near, share), belief, learned)


def leakers(regauged: Regauged, chance: float = LIKELY_LEAK) -> tuple[CaskFinding, ...]:
    """The casks that leak with at least this probability, surest first."""
    return tuple(sorted((c for c in regauged.casks if c.leaking >= chance), key=lambda c: -c.leaking))


def _around(grid: leak.Grid, evidence: Sequence[Evidence]) -> leak.Grid:
    """The grid drawn closely around what the casks of a store say of it; as it is where none was gauged."""
    if not evidence:
        return grid
    for _ in range(REFINEMENTS):
        grid = leak.refined(grid, leak.store_belief(grid, _together(grid, evidence)))
    return grid


def _together(grid: leak.Grid, evidence: Sequence[Evidence]) -> FloatArray:
    """Log evidence of casks for every store and water, (casks, stores, waters); nothing said where there are none."""
    blocks = [leak.filtered(grid, *_padded(grid, evidence[k : k + BLOCK])) for k in range(0, len(evidence), BLOCK)]
    nothing = np.zeros((1, len(grid.log_store), len(grid.log_water)))
    return np.concatenate([nothing, *(block.log_evidence for block in blocks)])


def _padded(grid: leak.Grid, evidence: Sequence[Evidence]) -> tuple[list[FloatArray], list[FloatArray]]:
    """Log likelihoods of the intervals by number over all casks; a cask with fewer has zeros, which say nothing."""
    longest = max(1, max(len(item) for item in evidence))
    shape = (len(evidence), len(grid.log_loss), len(grid.log_water))
    likes, years = [], []
    for number in range(longest):
        has = [k for k, item in enumerate(evidence) if number < len(item)]
        like, span = np.zeros(shape), np.zeros(len(evidence))
        if has:
            joined = _joined([evidence[k][number] for k in has])
            like[has], span[has] = leak.log_likelihood(grid, joined), joined.years
        likes.append(like)
        years.append(span)
    return likes, years


def _joined(rows: Sequence[tuple[leak.Interval, int]]) -> leak.Interval:
    """Rows of several intervals as one."""
    names = [column.name for column in fields(leak.Interval)]
    return leak.Interval(*(np.stack([getattr(interval, name)[k] for interval, k in rows]) for name in names))


def _shares(cask: StockCask, seed: int, draws: int) -> FloatArray:
    """Where in its belief each draw of a cask's loss lies, one in each of `draws` equal parts of 0..1, (draws,)."""
    rng = np.random.default_rng((seed, 2, along.own(cask)))
    return np.asarray((rng.permutation(draws) + rng.random(draws)) / draws)


def _finding(cask: StockCask, band: FloatArray, leaking: float, multiple: float) -> CaskFinding:
    date, litres, abv, _ = cask.last_gauge
    return CaskFinding(
        cask.cask_id,
        cask.spirit,
        cask.store,
        len(cask.gauges),
        prior_loss(),
        Band(*(float(x) for x in band)),
        leaking,
        multiple,
        date,
        litres,
        abv,
        litres * abv / 100.0,
    )


@cache
def prior_loss() -> Band:
    """Loss of a single cask over the model's before any gauge."""
    grid = leak.standard()
    belief = grid.cask_prior @ grid.store_prior.sum(axis=1)
    return Band(*(float(x) for x in leak.grid_quantiles(grid, belief[None, :])[0]))


def _store_finding(grid: leak.Grid, store: str, gauged: int, belief: FloatArray) -> StoreFinding:
    wide = leak.standard()
    bands = [
        _band(log_values, weights)
        for log_values, weights in (
            (wide.log_store, wide.store_prior.sum(axis=1)),
            (grid.log_store, belief.sum(axis=1)),
            (wide.log_water, wide.store_prior.sum(axis=0)),
            (grid.log_water, belief.sum(axis=0)),
        )
    ]
    return StoreFinding(store, gauged, *bands)


def _band(log_values: FloatArray, weights: FloatArray) -> Band:
    """Quantiles of a belief on a grid, linear within a step."""
    half = 0.5 * (log_values[1] - log_values[0])
    edges = np.concatenate([[log_values[0] - half], log_values + half])
    below = np.concatenate([[0.0], np.cumsum(weights)])
    return Band(*(float(x) for x in np.exp(np.interp(SHARES, below / below[-1], edges))))
