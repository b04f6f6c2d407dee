"""Each example through the library: the numbers its README states, boards, law. All invented, so no evidence."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest

import programme
from gristwright import casework
from gristwright.basics import Band, Light, Verdict
from gristwright.casework.bench.one_bill import Forecast
from gristwright.casework.recommend.dossier import dossier
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.jobs_in import read_bill, read_enquiry
from gristwright.records.lot import Lot
from gristwright.records.results import BillResult, Figure, Offer, Recommendation
from house.places import EXAMPLES
from once import once
from programme import of_arm

MALT, GRAIN, BEER = "all-malt-pot", "maize-rye-column", "raw-barley-beer"
NUMBER = re.compile(r"(?<![\w.])[+-]?\d+(?:\.\d+)?")
BILL = re.compile(r"\d+ % \w")


@cache
def lots(house: str) -> tuple[Lot, ...]:
    path = EXAMPLES / house / ("lots.csv" if house == MALT else "certificates.xlsx")
    return read_lots(path).accepted()


@cache
def advised(house: str) -> Recommendation:
    return once(casework.advise)(read_enquiry(EXAMPLES / house / "enquiry.toml").accepted(), lots(house))


@cache
def ran(house: str, bill: str = "bill.toml") -> Forecast:
    sheet = read_bill(EXAMPLES / house / bill).accepted()
    return (casework.brew if sheet.purpose == "beer" else casework.forecast)(sheet, lots(house))


@cache
def readme(house: str) -> str:
    return (EXAMPLES / house / "README.md").read_text(encoding="utf-8")


def table(house: str) -> dict[str, list[str]]:
    """The rows of the README's table by their first cell, with the numbers of the rest as printed."""
    rows = [line.strip("| \n").split(" | ") for line in readme(house).splitlines() if line.startswith("| ")]
    return {row[0]: NUMBER.findall(" | ".join(row[1:])) for row in rows}


def assert_printed(printed: list[str], values: list[float]) -> None:
    """Each number is the value rounded to as many decimals as it is printed with."""
    assert len(printed) == len(values), printed
    for text, value in zip(printed, values, strict=True):
        half = 0.5 * 10.0 ** -len(text.partition(".")[2])
        assert abs(float(text) - value) <= half * 1.01, f"{text} is printed, {value:.5f} was found"


def said(house: str, *parts: str) -> None:
    text = " ".join(readme(house).split())
    assert [part for part in parts if part not in text] == []


def three(figure: Figure) -> list[float]:
    return [figure.band.middle, figure.band.low, figure.band.high]


def offer_row(offer: Offer) -> list[float]:
    litres = offer.result.figures["lpa_per_t"].band.middle
    return [litres, *three(offer.changes["lpa_per_t"]), *three(offer.changes["cost_per_lpa"])]


def lights(result: BillResult) -> dict[str, Light]:
    return {board.key: board.light for board in result.boards}


@pytest.mark.parametrize("house", [MALT, GRAIN, BEER])
def test_an_example_has_a_page_of_its_own(house: str) -> None:
    assert "invented" in readme(house)
    for command in re.findall(r"^ {4}gristwright .*$", readme(house), re.MULTILINE):
        files = re.findall(r"examples/\S+", command)
        assert files and all((EXAMPLES.parent / name).exists() for name in files)


@pytest.mark.parametrize("house", [MALT, GRAIN])
def test_the_table_of_offers(house: str) -> None:
    answer, rows = advised(house), table(house)
    assert_printed(rows["today"], three(answer.present.figures["lpa_per_t"]))
    assert [row for row in rows if BILL.match(row)] == [offer.result.bill.name for offer in answer.offers]
    for offer in answer.offers:
        assert_printed(rows[offer.result.bill.name], offer_row(offer))


def test_the_table_of_money_at_release() -> None:
    asked, rows = read_enquiry(EXAMPLES / MALT / "enquiry.toml").accepted(), table(MALT)
    gain = dossier(asked, lots(MALT)).gain
    assert gain is not None and all(point.gained_years is None for point in gain.points)
    assert_printed(rows["of today"], bands(gain.costs[0].per_bottled_L))
    for letter, cost in (("A", gain.costs[1]), ("E", gain.costs[-1])):
        assert cost.more_per_bottled_L is not None and cost.needed_years is not None
        found = bands(cost.per_bottled_L, cost.more_per_bottled_L, cost.needed_years)
        assert_printed(rows[f"of offer {letter}"], found)


def bands(*found: Band) -> list[float]:
    return [value for band in found for value in (band.middle, band.low, band.high)]


@pytest.mark.parametrize("house", [MALT, GRAIN])
def test_what_run_prints_for_today(house: str) -> None:
    middle, low, high = three(ran(house).result.figures["lpa_per_t"])
    said(house, f"prints {middle:.1f} ({low:.1f} to {high:.1f})")
    assert ran(house).result.litres.closure < 1e-9


@pytest.mark.parametrize("house", [MALT, GRAIN])
def test_the_asked_categories_pass(house: str) -> None:
    today, answer = ran(house).result.law, advised(house)
    assert today and all(found.verdict is Verdict.PASS for found in today)
    assert all(found.verdict is Verdict.PASS for offer in answer.offers for found in offer.result.law)
    sheet = read_bill(EXAMPLES / house / "bill.toml").accepted()
    assert [found.category for found in today] == list(sheet.categories)


@pytest.mark.parametrize("house", [MALT, GRAIN])
def test_no_offer_has_a_board_out_of_order(house: str) -> None:
    for offer in advised(house).offers:
        assert Light.RED not in lights(offer.result).values(), offer.result.bill.name


def test_the_malt_house_is_in_order_and_the_fermentability_is_measured_first() -> None:
    answer = advised(MALT)
    own = {key: light for key, light in lights(answer.present).items() if key != "nitrile"}
    assert own["enzymes"] is own["gravity"] is own["charge"] is Light.GREEN
    assert answer.measure_next[0].assumption == "lot.CM-120.fermentability_pct"
    said(MALT, "The fermentability of CM-120", f"No bill of {answer.search.bills_evaluated} does both")


def test_the_grain_house_is_told_of_malt_rye_and_foam() -> None:
    answer = advised(GRAIN)
    today = lights(answer.present)
    assert today["enzymes"] is today["foam"] is today["gelatinisation"] is Light.GREEN
    assert today["nitrogen"] is Light.AMBER and today["nitrile"] is Light.UNKNOWN
    first = answer.offers[0].result
    assert lights(first)["enzymes"] is Light.AMBER
    assert_the_malt_saved_is_told(*(offer.result for offer in answer.offers[:2]))
    assert answer.search.cheaper == ""
    (left_out,) = answer.search.left_out
    assert left_out.startswith("64 % MZ-1 + 30 % RY-1 + 6 % HE-1: viscosity and foam")
    runs = re.findall(r"(\d+) % of the runs", left_out)[0]
    said(GRAIN, f"the washback leaves in {runs} % of the runs")
    most = next(board for board in answer.offers[-1].result.boards if board.key == "foam")
    said(GRAIN, f"28 % rye in {100 * most.probability_red:.0f} %")
    assert [step.assumption for step in answer.measure_next] == [
        "mash.alpha_per_dextrinising_unit",
        "mash.unboiled_amount_exponent",
        "wash.by_products",
        "lot.MZ-1.starch_dry_pct",
    ]


def assert_the_malt_saved_is_told(six: BillResult, eight: BillResult) -> None:
    """The bills of 6 and 8 % malt in the README's words: powers, starch at the mash's end, chance of a shortage."""
    boards = [{board.key: board for board in result.boards} for result in (six, eight)]
    least, safer = (both["enzymes"].sentence.split() for both in boards)
    said(
        GRAIN, f"6 % has {least[0]} and {least[3]}", f"8 % has {safer[0]} degLintner and {safer[3]} dextrinising units"
    )
    ends = re.findall(r"; (\d+\.\d) % \(\S+ to (\d+\.\d)\) when the mash ends", boards[0]["starch"].sentence)[0]
    said(GRAIN, f"ends with {float(ends[0]):.0f} % of its starch left", f"band with {float(ends[1]):.0f} %")
    said(GRAIN, f"in {100 * boards[0]['enzymes'].probability_red:.0f} % of the runs the enzymes are out of order")


def test_the_grain_houses_present_bill_in_words() -> None:
    boards = {board.key: board.sentence for board in ran(GRAIN).result.boards}
    assert boards["enzymes"].startswith("21 degLintner and 9 dextrinising units")
    said(GRAIN, "gives 21 and 9", f"nitrogen is {boards['nitrogen'].split()[0]} mg/L today")
    week = ran(GRAIN).capacity
    assert week is not None
    pace, needed = (week.figures[key].band.middle for key in ("mashes_per_week", "needed_per_week"))
    said(GRAIN, f"can mash {pace:.1f} times a week and needs {needed:.1f}")


BEER_ROWS = {
    "diastatic power": "power",
    "dextrinising units": "units",
    "original extract": "original_gravity_degP",
    "real limit attenuation": "limit_attenuation_pct",
    "final gravity": "final_gravity_sg",
    "strength": "abv_pct",
    "colour": "colour_EBC",
    "extract yield": "extract_yield_pct",
    "amino nitrogen": "fan_mg_per_L",
    "beta-glucan": "beta_glucan_mg_per_L",
}


def test_the_table_of_the_two_beers() -> None:
    rows = table(BEER)
    both = [ran(BEER, bill).result.figures for bill in ("bill.toml", "without.toml")]
    for row, key in BEER_ROWS.items():
        assert_printed(rows[row], [value for figures in both for value in three(figures[key])])
    assert_printed(rows["malt and grain"], [figures["cost_per_hL"].band.middle for figures in both])


def test_the_weaker_beer_bill_is_watched_on_enzymes() -> None:
    strong, weak = (lights(ran(BEER, bill).result) for bill in ("bill.toml", "without.toml"))
    assert strong["enzymes"] is Light.GREEN and weak["enzymes"] is Light.AMBER
    watched = {"nitrogen", "attenuation", "filtration"}
    assert {key for key, light in strong.items() if light is not Light.GREEN} == watched
    assert {key for key, light in weak.items() if light is not Light.GREEN} == watched | {"enzymes"}
    for bill in ("bill.toml", "without.toml"):
        nitrogen = next(board for board in ran(BEER, bill).result.boards if board.key == "nitrogen")
        said(BEER, f"{nitrogen.sentence.split()[0]} mg/L")


def test_the_brewers_question_is_answered() -> None:
    answer = advised(BEER)
    saved = [-offer.changes["cost_per_hL"].band.middle for offer in answer.offers]
    first = answer.offers[int(np.argmax(saved))]
    lost = -first.changes["original_gravity_degP"].band.middle
    assert first.result.bill.name.startswith("50 % RB-1 + 45 % PA-1 + 5 % HE-2")
    said(BEER, f"saves {max(saved):.2f} EUR/hL", f"for {lost:.1f} degP less")
    points = -first.changes["apparent_attenuation_pct"].band.middle
    said(BEER, f"falls by {points:.1f} points")


AGEING = "ageing-programme"


def test_what_the_ageing_programme_says() -> None:
    a, b = (of_arm(programme.answered(), arm) for arm in "AB")
    new = of_arm(programme.answered("other-wood.csv"), "A-new")
    said(AGEING, f"| A | sweeter, no older: the panel is taken in, the markers are not | {a.verdict.value} |")
    said(AGEING, f"| {b.verdict.value} | scored like", f"| {new.verdict.value} |")
    assert "higher sweetness, no evidence of greater maturity" in a.sentence.lower()
    panel, chemistry = b.line("panel"), b.line("all markers")
    assert panel is not None and chemistry is not None
    assert panel.words.replace("95 % interval ", "") in readme(AGEING)
    assert f"chemistry agreed ({chemistry.estimate:.1f}, {chemistry.low:.1f} to {chemistry.high:.1f})" in readme(AGEING)


def test_the_ageing_programme_is_what_its_script_writes(tmp_path: Path) -> None:
    code = compile((EXAMPLES / AGEING / "make.py").read_text(encoding="utf-8"), "make", "exec")
    made: dict[str, object] = {"__name__": "make", "__file__": str(tmp_path / "make.py")}
    exec(code, made)
    made["main"]()  # type: ignore[operator]
    for name in ("ladder.csv", "arms.csv", "other-wood.csv"):
        assert (tmp_path / name).read_bytes() == (EXAMPLES / AGEING / name).read_bytes()


def test_the_excel_certificates_are_what_their_script_writes(tmp_path: Path) -> None:
    code = compile((EXAMPLES / "make_workbooks.py").read_text(encoding="utf-8"), "make_workbooks", "exec")
    made: dict[str, object] = {"__name__": "make_workbooks", "__file__": str(tmp_path / "make_workbooks.py")}
    exec(code, made)
    for house, write in ((GRAIN, "maize_rye_column"), (BEER, "raw_barley_beer")):
        (tmp_path / house).mkdir()
        made[write]()  # type: ignore[operator]
        again = read_lots(tmp_path / house / "certificates.xlsx").accepted()
        assert [(lot.lot_id, lot.analyses) for lot in again] == [(lot.lot_id, lot.analyses) for lot in lots(house)]
