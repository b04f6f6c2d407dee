"""Writes a large invented ledger of casks, every line good. Run: .venv/bin/python benchmarks/big_ledger.py LINES FILE.

Nothing in it is a real house. Fills of twenty years in the two stores of examples/cask-stock; a regauge every few
years, with the errors of weighing; casks moved, sampled, topped and racked. One seed, so one file for one number.
"""

from __future__ import annotations

import csv
import datetime as dt
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from gristwright.casework.stock import course as along
from gristwright.files.climate_in import read_climates
from gristwright.numerics.draws import middles
from gristwright.records.cask import CaskKind
from gristwright.records.stock import StockCask
from gristwright.reference.load import priors
from gristwright.stages.cask import content, stores

CLIMATE = Path(__file__).parents[1] / "examples" / "cask-stock" / "store.csv"
SEED = 20261125
COLUMNS = ("date", "cask", "what", "litres", "abv_pct", "degC", "method", "store", "place", "from", "spirit", "kind")
COLUMNS += ("wood", "capacity_L", "fill_number", "charred", "prior_contents")
KINDS = tuple(stores.kind_named(name) for name in ("barrel", "hogshead", "butt", "barrique"))
# Of the lines, those that fill a cask and those of other events; the rest are gauges.
FILLED_SHARE, OTHER_SHARE = 0.45, 0.08
FIRST, LAST, AT_ONCE = dt.date(2006, 1, 9), dt.date(2024, 12, 2), 5_000
ROUNDS = (dt.date(2012, 6, 11), dt.date(2016, 6, 13), dt.date(2020, 6, 15), dt.date(2025, 6, 16))
Line = dict[str, object]


def filled_casks(count: int, rng: np.random.Generator) -> list[StockCask]:
    """Casks of four kinds, filled week after week, first and later fills, each of its own litres and strength."""
    weeks = np.sort(rng.integers(0, (LAST - FIRST).days // 7, count))
    casks = []
    for k, week in enumerate(weeks):
        standard = KINDS[int(rng.integers(len(KINDS)))]
        fill = int(rng.integers(1, 4))
        kind = CaskKind(standard.name, standard.capacity_L, standard.wall_mm, "oak", fill, True, "bourbon")
        litres = round(float(standard.capacity_L * rng.uniform(0.97, 1.0)), 1)
        date = FIRST + dt.timedelta(days=7 * int(week))
        spirit = f"{'malt' if rng.random() < 0.7 else 'rye'} {date.year}"
        store, abv = ("Low store", "Hill store")[int(rng.integers(2))], round(float(rng.uniform(61.0, 64.5)), 1)
        place = f"row {1 + k % 90} level {1 + k % 3}"
        casks.append(
            StockCask(f"C{k:07d}", kind, spirit, date, litres, abv, "metered", store, place, (), (), first_store=store)
        )
    return casks


def filling(cask: StockCask) -> Line:
    """The line of a filling."""
    return {
        **of_cask(cask, cask.filled, "filled", f"{cask.fill_L:.1f}", f"{cask.fill_abv_pct:.1f}"),
        "method": "metered",
        "store": cask.store,
        "place": cask.place,
        "spirit": cask.spirit,
        "kind": cask.kind.name,
        "wood": "oak",
        "capacity_L": f"{cask.kind.capacity_L:g}",
        "fill_number": cask.kind.fill_number,
        "charred": "yes",
        "prior_contents": cask.kind.prior_contents,
    }


def of_cask(cask: StockCask, day: dt.date, what: str, litres: str = "", abv: str = "") -> Line:
    """A line of a cask; with a strength it has a temperature."""
    degC = 20 if abv else ""
    return {"date": day, "cask": cask.cask_id, "what": what, "litres": litres, "abv_pct": abv, "degC": degC}


def gauges(casks: list[StockCask], rng: np.random.Generator) -> Iterator[Line]:
    """The lines of about two weighings of every cask that lay long enough by then."""
    climates = read_climates(CLIMATE).accepted()
    for start in range(0, len(casks), AT_ONCE):
        block = casks[start : start + AT_ONCE]
        loss = 0.4 + 0.6 * np.exp(rng.normal(0.0, 0.3, len(block)))
        convoy = along.convoy(block, climates, loss[:, None], np.ones((len(block), 1)), middles(priors("cask")))
        at_filling = along.days([cask.filled for cask in block])
        for number, day in enumerate(ROUNDS):
            end = np.maximum(at_filling, day.toordinal())
            store = convoy.store_at([cask.store for cask in block])
            state, _ = convoy.travel(along.filled_state(block, 1), at_filling, end, store)
            litres, abv = (values[:, 0] for values in content.volume_and_strength(state[0], state[1]))
            noise = rng.normal(size=(2, len(block)))
            for k, cask in enumerate(block):
                if (day - cask.filled).days > 500 and (k + number) % 2:
                    said = f"{litres[k] * (1 + 0.002 * noise[0, k]):.1f}", f"{abv[k] + 0.08 * noise[1, k]:.1f}"
                    yield {**of_cask(cask, day, "gauged", *said), "method": "weighed"}


def others(cask: StockCask, number: int) -> list[Line]:
    """What else befalls a cask after its last gauge: moved, sampled, topped, or racked into a quarter cask."""
    day = dt.date(2025, 9, 1) + dt.timedelta(days=number % 300)
    match number % 4:
        case 0:
            return [{**of_cask(cask, day, "moved"), "place": f"row {1 + number % 90} level 4"}]
        case 1:
            return [of_cask(cask, day, "sampled", "0.5")]
        case 2:
            return [of_cask(cask, day, "topped", "1.0", "62.0")]
        case _:
            into = {"cask": f"Q{cask.cask_id}", "from": cask.cask_id, "kind": "quarter cask", "wood": "oak"}
            more = {"capacity_L": 125, "fill_number": 2, "charred": "no", "prior_contents": "port"}
            new = {**of_cask(cask, day, "filled", "119.5", "55.0"), "method": "weighed", "spirit": cask.spirit}
            return [{**new, **into, **more, "store": cask.store}, of_cask(cask, day, "emptied")]


def lines_of(count: int) -> list[Line]:
    """So many lines in order of time."""
    rng = np.random.default_rng(SEED)
    casks = filled_casks(max(1, int(FILLED_SHARE * count)), rng)
    rows = [filling(cask) for cask in casks]
    apart = max(1, round(len(casks) / (OTHER_SHARE * count)))
    extra = [line for number, cask in enumerate(casks[::apart]) for line in others(cask, number)]
    left = count - len(rows) - len(extra)
    measured = list(gauges(casks, rng))
    rng.shuffle(measured)
    rows += measured[:left]
    return sorted([*rows, *extra], key=lambda line: str(line["date"]))


def write(count: int, path: Path) -> None:
    """The ledger as CSV."""
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(lines_of(count))


if __name__ == "__main__":
    write(int(sys.argv[1]), Path(sys.argv[2]))
