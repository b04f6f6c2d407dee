"""A week's work by hand arithmetic: hours, charges and mashes, and the bottleneck moving as vessels grow."""

from dataclasses import replace

import numpy as np
import pytest

from gristwright.basics import Refused, Standing
from gristwright.casework.bench.batches import filling
from gristwright.casework.bench.bench import Bench
from gristwright.casework.bench.capacity import assumed_lines, capacity, capacity_lines, usual_hours
from gristwright.casework.bench.ferment_hours import hours_words
from gristwright.casework.bench.setting_up import set_up
from gristwright.records.plant import ColumnDoubler, Plant
from gristwright.records.trade import Capacity
from scenario import lots, sheet

# The house's own hours, so that every figure but the low wines is plain arithmetic.
HOURS = {
    "mash_cycle_h": 7.0,
    "washback_turn_h": 6.0,
    "wash_run_h": 6.0,
    "wash_turn_h": 1.0,
    "spirit_run_h": 8.0,
    "spirit_turn_h": 1.0,
    "feints_share_pct": 30.0,
    "worked_h_per_week": 120.0,
    "worked_weeks_per_year": 48.0,
    "wash_stills": 1.0,
    "spirit_stills": 1.0,
}


def bench(plant: Plant) -> Bench:
    chosen = [lot for lot in lots() if lot.lot_id == "PD-1"]
    return set_up(chosen, {}, plant, sheet().cask, [], 256)


def found(plant: Plant, **own: float) -> Capacity:
    on = bench(plant).traced()
    made = on.new_make(on.shares(sheet().bill), on.draws)
    return capacity(plant, made, on.runs, on.draws, usual_hours().given(**own) if own else None)


def stilled(wash_charge_L: float = 5000, spirit_charge_L: float = 3500, **more: object) -> Plant:
    stills = replace(sheet().plant.pot_stills, wash_charge_L=wash_charge_L, spirit_charge_L=spirit_charge_L)
    return replace(sheet().plant, pot_stills=stills, **more)


def middles(week: Capacity) -> dict[str, float]:
    return {unit.key: unit.mashes_per_week.band.middle for unit in week.units}


def test_a_week_by_hand() -> None:
    week = found(sheet().plant, **HOURS)
    figures = {key: figure.band.middle for key, figure in week.figures.items()}
    assert figures["fill_L"] == 2.0 * 5000
    assert figures["room_pct"] == pytest.approx(100 * (1 - 10_000 / 12_500))
    assert figures["wash_charges"] == 2.0
    pace = middles(week)
    assert pace["mash"] == pytest.approx(120 / 7)
    assert pace["washbacks"] == pytest.approx(6 * 168 / (72 + 6))
    assert pace["wash_still"] == pytest.approx(120 / (6 + 1) / 2)
    # 392.4 L/t in the spirit and about 2.0 L/t lost at the second still: 394.4 / 0.22 = 1793 L/t of low wines;
    # 3586 L and three in ten parts feints are 5122 L, 1.463 charges of 3500 L.
    assert figures["spirit_charges"] == pytest.approx(1.463, rel=0.01)
    assert pace["spirit_still"] == pytest.approx(120 / 9 / 1.463, rel=0.01)
    assert figures["mashes_per_week"] == pytest.approx(120 / 14)
    assert figures["lpa_per_week"] == pytest.approx(120 / 14 * 2 * 392.4, rel=0.01)
    assert figures["needed_per_week"] == pytest.approx(480 / 2 / 48)
    assert week.bottleneck == "wash_still"


def test_the_bottleneck_moves_when_a_vessel_is_enlarged() -> None:
    own = HOURS | {"wash_turn_h": 0.5}
    more = replace(sheet().plant.washbacks, count=12)
    seen = [
        found(stilled(), **HOURS).bottleneck,
        found(stilled(wash_charge_L=10_000), **own).bottleneck,
        found(stilled(wash_charge_L=10_000, spirit_charge_L=12_000), **own).bottleneck,
        found(stilled(10_000, 12_000, washbacks=more), **own).bottleneck,
    ]
    assert seen == ["wash_still", "spirit_still", "washbacks", "mash"]


def test_lifting_the_bottleneck_gives_what_was_said() -> None:
    before = found(stilled(), **HOURS)
    after = found(stilled(wash_charge_L=10_000), **HOURS)
    said = next(line for line in before.words if line.startswith("What would lift it"))
    assert f"{after.figures['mashes_per_week'].band.middle:.1f}" in said
    assert "spirit still would come next" in said


def test_more_hours_or_a_second_still_help() -> None:
    assert middles(found(stilled(), **HOURS | {"wash_stills": 2.0}))["wash_still"] == pytest.approx(120 / 7)
    assert middles(found(stilled(), **HOURS | {"worked_h_per_week": 168.0}))["mash"] == pytest.approx(24)


def test_a_mash_may_fill_several_washbacks_and_a_washback_hold_several_mashes() -> None:
    back = sheet().plant.washbacks
    small = filling(replace(sheet().plant, washbacks=replace(back, volume_L=6000)))
    assert (small.washbacks, small.mashes, small.fill_L) == (2, 1, 5000)
    large = filling(replace(sheet().plant, washbacks=replace(back, volume_L=25_000)))
    assert (large.washbacks, large.mashes, large.fill_L) == (1, 2, 20_000)
    pace = middles(found(replace(sheet().plant, washbacks=replace(back, volume_L=25_000)), **HOURS))
    # The second mash comes one cycle of the tun later; the washback holds two.
    assert pace["washbacks"] == pytest.approx(6 * 168 / (72 + 6 + 7) * 2)
    assert pace["wash_still"] == pytest.approx(120 / 7 / 4 * 2)


def test_what_is_not_stated_is_a_range_and_listed() -> None:
    usual, own = found(sheet().plant), found(sheet().plant, **HOURS)
    assert usual.figures["mashes_per_week"].band.width > 1.0
    assert own.figures["mashes_per_week"].band.width == 0.0
    assert {a.standing for a in own.assumptions} == {Standing.MEASURED}
    assert Standing.FROM_MEMORY in {a.standing for a in usual.assumptions}
    assert any("Panek & Boucher 1989" in line for line in assumed_lines(usual))
    resting = {name for unit in usual.units for name in unit.mashes_per_week.rests_on if name.startswith("hours.")}
    assert resting and resting <= {a.name for a in usual.assumptions}


def test_shares_of_the_slowest_add_up_and_two_near_ones_are_both_named() -> None:
    usual = found(sheet().plant)
    assert sum(unit.slowest for unit in usual.units) == pytest.approx(1.0)
    assert any("Either the wash still or the spirit still" in line for line in usual.words)
    assert any("wash still holds it back" in line for line in found(sheet().plant, **HOURS).words)


def test_what_is_asked_of_the_year_is_answered() -> None:
    assert "the house can do that" in found(sheet().plant, **HOURS).words[-1]
    busy = replace(sheet().plant, tonnes_per_year=5000)
    assert "the house cannot do that" in found(busy, **HOURS).words[-1]


def test_a_column_takes_the_place_of_the_stills() -> None:
    plant = replace(sheet().plant, pot_stills=None, column=ColumnDoubler(beer_L_per_h=1250))
    week = found(plant, **HOURS)
    assert middles(week)["column"] == pytest.approx(120 / (10_000 / 1250))
    assert "wash_charges" not in week.figures


def test_lines_are_text_and_own_hours_are_checked() -> None:
    lines = capacity_lines(found(sheet().plant))
    assert all(len(line) == 5 and all(isinstance(cell, str) for cell in line) for line in lines)
    assert np.all([line[0] for line in lines])
    with pytest.raises(Refused) as caught:
        usual_hours().given(mash_h=7.0, wash_run_h=0.0)
    assert len(caught.value.problems) == 2


def words(plant: Plant) -> str:
    return " ".join(found(plant).words)


def test_whole_batches_are_told_and_what_does_not_divide() -> None:
    """2.0 t x 5000 L/t = 10 000 L a mash; arithmetic by hand."""
    assert "A washback is 2 wash still charges of 5000 L." in words(stilled())
    uneven = words(stilled(wash_charge_L=4200))
    assert "2.38 wash still charges" in uneven and "2 full ones and one of 1600 L, or 3 of 3333 L each" in uneven
    assert "one charge of" in words(stilled(wash_charge_L=12_800)) and "is not full" in words(stilled(12_800))
    back = sheet().plant.washbacks
    split = words(replace(sheet().plant, washbacks=replace(back, volume_L=6000, count=5)))
    assert "split over 2 washbacks of 6000 L, 83 % full; of 5 washbacks 1 would be left" in split
    # 0.9 x 30 000 L holds 2.7 mashes of 10 000 L
    several = words(replace(sheet().plant, washbacks=replace(back, volume_L=30_000)))
    assert "2 mashes of" in several and "room for 0.70 of a mash more stays empty" in several


def test_mashes_of_the_year_are_told_where_they_are_no_whole_number() -> None:
    assert "t a year are" not in words(sheet().plant)  # 480 t of 2 t
    assert "481 t a year are 240.5 mashes; whole ones are 480.0 t." in words(
        replace(sheet().plant, tonnes_per_year=481)
    )


def test_a_column_takes_its_washback_in_hours() -> None:
    plant = replace(sheet().plant, pot_stills=None, column=ColumnDoubler(beer_L_per_h=1250))
    assert "A washback feeds the column for 8.0 h." in words(plant)


def test_hours_cost_mashes_where_the_washbacks_hold_the_week_back_and_litres_where_they_do_not() -> None:
    """One washback of 78 h lets 168 / 78 = 2.15 mashes a week through, at 60 h and 6 h of turn-round 2.55."""
    own = usual_hours().given(**HOURS)
    few, many = (
        bench(replace(sheet().plant, washbacks=replace(sheet().plant.washbacks, count=count))) for count in (1, 6)
    )
    held, free = (hours_words(on, sheet().bill, own) for on in (few, many))
    assert len(held) == 2 and len(free) == 1
    assert held[0].startswith("60 h of fermentation would let 0.4 mashes a week more through, at ")
    assert "a tonne behind that 96 h would give, at 0.5 mashes a week fewer" in held[1]
    assert "a tonne behind that 96 h would give, at no mash a week fewer" in free[0]


def test_the_hours_that_nearly_all_needs_stand_with_the_week() -> None:
    on = bench(sheet().plant).traced()
    week = capacity(on.plant, on.made(sheet().bill), on.runs, on.draws)
    assert 40.0 < week.figures["wash_stops_h"].band.middle <= 72.0
    stuck = capacity(on.plant, on.made(sheet().bill), on.runs, on.draws, said=False)
    assert "wash_stops_h" in {key for key, _, _ in stuck.withheld}
