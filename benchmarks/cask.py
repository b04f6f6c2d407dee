"""How fast casks are forecast. Run: .venv/bin/python benchmarks/cask.py. Figures are of one run on one machine."""

from __future__ import annotations

import datetime as dt
import resource
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TypeVar

import numpy as np

from gristwright.casework.stock import forecast as forecasting
from gristwright.casework.stock import regauge as gauging
from gristwright.casework.stock.ledger import assemble
from gristwright.files.casks_in import read_casks
from gristwright.files.climate_in import read_climates
from gristwright.records.cask import CaskKind
from gristwright.records.law import CaskStay
from gristwright.records.stock import Stock, StockCask
from gristwright.stages.cask import content, model, stores

EXAMPLE = Path(__file__).parents[1] / "examples" / "cask-stock"
ON = dt.date(2026, 11, 25)
CASKS, BLOCK, YEARS = 1_000_000, 100_000, 20
T = TypeVar("T")


def timed(what: Callable[[], T]) -> tuple[float, T]:
    """Seconds and result."""
    start = time.perf_counter()
    result = what()
    return time.perf_counter() - start, result


def stream() -> Iterator[forecasting.Block]:
    """A million invented casks in blocks: three kinds, three stores, up to 15 years old, a loss of each one's own."""
    rng = np.random.default_rng(1)
    kinds = [stores.kind_named(name) for name in ("barrel", "hogshead", "butt")]
    area = np.array([content.pass_m2(kind) for kind in kinds])
    wetted = np.array([content.inside_area_m2(kind.capacity_L) for kind in kinds])
    size = np.array([kind.capacity_L for kind in kinds])
    for _ in range(CASKS // BLOCK):
        kind = rng.integers(0, len(kinds), BLOCK)
        shell = model.Shell(
            area[kind],
            wetted[kind],
            rng.random(BLOCK) < 0.2,
            size[kind] * rng.uniform(0.97, 1.0, BLOCK),
            rng.uniform(58.0, 64.0, BLOCK),
        )
        filled = ON.toordinal() - rng.integers(0, 15 * 365, BLOCK)
        loss = np.exp(0.26 * rng.standard_normal(BLOCK))
        yield forecasting.Block(shell, filled, rng.integers(0, 3, BLOCK), loss)


def thousand() -> Stock:
    """A thousand invented refill barrels filled today."""
    kind = CaskKind("barrel", 200.0, fill_number=2)
    stay = CaskStay("oak", 200.0, True, False, ON, None)
    casks = tuple(
        StockCask(f"C{k}", kind, "malt", ON, 198.0, 63.5, "metered", "S", "", (), ((stay,),), first_store="S")
        for k in range(1000)
    )
    return Stock(ON, casks, {"S": stores.climate_named("temperate store")})


def main() -> None:
    """Print every figure once."""
    marks = forecasting.marks_of(ON, YEARS)
    climates = [stores.climate_named(name) for name in stores.climate_names()]
    seconds, found = timed(lambda: forecasting.totals(stream(), climates, marks))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    print(f"{CASKS:,} casks over {12 * YEARS} months and up to 15 years before: {seconds:.1f} s, {peak:.2f} GB")
    print(f"pure alcohol today {found[:, 0].sum() / 1e6:.1f} and after {YEARS} years {found[:, -1].sum() / 1e6:.1f} ML")

    stock = thousand()
    belief_s, known = timed(lambda: gauging.regauge(stock, 500))
    seconds, _ = timed(lambda: forecasting.forecast(stock, YEARS, known))
    print(f"1,000 casks, 500 draws each, {12 * YEARS} months: {seconds:.1f} s, their belief {belief_s:.1f} s")

    entries, given = read_casks(EXAMPLE / "casks.csv"), read_climates(EXAMPLE / "store.csv")
    read_s, example = timed(lambda: assemble(entries.accepted(), given.accepted(), ON))
    gauge_s, known = timed(lambda: gauging.regauge(example))
    seconds, _ = timed(lambda: forecasting.forecast(example, YEARS, known))
    name = f"example, {len(example.casks)} casks"
    print(f"{name}: {read_s:.2f} s read, {gauge_s:.1f} s regauged, {seconds:.1f} s forecast")
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6:.2f} GB")


if __name__ == "__main__":
    main()
