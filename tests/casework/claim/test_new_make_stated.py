"""New make at the cost that the house's own books have: in place of the computed one, and said to be the house's."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from gristwright.basics import Refused
from gristwright.casework.claim import NEW_MAKE
from gristwright.casework.claim.give_and_gain import CHANGED, give_and_gain
from gristwright.documents.gain import gain_view
from gristwright.files.jobs_in import read_enquiry
from gristwright.records.give_gain import ReleasePrices
from scenario import answered, copied, enquiry

PRICES = ReleasePrices(cask_price=120.0, fills=3.0, rent_per_cask_year=14.0, interest_pct_per_year=6.0)
STATED = replace(PRICES, new_make_cost_per_lpa=7.25)


def test_the_stated_cost_stands_for_the_bill_of_today() -> None:
    """7.25 a litre with the cask's share beside it, in every run: the books are not drawn."""
    computed, stated = (give_and_gain(answered(), enquiry(), prices) for prices in (PRICES, STATED))
    today = stated.costs[0].cost_per_lpa
    cask = computed.costs[0].cost_per_lpa.middle - answered().present.figures["cost_per_lpa"].band.middle
    assert today.high - today.low < 1e-9
    assert today.middle == pytest.approx(7.25 + cask, abs=0.01)


def test_an_offer_differs_from_it_by_what_is_computed() -> None:
    rec = answered()
    computed, stated = (give_and_gain(rec, enquiry(), prices) for prices in (PRICES, STATED))
    for mine, plain, offer in zip(stated.costs[1:], computed.costs[1:], rec.offers, strict=True):
        change = offer.changes["cost_per_lpa"].band
        assert mine.cost_per_lpa.middle - stated.costs[0].cost_per_lpa.middle == pytest.approx(change.middle, abs=0.01)
        assert mine.more_per_bottled_L is not None and plain.more_per_bottled_L is not None
        assert mine.more_per_bottled_L.middle == pytest.approx(plain.more_per_bottled_L.middle, rel=1e-6)
        # The dearer the litre, the fewer years buy the same difference.
        assert mine.needed_years is not None and plain.needed_years is not None
        assert mine.needed_years.middle < plain.needed_years.middle


def test_the_parts_add_up_and_name_it() -> None:
    found = give_and_gain(answered(), enquiry(), replace(STATED, energy_per_t=20.0))
    for cost in found.costs:
        parts = dict(cost.parts)
        assert "malt" not in parts and "energy" not in parts
        assert parts[NEW_MAKE] == pytest.approx(7.25 * enquiry().laid_down.bottle_abv_pct / 100.0)
        assert sum(parts.values()) == pytest.approx(cost.per_bottled_L.middle, rel=0.02)
    assert dict(found.costs[0].parts)[CHANGED] == 0.0
    assert dict(found.costs[1].parts)[CHANGED] > 0.0


def test_paper_and_desk_say_whose_it_is() -> None:
    rec = answered()
    found = give_and_gain(rec, enquiry(), STATED)
    view = gain_view(found, rec.offers)
    assert view is not None and view.money is not None
    assert "New make, as the house states it" in [row.label for row in view.money.rows]
    (part,) = [part for part in view.money.bills[0].parts if part.key == NEW_MAKE]
    assert part.basis == "stated by the house, from its own books"
    (note,) = [note for note in view.notes if "own books" in note]
    assert "7.25" in note and "malt and processing of this calculation come to" in note
    assert not any("energy beside processing" in note for note in view.notes)


def test_it_is_read_out_of_an_enquiry_and_refused_beyond_its_limits(tmp_path: Path) -> None:
    path = copied(tmp_path) / "enquiry.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("cask_price = ", "new_make_cost_per_lpa = 4.35\ncask_price = "), encoding="utf-8")
    asked = read_enquiry(path).accepted()
    assert asked.release is not None and asked.release.new_make_cost_per_lpa == 4.35
    path.write_text(text.replace("cask_price = ", "new_make_cost_per_lpa = -4\ncask_price = "), encoding="utf-8")
    assert "release.new_make_cost_per_lpa" in read_enquiry(path).problems[0].sentence()
    with pytest.raises(Refused, match="new make cost"):
        give_and_gain(answered(), enquiry(), replace(PRICES, new_make_cost_per_lpa=-4.0))
