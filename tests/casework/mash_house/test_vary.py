"""A grid of mash plans: paired changes, plans that cannot be, progress, and directions known outside."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest

from gristwright import casework
from gristwright.basics import Refused
from gristwright.casework.mash_house.over import axis_of
from gristwright.casework.mash_house.vary import (
    ATTENUATION,
    FERMENTABILITY,
    FINAL,
    LITRES,
    STOPS,
    UNCONVERTED,
    WARMEST,
    vary,
)
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.jobs_in import read_bill
from gristwright.records.enquiry import BillSheet
from gristwright.records.lot import Lot
from gristwright.records.mash_trials import PlanCell, Variation
from scenario import FOLDER, lots, sheet

MEMBERS = 128


@cache
def grid(*overs: str) -> Variation:
    return vary(sheet(), lots(), [axis_of(text) for text in overs], members=MEMBERS)


@cache
def brewhouse() -> tuple[BillSheet, tuple[Lot, ...]]:
    folder = FOLDER.parent / "raw-barley-beer"
    return read_bill(folder / "bill.toml").accepted(), read_lots(folder / "certificates.xlsx").accepted()


def middle(cell: PlanCell, key: str) -> float:
    return cell.figures[key].band.middle


def test_the_plan_as_it_stands_is_what_run_gives_and_changes_nothing() -> None:
    found = grid("mash.settled_degC=62,64,70")
    run = casework.forecast(sheet(), lots(), members=MEMBERS).result
    assert found.today.figures[LITRES].band == run.figures[LITRES].band
    same = next(cell for cell in found.cells if cell.values == (64.0,))
    for change in same.changes.values():
        assert (change.band.low, change.band.middle, change.band.high) == (0.0, 0.0, 0.0)
    assert same.figures[LITRES].band == found.today.figures[LITRES].band
    assert found.standing == (64.0,)
    assert found.today.figures[FINAL].band == run.figures["final_gravity_sg"].band
    assert 20.0 < found.today.figures[WARMEST].band.middle < 40.0
    assert 0.0 < found.today.figures[STOPS].band.high <= sheet().plant.washbacks.hours


def test_a_change_is_paired_on_the_draws() -> None:
    cell = grid("mash.settled_degC=62,64,70").cells[0]
    assert cell.changes[LITRES].band.width < 0.6 * cell.figures[LITRES].band.width


def test_the_best_temperature_lies_near_the_published_one() -> None:
    """Most fermentable sugar at 62-63 degC: Hamilton & Lewis 1974, MBAA Tech. Q. 11:31 (abstract)."""
    found = grid("mash.settled_degC=56:72:2")
    told = {cell.values[0]: cell for cell in found.cells if not cell.withheld}
    best = max(told, key=lambda degC: middle(told[degC], FERMENTABILITY))
    assert abs(best - 62.5) <= 2.0
    # Litres are flat about it, for cooler mashes leave a little more enzyme to an unboiled washback.
    assert max(middle(cell, LITRES) for cell in told.values()) < 1.001 * middle(told[62.0], LITRES)
    # Malt that settles so cold opens with the second water: few litres are lost, and the board is not in order.
    assert found.cells[0].values == (56.0,) and found.cells[0].worst == "Starch gelatinised"
    assert middle(found.cells[0], LITRES) < middle(told[best], LITRES)


def test_a_hotter_mash_ferments_less_and_a_thick_cool_one_leaves_starch() -> None:
    """Attenuation falls from 65 to 70 degC (a published trial of boiled wort gives 82 and 70 %; unboiled, the washback
    makes up for most of it); a thick cool mash opens less (De Schepper & Courtin 2022)."""
    found = grid("mash.settled_degC=62,65,70", "mash.liquor_L_per_kg=2.5,4")
    at = {cell.values: cell for cell in found.cells}
    assert [cell.values for cell in found.cells][:2] == [(62.0, 2.5), (62.0, 4.0)]
    assert middle(at[70.0, 4.0], FERMENTABILITY) < middle(at[65.0, 4.0], FERMENTABILITY) - 1.0
    assert middle(at[62.0, 2.5], UNCONVERTED) >= middle(at[62.0, 4.0], UNCONVERTED)
    assert middle(at[62.0, 2.5], FERMENTABILITY) < middle(at[62.0, 4.0], FERMENTABILITY)
    assert found.standing[1] == pytest.approx(3.7, abs=0.2)


def test_a_plan_that_cannot_be_stays_with_its_reason() -> None:
    found = grid("mash.liquor_L_per_kg=4,5.5")
    good, bad = found.cells
    assert not good.cannot
    assert "second water" in bad.cannot
    assert not bad.figures
    assert math.isnan(bad.margin)


def test_a_liquor_hotter_than_the_mash_can_bear_stays_with_its_reason() -> None:
    assert "78" in grid("mash.liquor_degC=72,99").cells[1].cannot


def test_out_of_its_depth_the_model_says_so_in_that_cell() -> None:
    cells = grid("mash.settled_degC=56:72:2").cells
    hot = [any("too fermentable" in text for text in cell.warnings) for cell in cells]
    assert hot == [cell.values[0] > 70.0 for cell in cells]


def test_the_margin_is_that_of_the_worst_board() -> None:
    cells = {cell.values[0]: cell for cell in grid("mash.settled_degC=56:72:2").cells}
    assert cells[72.0].margin > cells[64.0].margin
    assert cells[72.0].worst
    assert 0.0 <= cells[64.0].margin <= 1.0


def test_every_number_names_an_assumption_that_is_listed() -> None:
    found = grid("mash.settled_degC=62,64,70")
    known = {assumption.name for assumption in found.assumptions}
    assert {name for figure in found.today.figures.values() for name in figure.rests_on} <= known


def test_progress_is_told_before_each_plan_and_may_stop_it() -> None:
    told: list[tuple[int, int, str]] = []

    def tick(done: int, total: int, note: str) -> None:
        told.append((done, total, note))
        if done == 1:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        vary(sheet(), lots(), [axis_of("mash.stand_min=30,60,90")], members=MEMBERS, tick=tick)
    assert told[-1] == (1, 3, "stand of the first water 60 min")


def test_a_brewer_gets_no_litres_and_a_boiled_wort() -> None:
    bill, given = brewhouse()
    bill = replace(bill, plant=replace(bill.plant, mash=replace(bill.plant.mash, rests=())))
    found = vary(bill, given, [axis_of("mash.settled_degC=63,69")], members=MEMBERS)
    assert found.keys == (ATTENUATION, FERMENTABILITY, UNCONVERTED, FINAL, WARMEST, STOPS)
    assert found.named[WARMEST].label == "warmest fermenter"
    assert found.cells[1].changes[ATTENUATION].band.high < 0.0 < found.cells[1].changes[FINAL].band.low
    assert found.today.figures[FERMENTABILITY].label == "fermentable boiled"
    assert found.cells[1].changes[FERMENTABILITY].band.high < 0.0


def test_faults_of_grid_and_files_come_together() -> None:
    bill = replace(sheet(), categories=("EU_NOTHING",))
    with pytest.raises(Refused) as refused:
        vary(bill, lots(), [axis_of("mash.settled_degC=20")], members=MEMBERS)
    assert "EU_NOTHING" in str(refused.value)
    assert "20 degC is outside" in str(refused.value)
    brewer, given = brewhouse()
    with pytest.raises(Refused, match="outside"):
        vary(brewer, given, [axis_of("mash.settled_degC=20")], members=MEMBERS)
