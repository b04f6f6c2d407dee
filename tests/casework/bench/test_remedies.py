"""A remedy is printed only where it moves the house the right way: never what it has, never two ways at once."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cache

import pytest

from gristwright import casework
from gristwright.basics import Light, Refused
from gristwright.records.bill import Bill
from gristwright.records.plant import CookerPlan, MashPlan, Plant, Rest
from gristwright.records.results import Board
from gristwright.records.washbacks import Washbacks
from houses import LOTS, bill, brewhouse, sheet, tun, whole_mash

MEMBERS = 64
SETTLED = (60.0, 63.0, 64.0, 65.0, 68.0, 72.0)
GRISTS = {
    "malt": bill(PD_1=100),
    "rye": bill(RM_1=85, CR_1=15),
    "wheat": bill(WM_1=60, PD_1=40),
    "raw barley": bill(RB_1=40, PD_1=60),
    "caramel": bill(CM_1=30, PD_1=70),
}
COOKED = {
    "maize": bill(MZ_1=88, HE_1=12),
    "little malt": bill(MZ_1=94, HE_1=6),
    "maize and wheat": bill(MZ_1=50, RW_1=30, HE_1=20),
}
UNCOOKED = {"raw maize": bill(MZ_1=20, PD_1=80), "raw wheat": bill(RW_1=40, PD_1=60), **GRISTS}


def houses(settled: float) -> Iterator[tuple[str, Plant, dict[str, Bill]]]:
    """Every kind of house at one temperature, with the grists it may mash."""
    yield "tun", tun("tun", settled), GRISTS
    for vessel in ("lauter", "filter"):
        yield vessel, tun(vessel, settled), {k: GRISTS[k] for k in ("rye", "wheat")}
    yield "whole mash", whole_mash(settled, None), UNCOOKED
    yield "cooker", whole_mash(settled), COOKED
    yield "cooker with pre-malt", whole_mash(settled, premalt_pct=1.0), {"maize": COOKED["maize"]}
    yield "brewery", brewhouse("lauter", settled), {k: GRISTS[k] for k in ("malt", "raw barley")}
    yield "brewery with filter", brewhouse("filter", settled), {"wheat": GRISTS["wheat"]}


@cache
def forecasts(settled: float) -> Sequence[tuple[str, Plant, Bill, tuple[Board, ...]]]:
    """Every house and grist at one temperature with its boards; a mash that is refused prints none."""
    found = []
    for name, plant, grists in houses(settled):
        for grist, made in grists.items():
            asked = sheet(made, plant, target_attenuation_pct=78.0 if plant.wort_boiled else None)
            try:
                answer = (casework.brew if plant.wort_boiled else casework.forecast)(asked, LOTS, members=MEMBERS)
            except Refused:
                continue
            found.append((f"{name}, {grist}, {settled:g} degC", plant, made, answer.result.boards))
    return found


def said(boards: Sequence[Board]) -> str:
    return " ".join(board.remedy for board in boards).lower()


@pytest.mark.parametrize("settled", SETTLED)
def test_no_forecast_says_both_hotter_and_cooler_and_the_way_agrees_with_the_state(settled: float) -> None:
    for where, _, _, boards in forecasts(settled):
        text = said(boards)
        assert not ("hotter" in text and "cooler" in text), where
        assert "hotter" not in text or settled < 66.0, where
        assert "cooler" not in text or settled > 64.0, where
    assert len(forecasts(settled)) > 18


@pytest.mark.parametrize("settled", SETTLED)
def test_no_house_is_told_to_adopt_what_it_has_or_cannot_have(settled: float) -> None:
    for where, plant, made, boards in forecasts(settled):
        text, plan = said(boards), plant.mash
        if plan.vessel == "filter":
            assert "mash filter" not in text and "coarser" not in text and "in the tun" not in text, where
            assert "tun does not" not in " ".join(board.sentence for board in boards), where
        if plant.grain_in:
            assert "on the grain" not in text and "run-off" not in text, where
        if plan.cook_degC is None:
            assert "pre-malt" not in text and "cook longer" not in text and "raise the cook" not in text, where
        else:
            assert "cook the raw" not in text, where
        if plan.premalt_pct >= 1.0:
            assert "pre-malt" not in text, where
        if plant.pot_stills is None:
            assert "heat the still" not in text, where
        if all(share.lot_id[:2] in ("PD", "RM", "WM", "HE") for share in made.shares):
            assert "in place of raw grain" not in text and "raise the share of base" not in text, where
        if not any(share.lot_id in ("MZ-1", "RW-1", "RB-1") for share in made.shares):
            assert "raw " not in text, where


@pytest.mark.parametrize("settled", SETTLED)
def test_a_board_that_is_not_in_order_says_what_helps_or_that_the_bill_must_change(settled: float) -> None:
    for where, _, _, boards in forecasts(settled):
        silent = [board.key for board in boards if board.light is Light.RED and not board.remedy]
        assert silent == [], where


def test_one_washback_is_not_told_to_split_the_mash() -> None:
    small = replace(tun(), washbacks=Washbacks(1, 14_500.0, 72.0))
    boards = casework.forecast(sheet(GRISTS["malt"], small), LOTS, members=MEMBERS).result.boards
    room = next(board for board in boards if board.key == "washback")
    assert room.light is Light.AMBER and "more washbacks" not in room.remedy and room.remedy


@pytest.mark.parametrize(("wort_L", "way"), [(8900.0, "less wort"), (3100.0, "more wort")])
def test_gravity_is_mended_in_the_direction_it_is_off(wort_L: float, way: str) -> None:
    boards = casework.forecast(sheet(GRISTS["malt"], tun(wort_L_per_t=wort_L)), LOTS, members=MEMBERS).result.boards
    gravity = next(board for board in boards if board.key == "gravity")
    assert gravity.light is Light.RED and way in gravity.remedy


def test_rests_that_open_and_rests_that_ferment_are_both_read() -> None:
    """A mash that rests at 62 and at 70 degC needs neither way; one that rests at 70 alone wants it cooler."""
    both = tun("lauter", rests=(Rest(62.0, 40.0), Rest(70.0, 30.0)), settled=62.0)
    hot = tun("lauter", rests=(Rest(70.0, 60.0),), settled=70.0)
    texts = [said(casework.forecast(sheet(GRISTS["rye"], plant), LOTS, members=MEMBERS).result.boards)
             for plant in (both, hot)]  # fmt: skip
    assert "hotter" not in texts[0] and "cooler" not in texts[0]
    assert "cooler" in texts[1] and "rest" in texts[1]


def _standing_longer(plan: MashPlan) -> MashPlan:
    if plan.cook_degC is None:
        return replace(plan, stand_min=95.0)
    return replace(plan, cooker=replace(plan.cooker or CookerPlan(), malt_min=95.0))


# What a remedy says, the plan that follows it, and the boards it is for: more of the figure, or less, is better.
FOLLOWED: dict[str, Callable[[MashPlan], MashPlan]] = {
    "the mash hotter": lambda plan: replace(plan, settled_mash_degC=plan.settled_mash_degC + 1.0),
    "the mash cooler": lambda plan: replace(plan, settled_mash_degC=plan.settled_mash_degC - 1.0),
    "stand longer": _standing_longer,
    "raise the cook": lambda plan: replace(plan, cook_degC=(plan.cook_degC or 0.0) + 15.0),
}
BETTER = {"starch": -1.0, "dextrin": 1.0, "gelatinisation": 1.0}


def boards_of(plant: Plant, made: Bill) -> dict[str, Board]:
    follow = casework.brew if plant.wort_boiled else casework.forecast
    return {board.key: board for board in follow(sheet(made, plant), LOTS, members=MEMBERS).result.boards}


def off_the_best() -> Iterator[tuple[Plant, Bill]]:
    for settled in (57.0, 59.0, 61.0, 63.0, 66.0, 69.0, 72.0):
        yield from ((tun(settled=settled), GRISTS[name]) for name in ("malt", "rye", "raw barley"))
        yield whole_mash(settled), COOKED["maize"]
    yield whole_mash(cook=72.0), COOKED["maize and wheat"]
    yield brewhouse(settled=64.0, stand_min=30.0), bill(RB_1=85, PD_1=15)


def test_what_a_remedy_says_betters_the_board_it_is_for() -> None:
    """Followed by a step, it moves the middle of its board's figure the right way, on the same draws."""
    tried = set()
    for plant, made in off_the_best():
        boards = boards_of(plant, made)
        for key, sign in BETTER.items():
            for words, change in FOLLOWED.items():
                if key not in boards or words not in boards[key].remedy.lower():
                    continue
                followed = replace(plant, mash=change(plant.mash))
                here, there = boards[key].figure, boards_of(followed, made)[key].figure
                assert here is not None and there is not None
                moved = sign * (there.band.middle - here.band.middle)
                assert moved > -1e-9, (key, words, plant.mash.settled_mash_degC, made, here.band, there.band)
                tried.add((key, words))
    assert len(tried) >= 5, tried
