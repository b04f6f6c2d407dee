"""Bills that are answered whether or not a search would offer them: those named, and the ends of the ranges.

See docs/casework.md.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from gristwright.basics import BoolArray
from gristwright.casework.bench.bench import GristBench
from gristwright.casework.recommend.demands import Demand, Reference, demands, reference_run
from gristwright.casework.recommend.front import for_character
from gristwright.casework.recommend.sets import name_of, shares_of
from gristwright.records.bill import WHOLE, Bill
from gristwright.records.enquiry import Enquiry
from gristwright.records.results import Unmet


def unmet(bench: GristBench, enquiry: Enquiry, bill: Bill) -> tuple[Unmet, ...]:
    """The demands of an enquiry that a bill fails, judged on the reference run as the search judges.

    Whether it converts is left to its board, which has its own simulated mash.
    """
    parts = np.array([[bill.parts_of(belief.lot.lot_id) for belief in bench.lots]], dtype=np.int64)
    return tuple(
        one.unmet(0)
        for one in demands(bench, enquiry, reference_run(bench, enquiry, parts))
        if one.fails[0] and not one.screened
    )


def ends_of_ranges(
    bench: GristBench, enquiry: Enquiry, ref: Reference, asked: Sequence[Demand], told: Sequence[Bill]
) -> tuple[Bill, ...]:
    """A bill at each end of every range that is asked about, where no bill already told of has that share.

    Of those with the share it is the one that fails the fewest demands, and of those the cheapest.
    """
    ranges = [one.fails for one in asked if one.of_ranges]
    others = [one.fails for one in asked if not one.of_ranges]
    inside = ~np.any(ranges, axis=0) if ranges else np.ones(len(ref.parts), dtype=np.bool_)
    failed = np.sum(others, axis=0) if others else np.zeros(len(ref.parts))
    known = np.array([[bill.parts_of(belief.lot.lot_id) for belief in bench.lots] for bill in told])
    bills: dict[bytes, Bill] = {}
    for columns in _varied(bench, enquiry):
        share = ref.parts[:, columns].sum(axis=1)
        for end in _two_ends(share, inside):
            if end in known[:, columns].sum(axis=1):
                continue
            rows = np.flatnonzero(inside & (share == end))
            row = ref.parts[rows[np.lexsort((ref.cost[rows], failed[rows]))[0]]]
            bills[row.tobytes()] = Bill(name_of(bench, row), shares_of(bench, row))
    return tuple(bills.values())


def _varied(bench: GristBench, enquiry: Enquiry) -> Iterator[list[int]]:
    """The lots whose share is asked about, as columns: one bought for character with a range of its own, or a group."""
    index = {belief.lot.lot_id: k for k, belief in enumerate(bench.lots)}
    wanted = for_character(bench, enquiry)
    for group in enquiry.groups:
        if group.least_parts < group.most_parts:
            yield [index[lot_id] for lot_id in group.lot_ids]
    grouped = {lot_id for group in enquiry.groups for lot_id in group.lot_ids}
    for offered in enquiry.offered:
        whole = (offered.least_parts, offered.most_parts) == (0, WHOLE)
        if offered.lot_id in wanted - grouped and offered.least_parts < offered.most_parts and not whole:
            yield [index[offered.lot_id]]


def _two_ends(share: NDArray[np.int64], inside: BoolArray) -> list[int]:
    """The least and the most of a share; none where it does not vary, and no end at nothing."""
    if not inside.any():
        return []
    low, high = int(share[inside].min()), int(share[inside].max())
    return [end for end in (low, high) if end] if low < high else []
