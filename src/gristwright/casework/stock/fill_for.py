"""How many casks of what to fill now for so many bottles at a strength in a year. See docs/stock.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from gristwright.basics import Draws, FloatArray, Problem, Refused, refuse_if_any
from gristwright.casework.stock import course as along
from gristwright.casework.stock.ages import WHOLE_AGE, rule_of_age
from gristwright.casework.stock.forecast import HANDLING, common_draws
from gristwright.casework.stock.regauge import StoreBelief
from gristwright.numerics.weights import band, equal_weights
from gristwright.quantities.shown import counted
from gristwright.records.cask import CaskKind, Climate
from gristwright.records.stock import FillAnswer, StockCask
from gristwright.rules.law.calendar import add_months
from gristwright.stages.bottle.limits import of_bottle
from gristwright.stages.cask import content, leak, limits
from gristwright.stages.cask.course import IntArray

DRAWS = 512
# Above so many casks their sum is taken as normal: its own scatter is then a hundredth of what the store does.
COUNTED_SINGLY = 400
USUAL_KINDS = ("barrel", "hogshead", "butt")


@dataclass(frozen=True)
class Wanted:
    """Bottles [number], strength [%vol], bottle [L], the day they are filled, and with which probability."""

    bottles: int
    abv_pct: float
    on: dt.date
    bottle_L: float = 0.7
    chance: float = 0.9

    @property
    def lpa_L(self) -> float:
        """Pure alcohol in the bottles [L]."""
        return self.bottles * self.bottle_L * self.abv_pct / 100.0


def fill_for(
    wanted: Wanted,
    kinds: Sequence[CaskKind],
    climate: Climate,
    entry_abv_pct: float,
    filled: dt.date,
    seed: int = 1,
    known: Mapping[str, StoreBelief | None] | None = None,
) -> tuple[FillAnswer, ...]:
    """Casks of each kind to fill on a day so that the bottles come out with the probability asked.

    All casks share the store's draw and the loss in bottling; each has a loss, and perhaps a leak, of its own. `known`
    is what regauges of like casks taught of the store, by wood; without it the store is drawn from its prior. Raises
    Refused with every fault.
    """
    refuse_if_any([*_faults(wanted, filled), *limits.of_climate(climate), *_of_kinds(kinds, entry_abv_pct)])
    given, taught = Given(climate, entry_abv_pct, filled, seed), known or {}
    return tuple(_of_kind(wanted, kind, given, taught.get(kind.wood)) for kind in kinds)


@dataclass(frozen=True)
class Given:
    """Where, how strong and when casks are filled, and the seed of the draws."""

    climate: Climate
    entry_abv_pct: float
    filled: dt.date
    seed: int


def _of_kinds(kinds: Sequence[CaskKind], entry_abv_pct: float) -> list[Problem]:
    low, high = limits.LOW_ENTRY_ABV_PCT, limits.HIGH_ENTRY_ABV_PCT
    problems = [problem for kind in kinds for problem in limits.of_kind(kind)]
    if not low <= entry_abv_pct <= high:
        what = f"entry at {entry_abv_pct:g} %vol is outside {low:g} to {high:g} %vol."
        problems.append(Problem("entry strength", what, "Reduce the spirit before filling."))
    return problems


def _faults(wanted: Wanted, filled: dt.date) -> list[Problem]:
    problems = of_bottle(wanted.abv_pct, wanted.bottle_L)
    if wanted.bottles < 1:
        problems.append(Problem("bottles", f"{wanted.bottles} bottles is below 1.", "Give the number of bottles."))
    if not 0.01 <= wanted.chance <= 0.99:
        problems.append(Problem("chance", f"{wanted.chance:g} is outside 0.01 to 0.99.", "Usual are 0.8 to 0.95."))
    if wanted.on <= filled:
        problems.append(Problem("year", f"{wanted.on} is not after the filling on {filled}.", "Name a later year."))
    elif wanted.on > add_months(filled, 12 * 60):
        problems.append(Problem("year", f"{wanted.on} is more than 60 years on.", "Name an earlier year."))
    return problems


def _of_kind(wanted: Wanted, kind: CaskKind, given: Given, known: StoreBelief | None) -> FillAnswer:
    grid = known.grid if known else leak.standard()
    common = common_draws(DRAWS, given.seed)
    store, water = leak.draw_store(known.belief if known else grid.store_prior, DRAWS, given.seed)
    at_nodes = _at_nodes(wanted, kind, given, np.exp(grid.log_water)[water], common)
    ethanol_kg, water_kg = _sums(grid, store, at_nodes, _rough(wanted, kind, given, at_nodes[0]), given.seed)
    lpa = content.lpa_from_kg(ethanol_kg)
    numbers = _first_enough(lpa, wanted.lpa_L / (1.0 - common[HANDLING]))
    half, casks, most = (int(np.quantile(numbers, share, method="higher")) for share in (0.5, wanted.chance, 0.95))
    place = min(casks, len(lpa)) - 1
    _, abv = content.volume_and_strength(ethanol_kg[place], water_kg[place])
    _, single_abv = content.volume_and_strength(ethanol_kg[0], water_kg[0])
    strong = float((abv >= wanted.abv_pct).mean())
    return FillAnswer(
        kind.name,
        kind.capacity_L,
        casks,
        half,
        most,
        casks * kind.capacity_L * given.entry_abv_pct / 100.0,
        wanted.lpa_L,
        band(lpa[0], equal_weights(DRAWS)),
        band(single_abv, equal_weights(DRAWS)),
        strong,
        known.learned if known else None,
        _warnings(wanted, kind, given.filled, strong),
    )


def _at_nodes(
    wanted: Wanted, kind: CaskKind, given: Given, water: FloatArray, common: Draws
) -> tuple[FloatArray, FloatArray]:
    """Ethanol and water [kg] left in one cask at every node of the grid's losses, (nodes, draws)."""
    nodes = leak.standard().nodes
    cask = StockCask("", kind, "", given.filled, kind.capacity_L, given.entry_abv_pct, "metered", "", "", (), ())
    casks, shape = [cask] * leak.NODES, (leak.NODES, DRAWS)
    loss, each = np.broadcast_to(np.exp(nodes)[:, None], shape), np.broadcast_to(water, shape)
    convoy = along.convoy(casks, {"": given.climate}, loss, each, common)
    days = along.days([given.filled] * leak.NODES), along.days([wanted.on] * leak.NODES)
    state, _ = convoy.travel(along.filled_state(casks, DRAWS), *days, convoy.store_at([""] * leak.NODES))
    return state[0], state[1]


def _rough(wanted: Wanted, kind: CaskKind, given: Given, ethanol_kg: FloatArray) -> int:
    """How many casks are surely enough to look at one by one."""
    middle = float(np.median(content.lpa_from_kg(ethanol_kg[len(ethanol_kg) // 3])))
    filled = kind.capacity_L * given.entry_abv_pct / 100.0
    return int(min(COUNTED_SINGLY, 4.0 * wanted.lpa_L / max(middle, 0.01 * filled) + 12.0))


def _sums(
    grid: leak.Grid, store: IntArray, at_nodes: tuple[FloatArray, FloatArray], casks: int, seed: int
) -> tuple[FloatArray, FloatArray]:
    """Ethanol and water [kg] in 1, 2, ... casks together, (casks, draws): each cask's loss drawn for its store."""
    rng = np.random.default_rng((seed, 5))
    single = [np.empty((casks, DRAWS)), np.empty((casks, DRAWS))]
    for draw in range(DRAWS):
        loss = np.log(leak.draw_loss(grid, grid.cask_prior[:, store[draw]], rng.random(casks)))
        matrix = leak.barycentric(grid.nodes, np.clip(loss, grid.nodes[0], grid.nodes[-1]))
        for values, kg in zip(single, at_nodes, strict=True):
            values[:, draw] = np.maximum(matrix @ kg[:, draw], 0.0)
    return np.cumsum(single[0], axis=0), np.cumsum(single[1], axis=0)


def _first_enough(cumulative: FloatArray, needed: FloatArray) -> FloatArray:
    """The least number of casks in each draw whose alcohol is enough; beyond the table at the table's mean a cask."""
    enough = cumulative >= needed
    beyond = np.ceil(needed / (np.maximum(cumulative[-1], 1e-9) / len(cumulative)))
    return np.asarray(np.where(enough.any(axis=0), enough.argmax(axis=0) + 1, beyond))


def _warnings(wanted: Wanted, kind: CaskKind, filled: dt.date, strong: float) -> tuple[str, ...]:
    said = [*limits.of_kind(kind), *of_bottle(wanted.abv_pct, wanted.bottle_L)]
    sentences = [problem.sentence() for problem in said if problem.warning]
    rule = rule_of_age(WHOLE_AGE)
    months = int(rule.data["months"]) if rule else 0
    if wanted.on < add_months(filled, months):
        sentences.append(
            f"{wanted.on} is before {add_months(filled, months)}, when {counted(months // 12, 'year')} in wood "
            f"are complete."
        )
    if strong < wanted.chance:
        sentences.append(
            f"{kind.name}: the casks together are at or above {wanted.abv_pct:g} %vol with a probability of "
            f"{strong:.0%} only; a lower bottle strength, a drier store or an earlier year would do."
        )
    return tuple(sentences)


def last_day(year: int) -> dt.date:
    """The day of a year on which bottles are counted: its last. Raises Refused for a year that is none."""
    if not 1900 <= year <= 2200:
        raise Refused([Problem("year", f"{year} is outside 1900 to 2200.", "Give a calendar year.")])
    return dt.date(year, 12, 31)
