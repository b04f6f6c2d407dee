"""One cask of a stock in full: fan, losses in four conventions, floor year, ages, next gauge. See docs/stock.md."""

from __future__ import annotations

import datetime as dt

import numpy as np

from gristwright.basics import Band, Draws, FloatArray, Problem, Refused
from gristwright.casework.stock.ages import floor_abv_pct, legal_ages
from gristwright.casework.stock.checks import neutral_humidity
from gristwright.casework.stock.following import follow
from gristwright.casework.stock.forecast import RESTS_ON, Read, assumptions, bands, common_draws, marks_of, read
from gristwright.casework.stock.regauge import LIKELY_LEAK, regauge
from gristwright.numerics.weights import band, equal_weights
from gristwright.records.cask import Climate, YearlyLosses
from gristwright.records.stock import CaskForecast, MarkerForecast, Regauged, Stock, StockCask
from gristwright.reference.spelling import close_to
from gristwright.rules.law.calendar import add_months
from gristwright.stages.cask import ledger, wood

# When to gauge next, our choice: no later than so many years after the last, and before the band is this wide.
LATEST_YEARS, WIDEST_SHARE = 4, 0.04
SOON_MONTHS = 1
SUSPECT = 0.2
# Below this share of the fill so much wall is dry that the table of markers says nothing.
HALF_FULL = 0.5


def one_cask(stock: Stock, cask_id: str, years: int = 20, regauged: Regauged | None = None) -> CaskForecast:
    """One cask of the stock, on the draws of the whole. Raises Refused for a cask that does not lie in it."""
    cask, known = stock.casks[row_of(stock, cask_id)], regauged or regauge(stock)
    row = known.row(cask_id)
    marks = marks_of(stock.on, years)
    common = common_draws(known.loss.shape[1], known.seed)
    run = follow([cask], stock.climates, known.loss[[row]], known.water[[row]], common, marks, known.seed)
    shown = read(run, np.array([cask.fill_L]))
    floor = floor_abv_pct()
    floor_year, chance = _floor(shown, marks, floor)
    next_gauge, why = _next_gauge(cask, shown, marks, known.casks[row].leaking)
    climate = stock.climates[cask.store]
    markers, markers_on, no_markers = _markers(cask, climate, marks, common, shown)
    return CaskForecast(
        cask,
        known.casks[row],
        marks,
        bands(shown.litres[:, 0]),
        finite_bands(shown.abv_pct[:, 0]),
        bands(shown.rla_L[:, 0]),
        _losses(cask, shown, stock.on),
        floor,
        floor_year,
        chance,
        neutral_humidity(climate, float(np.nanmedian(shown.abv_pct[0]))),
        float(np.mean(climate.month_humidity)),
        legal_ages(cask, stock.on),
        next_gauge,
        why,
        markers,
        markers_on,
        no_markers,
        assumptions((*RESTS_ON, *wood.RESTS_ON) if markers else RESTS_ON),
    )


def _markers(
    cask: StockCask, climate: Climate, marks: tuple[dt.date, ...], common: Draws, shown: Read
) -> tuple[tuple[MarkerForecast, ...], dt.date | None, str]:
    """What the wood gives in this filling, today and as long as the cask is half full, or why that is not said."""
    why = wood.comparable(cask.kind) or wood.known(cask.kind)
    if why:
        return (), None, why[0].sentence()
    full = np.flatnonzero(np.median(shown.litres[:, 0], axis=1) >= HALF_FULL * cask.fill_L)
    last = marks[int(full[-1]) if len(full) else 0]
    years = np.array([(mark - cask.filled).days / 365.25 for mark in (marks[0], last)])
    mean_degC = float(np.mean(climate.month_degC))
    forecasts = []
    for marker in (marker for marker in wood.markers() if marker.origin != "none"):
        grams = wood.added_g(marker, cask.kind, cask.fill_abv_pct, mean_degC, years, common, cask.rejuvenated)
        today, then = bands(grams)
        forecasts.append(MarkerForecast(marker.title, marker.origin, today, then, marker.standing.value, marker.note))
    return tuple(forecasts), last, ""


def row_of(stock: Stock, cask_id: str) -> int:
    """The row of a cask. Raises Refused, naming the nearest, for one that is not in the stock."""
    names = [cask.cask_id for cask in stock.casks]
    if cask_id in names:
        return names.index(cask_id)
    gone = [cask for cask in stock.gone if cask.cask_id == cask_id]
    if gone:
        what = f"{cask_id} was emptied on {gone[-1].emptied}."
        raise Refused([Problem("cask", what, "Ask for the cask it went into.")])
    unknown = next((cask for cask in stock.unknown if cask.cask_id == cask_id), None)
    if unknown is not None:
        what = f"the kind of {cask_id} is not known, so its {unknown.litres:.1f} L are counted and nothing is forecast."
        raise Refused([Problem(unknown.where.to("kind"), what, "Give its kind or capacity_L, and its wood.")])
    near = close_to(cask_id, names)
    what = f"{cask_id!r} does not lie in the stock on {stock.on}."
    raise Refused([Problem("cask", what, f"Did you mean {' or '.join(near)}?" if near else "See the ledger.")])


def finite_bands(values: FloatArray) -> tuple[Band, ...]:
    """Bands over draws that are numbers; three NaN for a mark at which half or more have run dry: the few that are left
    are the tight ones and stand for no cask."""
    weights = equal_weights(values.shape[1])
    nothing = Band(float("nan"), float("nan"), float("nan"))
    return tuple(band(row, weights) if np.isfinite(row).mean() > 0.5 else nothing for row in values)


def _losses(cask: StockCask, shown: Read, on: dt.date) -> YearlyLosses | None:
    """Losses from filling to the day, as at the first mark; None within the first month, and after a topping."""
    years = (on - cask.filled).days / 365.25
    if years < 1.0 / 12.0 or any(event.what == "topped" for event in cask.events):
        return None
    bulk = np.clip(shown.litres[0, 0] / cask.fill_L, 1e-9, None)
    alcohol = np.clip(shown.rla_L[0, 0] / (cask.fill_L * cask.fill_abv_pct / 100.0), 1e-9, None)
    losses = [
        band(convention(left, years), equal_weights(len(left)))
        for left in (bulk, alcohol)
        for convention in (ledger.of_original_pct, ledger.of_remaining_pct)
    ]
    return YearlyLosses(*losses)


def _floor(shown: Read, marks: tuple[dt.date, ...], floor: float) -> tuple[Band | None, float]:
    """Year in which strength falls under the floor, between yearly marks by a straight line; and how many draws do."""
    abv = shown.abv_pct[:, 0]
    below = abv < floor
    falls = below.any(axis=0)
    if not falls.any():
        return None, 0.0
    first = below.argmax(axis=0)[falls]
    columns = np.flatnonzero(falls)
    before, after = abv[np.maximum(first - 1, 0), columns], abv[first, columns]
    drop = np.maximum(before - after, 1e-9)
    part = np.where(first > 0, (before - floor) / drop, 1.0)
    year = (
        marks[0].year + marks[0].timetuple().tm_yday / 366.0 + np.maximum(first - 1, 0) + np.where(first > 0, part, 0)
    )
    return band(np.floor(year), equal_weights(len(year))), float(falls.mean())


def _next_gauge(cask: StockCask, shown: Read, marks: tuple[dt.date, ...], leaking: float) -> tuple[dt.date, str]:
    """The day by which to gauge again, and why."""
    soon, latest = add_months(marks[0], SOON_MONTHS), add_months(cask.last_gauge[0], 12 * LATEST_YEARS)
    if leaking >= LIKELY_LEAK:
        return soon, f"it leaks with probability {_chance(leaking)}: look at it at once"
    if leaking >= SUSPECT:
        return soon, f"it may leak, with probability {_chance(leaking)}"
    due = max(soon, latest)
    for mark, spread in zip(marks[1:], bands(shown.rla_L[:, 0])[1:], strict=True):
        if mark >= due:
            break
        if spread.width > 2.0 * WIDEST_SHARE * spread.middle:
            return mark, f"by then its alcohol is known to {100 * 0.5 * spread.width / spread.middle:.0f} % only"
    return due, f"{LATEST_YEARS} years after the last gauge" if due > soon else "the last gauge is old"


def _chance(share: float) -> str:
    return "over 99 %" if share > 0.99 else f"{100.0 * share:.0f} %"
