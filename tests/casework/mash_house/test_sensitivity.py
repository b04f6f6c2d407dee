"""One per cent more and the price that turns an offer: directions, and sums by hand."""

import numpy as np
import pytest

from casework.full import answered_in_full, grain_in, on_bench
from gristwright.basics import Band
from gristwright.casework.mash_house.sensitivity import flip_price, largest_base, moved, side
from gristwright.records.bill import Bill, Share
from scenario import enquiry


def test_caramel_lowers_the_litres_and_raises_the_cost() -> None:
    found = {one.lot_id: one for one in answered_in_full().sensitivity.one_percent}
    for lot in ("CM-120", "CM-300"):
        assert found[lot].instead_of == "PD-1"
        assert found[lot].lpa_per_t.band.high < 0.0
        assert found[lot].cost_per_lpa.band.low > 0.0
    assert found["CM-300"].lpa_per_t.band.middle < found["CM-120"].lpa_per_t.band.middle
    assert "PD-1" not in found  # the present bill is of it alone


def test_one_per_cent_by_hand() -> None:
    """CM-120 against PD-1: (74.05 x 0.948 x 0.46 - 77.8 x 0.874) / 100 x 6.06 x 0.975 x 0.985 x 0.993 = -2.06 L/t."""
    found = {one.lot_id: one for one in answered_in_full().sensitivity.one_percent}
    by_hand = (74.05 * 0.948 * 0.46 - 77.8 * 0.874) / 100 * 6.06 * 0.975 * 0.985 * 0.993
    # A twentieth of caramel malt takes 0.12 % off what the simulated wash keeps (docs/flowsheet.md).
    by_hand -= (0.99153 - 0.99032) / 5 * 401.0 * 0.975 * 0.993
    assert found["CM-120"].lpa_per_t.band.middle == pytest.approx(by_hand, abs=0.06)


def test_the_largest_base_lot_gives_way() -> None:
    bench, _ = on_bench()
    bill = Bill("x", (Share("CM-120", 6000), Share("PD-1", 2500), Share("PD-2", 1500)))
    assert largest_base(bench, bill, "CM-300") == "PD-1"
    assert largest_base(bench, bill, "PD-1") == "PD-2"
    assert largest_base(bench, Bill("y", (Share("PD-1", 10_000),)), "PD-1") is None
    after = moved(bill, "CM-300", "PD-1", 100)
    assert (after.parts_of("PD-1"), after.parts_of("CM-300")) == (2400, 100)


def test_flip_price_by_hand() -> None:
    """Today 500 + 300 over 400 L = 2.00. An offer of 10 % other malt at 380 L: 2.00 x 380 = 760 = 450 + 300 + 0.1 p."""
    one = np.array([1.0])
    price, use = flip_price(0.10, 0.0, 750 * one, 800 * one, 380 * one, 400 * one)
    assert price[0] == pytest.approx(100.0)
    assert use[0] > 0.0


def test_flip_price_of_a_lot_in_both_bills_by_hand() -> None:
    """(300 + p) / 400 = (300 + 73 + 0.9 p) / 380 gives 7.5 p / 15200 ... p (1/400 - 0.9/380) = 373/380 - 300/400."""
    one = np.array([1.0])
    price, use = flip_price(0.9, 1.0, 373 * one, 300 * one, 380 * one, 400 * one)
    by_hand = (373 / 380 - 300 / 400) / (1 / 400 - 0.9 / 380)
    assert price[0] == pytest.approx(by_hand)
    assert (373 + 0.9 * by_hand) / 380 == pytest.approx((300 + by_hand) / 400)
    assert use[0] < 0.0


def test_at_the_flip_price_both_bills_cost_the_same() -> None:
    """Caramel malt at its flip price: cost worked out anew on every draw; half the draws lie on either side."""
    flip = next(f for f in answered_in_full().sensitivity.flips if f.lot_id == "CM-120" and f.letter == "C")
    bench, answer = on_bench()
    litres, today = (bench.made(b).spirit.lpa_per_t for b in (answer.offers[2].result.bill, answer.present.bill))
    more = (0.9 * 520 + 0.1 * flip.price.band.middle + 310) / litres - (520 + 310) / today
    assert bench.runs.band(more).middle == pytest.approx(0.0, abs=0.0005)
    assert flip.cheaper == "below"
    assert flip.price_now > flip.price.band.high
    assert "730" in flip.words


@pytest.mark.parametrize(
    ("price", "use", "said"),
    [
        ([-5.0, -9.0], [1.0, 1.0], "never"),
        ([-5.0, -9.0], [-1.0, -1.0], "always"),
        ([50.0, 90.0], [1.0, 1.0], "below"),
        ([50.0, 90.0], [-1.0, -1.0], "above"),
        ([50.0, 90.0], [-1.0, 1.0], "unsure"),
    ],
)
def test_sides(price: list[float], use: list[float], said: str) -> None:
    assert side(np.array(price), np.array(use), np.array([0.5, 0.5])) == said


def test_a_grain_in_house_has_flip_prices_too() -> None:
    flips = grain_in().sensitivity.flips
    assert {flip.lot_id for flip in flips} >= {"MZ-1", "HE-1"}
    assert all(flip.price is None or isinstance(flip.price.band, Band) for flip in flips)


def test_prices_are_those_of_the_enquiry() -> None:
    prices = {offered.lot_id: offered.price_per_t for offered in enquiry().offered}
    assert all(flip.price_now == prices[flip.lot_id] for flip in answered_in_full().sensitivity.flips)
