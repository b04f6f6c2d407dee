"""What a special malt can bring into the spirit, and what only seems to get there. See docs/casework.md."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from gristwright.casework.bench.bench import Bench
from gristwright.casework.claim.looks import ALPHA, CHANCE, POWER, TELLERS
from gristwright.evidence.panel.difference import assessors_needed
from gristwright.records.markers_through import MarkerTrade
from gristwright.records.results import Fact
from gristwright.reference import toml_table
from gristwright.stages.markers.rows import trade


def processes_on(bench: Bench, lot_ids: Collection[str]) -> set[str]:
    """How the special lots among these were made: caramel, roast, smoked."""
    return {b.material.process for b in bench.lots if b.lot.lot_id in lot_ids and b.material.process != "none"}


def trade_says(processes: Collection[str]) -> tuple[MarkerTrade, ...]:
    """What the trade says of these ways of making, beside what the numbers say, with the trial that would settle it.

    The trial is a duo-trio test that finds it in four of five when three people in ten truly tell the spirits apart:
    a triangle is of little use where samples carry over, as spirits do (ISO 4120:2021, scope).
    """
    nosings = assessors_needed(CHANCE, TELLERS, ALPHA, POWER)
    sized = (
        f" {nosings} answers find it in {100 * POWER:.0f} % of trials when {100 * TELLERS:.0f} % of people tell the "
        "two apart."
    )
    return tuple(replace(said, trial=said.trial + sized) for of, said in trade() if of & set(processes))


def will_not(processes: Collection[str]) -> tuple[Fact, ...]:
    """What must not be promised of these malts."""
    entries = toml_table("tables/not_promised.toml")["fact"]
    return tuple(
        Fact(entry["text"], entry["standing"], entry["source"])
        for entry in entries
        if not entry["processes"] or set(entry["processes"]) & set(processes)
    )
