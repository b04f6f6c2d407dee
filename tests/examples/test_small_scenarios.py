"""The small scenarios of examples/: what an expert of the trade expects of them. All invented, so no evidence.

Expectations are common practice or our own estimates, without a source; each test says which.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from gristwright import casework
from gristwright.basics import Light, Refused, Verdict
from gristwright.casework.bench.one_bill import Forecast
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.jobs_in import read_bill
from gristwright.records.bill import Bill, Share
from gristwright.records.enquiry import BillSheet
from gristwright.records.lot import Analysis, Lot
from gristwright.records.plant import Plant
from gristwright.records.results import Board
from gristwright.stages.grist.units_from_power import expected_DU
from house.places import EXAMPLES

RYE, MAIZE, LAUTER = "all-rye", "less-malt-for-maize", "lauter-rests-sparge"
SMOKES, BEER = "two-smokes", "strong-raw-barley-beer"
BILLS = sorted(path for house in (RYE, MAIZE, LAUTER, SMOKES, BEER) for path in (EXAMPLES / house).glob("*.toml")
               if "bill/2" in path.read_text(encoding="utf-8"))  # fmt: skip
MEMBERS = 512


@cache
def lots(house: str) -> tuple[Lot, ...]:
    return read_lots(EXAMPLES / house / "lots.csv").accepted()


@cache
def asked(house: str, name: str = "bill.toml") -> BillSheet:
    return read_bill(EXAMPLES / house / name).accepted()


@cache
def ran(house: str, name: str = "bill.toml") -> Forecast:
    made = asked(house, name)
    return (casework.brew if made.purpose == "beer" else casework.forecast)(made, lots(house), members=MEMBERS)


def boards(made: Forecast) -> Mapping[str, Board]:
    return {board.key: board for board in made.result.boards}


def litres(made: Forecast) -> float:
    return made.result.figures["lpa_per_t"].band.middle


def hours(made: Forecast) -> float:
    figure = boards(made)["bed"].figure
    assert figure is not None
    return figure.band.middle


@pytest.mark.parametrize("path", BILLS, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_every_bill_runs_and_a_board_that_is_not_in_order_says_what_helps(path: Path) -> None:
    made = ran(path.parent.name, path.name)
    readme = (path.parent / "README.md").read_text(encoding="utf-8")
    assert "invented" in readme and (path.name in readme or path.parent.name == MAIZE)
    assert [
        board.key for board in made.result.boards if board.light in (Light.RED, Light.AMBER) and not board.remedy
    ] == []


# --- all rye (common practice) ---


@pytest.mark.parametrize("way", ["lauter", "filter", "grain-in"])
def test_all_rye_gives_335_to_365_litres(way: str) -> None:
    assert 335.0 <= litres(ran(RYE, f"on-{way}.toml")) <= 365.0


@pytest.mark.parametrize("settled", [63.0, 64.0, 65.0])
def test_rye_malt_is_free_of_starch_after_half_an_hour(settled: float) -> None:
    sheet = asked(RYE, "on-lauter.toml")
    mash = replace(sheet.plant.mash, settled_mash_degC=settled, stand_min=30.0, run_off_min=5.0)
    made = casework.forecast(replace(sheet, plant=replace(sheet.plant, mash=mash)), lots(RYE), members=MEMBERS)
    left = boards(made)["starch"].figure
    assert left is not None and left.band.middle < 1.0


def test_only_the_infusion_tun_is_refused_to_rye() -> None:
    stuck = ran(RYE, "on-tun.toml")
    assert stuck.result.withheld is not None and "never runs off" in stuck.result.withheld.sentence
    assert boards(stuck)["bed"].light is Light.RED
    assert boards(ran(RYE, "on-filter.toml"))["bed"].light is not Light.RED
    assert boards(ran(RYE, "on-grain-in.toml")).keys().isdisjoint({"bed"})
    for way in ("lauter", "filter", "grain-in"):
        assert ran(RYE, f"on-{way}.toml").result.withheld is None


def test_a_lauter_tun_takes_three_times_the_hours_of_barley() -> None:
    sheet = asked(RYE, "on-lauter.toml")
    barley = (Lot("PD-0", "pale_distilling_malt"),)
    usual = replace(sheet, bill=Bill("barley", (Share("PD-0", 10_000),)), prices={}, currency="")
    assert hours(ran(RYE, "on-lauter.toml")) >= 3.0 * hours(casework.forecast(usual, barley, members=MEMBERS))


@pytest.mark.parametrize("way", ["lauter", "filter", "tun", "grain-in"])
def test_all_rye_is_whisky_and_never_single_malt(way: str) -> None:
    found = {law.category: law.verdict for law in ran(RYE, f"on-{way}.toml").result.law}
    assert found == {"EU_WHISKY": Verdict.PASS, "EU_SINGLE_MALT": Verdict.FAIL}


# --- cooked maize with less malt (our estimates) ---


@cache
def maize(malt_pct: float, ferment: float = 72.0, boiled: bool = False) -> Forecast:
    sheet = asked(MAIZE, "malt-12.toml")
    parts = round(100.0 * malt_pct)
    bill = Bill(f"{malt_pct:g} % malt", (Share("MZ-3", 10_000 - parts), Share("HE-3", parts)))
    backs = replace(sheet.plant.washbacks, hours=ferment)
    plant = replace(sheet.plant, washbacks=backs, wort_boiled=boiled)
    return casework.forecast(replace(sheet, bill=bill, plant=plant), lots(MAIZE), members=MEMBERS)


def test_the_malt_prints_no_units_and_they_are_read_from_its_power() -> None:
    malt = next(lot for lot in lots(MAIZE) if lot.lot_id == "HE-3")
    assert "dextrinising_units" not in {analysis.field for analysis in malt.analyses}
    assert expected_DU("barley", 210.0) == pytest.approx(42.0, abs=0.1)
    assert asked(MAIZE, "malt-12.toml").plant.mash.premalt_pct == 0.0


@pytest.mark.parametrize(("name", "power"), [("12", 25.2), ("08", 16.8), ("05", 10.5), ("02", 4.2)])
def test_the_power_of_the_grist_is_the_malts_share_of_it(name: str, power: float) -> None:
    figure = boards(ran(MAIZE, f"malt-{name}.toml"))["enzymes"].figure
    assert figure is not None and figure.band.middle == pytest.approx(power, rel=0.05)


def test_litres_fall_as_malt_falls_short() -> None:
    full = litres(maize(12.0))
    assert litres(maize(8.0)) == pytest.approx(full, rel=0.01)
    assert 0.02 <= 1.0 - litres(maize(5.0)) / full <= 0.12
    assert 0.20 <= 1.0 - litres(maize(2.0)) / full <= 0.50
    for malt in (8.0, 5.0, 2.0):
        assert litres(maize(malt, 48.0)) < litres(maize(malt))


def test_there_is_no_cliff() -> None:
    """Steps of a tenth of a point about 3.3 %: each costs less than two litres in a hundred, and much like the last."""
    found = [litres(maize(malt)) for malt in (3.6, 3.5, 3.4, 3.3, 3.2, 3.1, 3.0)]
    steps = [1.0 - after / before for before, after in pairwise(found)]
    assert all(0.0 < step < 0.02 for step in steps)
    assert all(0.5 < after / before < 2.0 for before, after in pairwise(steps))


@pytest.mark.parametrize("malt", [1.0, 0.5, 0.25])
def test_next_to_no_malt_is_an_answer_or_is_refused_with_the_reason(malt: float) -> None:
    try:
        made = maize(malt)
    except Refused as refused:
        (problem,) = refused.problems
        assert "too little enzyme" in problem.what and "more malt" in problem.way_out
    else:
        assert boards(made)["enzymes"].light is Light.RED


def test_the_board_is_out_of_order_before_the_litres_are_lost_and_names_more_malt() -> None:
    for malt in (5.0, 2.0):
        board = boards(maize(malt))["enzymes"]
        assert board.light is Light.RED and "% more HE-3 in place of MZ-3" in board.remedy
    assert litres(maize(5.0)) > 0.95 * litres(maize(12.0))


def test_a_day_more_brings_part_of_it_back_unboiled_and_none_of_it_boiled() -> None:
    full = litres(maize(12.0))
    for malt in (5.0, 2.0):
        lost, later = full - litres(maize(malt)), full - litres(maize(malt, 96.0))
        assert 0.0 < later < lost
    for malt in (20.0, 12.0):
        boiled, later = (maize(malt, hours, True) for hours in (72.0, 96.0))
        assert litres(boiled) < litres(maize(malt))
        # Yeast may finish what it left; enzymes that were boiled turn no starch.
        for key in ("enzymes", "starch"):
            assert boards(later)[key].figure == boards(boiled)[key].figure


def of_power(power: float, units: float) -> Lot:
    stated = (Analysis("diastatic_power", power, "degLintner"), Analysis("dextrinising_units", units, "DU"))
    return Lot("HE-3", "high_enzyme_malt", analyses=stated)


def starch_left(malt: Lot, malt_pct: float) -> float:
    sheet = asked(MAIZE, "malt-12.toml")
    parts = round(100.0 * malt_pct)
    bill = Bill("malt", (Share("MZ-3", 10_000 - parts), Share("HE-3", parts)))
    grain = next(lot for lot in lots(MAIZE) if lot.lot_id == "MZ-3")
    figure = boards(casework.forecast(replace(sheet, bill=bill), (grain, malt), members=MEMBERS))["starch"].figure
    assert figure is not None
    return figure.band.middle


@pytest.mark.parametrize("share", [4.0, 3.0, 2.0])
def test_little_strong_malt_and_much_weak_malt_of_equal_enzymes_leave_equal_starch(share: float) -> None:
    few, many = starch_left(of_power(210.0, 60.0), share), starch_left(of_power(105.0, 30.0), 2.0 * share)
    assert few == pytest.approx(many, abs=2.0)


# --- the others (common practice) ---


def test_the_lauter_house_divides_neither_washback_nor_still() -> None:
    made = ran(LAUTER)
    assert made.capacity is not None
    text, figures = " ".join(made.capacity.words), made.capacity.figures
    # 2.4 t x 5100 L/t = 12 240 L: of 17 000 L 0.72, of 5100 L 2.4; 700 t / 2.4 t = 291.7
    assert figures["washbacks_of_mash"].band.middle == pytest.approx(0.72)
    assert figures["wash_charges_by_volume"].band.middle == pytest.approx(2.4)
    assert "fills one washback of 17\N{THIN SPACE}000 L to 72 %" in text.replace(
        "\N{NARROW NO-BREAK SPACE}", "\N{THIN SPACE}"
    )
    assert "2.40 wash still charges" in text and "2 full ones and one of 2040 L, or 3 of 4080 L each" in text
    assert "291.7 mashes" in text


def test_the_lauter_house_is_in_order_where_it_runs_off_and_gravity_follows_its_litres() -> None:
    made = boards(ran(LAUTER))
    assert made["bed"].light is Light.GREEN and made["gravity"].light is Light.GREEN
    assert hours(ran(LAUTER)) == pytest.approx(2.5, rel=0.1)


def test_two_smokes_convert_and_are_no_single_malt() -> None:
    made = ran(SMOKES)
    assert boards(made)["enzymes"].light is Light.GREEN and boards(made)["bed"].light is not Light.RED
    found = {law.category: law.verdict for law in made.result.law}
    assert found == {"EU_WHISKY": Verdict.PASS, "EU_SINGLE_MALT": Verdict.FAIL}


def test_the_strong_beer_is_strong_and_its_beta_glucan_is_watched() -> None:
    made = ran(BEER)
    assert 15.0 < made.result.figures["original_gravity_degP"].band.middle < 18.0
    assert boards(made)["enzymes"].light is Light.GREEN
    assert any(board.light is not Light.GREEN and "beta-glucan" in board.sentence for board in made.result.boards)
    assert not made.result.law


def changed(plant: Plant, **given: Any) -> Plant:
    return replace(plant, mash=replace(plant.mash, **given))


def test_a_pre_malt_takes_its_enzymes_away() -> None:
    """One in eight of the malt in the cooker does less than the whole of it behind the cook, and no more than so much
    less malt would do."""
    sheet = asked(MAIZE, "malt-05.toml")
    with_it = replace(sheet, plant=changed(sheet.plant, premalt_pct=1.0))
    cooked = litres(casework.forecast(with_it, lots(MAIZE), members=MEMBERS))
    assert litres(maize(5.0)) > cooked
    assert cooked == pytest.approx(litres(maize(4.0)), rel=0.01)
