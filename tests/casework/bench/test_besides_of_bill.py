"""What a bill's wash holds besides alcohol, and what the still's markers are told of it."""

from __future__ import annotations

from dataclasses import replace

from gristwright.casework.bench.bench import SpiritBench
from gristwright.casework.bench.besides_of_bill import amounts_of_bill, besides_of_bill
from gristwright.casework.bench.setting_up import set_up_spirit
from gristwright.records.bill import Bill, Share
from gristwright.records.washbacks import Yeast
from houses import LOTS, PRICES, tun

PALE = Bill("pale", (Share("PD-1", 10_000),))
MAIZE = Bill("half maize", (Share("PD-1", 5000), Share("MZ-1", 5000)))


def bench(yeast: Yeast = "") -> SpiritBench:
    plant = tun(cook_degC=105.0)
    plant = replace(plant, washbacks=replace(plant.washbacks, yeast=yeast))
    return set_up_spirit([lot for lot in LOTS if lot.lot_id in ("PD-1", "MZ-1")], PRICES, plant, [], 256)


def test_everything_has_a_range_or_a_reason() -> None:
    for made in besides_of_bill(bench(), PALE):
        assert made.standing
        assert (made.values is None) == bool(made.why_none)


def test_markers_are_told_of_clove_where_the_yeast_makes_it() -> None:
    with_clove = amounts_of_bill(bench(), PALE)["vinylguaiacol"].mg_per_lpa.middle
    assert amounts_of_bill(bench("ale"), PALE)["vinylguaiacol"].mg_per_lpa.middle < 0.5 * with_clove
    assert amounts_of_bill(bench(), PALE)["vinylguaiacol"].standing
