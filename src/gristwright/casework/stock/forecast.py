"""A stock year by year: pure alcohol by cask, spirit and age, bottles, evaporation in money. See docs/stock.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from gristwright.basics import (
    Assumption,
    Band,
    BoolArray,
    Draws,
    FloatArray,
    Problem,
    Refused,
    Tick,
    no_tick,
    refuse_if_any,
)
from gristwright.casework.stock import course as along
from gristwright.casework.stock.ages import completed_years_at
from gristwright.casework.stock.following import Course, follow
from gristwright.casework.stock.pace import MOST_NAMED, MOST_SPIRITS, is_large
from gristwright.casework.stock.regauge import regauge
from gristwright.numerics.draws import middles, prior_band, sample
from gristwright.numerics.weights import band, equal_weights
from gristwright.records.cask import Climate
from gristwright.records.law import CaskStay
from gristwright.records.stock import Rates, Regauged, Stock, StockCask, StockForecast
from gristwright.reference.load import csv_rows, priors
from gristwright.rules.law.calendar import add_months
from gristwright.stages.bottle.limits import of_bottle
from gristwright.stages.cask import content, course, leak, model, wood
from gristwright.stages.cask.course import IntArray

MOST_YEARS = 60
# Casks times draws at once: 6 rows of state and a few of results then stay well below a gigabyte.
MOST_AT_ONCE = 150_000
COMMON = ("cask.wood_uptake_L_per_m2", "cask.refill_uptake_share", "cask.wood_water_kg_per_m2")
HANDLING = "bottle.handling_loss_share"
NAME_FEWER = "Ask without --casks, cut the ledger by store, or ask for the statement of one cask."
OTHERS = "all other spirits"
RESTS_ON = (*model.RESTS_ON, *leak.RESTS_ON)
DRAWN = (*COMMON, HANDLING, *wood.RESTS_ON)


@dataclass(frozen=True)
class Bottling:
    """What is to be bottled: strength [%vol] and bottle [L]."""

    abv_pct: float
    bottle_L: float = 0.7


def assumptions(names: Sequence[str] = RESTS_ON) -> tuple[Assumption, ...]:
    """What a forecast of casks rests on before any gauge, with standing and source."""
    believed = (*priors("cask"), *priors("bottle"))
    return tuple(
        Assumption(
            p.name, p.meaning, p.unit, prior_band(p), p.source.standing, f"{p.source.text}. {p.source.note}".strip()
        )
        for p in believed
        if p.name in names
    )


def marks_of(on: dt.date, years: int) -> tuple[dt.date, ...]:
    """The day itself and the same day of every year after. Raises Refused for less than 1 or more than 60 years."""
    if not 1 <= years <= MOST_YEARS:
        raise Refused([Problem("years", f"{years} years is outside 1 to {MOST_YEARS}.", "Ask for fewer.")])
    return tuple(add_months(on, 12 * year) for year in range(years + 1))


def common_draws(draws: int, seed: int) -> Draws:
    """What all casks share: the wood's thirst and gifts and the loss in bottling; columns (draws,) or (1,).

    The permeances are at their middle, for a cask's loss over the model's carries their spread.
    """
    believed = {prior.name: prior for prior in (*priors("cask"), *priors("bottle"))}
    return {**middles(priors("cask")), **sample([believed[name] for name in DRAWN], draws, seed)}


@dataclass(frozen=True)
class Read:
    """What a course reads as, each (marks, casks, draws): litres and %vol at 20 degC, litres of pure alcohol."""

    litres: FloatArray
    abv_pct: FloatArray
    rla_L: FloatArray


def read(run: Course, fill_L: FloatArray) -> Read:
    """Litres, strength and pure alcohol of a course; the strength of a cask that has run dry is NaN."""
    litres, rla_L = content.litres_of(run.ethanol_kg, run.water_kg), content.lpa_from_kg(run.ethanol_kg)
    abv = 100.0 * rla_L / litres
    abv[litres < content.RUN_DRY * fill_L[None, :, None]] = np.nan
    return Read(litres, abv, rla_L)


def blocks(casks: int, draws: int) -> Iterable[slice]:
    """Casks cut so that casks times draws fit into memory."""
    size = max(1, MOST_AT_ONCE // draws)
    return (slice(start, min(start + size, casks)) for start in range(0, casks, size))


def forecast(
    stock: Stock,
    years: int,
    regauged: Regauged | None = None,
    rates: Rates | None = None,
    bottling: Bottling | None = None,
    each: bool = False,
    tick: Tick = no_tick,
) -> StockForecast:
    """The whole stock from its day on, year by year; one joint draw of stores runs through all casks.

    `each` adds the bands of every cask. `tick` may raise to stop.

    Raises Refused without a cask to forecast, for years outside 1 to 60, and for the bands of more casks than fit.
    """
    refuse_if_any([*(of_bottle(bottling.abv_pct, bottling.bottle_L) if bottling else []), *too_many_named(stock, each)])
    if not stock.casks:
        raise Refused([*stock.set_aside, Problem("ledger", "no cask can be forecast.", "Mend the lines named.")])
    known = regauged or regauge(stock)
    marks, draws = marks_of(stock.on, years), known.loss.shape[1]
    common = common_draws(draws, known.seed)
    sums, large = _Sums(len(marks), draws, each), is_large(len(stock.casks))
    order = _by_day(stock) if large else np.arange(len(stock.casks))
    for block in blocks(len(stock.casks), draws):
        tick(block.start, len(order), "forecasting the casks")
        rows = order[block]
        casks = [stock.casks[row] for row in rows]
        run = follow(casks, stock.climates, known.loss[rows], known.water[rows], common, marks, known.seed, large)
        sums.add(casks, run, marks, rates, bottling)
    return sums.result(stock, known, marks, rates, bottling, common[HANDLING])


def too_many_named(stock: Stock, each: bool) -> list[Problem]:
    """The refusal of every cask's bands in a stock of more casks than they are given for; else nothing."""
    count = len(stock.casks)
    if not each or count <= MOST_NAMED:
        return []
    return [Problem("casks", f"{count} casks are more than the {MOST_NAMED} that are named one by one.", NAME_FEWER)]


def _by_day(stock: Stock) -> IntArray:
    """The rows of the casks by the day from which each is followed, so that casks of like days are worked together."""
    days = along.days([cask.last_gauge[0] for cask in stock.casks])
    return np.lexsort((along.days([cask.filled for cask in stock.casks]), days))


class _Sums:
    """Sums over casks for every mark and draw, cask by cask in blocks, so that a large stock needs no more memory."""

    def __init__(self, marks: int, draws: int, each: bool) -> None:
        self.each, self.by_cask = each, dict[str, tuple[Band, ...]]()
        self.rla, self.litres, self.ethanol, self.water = (np.zeros((marks, draws)) for _ in range(4))
        self.money, self.gone, self.weak = (np.zeros((marks, draws)) for _ in range(3))
        self.by_spirit: dict[str, FloatArray] = {}
        self.by_age = np.zeros((len(age_classes()), marks))
        self.error = 0.0

    def add(
        self,
        casks: Sequence[StockCask],
        run: Course,
        marks: Sequence[dt.date],
        rates: Rates | None,
        bottling: Bottling | None,
    ) -> None:
        """Add a block of casks."""
        shown = read(run, np.array([cask.fill_L for cask in casks]))
        ages = ages_at(casks, marks)
        gone = np.zeros_like(shown.rla_L)
        gone[1:] = shown.rla_L[:-1] - shown.rla_L[1:]
        self.rla += shown.rla_L.sum(axis=1)
        self.litres += shown.litres.sum(axis=1)
        self.ethanol += run.ethanol_kg.sum(axis=1)
        self.water += run.water_kg.sum(axis=1)
        self.gone += gone.sum(axis=1)
        self.error = max(self.error, run.balance_error)
        if self.each:
            self.by_cask |= {cask.cask_id: bands(shown.rla_L[:, k]) for k, cask in enumerate(casks)}
        if rates:
            self.money += (gone * per_lpa(rates, ages)[:, :, None]).sum(axis=1)
        if bottling:
            self.weak += (~(shown.abv_pct >= bottling.abv_pct)).sum(axis=1)
        rows_of: dict[str, list[int]] = {}
        for row, cask in enumerate(casks):
            known = cask.spirit in self.by_spirit or len(self.by_spirit) < MOST_SPIRITS
            rows_of.setdefault(cask.spirit if known else OTHERS, []).append(row)
            self.by_spirit.setdefault(cask.spirit if known else OTHERS, np.zeros_like(self.rla))
        for spirit, mine in rows_of.items():
            held = self.by_spirit[spirit]
            held += shown.rla_L[:, mine].sum(axis=1)
        mean = shown.rla_L.mean(axis=2)  # means add up, medians do not
        for number, here in enumerate(in_classes(ages)):
            self.by_age[number] += (mean * here).sum(axis=1)

    def result(
        self,
        stock: Stock,
        known: Regauged,
        marks: tuple[dt.date, ...],
        rates: Rates | None,
        bottling: Bottling | None,
        handling: FloatArray,
    ) -> StockForecast:
        """The sums as bands."""
        titles = [title for _, title in age_classes()]
        return StockForecast(
            on=stock.on,
            marks=marks,
            casks=tuple(cask.cask_id for cask in stock.casks),
            rla_L=bands(self.rla),
            litres=bands(self.litres),
            by_spirit={spirit: bands(held) for spirit, held in sorted(self.by_spirit.items())},
            by_cask=self.by_cask,
            by_age={title: tuple(row) for title, row in zip(titles, self.by_age.tolist(), strict=True)},
            evaporated_L=bands(self.gone),
            money=bands(self.money) if rates else (),
            currency=rates.currency if rates else "",
            bottles=bands(self._bottles(bottling, handling)) if bottling else (),
            bottle_abv_pct=bottling.abv_pct if bottling else 0.0,
            bottle_L=bottling.bottle_L if bottling else 0.0,
            below_strength=bands(self.weak) if bottling else (),
            members=known.loss.shape[1],
            seed=known.seed,
            balance_error=self.error,
            assumptions=assumptions((*RESTS_ON, HANDLING) if bottling else RESTS_ON),
            problems=known.problems,
            unknown=stock.unknown,
        )

    def _bottles(self, bottling: Bottling, handling: FloatArray) -> FloatArray:
        """Bottles if the whole stock were vatted and reduced; none where even the vatting is too weak."""
        _, mixed = content.volume_and_strength(self.ethanol, self.water)
        full = self.rla * (1.0 - handling) / (bottling.abv_pct / 100.0 * bottling.bottle_L)
        return np.where(mixed >= bottling.abv_pct, np.floor(full), 0.0)


def ages_at(casks: Sequence[StockCask], marks: Sequence[dt.date]) -> IntArray:
    """Completed years of the youngest in every cask at every mark, (marks, casks); casks of one history once."""
    known: dict[tuple[tuple[CaskStay, ...], ...], list[int]] = {}
    for cask in casks:
        if cask.components not in known:
            known[cask.components] = completed_years_at(cask, marks)
    return np.array([known[cask.components] for cask in casks], dtype=np.int64).T


def bands(values: FloatArray) -> tuple[Band, ...]:
    """A band for each mark over draws (marks, draws)."""
    weights = equal_weights(values.shape[1])
    return tuple(band(row, weights) for row in values)


def age_classes() -> tuple[tuple[int, str], ...]:
    """From so many completed years on, and its title."""
    return tuple((int(row["from_years"]), row["title"]) for row in csv_rows("tables/cask_age_classes.csv"))


def in_classes(ages: IntArray) -> list[BoolArray]:
    """For each age class whether an age is in it; any shape."""
    starts = [start for start, _ in age_classes()]
    number = np.searchsorted(starts, ages, side="right") - 1
    return [number == k for k in range(len(starts))]


def per_lpa(rates: Rates, ages: IntArray) -> FloatArray:
    """What a litre of pure alcohol is worth at completed years of age; any shape."""
    number = np.searchsorted(rates.from_years, ages, side="right") - 1
    return np.asarray(np.where(number >= 0, np.array(rates.per_lpa)[np.maximum(number, 0)], 0.0))


@dataclass(frozen=True)
class Block:
    """Casks of a very large stock as arrays (casks,): their shells, day of filling, store, loss over the model's."""

    shell: model.Shell
    filled: IntArray
    store: IntArray
    loss: FloatArray


def totals(stream: Iterable[Block], climates: Sequence[Climate], marks: Sequence[dt.date]) -> FloatArray:
    """Pure alcohol [L] by age class and mark of a stock too large for records, the reference run; (classes, marks).

    Each block is filled on days before the first mark, forecast at the middle of every prior but its own loss, added
    up and forgotten.
    """
    air, middle = course.air_of(climates), middles(priors("cask"))
    alcohol_L = np.zeros((len(age_classes()), len(marks)))
    ordinals = [mark.toordinal() for mark in marks]
    for block in stream:
        state = np.zeros((6, len(block.loss)))
        state[0], state[1] = content.masses_kg(block.shell.fill_L, block.shell.fill_abv_pct)
        end = np.full(len(block.loss), ordinals[-1])
        walls = model.walls_of(block.shell, block.loss, np.ones(1), middle)
        _, seen = course.run(state, walls, air, course.Journey(block.store, block.filled, end, block.filled), ordinals)
        rla = content.lpa_from_kg(seen[:, 0])
        ages = np.array([(ordinal - block.filled) / course.DAYS_PER_YEAR for ordinal in ordinals]).astype(np.int64)
        for number, here in enumerate(in_classes(ages)):
            alcohol_L[number] += (rla * here).sum(axis=1)
    return alcohol_L
