"""What to measure next, so that the end of a simulated mash or wash is better known. See docs/mash_simulation.md."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.casework.bench.bench import GristBench
from gristwright.casework.bench.influence import how
from gristwright.numerics.weights import band, equal_weights
from gristwright.records.results import MeasureNext

# So many groups of draws tell whether an input moves an end value; its share of the spread below this is not named.
GROUPS, WORTH_NAMING, MOST_SUSPECTED, MOST_NAMED = 8, 0.04, 5, 5
# Members that are run again with half the spread of an input.
AGAIN = 512


def share_of_spread(values: FloatArray, column: FloatArray) -> float:
    """Part of the variance of `values` that goes with a column of draws; both (members,).

    Correlation ratio over groups of equal size, less what chance alone would give.
    """
    members, variance = values.size, float(np.var(values))
    if variance < 1e-12 or np.ptp(column) == 0.0:
        return 0.0
    ranks = np.argsort(np.argsort(column, kind="stable"), kind="stable")
    group = ranks * GROUPS // members
    means = np.bincount(group, values, GROUPS) / np.bincount(group, minlength=GROUPS)
    ratio = float(np.var(means)) / variance
    return max(0.0, 1.0 - (1.0 - ratio) * (members - 1) / (members - GROUPS))


def suspected(bench: GristBench, ends: Mapping[str, FloatArray]) -> dict[str, tuple[str, ...]]:
    """For each end value the inputs that its draws go with most; by chance one may be among them."""
    suspects = {}
    for words, values in ends.items():
        on_draws = bench.runs.on_draws(values)
        shares = {
            name: share_of_spread(on_draws, bench.runs.on_draws(bench.draws[name]))
            for name in bench.runs.rests_on(values)
        }
        ranked = sorted(shares, key=lambda name: -shares[name])[:MOST_SUSPECTED]
        suspects[words] = tuple(name for name in ranked if shares[name] > WORTH_NAMING)
    return suspects


def measure_next(
    bench: GristBench,
    suspects: Mapping[str, Sequence[str]],
    units: Mapping[str, str],
    ends_on: Callable[[Draws, str], Mapping[str, FloatArray]],
) -> tuple[MeasureNext, ...]:
    """What half the spread of each suspected input narrows, run again on a part of the draws; the most first.

    `ends_on` gives the end values on such draws, in `units`, and is told which input was moved; "" for none.
    """
    count = min(AGAIN, len(bench.weights))
    some = {name: column[:count] for name, column in bench.draws.items()}
    before = _widths(ends_on(some, ""))
    meanings = {prior.name: prior.meaning for prior in bench.priors}
    lines = []
    for name in dict.fromkeys(name for names in suspects.values() for name in names):
        middle = bench.middles[name][0]
        after = _widths(ends_on(some | {name: middle + 0.5 * (some[name] - middle)}, name))
        for words, wide in before.items():
            by = wide - after[words]
            if name in suspects[words] and by > WORTH_NAMING * wide:
                lines.append(MeasureNext(name, meanings[name], words, by, units[words], how(name)))
    return tuple(sorted(lines, key=lambda item: -item.by / before[item.narrows]))[:MOST_NAMED]


def _widths(ends: Mapping[str, FloatArray]) -> dict[str, float]:
    """How wide the band of each end value is."""
    return {words: band(values, equal_weights(values.size)).width for words, values in ends.items()}
