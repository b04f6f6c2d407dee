"""The mash-house order adds up, says liquor and settled mash apart, and fits the house."""

import dataclasses

import pytest

from casework.full import answered_in_full, column_enquiry, grain_in, on_bench
from gristwright.basics import Band, Refused
from gristwright.casework.mash_house.change_over import between, change_over
from gristwright.casework.mash_house.order import mash_order
from gristwright.casework.mash_house.order_wash import ordered_yeast, widened
from gristwright.casework.mash_house.weighing import weighed_bill, weighings
from gristwright.documents.speech import speech
from gristwright.records.bill import Bill, Share
from gristwright.records.plant import Decoction, PlantRecord, Rest, Sparge, Water
from gristwright.stages.mash import heat
from gristwright.stages.mash.waters import usual_waters
from gristwright.stages.wash.lines import ceiling_degC
from scenario import answered, enquiry

LABELS = (("PD", "pale malt", 88.3), ("CM", "caramel malt", 11.1), ("RO", "roasted malt", 0.6))


def order_of(**plan):
    """The order of the tried offer in a house with another mash plan."""
    bench, answer = on_bench()
    plant = dataclasses.replace(bench.plant, mash=dataclasses.replace(bench.plant.mash, **plan))
    return mash_order(bench.with_plant(plant), enquiry(), answer.offers[2].result, "C", record=enquiry().record)


def counting(million_per_mL: float):
    """The bench of a house that counts its yeast."""
    bench = on_bench()[0].first(64)
    backs = dataclasses.replace(bench.plant.washbacks, pitch_million_per_mL=million_per_mL)
    return bench.with_plant(dataclasses.replace(bench.plant, washbacks=backs))


def said_of(order) -> list[str]:
    """Every step in English."""
    return [speech().say(step.what) for step in order.steps]


def test_weights_add_up_and_shares_are_told_anew() -> None:
    lines = weighings(LABELS, 2000, {"CM", "RO"})
    kg = {line.lot_id: line.kg for line in lines}
    # By hand: 222 kg is 9 bags of 25, 3 kg of 2000 more; 12 is under half a bag, so it is weighed out.
    assert kg == {"PD": 1763.0, "CM": 225.0, "RO": 12.0}
    assert sum(kg.values()) == pytest.approx(2000, abs=1e-9)
    assert sum(line.weighed_pct for line in lines) == pytest.approx(100, abs=1e-9)
    caramel = lines[1]
    assert (caramel.full, caramel.loose_kg, caramel.weighed_pct) == (9, 0.0, 11.25)


@pytest.mark.parametrize("bag_kg", [10.0, 25.0, 50.0])
@pytest.mark.parametrize("mash_kg", [412.0, 2000.0, 9000.0])
def test_kilograms_add_to_the_mash_whatever_the_bags(bag_kg: float, mash_kg: float) -> None:
    lines = weighings(LABELS, mash_kg, {"CM", "RO"}, bag_kg)
    assert sum(line.kg for line in lines) == pytest.approx(mash_kg, abs=1e-6)
    assert all(line.full * line.unit_kg + line.loose_kg == pytest.approx(line.kg) for line in lines)
    assert all(abs(line.kg - line.asked_kg) <= bag_kg for line in lines)


def test_a_bill_as_weighed_adds_up() -> None:
    bill = Bill("x", (Share("PD", 8830), Share("CM", 1110), Share("RO", 60)))
    weighed = weighed_bill(bill, weighings(LABELS, 1700, {"CM", "RO"}))
    assert sum(share.parts for share in weighed.shares) == 10_000


def test_steps_that_leave_nothing_are_refused() -> None:
    with pytest.raises(Refused, match="leave nothing"):
        weighings((("A", "a", 40.0), ("B", "b", 30.0), ("C", "c", 30.0)), 100, {"A", "B", "C"}, 60, rounding_pct=100.0)
    with pytest.raises(Refused, match="0 kg is not above zero"):
        weighings(LABELS, 2000, (), 0.0)


def test_bags_are_opened_where_they_would_move_the_share() -> None:
    """222 kg of 1000 are 3 kg from 9 bags: 0.3 points. Of 412 kg the 45.7 kg are 4.3 kg from 2 bags: 1.04 points."""
    near, far = (weighings(LABELS, kg, {"CM", "RO"})[1] for kg in (2000.0, 412.0))
    assert (near.full, near.loose_kg) == (9, 0.0)
    assert (far.full, far.kg, far.loose_kg) == (1, 45.7, pytest.approx(20.7))
    assert weighings(LABELS, 412.0, {"CM", "RO"}, rounding_pct=1.1)[1].kg == 50.0


def test_rounding_is_told_in_litres() -> None:
    exact, rough = order_of(), order_of(bag_kg=190.0, rounding_pct=0.5)
    assert exact.rounding.band == Band(0.0, 0.0, 0.0)
    # 200 kg becomes one bag of 190: half a point less caramel malt, which gives more litres; inside the house's spread.
    assert rough.rounding.band.middle == pytest.approx(-0.5 * one_percent_of_caramel(), rel=0.05)
    # Two points would move the litres by more than a quarter of that spread, whatever the plant file lets pass.
    far = order_of(bag_kg=160.0, rounding_pct=5.0)
    assert next(line for line in far.weighings if line.lot_id == "CM-120").loose_kg == 40.0
    assert far.rounding.band == Band(0.0, 0.0, 0.0)
    assert [line.key for line in far.bags] == ["order.bags", "order.loose"]


def one_percent_of_caramel() -> float:
    found = answered_in_full().sensitivity.one_percent
    return next(one.lpa_per_t.band.middle for one in found if one.lot_id == "CM-120")


def liquors(order):
    """The steps that let liquor in."""
    return [step for step in order.steps if step.litres is not None]


def test_liquor_and_settled_mash_are_two_temperatures() -> None:
    order = answered_in_full().order
    first = liquors(order)[0]
    ratio, rise = heat.slaking(order.grist_moisture_pct)
    assert first.settled_degC == 64.0
    # litres are printed to ten, which is a hundredth of a degree of the liquor
    by_hand = heat.liquor_degC(64, 15, first.litres / order.kg_per_mash, ratio, rise)
    assert first.liquor_degC == pytest.approx(float(by_hand), abs=0.02)
    assert all(step.liquor_degC > step.settled_degC for step in liquors(order))
    assert "third water" in said_of(order)[-2] and "next mash" in said_of(order)[-2]


def test_usual_waters_give_the_wort_of_the_house() -> None:
    waters = usual_waters(5000, 64, 757, 4.7)
    gives = heat.wort_of_waters_L_per_t(waters[0].L_per_kg + waters[1].L_per_kg, 757, 4.7)
    assert gives == pytest.approx(5000)


def test_the_house_own_waters_count_and_a_balance_that_fails_is_said() -> None:
    order = order_of(waters=(Water("first", 4.0, 64.0), Water("second", 2.5, 74.0)))
    assert [step.litres for step in liquors(order)] == [8000.0, 5000.0]
    assert "One of the two is not as written" in speech().say(order.balance[-1])


def test_the_balance_of_the_liquor_closes_as_it_is_printed() -> None:
    """Liquor + water of the grain + room of extract - held - evaporated = wort, of which the weak worts go on."""
    order = answered_in_full().order
    terms = {name: term.value for name, term in order.balance[0].terms}
    into = terms["liquor"] + terms["grain"] + terms["extract"]
    assert into - terms["held"] - terms["evaporated"] == terms["wort"]
    parted = {name: term.value for name, term in order.balance[1].terms if name in ("own", "weak")}
    assert sum(parted.values()) == terms["wort"]
    assert sum(step.litres for step in liquors(order)) == terms["liquor"]
    assert terms["held"] == 0.7 * order.kg_per_mash
    assert parted["own"] == pytest.approx(10_000, rel=0.01)


LAUTER = {
    "vessel": "lauter", "liquor_L_per_kg": 3.2, "settled_mash_degC": 63.0,
    "rests": (Rest(52.0, 10.0), Rest(63.0, 40.0), Rest(78.0, 5.0)),
    "sparges": (Sparge(1.2, 78.0), Sparge(0.8, 76.0, "next mash")),
}  # fmt: skip
SPARGED = (Sparge(1.2, 78.0), Sparge(1.0, 78.0, "next mash"))


def test_a_lauter_programme_has_its_liquors_and_its_clock() -> None:
    order = order_of(**LAUTER)
    # The liquor of a sparge comes back out of the balance as it was stated; that at mashing in is the handbook's.
    ratio, rise = heat.slaking(order.grist_moisture_pct)
    stated = (float(heat.liquor_degC(52.0, 15.0, 3.2, ratio, rise)), 78.0, 76.0)
    assert [step.liquor_degC for step in liquors(order)] == pytest.approx(stated)
    assert [step.litres for step in liquors(order)] == [6400.0, 2400.0, 1600.0]
    steps = [(step.at_min, what.replace("\u00a0", " ")) for step, what in zip(order.steps, said_of(order), strict=True)]
    assert steps == [
        (0.0, "Mash in the whole grist with the liquor"),
        (0.0, "Stand 10 min"),
        (10.0, "Heat the mash in its vessel to 63.0 °C, in 11 min"),
        (21.0, "Stand 40 min"),
        (61.0, "Heat the mash in its vessel to 78.0 °C, in 15 min"),
        (76.0, "Stand 5 min"),
        (81.0, "Pump the mash over to the lauter tun and let it settle"),
        (81.0, "Run off the first wort in about 40 min, about 6040 L, to the washback"),
        (121.0, "Begin the first sparge"),
        (121.0, "Run off the first sparge in about 40 min, about 2400 L, to the washback"),
        (161.0, "Begin the second sparge"),
        (161.0, "Run off the second sparge in about 40 min, about 1600 L, to the tank of weak worts: "
         "first liquor of the next mash"),
        (201.0, "All wort for the washback went through the cooler"),
    ]  # fmt: skip
    # 4.4 L/kg for the washback where 5000 L/t take 5.2: said, not mended.
    assert order.balance[-1].key == "order.balance_odd"


def test_aims_and_actions_follow_the_programme() -> None:
    keys = {name: {aim.key for aim in order_of(**plan).aims} for name, plan in (("rests", LAUTER), ("waters", {}))}
    assert "stand_min" in keys["waters"] - keys["rests"] and "weak_sg" in keys["waters"] & keys["rests"]
    asked = [(aim.aim, aim.low, aim.high) for aim in order_of(**LAUTER).aims if aim.key.startswith("rest_")]
    assert asked == [(52.0, 51.5, 52.5), (63.0, 62.5, 63.5), (78.0, 77.5, 78.5)]
    seen = {action.seen.key for action in order_of(**LAUTER).actions}
    assert "order.seen.rest_off" in seen and not seen & {"order.seen.too_hot", "order.seen.too_cold"}
    all_in = {**LAUTER, "sparges": (Sparge(1.2, 78.0), Sparge(0.8, 76.0))}
    assert "weak_sg" not in {aim.key for aim in order_of(**all_in).aims}


def test_weak_worts_are_as_strong_as_this_bill_makes_them() -> None:
    """By hand, a drained bed that holds 0.7 L/kg of the first wort, washed by so many litres that mix with it."""
    thin, thick = (
        {aim.key: aim for aim in order_of(sparges=SPARGED, liquor_L_per_kg=first).aims} for first in (4.0, 3.0)
    )
    assert thin["first_wort_sg"].aim < thick["first_wort_sg"].aim
    for aims in (thin, thick):
        first, weak = aims["first_wort_sg"].aim - 1.0, aims["weak_sg"].aim - 1.0
        assert weak == pytest.approx(first * 0.7 / 1.9 * 0.7 / 1.7, rel=0.25)
        assert aims["weak_sg"].high - aims["weak_sg"].low >= 0.004


def test_a_decoction_is_told_by_the_clock() -> None:
    rests = (Rest(50.0, 10.0), Rest(64.0, 30.0))
    order = order_of(vessel="lauter", liquor_L_per_kg=4.0, settled_mash_degC=64.0, rests=rests,
                     decoctions=(Decoction(1, 15.0),))  # fmt: skip
    told = order.steps[2]
    assert (told.at_min, told.settled_degC) == (10.0, 50.0)
    # 29 % of 2000 kg x (4 + 0.67) L/kg; 22 K, 10 min, 28 K and 15 min at 1 K/min.
    what = speech().say(told.what).replace("\u00a0", " ")
    assert what.startswith("Take 29 % of the mash out (thick), about 27")
    assert "hold it at 72.0 °C for 10 min and boil it 15 min; give it back 75 min after it was taken" in what
    assert [step.standing for step in liquors(order)] == ["measured", "common practice"]


def test_a_water_that_would_boil_is_refused() -> None:
    with pytest.raises(Refused, match="boils"):
        order_of(waters=(Water("first", 4.0, 64.0), Water("second", 0.4, 95.0)))


def test_gravity_has_limits_of_action_and_every_aim_its_standing() -> None:
    order = answered_in_full().order
    aims = {aim.key: aim for aim in order.aims}
    gravity = aims["original_gravity_sg"]
    offer = answered().offers[2].result.figures["original_gravity_sg"].band
    assert gravity.aim == offer.middle
    assert gravity.low < offer.low < offer.high < gravity.high
    assert aims["husk_pct"].aim == 20 and aims["grits_pct"].aim == 70 and aims["flour_pct"].aim == 10
    assert (aims["mash_pH"].low, aims["mash_pH"].high) == (5.2, 5.6)
    assert aims["peak_degC"].high == 34 and len([one for one in order.aims if one.key == "gravity_24_sg"]) == 1
    assert aims["wort_L"].aim == 10_000
    assert all(aim.standing and aim.source for aim in order.aims)
    seen = [speech().say(action.seen) for action in order.actions]
    assert any(f"{gravity.low:.4f}" in one for one in seen)


def test_the_fermentation_lines_are_those_of_the_simulated_wash() -> None:
    order = answered_in_full().order
    aims = {aim.key: aim for aim in order.aims}
    read = [aims[f"gravity_{hour}_sg"] for hour in (12, 24, 36, 48)]
    middles = [aims["original_gravity_sg"].aim, *(aim.aim for aim in read), aims["final_gravity_sg"].aim]
    assert middles == sorted(middles, reverse=True)
    assert all(aim.low < aim.aim < aim.high for aim in (*read, aims["warmed_24_degC"]))
    assert aims["peak_degC"].aim is None and "expected" in speech().say(aims["peak_degC"].words)
    assert 48.0 < aims["hours"].low <= aims["hours"].aim == 72
    seen = {action.seen.key: speech().say(action.seen) for action in order.actions}
    assert f"{aims['gravity_24_sg'].high:.4f}" in seen["order.seen.late_24"]
    assert "34.0" in seen["order.seen.warm_wash"]
    assert "order.seen.slow_start" not in seen


def test_yeast_is_told_as_cells_and_as_dry_matter() -> None:
    """15 million in each millilitre of 10 000 L are 150 x 10^12 cells; of 32 pg each 4.9 kg of dry matter.

    The house's record moves the middle of what is usual a little.
    """
    aims = {aim.key: aim for aim in answered_in_full().order.aims}
    assert aims["yeast_pitch"].aim == pytest.approx(15.0, abs=1.5)
    assert aims["yeast_kg"].aim == pytest.approx(4.9, abs=0.7)
    assert "× 10¹² cells" in speech().say(aims["yeast_kg"].words)
    counted = ordered_yeast(counting(5.0))
    assert (counted.million_per_mL.middle, counted.cells.middle, counted.stated) == (5.0, 50.0, True)


def test_a_stated_ceiling_is_the_line_to_act_on() -> None:
    backs = dataclasses.replace(column_enquiry().plant.washbacks, ceiling_degC=31.0)
    assert ceiling_degC(backs, False) == 31.0
    assert ceiling_degC(dataclasses.replace(backs, ceiling_degC=None), False) == 34.0


def test_one_mash_may_spread_like_the_record() -> None:
    """1.645 x 4.5 / 392 x 0.058 = 0.0011 beside a half band of 0.0009: 0.0014."""
    wide = widened(Band(1.0571, 1.058, 1.0589), PlantRecord(392, 4.5, 46), 1.0)
    assert wide.high - wide.middle == pytest.approx(0.00142, abs=0.00002)
    # Without a record mashes are taken to spread by 1 %: 1.645 x 0.01 x 0.058 = 0.00095.
    assert widened(Band(1.058, 1.058, 1.058), None, 1.0).high == pytest.approx(1.05895, abs=0.00001)


def test_special_malt_warns_of_the_pH_and_the_cautions_are_there() -> None:
    order = answered_in_full().order
    assert any(note.key == "order.note.dark" for note in order.notes)
    said = " ".join(speech().say(caution) for caution in order.cautions)
    assert "scald" in said and "Carbon dioxide" in said and "dust" in said


def test_a_grain_in_house_cooks_and_runs_nothing_off() -> None:
    order, plan = grain_in().order, column_enquiry().plant.mash
    assert not {aim.group for aim in order.aims} & {"run-off"}
    assert not {action.seen.key for action in order.actions} & {"order.seen.slow", "order.seen.stuck"}
    kg = sum(step.kg for step in order.steps if step.kg is not None)
    assert kg == pytest.approx(order.kg_per_mash)
    at = dict(zip((what.replace("\u00a0", " ") for what in said_of(order)), order.steps, strict=True))
    assert at["Hold the cook 30 min"].settled_degC == plan.cook_degC
    assert at["Raw rye RY-1 in"].settled_degC == 77.0
    heats = [step.settled_degC for step in order.steps if step.settled_degC is not None]
    hottest = heats.index(max(heats))
    assert heats[hottest:] == sorted(heats[hottest:], reverse=True)
    before = next(step for step in order.steps if step.why and step.why.key == "order.why.before_malt")
    assert plan.settled_mash_degC < before.settled_degC <= 66.7
    assert order.steps[-1].settled_degC == column_enquiry().plant.washbacks.set_degC


def test_backset_and_water_are_the_liquor() -> None:
    order = grain_in().order
    litres = {step.what.key: step.litres for step in liquors(order)}
    share = litres["order.step.backset"] / sum(litres.values())
    assert share == pytest.approx(column_enquiry().plant.mash.backset_pct / 100, abs=0.001)


def test_the_order_is_for_the_offer_to_be_tried_or_for_today() -> None:
    made = answered_in_full()
    assert made.recommendation.trial is not None
    assert made.order.bill == made.recommendation.trial.offer
    assert made.order.letter == "C"
    nothing = answered_in_full("impossible.toml")
    assert nothing.order.letter == "" and nothing.change_over is None
    assert nothing.order.bill == nothing.recommendation.present.bill.name


def test_the_recommendation_is_the_same_with_and_without_the_rest() -> None:
    assert answered_in_full().recommendation == answered()


def test_the_way_to_the_new_bill_is_even_and_can_be_weighed() -> None:
    bench, answer = on_bench()
    bill = answer.offers[2].result.bill
    half = between(enquiry().present, bill, 1, 2)
    assert {share.lot_id: share.parts for share in half.shares} == {"PD-1": 9500, "CM-120": 500}
    way = answered_in_full().change_over
    caramel = [next(w.kg for w in step.weighed if w.lot_id == "CM-120") for step in way.steps]
    assert caramel == [75.0, 125.0, 200.0]
    litres = [step.lpa_per_t.band.middle for step in way.steps]
    assert litres == sorted(litres, reverse=True)
    assert len(change_over(bench, enquiry().present, bill, 1).steps) == 1
    with pytest.raises(Refused, match="outside 1 to 20"):
        change_over(bench, enquiry().present, bill, 0)


def test_a_year_by_hand() -> None:
    today, *offers = answered_in_full().annual
    offer = offers[2]
    assert dict(offer.tonnes) == {"PD-1": 432.0, "CM-120": 48.0}
    # 480 t x 310 processing + 432 x 520 + 48 x 730
    assert offer.figures["annual_cost"].band.middle == pytest.approx(148_800 + 224_640 + 35_040)
    assert offer.figures["change_cost"].band.middle == pytest.approx(48 * (730 - 520))
    assert today.figures["annual_lpa"].band.middle == pytest.approx(
        480 * answered().present.figures["lpa_per_t"].band.middle, rel=1e-9
    )
    assert offer.figures["tonnes_for_same"].band.middle == pytest.approx(480 * 391.4 / 370.6, rel=0.003)
    assert offer.figures["same_litres"].band.low > 0.0
