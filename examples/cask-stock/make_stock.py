"""Writes casks.csv: an invented stock of 400 casks over eight fills, regauged, moved, sampled, racked; seed fixed.

Nothing in it is a real house. The casks lose what the project's own equations give at a loss drawn for each cask; two
of them leak. So the file shows the commands at work and proves nothing about any store.
"""

from __future__ import annotations

import csv
import datetime as dt
from pathlib import Path

import numpy as np

from gristwright.casework.stock import course as along
from gristwright.files.climate_in import read_climates
from gristwright.numerics.draws import middles
from gristwright.records.cask import CaskKind, Climate
from gristwright.records.stock import StockCask
from gristwright.reference.load import priors
from gristwright.stages.cask import content, stores

HERE = Path(__file__).parent
SEED = 20261125
COLUMNS = ("date", "cask", "what", "litres", "abv_pct", "degC", "method", "store", "place", "from", "spirit", "kind")
COLUMNS += ("wood", "capacity_L", "fill_number", "charred", "prior_contents", "note")
# Day of filling, spirit, strength, kind, fill number, what it held before, store, casks.
FILLS = (
    ("2012-03-12", "MK-12 malt", 63.5, "hogshead", 2, "bourbon", "Low store", 40),
    ("2014-10-06", "MK-14 malt", 63.5, "barrel", 1, "bourbon", "Low store", 60),
    ("2016-02-22", "MK-16 malt", 63.5, "butt", 1, "sherry", "Low store", 20),
    ("2017-11-13", "MK-17 malt", 63.4, "barrel", 2, "bourbon", "Hill store", 60),
    ("2019-05-20", "RY-19 rye", 62.0, "barrel", 1, "", "Hill store", 50),
    ("2020-09-14", "MK-20 malt", 63.5, "barrel", 1, "bourbon", "Low store", 60),
    ("2022-04-04", "RY-22 rye", 62.0, "barrel", 1, "", "Hill store", 60),
    ("2024-01-15", "MK-24 malt", 63.5, "barrel", 2, "bourbon", "Hill store", 50),
)
STORE_FACTOR = {"Low store": 0.92, "Hill store": 1.12}
LEAKERS = {"MK-14 malt": (17, 5.0), "RY-19 rye": (31, 7.0)}
GAUGE_DAYS = ("2018-06-11", "2021-06-14", "2023-06-12", "2026-06-15")
ON = dt.date(2026, 11, 25)


def line(**cells: object) -> dict[str, object]:
    """One line of the ledger."""
    return {name: cells.get(name.rstrip("_"), cells.get(f"{name}_", "")) for name in COLUMNS}


def casks_of(number: int, rng: np.random.Generator) -> tuple[list[StockCask], np.ndarray]:
    """The casks of one fill, and the loss of each over the model's."""
    day, spirit, abv, kind_name, fill, prior, store, count = FILLS[number]
    standard = stores.kind_named(kind_name)
    casks = []
    for k in range(count):
        kind = CaskKind(kind_name, standard.capacity_L, standard.wall_mm, "oak", fill, True, prior)
        litres = round(float(standard.capacity_L * rng.uniform(0.985, 1.0)), 1)
        date = dt.date.fromisoformat(day) + dt.timedelta(days=int(k // 20))
        name = f"{spirit.split()[0]}-{k + 1:03d}"
        place = f"row {1 + k // 10} level {1 + k % 3}"
        casks.append(
            StockCask(name, kind, spirit, date, litres, abv, "metered", store, place, (), (), first_store=store)
        )
    loss = STORE_FACTOR[store] * (0.4 + 0.6 * np.exp(rng.normal(0.0, 0.3, count)))
    if spirit in LEAKERS:
        which, leak = LEAKERS[spirit]
        loss[which] = STORE_FACTOR[store] * (0.4 + 0.6 * leak)
    return casks, loss


def measured(casks: list[StockCask], loss: np.ndarray, day: dt.date, climates: dict[str, Climate]) -> np.ndarray:
    """True litres and strength on a day, (2, casks)."""
    convoy = along.convoy(casks, climates, loss[:, None], np.ones((len(casks), 1)), middles(priors("cask")))
    start = along.days([cask.filled for cask in casks])
    end = np.full(len(casks), day.toordinal())
    state, _ = convoy.travel(along.filled_state(casks, 1), start, end, convoy.store_at([cask.store for cask in casks]))
    litres, abv = content.volume_and_strength(state[0, :, 0], state[1, :, 0])
    return np.stack([litres, abv])


def fill_lines(casks: list[StockCask], number: int) -> list[dict[str, object]]:
    """The lines of filling."""
    _, spirit, abv, kind, fill, prior, store, _ = FILLS[number]
    return [
        line(
            date=cask.filled,
            cask=cask.cask_id,
            what="filled",
            litres=cask.fill_L,
            abv_pct=abv,
            degC=20,
            method="metered",
            store=store,
            place=cask.place,
            spirit=spirit,
            kind=kind,
            wood="oak",
            capacity_L=f"{cask.kind.capacity_L:g}",
            fill_number=fill,
            charred="yes",
            prior_contents=prior,
        )
        for cask in casks
    ]


def gauge_lines(
    casks: list[StockCask], loss: np.ndarray, day: dt.date, climates: dict[str, Climate], rng: np.random.Generator
) -> list[dict[str, object]]:
    """A regauge of part of the casks by weight, with the errors of the method."""
    true = measured(casks, loss, day, climates)
    lines = []
    for k, cask in enumerate(casks):
        leaks = cask.spirit in LEAKERS and LEAKERS[cask.spirit][0] == k
        if not leaks and k % 3 != day.year % 3:
            continue
        litres = float(true[0, k] * (1.0 + 0.003 * rng.normal()))
        abv = float(true[1, k] + 0.12 * rng.normal())
        if litres < 10.0:
            continue
        lines.append(
            line(
                date=day,
                cask=cask.cask_id,
                what="gauged",
                litres=f"{litres:.1f}",
                abv_pct=f"{abv:.1f}",
                degC=20,
                method="weighed",
            )
        )
    return lines


def others() -> list[dict[str, object]]:
    """A sample, a move, and two casks racked into one of another wood for a finish."""
    new = {"kind": "port pipe", "wood": "oak", "capacity_L": "600", "fill_number": 1, "charred": "no"}
    new["prior_contents"] = "port"
    return [
        line(date="2022-02-01", cask="MK-14-003", what="sampled", litres="0.5"),
        line(date="2022-05-03", cask="MK-12-005", what="moved", store="Hill store", place="row 9 level 1"),
        line(
            date="2025-03-03",
            cask="PP-001",
            what="filled",
            litres="300",
            abv_pct="58.6",
            degC=20,
            method="weighed",
            store="Low store",
            place="row 12 level 1",
            **{"from": "MK-14-010 + MK-14-011"},
            spirit="MK-14 malt",
            **new,
        ),
        line(date="2025-03-03", cask="MK-14-010", what="emptied"),
        line(date="2025-03-03", cask="MK-14-011", what="emptied"),
    ]


def main() -> None:
    """Write casks.csv beside this file."""
    rng = np.random.default_rng(SEED)
    climates = read_climates(HERE / "store.csv").accepted()
    lines: list[dict[str, object]] = []
    for number in range(len(FILLS)):
        casks, loss = casks_of(number, rng)
        lines += fill_lines(casks, number)
        for day in map(dt.date.fromisoformat, GAUGE_DAYS):
            if (day - casks[-1].filled).days > 500:
                lines += gauge_lines(casks, loss, day, climates, rng)
    gone = {"MK-14-010", "MK-14-011"}
    lines = [x for x in lines if not (x["cask"] in gone and str(x["date"]) > "2025-03-03")]
    lines = [x for x in lines if not (x["cask"] == "MK-12-005" and x["what"] == "gauged" and str(x["date"]) > "2022")]
    lines = sorted([*lines, *others()], key=lambda x: str(x["date"]))
    with (HERE / "casks.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(lines)


if __name__ == "__main__":
    main()
