"""Heat duties of a mash: sums by hand, the balance of all heat, the liquors of the heat balance, what is refused."""

from dataclasses import replace

import numpy as np
import pytest

from gristwright.basics import FloatArray, Refused
from gristwright.records.mash import NEXT_MASH, Charge, Corner, MashGrain, MashProgramme
from gristwright.records.plant import Water
from gristwright.stages.mash import heat
from gristwright.stages.mash.duty import MashDuty, kWh, mash_duty, per_mash_MJ
from gristwright.stages.mash.programme import cooker, programmed_rests, single_infusion
from stages.mash.mash_sample import malt, raw

C = 4.1855
RATIO, RISE = (float(x) for x in heat.slaking(4.5))  # 0.4025 and 1.45 K: the malt of the sample
WATERS = (Water("first", 4.0, 64.0), Water("second", 1.6, 72.0), Water("third", 3.0, 85.0))
INFUSION = single_infusion(["malt"], WATERS)
COOK = cooker(["raw"], ["malt"], 110.0, 30.0, 3.2, premalt=("malt", 0.1), backset_pct=20.0, slurry_degC=50.0)
BILL = [raw("maize", 0.85), malt(0.15)]
RESTS = programmed_rests(["malt"], [(50.0, 15.0), (64.0, 40.0), (72.0, 20.0), (62.0, 10.0)], 3.5)


def test_one_rest_by_hand() -> None:
    """4 L/kg, grist at 15 degC of S 0.4025 and rise 1.45 K, settled at 64, cold water at 10, washback at 20 degC.

    Liquor 64 + 0.100625 x 49 - 1.100625 x 1.45 = 67.3347; 4 x 57.3347 x 4.1855 = 959.9; 4.4025 x 44 x 4.1855 = 810.8.
    """
    duty = mash_duty(programmed_rests(["malt"], [(64.0, 60.0)], 4.0), [malt()], 20.0)
    assert duty.liquors[0].liquor_degC.item() == pytest.approx(67.3347, abs=1e-4)
    assert duty.heating_MJ_per_t.item() == pytest.approx(959.9, abs=0.05)
    assert duty.cooling_MJ_per_t.item() == pytest.approx(810.8, abs=0.05)
    assert duty.ramps_up_MJ_per_t == duty.ramps_down_MJ_per_t == duty.returned_MJ_per_t == 0.0


def test_ramps_by_hand() -> None:
    """Up 14 and 8 K, down 10 K, of 3.5 + 0.4025 litres of water for each kilogram."""
    duty = mash_duty(RESTS, [malt()], 20.0)
    assert duty.ramps_up_MJ_per_t.item() == pytest.approx(22 * 3.9025 * C)
    assert duty.ramps_down_MJ_per_t.item() == pytest.approx(10 * 3.9025 * C)


def test_cold_malt_takes_its_heat_from_the_cooling() -> None:
    """Cook at 110 to 63 degC; then 0.9 x 0.15 kg of malt at 15 degC take 48 K x 0.4025 each."""
    duty = mash_duty(COOK, BILL, 30.0)
    maize = float(heat.slaking(13.0)[0])
    slurry = 3.2 + 0.85 * maize + 0.015 * RATIO
    assert duty.ramps_up_MJ_per_t.item() == pytest.approx(slurry * 60 * C)
    assert duty.ramps_down_MJ_per_t.item() == pytest.approx((slurry * 47 - 0.135 * RATIO * 48) * C)


def test_cold_malt_after_a_rest_must_be_warmed() -> None:
    corners = (Corner(0.0, 63.0), Corner(30.0, 63.0), Corner(60.0, 63.0))
    charges = (Charge(0.0, 4.0, (("raw", 1.0),)), Charge(30.0, 0.0, (("malt", 1.0),)))
    duty = mash_duty(MashProgramme("late malt", corners, charges), BILL, 20.0)
    assert duty.ramps_up_MJ_per_t.item() == pytest.approx(0.15 * RATIO * 48 * C)
    assert duty.ramps_down_MJ_per_t == 0.0


def test_liquors_are_those_of_the_heat_balance() -> None:
    duty = mash_duty(INFUSION, [malt()], 20.0, vessel_loss_K=1.0)
    first, second, third = (liquor.liquor_degC.item() for liquor in duty.liquors)
    assert first == pytest.approx(heat.liquor_degC(64.0, 15.0, 4.0, RATIO, RISE, 1.0).item(), abs=1e-9)
    assert second == pytest.approx(heat.later_liquor_degC(72.0, 64.0, 1.6).item(), abs=1e-9)
    assert third == pytest.approx(heat.later_liquor_degC(85.0, 72.0, 3.0).item(), abs=1e-9)


def test_weak_worts_bring_their_heat_back() -> None:
    """3 L/kg drawn at 85 degC bring 3 x 75 K; without them the hot-liquor duty is so much larger."""
    duty = mash_duty(INFUSION, [malt()], 20.0)
    cold = replace(INFUSION, charges=tuple(replace(charge, weak_worts=False) for charge in INFUSION.charges))
    assert duty.returned_MJ_per_t.item() == pytest.approx(3 * 75 * C)
    without = mash_duty(cold, [malt()], 20.0)
    assert (without.hot_liquor_MJ_per_t - duty.hot_liquor_MJ_per_t).item() == pytest.approx(3 * 75 * C)


def test_weak_worts_hotter_than_the_liquor_are_cooled() -> None:
    waters = (Water("first", 3.0, 64.0), Water("second", 2.0, 72.0), Water("third", 6.0, 90.0))
    duty = mash_duty(single_infusion(["malt"], waters), [malt()], 20.0)
    liquor = heat.liquor_degC(64.0, 15.0, 3.0, RATIO, RISE).item()
    assert duty.returned_MJ_per_t.item() == pytest.approx(3 * 80 * C)  # no more than the first liquor
    assert duty.liquor_cooling_MJ_per_t.item() == pytest.approx(3 * (90 - liquor) * C)


def end_heat(programme: MashProgramme, grist_L: FloatArray, set_degC: float) -> FloatArray:
    """Heat over 0 degC of washback, weak worts and bed, litres of water times K per kilogram of grist."""
    litres = sum(charge.liquor_L_per_kg for charge in programme.charges)
    if not programme.draw_offs:
        return np.asarray((litres + grist_L) * set_degC)
    bed, total, at = 0.7 + 0.2 * 0.38, np.zeros(()), dict.fromkeys(["temperature"], 0.0)
    for number, (draw, charge) in enumerate(zip(programme.draw_offs, programme.charges, strict=True)):
        drawn = charge.liquor_L_per_kg + (grist_L - bed if number == 0 else 0.0)
        at["temperature"] = next(c.settled_degC for c in programme.corners if c.at_min == draw.at_min)
        total = total + drawn * (at["temperature"] if draw.goes_to == NEXT_MASH else set_degC)
    return np.asarray(total + bed * at["temperature"])


def brought(programme: MashProgramme, grains: list[MashGrain], duty: MashDuty, cold: float, loss: float) -> FloatArray:
    """Heat over 0 degC of what went in, with slaking and the duties."""
    ratios = {grain.key: grain.share * heat.slaking(grain.moisture_pct)[0] for grain in grains}
    rises = {grain.key: heat.slaking(grain.moisture_pct)[1] for grain in grains}
    shares = {grain.key: grain.share for grain in grains}
    first = programme.charges[0]
    weight = sum(part * shares[key] for key, part in first.grains)
    rise = sum(part * shares[key] * rises[key] for key, part in first.grains) / weight
    standing = first.liquor_L_per_kg + sum(part * ratios[key] for key, part in first.grains)
    water = cold * sum(charge.liquor_L_per_kg for charge in programme.charges)
    grist = programme.grist_degC * sum(ratios.values())
    given = duty.hot_liquor_MJ_per_t + duty.returned_MJ_per_t + duty.ramps_up_MJ_per_t - duty.cooling_MJ_per_t
    return np.asarray(water + grist + standing * (rise - loss) + given / C)


@pytest.mark.parametrize("programme", [INFUSION, RESTS, COOK], ids=["infusion", "rests", "cooker"])
def test_all_heat_is_accounted_for(programme: MashProgramme) -> None:
    """The sum of all enthalpies, worked out apart from the course of the mash, for members of unlike moisture."""
    moist = np.linspace(2.0, 9.0, 5)
    whole = programme is not COOK
    grains = [replace(malt(1.0 if whole else 0.15), moisture_pct=moist)]
    grains += [] if whole else [replace(raw("maize", 0.85), moisture_pct=moist + 5)]
    duty = mash_duty(programme, grains, 21.0, 8.0, 0.0 if whole else 1.5, 85.0)
    grist = np.asarray(sum(grain.share * heat.slaking(grain.moisture_pct)[0] for grain in grains))
    went_in = brought(programme, grains, duty, 8.0, 0.0 if whole else 1.5)
    assert duty.hot_liquor_MJ_per_t.shape == (5,)
    assert went_in == pytest.approx(end_heat(programme, grist, 21.0), rel=1e-9)


def test_hot_backset_saves_hot_liquor() -> None:
    """A fifth of 3.2 L/kg, 75 K over cold water."""
    cold, hot = (mash_duty(COOK, BILL, 30.0, backset_degC=degC) for degC in (None, 85.0))
    saved = cold.hot_liquor_MJ_per_t - hot.hot_liquor_MJ_per_t
    assert saved.item() == pytest.approx(0.2 * 3.2 * 75 * C)
    assert hot.returned_MJ_per_t.item() == pytest.approx(saved.item())


def test_plain_numbers_will_do() -> None:
    grain = MashGrain("malt", "barley", True, 1.0, 0.62, 0.05, 0.11, 4.5)  # type: ignore[arg-type]
    duty = mash_duty(INFUSION, [grain], 20.0)
    assert duty.hot_liquor_MJ_per_t.shape == ()
    assert duty.heating_MJ_per_t == pytest.approx(mash_duty(INFUSION, [malt()], 20.0).heating_MJ_per_t.item())


def test_a_mash_and_kilowatt_hours() -> None:
    """A kilowatt-hour is 3.6 MJ by definition."""
    assert per_mash_MJ(900.0, 2000.0) == 1800.0
    assert kWh(1800.0) == 500.0


def test_a_liquor_that_boils_is_refused() -> None:
    waters = (Water("first", 2.0, 64.0), Water("second", 0.3, 85.0))
    with pytest.raises(Refused, match="it boils at 100"):
        mash_duty(single_infusion(["malt"], waters), [malt()], 20.0)
