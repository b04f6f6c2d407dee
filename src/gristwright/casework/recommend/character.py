"""What a special malt can bring into the spirit, and what only seems to get there. See docs/casework.md."""

from __future__ import annotations

from collections.abc import Collection

from gristwright.casework.bench.bench import Bench
from gristwright.records.results import Fact, MarkerLine
from gristwright.reference import toml_table
from gristwright.stages.markers.rows import told


def processes_on(bench: Bench, lot_ids: Collection[str]) -> set[str]:
    """How the special lots among these were made: caramel, roast, smoked."""
    return {b.material.process for b in bench.lots if b.lot.lot_id in lot_ids and b.material.process != "none"}


def grains_on(bench: Bench, lot_ids: Collection[str]) -> set[str]:
    """The grains of these lots, of which some bring a marker however they were made: the clove of rye and wheat."""
    return {b.material.species for b in bench.lots if b.lot.lot_id in lot_ids}


def markers(processes: Collection[str]) -> tuple[MarkerLine, ...]:
    """The markers these ways of making and grains bring, with what becomes of them."""
    return tuple(
        MarkerLine(row["marker"], row["brought_by"], row["passes"], row["sentence"], row["standing"], row["source"])
        for row in told()
        if set(row["processes"].split("|")) & set(processes)
    )


def will_not(processes: Collection[str]) -> tuple[Fact, ...]:
    """What must not be promised of these malts."""
    entries = toml_table("tables/not_promised.toml")["fact"]
    return tuple(
        Fact(entry["text"], entry["standing"], entry["source"])
        for entry in entries
        if not entry["processes"] or set(entry["processes"]) & set(processes)
    )
