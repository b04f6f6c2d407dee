"""Whether an arm and a reference cask may be compared at all: wood, fill, entry strength, store, size."""

from __future__ import annotations

from gristwright.records.ageing import CaskFacts
from gristwright.reference.load import csv_rows
from gristwright.reference.woods import same_kind


def unlike(arm: CaskFacts, other: CaskFacts) -> list[str]:
    """Titles of what differs; what neither file says of an optional fact is passed over."""
    return [row["title"] for row in csv_rows("tables/ageing_alike.csv") if _differs(row, arm, other)]


def unknown(facts: CaskFacts) -> list[str]:
    """Titles of needed facts that are not given."""
    rows = csv_rows("tables/ageing_alike.csv")
    return [row["title"] for row in rows if row["needed"] == "yes" and getattr(facts, row["field"]) in ("", None)]


def _differs(row: dict[str, str], arm: CaskFacts, other: CaskFacts) -> bool:
    mine, theirs = getattr(arm, row["field"]), getattr(other, row["field"])
    if mine in ("", None) or theirs in ("", None):
        return False
    if row["kind"] == "wood":
        return not same_kind(mine, theirs)
    if row["kind"] == "text":
        return bool(mine != theirs)
    width = float(row["within"]) * (float(mine) if row["kind"] == "share" else 1.0)
    return bool(abs(mine - theirs) > width + 1e-9)
