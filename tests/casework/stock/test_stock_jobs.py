"""Regauging, forecasting, filling and vatting on small invented stocks: orders, limits and sums that must hold."""

from __future__ import annotations

import datetime as dt
import itertools
from dataclasses import replace

import numpy as np
import pytest

from casework.stock.stock_sample import BARREL, COOL, ON, filled, gauged, line, stock
from gristwright.basics import Refused
from gristwright.casework import stock as casks
from gristwright.casework.stock import course as along
from gristwright.casework.stock import vatting
from gristwright.casework.stock.fill_for import FillAnswer
from gristwright.casework.stock.following import follow
from gristwright.casework.stock.forecast import HANDLING, RESTS_ON, Block, StockForecast, marks_of, totals
from gristwright.casework.stock.one_cask import one_cask
from gristwright.numerics.draws import middles
from gristwright.records.cask import CaskKind
from gristwright.records.stock import LedgerEntry, Rates, Stock
from gristwright.reference.load import priors
from gristwright.stages.cask import content, leak, model

RATES = Rates("EUR", (0, 3, 5, 8), (8.0, 12.0, 16.0, 24.0))
DRAWS = 64


def truth(loss: float, years: int) -> tuple[float, float]:
    """Litres and strength of a barrel of the sample after so many years at a loss of so many times the model's."""
    casks = stock(filled(2, "2016-03-01", "T")).casks
    convoy = along.convoy(casks, {"": COOL}, np.full((1, 1), loss), np.ones((1, 1)), middles(priors("cask")))
    start, end = along.days([dt.date(2016, 3, 1)]), along.days([dt.date(2016 + years, 3, 1)])
    state, _ = convoy.travel(along.filled_state(casks, 1), start, end, convoy.store_at([""]))
    litres, abv = content.volume_and_strength(state[0], state[1])
    return float(litres[0, 0]), float(abv[0, 0])


def gauges(cask: str, loss: float, *years: int) -> list[LedgerEntry]:
    lines = [filled(2, "2016-03-01", cask)]
    for year in years:
        litres, abv = truth(loss, year)
        lines.append(gauged(year, f"{2016 + year}-03-01", cask, round(litres, 1), round(abv, 1)))
    return lines


def small_stock() -> Stock:
    """Twelve casks, eight of them gauged, one leaking."""
    lines = [*gauges("L1", 4.0, 4, 8)]
    for k, loss in enumerate(np.linspace(0.75, 1.25, 7)):
        lines += gauges(f"G{k}", float(loss), 5)
    lines += [filled(2, "2016-03-01", f"U{k}") for k in range(2)]
    lines += [filled(2, f"202{k}-06-01", f"Y{k}", spirit="rye") for k in range(2)]
    return stock(*lines)


STOCK = small_stock()
KNOWN = casks.regauge(STOCK, DRAWS)
BY_ID = {finding.cask_id: finding for finding in KNOWN.casks}


def test_a_gauge_gives_back_the_loss_and_narrows_the_band() -> None:
    for k, loss in enumerate(np.linspace(0.75, 1.25, 7)):
        finding = BY_ID[f"G{k}"]
        assert finding.factor.low < loss < finding.factor.high
        assert finding.factor.width < 0.75 * finding.prior.width


def test_more_gauges_narrow_it_further() -> None:
    width = []
    for years in ((4,), (4, 7, 10)):
        found = casks.regauge(stock(*gauges("A", 1.1, *years)), DRAWS)
        width.append(found.casks[0].factor.width)
    assert width[1] < 0.75 * width[0]


def test_the_leaker_is_found_and_nothing_else() -> None:
    assert [finding.cask_id for finding in casks.leakers(KNOWN)] == ["L1"]
    assert BY_ID["L1"].leaking > 0.95
    assert max(finding.leaking for name, finding in BY_ID.items() if name != "L1") < 0.2


def test_a_higher_multiple_finds_fewer_leaks() -> None:
    low, high = (casks.regauge(STOCK, DRAWS, multiple=m).casks[0].leaking for m in (2.0, 8.0))
    assert low > high


def test_gauged_casks_teach_the_others_of_their_store() -> None:
    hot = [entry for k in range(8) for entry in gauges(f"H{k}", 1.45, 6)]
    found = casks.regauge(stock(*hot, filled(2, "2016-03-01", "U")), DRAWS)
    ungauged = next(finding for finding in found.casks if finding.cask_id == "U")
    assert ungauged.factor.middle > 1.2
    assert found.stores[0].factor.width < 0.5 * found.stores[0].prior.width


def test_a_gauge_that_fits_no_loss_is_named() -> None:
    odd = [filled(2, "2016-03-01", "A"), gauged(3, "2020-03-01", "A", 190.0, 49.0)]
    found = casks.regauge(stock(*odd), DRAWS)
    assert any("fits no loss" in problem.what for problem in found.problems)


def test_the_same_seed_gives_the_same_draws() -> None:
    again = casks.regauge(STOCK, DRAWS)
    assert np.array_equal(again.loss, KNOWN.loss)
    assert not np.array_equal(casks.regauge(STOCK, DRAWS, seed=2).loss, KNOWN.loss)


def test_measured_beats_model() -> None:
    """A cask gauged today is forecast from the gauge, whatever its age would have given."""
    lines = [filled(2, "2016-03-01", "A"), gauged(3, "2026-11-24", "A", 150.0, 55.0)]
    found = casks.forecast(stock(*lines), 5, casks.regauge(stock(*lines), DRAWS))
    assert found.rla_L[0].middle == pytest.approx(82.5, rel=0.01)
    assert found.rla_L[0].width < 0.03 * 82.5


@pytest.fixture(scope="module")
def years() -> StockForecast:
    return casks.forecast(STOCK, 10, KNOWN, RATES, casks.Bottling(46.0), each=True)


def test_parts_of_a_forecast_add_up(years: StockForecast) -> None:
    assert years.balance_error < 1e-9
    for k in range(11):
        by_age = sum(row[k] for row in years.by_age.values())
        assert years.rla_L[k].middle == pytest.approx(by_age, rel=0.01)
    assert len(years.by_cask) == 12
    assert set(years.by_spirit) == {"malt", "rye"}
    assert years.evaporated_L[0].middle == 0.0
    gone = sum(band.middle for band in years.evaporated_L)
    assert gone == pytest.approx(years.rla_L[0].middle - years.rla_L[-1].middle, rel=0.02)


def test_a_stock_only_falls_and_its_money_is_between_the_rates(years: StockForecast) -> None:
    middles_ = [band.middle for band in years.rla_L]
    assert all(a > b for a, b in itertools.pairwise(middles_))
    for gone, money in list(zip(years.evaporated_L, years.money, strict=True))[1:]:
        assert 8.0 * gone.middle < money.middle <= 24.001 * gone.middle


def test_bottles_follow_from_the_alcohol(years: StockForecast) -> None:
    most = years.rla_L[0].middle / (0.46 * 0.7)
    assert 0.95 * most < years.bottles[0].middle < most
    assert years.bottle_abv_pct == 46.0


def test_a_stock_too_weak_gives_no_bottles() -> None:
    weak = stock(filled(2, "2016-03-01", "A", abv_pct=42.0))
    found = casks.forecast(weak, 1, casks.regauge(weak, DRAWS), bottling=casks.Bottling(60.0))
    assert found.bottles[0].high == 0.0
    assert found.below_strength[0].middle == 1.0


def test_every_assumption_has_a_standing(years: StockForecast) -> None:
    assert {a.name for a in years.assumptions} == {*RESTS_ON, HANDLING}
    assert all(a.source for a in years.assumptions)


def test_samples_and_toppings_are_counted() -> None:
    plain = stock(filled(2, "2020-03-01", "A"))
    drawn = stock(filled(2, "2020-03-01", "A"), line(3, "2021-03-01", "A", "sampled", litres=10.0))
    topped = stock(filled(2, "2020-03-01", "A"), line(3, "2021-03-01", "A", "topped", litres=2.0, abv_pct=60.0))
    left = []
    for given in (plain, drawn, topped):
        found = casks.forecast(given, 1, casks.regauge(given, DRAWS))
        assert found.balance_error < 1e-9
        left.append(found.rla_L[0].middle)
    assert left[0] - left[1] == pytest.approx(6.2, abs=0.4)
    assert left[2] - left[0] == pytest.approx(1.2, abs=0.2)


def test_years_and_empty_stocks_are_refused() -> None:
    with pytest.raises(Refused, match="outside 1 to 60"):
        casks.forecast(STOCK, 61, KNOWN)
    with pytest.raises(Refused, match="no cask can be forecast"):
        casks.forecast(stock(), 5)


def test_a_stream_of_arrays_gives_what_the_records_give() -> None:
    """The way for a million casks, against the way for records, both at the reference run."""
    lines = [filled(2 + k, f"20{16 + k}-0{1 + k}-11", f"S{k}", litres=190.0 + k) for k in range(8)]
    given = stock(*lines)
    marks = marks_of(ON, 12)
    common = middles(priors("cask"))
    one = np.ones((8, 1))
    run = follow(given.casks, given.climates, one, one, common, marks, 1)
    area, litres = np.full(8, content.pass_m2(BARREL)), np.array([cask.fill_L for cask in given.casks])
    shell = model.Shell(area, area, np.zeros(8, dtype=np.bool_), litres, np.full(8, 63.5))
    filled_on = along.days([cask.filled for cask in given.casks])
    block = Block(shell, filled_on, np.zeros(8, dtype=np.int64), np.ones(8))
    found = totals([block, block], [COOL], marks)
    assert found.sum(axis=0) == pytest.approx(2.0 * content.lpa_from_kg(run.ethanol_kg).sum(axis=(1, 2)), rel=1e-9)


def test_one_cask_in_full() -> None:
    found = one_cask(STOCK, "L1", 20, KNOWN)
    assert found.losses is not None
    assert found.losses.alcohol_of_remaining.middle > found.losses.alcohol_of_original.middle
    assert found.losses.alcohol_of_original.middle > found.losses.bulk_of_original.middle
    assert found.floor_year is not None
    assert found.floor_chance > 0.9
    assert 0.6 < found.neutral_humidity < 0.75 < found.store_humidity
    assert found.next_gauge == dt.date(2026, 12, 25)
    assert "leaks" in found.next_gauge_why
    assert {marker.standing for marker in found.markers} == {"from memory"}


def test_one_cask_is_the_same_alone_and_in_its_stock(years: StockForecast) -> None:
    alone = [band.middle for band in one_cask(STOCK, "G3", 10, KNOWN).rla_L]
    assert alone == pytest.approx([band.middle for band in years.by_cask["G3"]])


def test_a_cask_that_holds_is_gauged_later_and_keeps_its_strength() -> None:
    found = one_cask(STOCK, "G0", 10, KNOWN)
    assert found.floor_year is None or found.floor_chance < 0.1
    assert found.next_gauge <= dt.date(2027, 1, 1)


def test_a_small_cask_has_a_loss_and_no_wood() -> None:
    octave = CaskKind("octave", 50.0, 22.0)
    given = stock(filled(2, "2022-03-01", "O", litres=50.0, kind=octave))
    found = one_cask(given, "O", 5, casks.regauge(given, DRAWS))
    assert found.markers == ()
    assert "not comparable" in found.no_markers


def test_new_oak_that_is_not_charred_and_other_woods_have_no_markers() -> None:
    for kind in (replace(BARREL, charred=False, prior_contents=""), replace(BARREL, wood="chestnut")):
        given = stock(filled(2, "2022-03-01", "N", kind=kind))
        found = one_cask(given, "N", 5, casks.regauge(given, DRAWS))
        assert found.markers == ()
        assert found.markers_on is None
        assert "known here" in found.no_markers


def test_a_cask_that_runs_dry_has_no_strength_and_its_markers_stop() -> None:
    """The few draws that are not dry yet are the tight ones: their strength is not the cask's."""
    given = stock(*gauges("D", 9.0, 3))
    found = one_cask(given, "D", 20, casks.regauge(given, DRAWS))
    dry = [not np.isfinite(band.middle) for band in found.abv_pct]
    assert dry == sorted(dry)
    assert dry[-1]
    assert found.markers_on is not None
    assert found.markers_on < found.marks[-1]
    assert found.floor_abv_pct == 40.0


def test_a_cask_that_is_not_there_is_named() -> None:
    with pytest.raises(Refused, match="Did you mean"):
        one_cask(STOCK, "L11", 5, KNOWN)
    gone = stock(filled(2, "2016-03-01", "A"), line(3, "2020-01-01", "A", "emptied"), filled(4, "2020-01-01", "B"))
    with pytest.raises(Refused, match="was emptied on 2020-01-01"):
        one_cask(gone, "A", 5)


WANTED = casks.Wanted(5000, 46.0, dt.date(2035, 12, 31))
ANY = CaskKind("barrel", 200.0, fill_number=2)


def answer(wanted: casks.Wanted = WANTED, kind: CaskKind = ANY) -> FillAnswer:
    return casks.fill_for(wanted, [kind], COOL, 63.5, ON)[0]


def test_enough_casks_and_no_fewer() -> None:
    found = answer()
    floor = 5000 * 0.7 * 0.46 / 127.0
    assert floor < found.at_half <= found.casks <= found.at_most < 1.6 * floor
    assert found.casks * found.rla_per_cask_L.middle > found.needed_lpa_L


def test_more_is_needed_for_more_bottles_more_strength_more_time_and_more_certainty() -> None:
    base = answer().casks
    assert answer(replace(WANTED, bottles=10000)).casks >= 2 * base - 2
    assert answer(replace(WANTED, abv_pct=50.0)).casks > base
    assert answer(replace(WANTED, on=dt.date(2040, 12, 31))).casks > base
    assert answer(replace(WANTED, chance=0.5)).casks < answer(replace(WANTED, chance=0.98)).casks


def test_a_large_order_follows_from_the_mean() -> None:
    many = answer(replace(WANTED, bottles=500_000))
    assert many.casks / answer().casks == pytest.approx(100.0, rel=0.08)


def test_a_strength_the_casks_fall_below_is_said() -> None:
    found = answer(replace(WANTED, abv_pct=62.0))
    assert found.strong_enough < 0.1
    assert any("%vol with a probability" in text for text in found.warnings)


def test_regauges_of_like_casks_teach_what_to_fill() -> None:
    """Casks of the store that lost half as much again ask for more casks, and surer; another wood teaches nothing."""
    lines = [text for k in range(12) for text in gauges(f"G{k}", 1.5, 4, 8)]
    given = stock(*lines)
    known = casks.learn(given, "Low", "oak")
    assert known is not None
    assert known.learned.gauged == 12
    assert known.learned.factor.middle == pytest.approx(1.5, rel=0.1)
    assert known.learned.factor.width < 0.5 * known.learned.prior.width
    assert known.learned.leaker_share < 0.02
    plain = answer()
    taught = casks.fill_for(WANTED, [ANY], COOL, 63.5, ON, 1, {"oak": known})[0]
    assert taught.learned == known.learned
    assert plain.learned is None
    assert taught.rla_per_cask_L.middle < plain.rla_per_cask_L.middle
    assert taught.at_most - taught.at_half < plain.at_most - plain.at_half
    assert taught.casks > plain.at_half
    named = casks.learn(given, "Low", "American Oak")
    assert named is not None
    assert named.learned == replace(known.learned, wood="American Oak")
    assert casks.learn(given, "Low", "chestnut") is None
    assert casks.learn(given, "High", "oak") is None


def test_leakers_found_raise_the_share_believed() -> None:
    assert leak.leaker_share(0.0, 200) < leak.leaker_share(1.0, 100) < leak.leaker_share(8.0, 100) < 0.1


def test_before_three_years_is_said() -> None:
    assert any("3 years in wood" in text for text in answer(replace(WANTED, on=dt.date(2028, 1, 1))).warnings)


def test_what_cannot_be_asked_is_refused_all_at_once() -> None:
    bad = casks.Wanted(0, 20.0, dt.date(2020, 1, 1), chance=1.2)
    with pytest.raises(Refused) as caught:
        casks.fill_for(bad, [ANY], COOL, 95.0, ON)
    assert len(caught.value.problems) == 5


def test_a_vatting_is_enough_and_the_cheapest_by_hand() -> None:
    """Among all choices of the eight oldest, none that is enough at the middle costs less."""
    wanted = vatting.Vat(litres=500.0, abv_pct=46.0, youngest_years=8, chance=0.5)
    found = vatting.vat(STOCK, wanted, RATES, KNOWN)
    rows, years, _ = vatting.fitting(STOCK, wanted)
    casks = vatting._candidates(STOCK, RATES, rows, years, KNOWN)
    cheapest = min(
        casks.worth[list(some)].sum()
        for number in range(1, len(casks.names) + 1)
        for some in itertools.combinations(range(len(casks.names)), number)
        if casks.lpa[list(some)].sum() >= 230.0
    )
    assert found.chance >= 0.5
    assert found.value_taken >= cheapest - 1e-6
    assert found.value_taken <= cheapest * 1.35
    assert found.rla_L.middle >= 229.0
    picked = vatting._solve(casks, wanted, 230.0, vatting.GAP)
    assert picked is not None
    assert casks.worth[picked].sum() == pytest.approx(cheapest, rel=2e-4)


def test_a_vatting_keeps_age_and_spirit() -> None:
    wanted = vatting.Vat(100.0, 50.0, 3, ("rye",))
    found = vatting.vat(STOCK, wanted, RATES, KNOWN)
    assert set(found.casks) <= {"Y0", "Y1"}
    assert found.youngest_years >= 3
    assert found.mixed_abv_pct > 50.0
    assert found.water_L > 0.0


def test_a_vatting_brings_a_weak_cask_up_with_a_strong_one() -> None:
    weak = [filled(2, "2016-03-01", "W", abv_pct=45.0), filled(3, "2016-03-01", "S", abv_pct=66.0)]
    given = stock(*weak)
    found = vatting.vat(given, vatting.Vat(300.0, 46.0, 3, chance=0.5), RATES, casks.regauge(given, DRAWS))
    assert found.casks == ("W", "S")
    assert found.mixed_abv_pct > 46.0


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        (vatting.Vat(50_000.0, 46.0, 3), "the casks that fit hold"),
        (vatting.Vat(100.0, 46.0, 30), "is 30 years old"),
        (vatting.Vat(100.0, 46.0, 3, ("gin",)), "'gin' does not lie in the stock"),
        (vatting.Vat(-1.0, 20.0, 3), "-1 L is not above 0"),
        (vatting.Vat(900.0, 66.0, 3), "no choice of casks gives"),
    ],
)
def test_a_vatting_that_cannot_be_is_refused(wanted: vatting.Vat, words: str) -> None:
    with pytest.raises(Refused, match=words):
        vatting.vat(STOCK, wanted, RATES, KNOWN)
