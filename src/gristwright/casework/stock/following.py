"""Casks through their ledgers to a day and on from there, on draws: what forecasts and vattings share.

See docs/stock.md.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.casework.stock import course as along
from gristwright.casework.stock.gauges import CHANGES, reset
from gristwright.records.cask import Climate
from gristwright.records.stock import CaskEvent, StockCask
from gristwright.stages.cask import content, leak
from gristwright.stages.cask.course import IntArray


@dataclass(frozen=True)
class Course:
    """Casks from their last gauge onward: ethanol and water [kg] at the marks, (marks, casks, draws)."""

    ethanol_kg: FloatArray
    water_kg: FloatArray
    balance_error: float


def follow(
    casks: Sequence[StockCask],
    climates: dict[str, Climate],
    loss: FloatArray,
    water: FloatArray,
    common: Draws,
    marks: Sequence[dt.date],
    seed: int,
    large: bool = False,
) -> Course:
    """Casks through their ledgers to the first mark and on to the last, on draws (casks, draws) of loss and water.

    A gauge puts what was measured, with its error, in place of what was forecast; casks of a large stock start there.
    """
    convoy = along.convoy(casks, climates, loss, water, common, large)
    state, into = (_from_last_gauge if large else _to_last_event)(casks, convoy, loss.shape[1], seed)
    start = along.days([cask.events[-1].date if cask.events else cask.filled for cask in casks])
    last = np.full(len(casks), marks[-1].toordinal())
    store = convoy.store_at([cask.store for cask in casks])
    out, seen = convoy.travel(state, start, last, store, [mark.toordinal() for mark in marks])
    accounted = out[0:2] + out[2:4] + out[4:6]
    error = float(np.max(np.abs(accounted - into) / np.maximum(into, 1e-9)))
    return Course(seen[:, 0], seen[:, 1], error)


def _to_last_event(
    casks: Sequence[StockCask], convoy: along.Convoy, draws: int, seed: int
) -> tuple[FloatArray, FloatArray]:
    """The state after each cask's last event, and ethanol and water [kg] it should account for from there on."""
    state = along.filled_state(casks, draws)
    state[:2] *= _noise(casks, draws, seed)
    begun = along.days([cask.filled for cask in casks]), [cask.first_store for cask in casks]
    return _through(casks, [cask.events for cask in casks], convoy, state, begun, seed)


def _from_last_gauge(
    casks: Sequence[StockCask], convoy: along.Convoy, draws: int, seed: int
) -> tuple[FloatArray, FloatArray]:
    """As `_to_last_event`, begun at each cask's last gauge: what was measured there forgets all before it."""
    later, begun, rows = [cask.events for cask in casks], [], list[int]()
    for k, cask in enumerate(casks):
        last = max((n for n, event in enumerate(cask.events) if event.what == "gauged"), default=-1)
        begun.append((cask.filled, cask.first_store) if last < 0 else (cask.events[last].date, cask.events[last].store))
        later[k] = cask.events[last + 1 :]
        rows += [k] if last >= 0 else []
    state = along.filled_state(casks, draws)
    never = np.setdiff1d(np.arange(len(casks)), rows)
    state[:2, never] *= _noise([casks[k] for k in never], draws, seed) if len(never) else 1.0
    if rows:
        state[:2, rows] = _gauged([casks[k] for k in rows], draws, seed)
    days, stores = along.days([day for day, _ in begun]), [store for _, store in begun]
    return _through(casks, later, convoy, state, (days, stores), seed)


def _gauged(casks: Sequence[StockCask], draws: int, seed: int) -> FloatArray:
    """Ethanol and water [kg] of casks at their last gauge, with its errors, (2, casks, draws)."""
    last = [cask.gauges[-1] for cask in casks]
    sd = np.array([leak.gauging()[event.method] for event in last])
    keys = [(seed, 4, along.own(cask), event.date.toordinal()) for cask, event in zip(casks, last, strict=True)]
    noise = np.stack([_normal(key, (2, draws)) for key in keys])
    litres = np.array([event.litres for event in last])[:, None] * (1.0 + sd[:, :1] / 100.0 * noise[:, 0])
    abv = np.array([event.abv_pct for event in last])[:, None] + sd[:, 1:] * noise[:, 1]
    return np.stack(content.masses_kg(litres, np.clip(abv, 0.5, 95.0)))


def _through(
    casks: Sequence[StockCask],
    events_of: Sequence[Sequence[CaskEvent]],
    convoy: along.Convoy,
    state: FloatArray,
    begun: tuple[IntArray, list[str]],
    seed: int,
) -> tuple[FloatArray, FloatArray]:
    """The state carried from the day and store at which each cask begins through its events, and what went in."""
    into = state[:2].copy()
    start, store = begun
    for number in range(max(map(len, events_of), default=0)):
        events = {k: each[number] for k, each in enumerate(events_of) if number < len(each)}
        end = start.copy()
        end[list(events)] = along.days([event.date for event in events.values()])
        state, _ = convoy.travel(state, start, end, convoy.store_at(store))
        _happen(state, into, casks, events, seed)
        for k, event in events.items():
            store[k] = event.store
        start = end
    return state, into


def _noise(casks: Sequence[StockCask], draws: int, seed: int) -> FloatArray:
    """Error of the litres filled, (1, casks, draws)."""
    rows = [leak.gauging()[cask.fill_method][0] * _normal((seed, 3, along.own(cask)), (draws,)) for cask in casks]
    return np.asarray(1.0 + np.stack(rows) / 100.0)[None]


def _normal(seed: tuple[int, ...], shape: tuple[int, ...]) -> FloatArray:
    """Normal numbers within three sd; none at all for a single member, the reference run."""
    if shape[-1] == 1:
        return np.zeros(shape)
    return np.clip(np.random.default_rng(seed).standard_normal(shape), -3.0, 3.0)


def _happen(
    state: FloatArray, into: FloatArray, casks: Sequence[StockCask], events: dict[int, CaskEvent], seed: int
) -> None:
    gauged = {k: event for k, event in events.items() if event.what == "gauged"}
    reset(state, gauged)
    for k, event in gauged.items():
        volume_pct, strength = leak.gauging()[event.method]
        noise = _normal((seed, 4, along.own(casks[k]), event.date.toordinal()), (2, state.shape[2]))
        litres = event.litres * (1.0 + volume_pct / 100.0 * noise[0])
        state[:2, k] = content.masses_kg(litres, np.clip(event.abv_pct + strength * noise[1], 0.5, 95.0))
        state[2:, k] = 0.0
        into[:, k] = state[:2, k]
    changed = {k: event for k, event in events.items() if event.what in CHANGES}
    before = state[:2].copy() if changed else state
    along.change(state, np.array(list(changed), dtype=np.int64), list(changed.values()))
    if changed:
        into += state[:2] - before
