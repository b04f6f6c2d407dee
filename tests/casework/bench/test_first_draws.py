"""The first draws of a bench are its own, and where it has fewer than are asked for, all of them."""

from __future__ import annotations

import numpy as np

from gristwright.casework.bench.setting_up import set_up
from scenario import enquiry, lots


def test_a_bench_of_few_draws_gives_all_of_them_and_keeps_what_was_moved() -> None:
    asked = enquiry()
    prices = {offer.lot_id: offer.price_per_t for offer in asked.offered}
    bench = set_up(lots(), prices, asked.plant, asked.cask, [], 200).traced()
    whole, half = bench.first(256), bench.first(100)
    assert len(whole.weights) == 200
    assert all(np.array_equal(whole.draws[name], column) for name, column in bench.draws.items())
    behind = len(next(iter(bench.draws.values()))) - 200
    assert {len(column) for column in half.draws.values()} == {100 + behind}
