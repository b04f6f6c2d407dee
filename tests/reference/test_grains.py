"""The table of grains: what is computed from it and what the rest of the house asks of it."""

from __future__ import annotations

import pytest

from gristwright.basics import Standing
from gristwright.reference import csv_rows
from gristwright.reference.grains import cooked_first, grains, kept_raw, opening, raw, spellings, sticky, usual


def test_half_open_is_computed_where_no_source_speaks_of_it() -> None:
    """55-70 degC, from memory, and 2.5 degC between the granules of a lot: 55 + 2.5 and 70 - 1.5 x 2.5."""
    rye = opening("rye", False)
    assert (rye.done_low_degC, rye.done_high_degC) == (55.0, 70.0)
    assert (rye.half_low_degC, rye.half_high_degC) == (57.5, 66.25)
    assert rye.half_source.standing is Standing.ESTIMATE


def test_half_open_is_read_where_a_source_speaks_of_it() -> None:
    """Calorimetry of eleven rice cultivars: peak 61.4-74.9 degC, end 68.8-82.0."""
    rice = opening("rice", False)
    assert (rice.half_low_degC, rice.half_high_degC) == (61.4, 74.9)
    assert rice.half_source.standing is Standing.PUBLISHED


@pytest.mark.parametrize("malted", [True, False])
def test_half_of_the_starch_opens_before_the_last_is_done(malted: bool) -> None:
    for each in grains().values():
        if each.mashed and (each.mashed.malt if malted else each.mashed.raw):
            found = opening(each.name, malted)
            assert found.half_low_degC <= found.half_high_degC <= found.done_high_degC, each.name


def test_a_cook_is_a_share_of_the_best_that_was_measured() -> None:
    """441.7 L/t at 85 and 463.7 at 142 degC, Green et al. 2015, J. Inst. Brew. 121:332 (seen in a secondary text)."""
    maize = raw("maize").cooking
    assert maize is not None
    assert maize.degC == (75.0, 85.0, 142.0) and maize.measured_degC == (85.0, 142.0)
    assert maize.opened == pytest.approx((0.94, 441.7 / 463.7, 1.0))
    assert raw("sorghum").cooking == maize
    assert raw("rye").cooking is None


def test_what_the_house_asks_of_the_table() -> None:
    rows = csv_rows("tables/grains.csv")
    assert {"maize", "sorghum", "rice"} <= set(cooked_first()) == {r["grain"] for r in rows if r["goes_in"] == "first"}
    raw_too = {row["grain"] for row in rows if "raw" in row["mashed"].split()}
    assert {"barley", "rye", "wheat", "oats", "maize", "rice", "sorghum"} <= set(kept_raw()) == raw_too
    assert sticky() == ("rye",) and usual() == "barley"
    assert spellings()["hafer"] == spellings()["oat"] == "oats"
