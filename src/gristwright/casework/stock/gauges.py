"""What each gauge of a stock says of its cask: the casks followed from gauge to gauge at a grid of losses.

See docs/stock.md.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import TypeAlias

import numpy as np

from gristwright.basics import FloatArray, Problem, Tick
from gristwright.casework.stock import course as along
from gristwright.casework.stock.pace import is_large
from gristwright.numerics.draws import middles
from gristwright.quantities import alcoholometry
from gristwright.records.stock import CaskEvent, Stock, StockCask
from gristwright.reference.load import priors
from gristwright.stages.cask import content, leak

# So many casks are followed at once.
BLOCK, LARGE_BLOCK = 250, 1_000
# Log likelihood of the best loss against that of a perfect fit, below which a gauge fits no loss at all.
NO_FIT = -12.5
CHANGES = ("sampled", "topped")
# The intervals of one cask, each as one row of an interval of several casks.
Evidence: TypeAlias = list[tuple[leak.Interval, int]]


def blocks_of(rows: Sequence[int], size: int = BLOCK) -> Iterator[Sequence[int]]:
    """Rows cut so that the casks followed at once fit into memory."""
    for start in range(0, len(rows), size):
        yield rows[start : start + size]


def evidence_of(grid: leak.Grid, stock: Stock, problems: list[Problem], tick: Tick) -> list[Evidence]:
    """The intervals of every cask, block by block; in a large stock casks of like days together."""
    evidence: list[Evidence] = [[] for _ in stock.casks]
    gauged, large = [row for row, cask in enumerate(stock.casks) if cask.gauges], is_large(len(stock.casks))
    if large:
        gauged.sort(key=lambda row: [stock.casks[row].filled, *(gauge.date for gauge in stock.casks[row].gauges)])
    size = LARGE_BLOCK if large else BLOCK
    for number, block in enumerate(blocks_of(gauged, size)):
        tick(number * size, len(gauged), "following the casks from gauge to gauge")
        _follow(grid, stock, block, evidence, problems, large)
    return evidence


def _follow(
    grid: leak.Grid,
    stock: Stock,
    rows: Sequence[int],
    evidence: list[Evidence],
    problems: list[Problem],
    large: bool,
) -> None:
    """Carry casks from event to event at every node of the grid; a gauge leaves evidence and resets the cask."""
    casks = [stock.casks[row] for row in rows]
    shape = (len(casks), leak.NODES * leak.WATER_NODES)
    loss = np.broadcast_to(np.repeat(np.exp(grid.nodes), leak.WATER_NODES), shape)
    water = np.broadcast_to(np.tile(np.exp(grid.water_nodes), leak.NODES), shape)
    convoy = along.convoy(casks, stock.climates, loss, water, middles(priors("cask")), large)
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
        share, density = _of_strength(event.abv_pct)
        kg = event.litres * density / 1000.0
        state[0, k], state[1, k] = kg * share, kg * (1.0 - share)


@lru_cache(maxsize=20_000)
def _of_strength(abv_pct: float) -> tuple[float, float]:
    """Mass fraction [0..1] and density [kg/m3] of a strength: many gauges read the same."""
    share = alcoholometry.mass_fraction_from_abv(abv_pct)
    return share, alcoholometry.density_by_mass_kg_m3(share)


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
            evidence[k].append((interval, place))
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
