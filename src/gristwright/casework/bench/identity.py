"""What the lots of a bill are known by, for every table in which they stand."""

from __future__ import annotations

from gristwright.casework.bench.bench import GristBench
from gristwright.records.bill import Bill
from gristwright.records.lot import LotIdentity


def identities(bench: GristBench, bill: Bill) -> dict[str, LotIdentity]:
    """The identity of every lot in the bill, by its name."""
    return {b.lot.lot_id: b.lot.identity for b in bench.lots if bill.parts_of(b.lot.lot_id)}
