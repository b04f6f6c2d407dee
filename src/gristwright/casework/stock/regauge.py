"""Each gauge updates its cask, and all gauges of a store update the store. See docs/stock.md."""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from gristwright.basics import Band, FloatArray, Problem, Refused
from gristwright.casework.stock import course as along
from gristwright.numerics.draws import middles
from gristwright.records.stock import CaskEvent, CaskFinding, Learned, Regauged, Stock, StockCask, StoreFinding
from gristwright.reference.load import priors
from gristwright.reference.woods import same_wood
from gristwright.stages.cask import content, leak
from gristwright.stages.cask.course import IntArray

DRAWS = 512
SEED = 1
LEAK_MULTIPLE = 3.0
LIKELY_LEAK = 0.5
# So many casks are followed at once.
BLOCK = 250
# How often the points of a store are drawn closer around what its gauges say.
REFINEMENTS = 2
# Log likelihood of the best loss against that of a perfect fit, below which a gauge fits no loss at all.
NO_FIT = -12.5
SHARES = (0.05, 0.5, 0.95)
CHANGES = ("sampled", "topped")


Evidence = list[leak.Interval]  # the intervals of one cask, each of one row


def regauge(stock: Stock, draws: int = DRAWS, seed: int = SEED, multiple: float = LEAK_MULTIPLE) -> Regauged:
    """What the gauges of a stock say of every cask and store, with draws of each cask's loss for a forecast.

    Each interval between two gauges is forecast from what was measured at its start, for a grid of losses and of the
    store's ratio of water to ethanol. The likelihood of volume and strength at its end updates the cask; the product
    over the casks of a store updates the store, and through it the casks that were never gauged. Raises Refused for
    a multiple of 1 or less.
    """
    if not multiple > 1.0:
        what = f"{multiple:g} times the middle cask's loss at the joints is not above 1."
        raise Refused([Problem("multiple", what, "Usual is 3; a higher one names fewer leakers.")])
    problems = [*stock.set_aside]
    evidence = _evidence(leak.standard(), stock, problems)
    loss = np.empty((len(stock.casks), draws))
    water = np.empty_like(loss)
    findings: dict[int, CaskFinding] = {}
    stores = []
    for store in sorted({cask.store for cask in stock.casks}):
        rows = [row for row, cask in enumerate(stock.casks) if cask.store == store]
        near, belief = _believed([evidence[row] for row in rows if evidence[row]])
        stores.append(_store_finding(near, store, sum(bool(stock.casks[row].gauges) for row in rows), belief))
        picked = leak.draw_store(belief, draws, seed + zlib.crc32(store.encode()))
        water[rows] = np.exp(near.log_water[picked[1]])
        for block in _blocks(rows):
            cask = leak.filtered(near, *_padded(near, [evidence[row] for row in block])).cask
            leaking = leak.leaking(near, cask, belief, multiple)
            bands = leak.grid_quantiles(near, leak.of_cask(cask, belief))
            for place, row in enumerate(block):
                loss[row] = _draw(near, cask[place], picked, (seed, 2, along.own(stock.casks[row])))
                findings[row] = _finding(stock.casks[row], bands[place], float(leaking[place]), multiple)
    ordered = tuple(findings[row] for row in range(len(stock.casks)))
    return Regauged(ordered, tuple(stores), loss, water, tuple(problems), seed)


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


def learn(stock: Stock, store: str, wood: str) -> StoreBelief | None:
    """What the gauges of casks of a wood that lie in a store teach of casks to be filled there; None without any."""
    lying = [cask for cask in stock.casks if cask.store == store and cask.gauges]
    like = tuple(cask for cask in lying if same_wood(cask.kind.wood, wood))
    evidence = [item for item in _evidence(leak.standard(), replace(stock, casks=like), []) if item]
    if not evidence:
        return None
    near, belief = _believed(evidence)
    leaking = 0.0
    for block in _blocks(range(len(evidence))):
        cask = leak.filtered(near, *_padded(near, [evidence[row] for row in block])).cask
        leaking += float(leak.leaking(near, cask, belief, LEAK_MULTIPLE).sum())
    share = leak.leaker_share(leaking, len(evidence))
    finding = _store_finding(near, store, len(evidence), belief)
    learned = Learned(store, wood, len(evidence), finding.prior, finding.factor, leaking, share)
    return StoreBelief(leak.with_leakers(near, share), belief, learned)


def leakers(regauged: Regauged, chance: float = LIKELY_LEAK) -> tuple[CaskFinding, ...]:
    """The casks that leak with at least this probability, surest first."""
    return tuple(sorted((c for c in regauged.casks if c.leaking >= chance), key=lambda c: -c.leaking))


def _blocks(rows: Sequence[int]) -> Iterator[Sequence[int]]:
    for start in range(0, len(rows), BLOCK):
        yield rows[start : start + BLOCK]


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
            joined = leak.Interval(
                *(np.concatenate(c) for c in zip(*(_columns(evidence[k][number]) for k in has), strict=True))
            )
            like[has], span[has] = leak.log_likelihood(grid, joined), joined.years
        likes.append(like)
        years.append(span)
    return likes, years


def _columns(interval: leak.Interval) -> tuple[FloatArray, ...]:
    return tuple(getattr(interval, column.name) for column in fields(interval))


def _draw(grid: leak.Grid, cask: FloatArray, picked: tuple[IntArray, IntArray], seed: tuple[int, ...]) -> FloatArray:
    """Draws of one cask's loss given the drawn stores; `cask` is (points, stores, waters)."""
    draws = len(picked[0])
    rng = np.random.default_rng(seed)
    shares = (rng.permutation(draws) + rng.random(draws)) / draws
    return leak.draw_losses(grid, cask[:, picked[0], picked[1]], shares)


def _finding(cask: StockCask, band: FloatArray, leaking: float, multiple: float) -> CaskFinding:
    date, litres, abv, _ = cask.last_gauge
    return CaskFinding(
        cask.cask_id,
        cask.spirit,
        cask.store,
        len(cask.gauges),
        prior_band(leak.standard()),
        Band(*(float(x) for x in band)),
        leaking,
        multiple,
        date,
        litres,
        abv,
        litres * abv / 100.0,
    )


def prior_band(grid: leak.Grid) -> Band:
    """Loss of a single cask over the model's before any gauge."""
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


def _evidence(grid: leak.Grid, stock: Stock, problems: list[Problem]) -> list[Evidence]:
    """The intervals of every cask, block by block."""
    evidence: list[Evidence] = [[] for _ in stock.casks]
    gauged = [row for row, cask in enumerate(stock.casks) if cask.gauges]
    for block in _blocks(gauged):
        _follow(grid, stock, block, evidence, problems)
    return evidence


def _follow(
    grid: leak.Grid, stock: Stock, rows: Sequence[int], evidence: list[Evidence], problems: list[Problem]
) -> None:
    """Carry casks from event to event at every node of the grid; a gauge leaves evidence and resets the cask."""
    casks = [stock.casks[row] for row in rows]
    shape = (len(casks), leak.NODES * leak.WATER_NODES)
    loss = np.broadcast_to(np.repeat(np.exp(grid.nodes), leak.WATER_NODES), shape)
    water = np.broadcast_to(np.tile(np.exp(grid.water_nodes), leak.NODES), shape)
    convoy = along.convoy(casks, stock.climates, loss, water, middles(priors("cask")))
    state = along.filled_state(casks, shape[1])
    start, store = along.days([cask.filled for cask in casks]), [cask.first_store for cask in casks]
    since: list[CaskEvent] = [
        CaskEvent(cask.filled, "filled", cask.fill_L, cask.fill_abv_pct, cask.fill_method) for cask in casks
    ]
    for number in range(max(len(cask.events) for cask in casks)):
        events = {k: cask.events[number] for k, cask in enumerate(casks) if number < len(cask.events)}
        end = start.copy()
        end[list(events)] = along.days([event.date for event in events.values()])
        state, _ = convoy.travel(state, start, end, convoy.store_at(store))
        gauged = {k: event for k, event in events.items() if event.what == "gauged"}
        if gauged:
            _note(grid, state, gauged, since, [evidence[row] for row in rows], casks, problems)
            reset(state, gauged)
        changed = {k: event for k, event in events.items() if event.what in CHANGES}
        along.change(state, np.array(list(changed), dtype=np.int64), list(changed.values()))
        for k, event in events.items():
            store[k] = event.store
        start = end


def reset(state: FloatArray, gauged: dict[int, CaskEvent]) -> None:
    """Put what was measured in place of what was forecast."""
    for k, event in gauged.items():
        ethanol, water = content.masses_kg(event.litres, event.abv_pct)
        state[0, k], state[1, k] = ethanol, water


def _note(
    grid: leak.Grid,
    state: FloatArray,
    gauged: dict[int, CaskEvent],
    since: list[CaskEvent],
    evidence: list[Evidence],
    casks: Sequence[StockCask],
    problems: list[Problem],
) -> None:
    """Add the likelihood of a gauge to its cask's evidence."""
    interval = _interval(state, gauged, since, casks)
    likes = leak.log_likelihood(grid, interval).max(axis=(1, 2))
    perfect = -np.log(interval.sd_L) - np.log(interval.sd_abv_pct)
    for place, (k, event) in enumerate(gauged.items()):
        if interval.years[place] > 0.0:
            evidence[k].append(leak.Interval(*(column[[place]] for column in _columns(interval))))
            if likes[place] - perfect[place] < NO_FIT:
                problems.append(_no_fit(casks[k], event))
        since[k] = event


def _no_fit(cask: StockCask, event: CaskEvent) -> Problem:
    what = (
        f"{cask.cask_id} at {event.litres:g} L and {event.abv_pct:g} %vol on {event.date} fits no loss in the climate "
        f"of {event.store or 'its store'}, however large or small."
    )
    return Problem(event.where, what, "Gauge again; check the store and its humidity.", warning=True)


def _interval(
    state: FloatArray, gauged: dict[int, CaskEvent], since: list[CaskEvent], casks: Sequence[StockCask]
) -> leak.Interval:
    rows, ends = list(gauged), list(gauged.values())
    starts = [since[k] for k in rows]
    litres, abv = content.volume_and_strength(state[0, rows], state[1, rows])
    shape = (len(rows), leak.NODES, leak.WATER_NODES)
    changed = np.array([_changed_L(casks[k], since[k], event) for k, event in gauged.items()])
    sd_L, sd_abv = _errors(starts, ends, [casks[k] for k in rows])
    years = np.array([(b.date - a.date).days / 365.25 for a, b in zip(starts, ends, strict=True)])
    return leak.Interval(
        litres.reshape(shape),
        abv.reshape(shape),
        np.array([event.litres for event in starts]) + changed,
        np.array([event.abv_pct for event in starts]),
        np.array([event.litres for event in ends]),
        np.array([event.abv_pct for event in ends]),
        sd_L,
        sd_abv,
        years,
        (years > 0.0).astype(np.float64),
    )


def _changed_L(cask: StockCask, start: CaskEvent, end: CaskEvent) -> float:
    """Litres topped less sampled between two gauges."""
    between = [e for e in cask.events if start.date <= e.date <= end.date and e.what in CHANGES]
    return sum(event.litres if event.what == "topped" else -event.litres for event in between)


def _errors(
    starts: Sequence[CaskEvent], ends: Sequence[CaskEvent], casks: Sequence[StockCask]
) -> tuple[FloatArray, FloatArray]:
    """One sd of both gauges together [L], [%vol]; in a first interval with what the wood may have drunk."""
    gauging, middle = leak.gauging(), middles(priors("cask"))
    uptake = next(prior for prior in priors("cask") if prior.name == "cask.wood_uptake_L_per_m2")
    unsure = uptake.arguments[0] * np.log(uptake.arguments[1])  # one sd of what dry wood drinks
    sd_L, sd_abv = [], []
    for start, end, cask in zip(starts, ends, casks, strict=True):
        both = [(gauging[event.method], event.litres) for event in (start, end)]
        drunk = unsure * content.inside_area_m2(cask.kind.capacity_L) * (start.what == "filled")
        drunk *= 1.0 if content.is_new_wood(cask.kind) else float(middle["cask.refill_uptake_share"][0])
        sd_L.append(np.sqrt(sum((sd[0] / 100.0 * litres) ** 2 for sd, litres in both) + drunk**2))
        sd_abv.append(np.hypot(both[0][0][1], both[1][0][1]))
    return np.array(sd_L), np.array(sd_abv)
