"""Orders of houses and grists that are in no example: hot liquor from rest to rest, cookers, filters, a brewhouse.

Trade facts (what has husk, what lowers the pH, how a tun without heating gets from rest to rest) are common practice.
"""

from __future__ import annotations

import dataclasses
import re
from functools import cache
from typing import Any

import pytest

import houses
from gristwright.basics import Refused
from gristwright.casework.mash_house import ordered_alone
from gristwright.documents.order import order_view
from gristwright.documents.speech import LOCALES, speech
from gristwright.records.bill import Bill, Share
from gristwright.records.lot import Lot
from gristwright.records.order import MashOrder
from gristwright.records.plant import CookerPlan, Decoction, Plant, Rest, Sparge
from gristwright.records.said import Name
from gristwright.stages.mash import heat
from gristwright.stages.mash.infusion import liquors_L_per_kg

TYPES = {"OM-1": "oat_malt", "CH-1": "chocolate_malt", "PE-1": "peated_malt", "BS-1": "beech_smoked_malt"}
MORE = tuple(Lot(name, material) for name, material in TYPES.items())
RESTS = (Rest(52.0, 20.0), Rest(63.0, 40.0), Rest(72.0, 20.0))


@cache
def order(plant: Plant, *parts: tuple[str, float], beer: bool = False) -> MashOrder:
    bill = Bill("own", tuple(Share(lot, round(100 * pct)) for lot, pct in parts))
    sheet = houses.sheet(bill, plant)
    if beer:
        sheet = dataclasses.replace(sheet, purpose="beer", cask=None)
    return ordered_alone(sheet, (*houses.LOTS, *MORE), members=256)[0]


def words(made: MashOrder, language: str = "en") -> str:
    """Everything an order says."""
    view = order_view(made, {}, speech(language), alone=True)
    told = [step.what + " " + step.why for step in view.steps] + [f"{a.seen} {a.do}" for a in view.actions]
    told += [f"{aim.title} {aim.words}" for group in view.aims for aim in group.rows]
    return " ".join((*told, *view.bags, *view.balance, *view.notes, *view.cautions, *view.blanks, view.title))


def infused(**mash: Any) -> Plant:
    given: dict[str, Any] = {"rests": RESTS, "rest_liquor_degC": 95.0, "liquor_L_per_kg": 4.5} | mash
    return houses.tun("tun", **given)


# ------------------------------------------------------------------ rests by hot liquor


def test_hot_liquor_by_hand() -> None:
    """S = 0.4: (r + S) grows by 43/32 from 52 to 63 and by 32/23 from 63 to 72; at the end it is 4.9."""
    first, second, third = liquors_L_per_kg(RESTS, 4.5, 95.0, 0.4)
    assert first + second + third == pytest.approx(4.5)
    assert first == pytest.approx(4.9 / (43 / 32) / (32 / 23) - 0.4)
    assert (first + 0.4) * (63 - 52) == pytest.approx(second * (95 - 63))
    assert (first + second + 0.4) * (72 - 63) == pytest.approx(third * (95 - 72))


def test_a_tun_without_heating_is_brought_from_rest_to_rest_by_hot_liquor() -> None:
    made = order(infused(), ("PD-1", 70), ("OM-1", 30))
    liquors = [step for step in made.steps if step.litres is not None and step.at_min < 80.0]
    assert [step.what.key for step in liquors] == ["order.step.mash_in", "order.step.infuse", "order.step.infuse"]
    assert [(step.at_min, step.settled_degC) for step in liquors] == [(0.0, 52.0), (20.0, 63.0), (60.0, 72.0)]
    ratio = float(heat.slaking(made.grist_moisture_pct)[0])
    by_hand = [round(one * 2500.0, -1) for one in liquors_L_per_kg(RESTS, 4.5, 95.0, ratio)]
    assert [step.litres for step in liquors] == by_hand and liquors[1].liquor_degC == 95.0
    assert not any(step.what.key == "order.step.heat" for step in made.steps)
    assert "rest_off_infused" in " ".join(action.seen.key for action in made.actions)
    assert [aim.aim for aim in made.aims if aim.key.startswith("rest_")] == [52.0, 63.0, 72.0]


def test_the_same_rests_heated_are_said_to_be_heated() -> None:
    made = order(infused(rest_liquor_degC=None), ("PD-1", 70), ("OM-1", 30))
    assert sum(step.what.key == "order.step.heat" for step in made.steps) == 2
    assert "order.note.heated_tun" in [note.key for note in made.notes]


@pytest.mark.parametrize(
    ("mash", "said"),
    [
        ({"rests": ()}, "without rests"),
        ({"rest_liquor_degC": 73.0}, "is not reached by liquor of 73 degC"),
        ({"rest_liquor_degC": 80.0, "liquor_L_per_kg": 3.0}, "L/kg to mash in with"),
        ({"rests": RESTS[::-1]}, "is not hotter than the rest before it"),
        ({"decoctions": (Decoction(1, 10.0),)}, "beside decoctions"),
    ],
)
def test_hot_liquor_that_cannot_be_is_refused(mash: dict[str, Any], said: str) -> None:
    with pytest.raises(Refused, match=said):
        order(infused(**mash), ("PD-1", 70), ("OM-1", 30))


# ------------------------------------------------------------------ sieve and pH


def sieve(made: MashOrder) -> set[str]:
    return {aim.key for aim in made.aims if aim.group == "mill"}


def test_sieve_figures_are_those_of_husked_malt_on_a_bed() -> None:
    bed, figures = houses.tun("lauter"), {"husk_pct", "grits_pct", "flour_pct"}
    assert sieve(order(bed, ("PD-1", 100))) == {"mill_gap_mm"} | figures
    assert sieve(order(bed, ("PD-1", 60), ("WM-1", 40))) == {"mill_gap_mm", "bare_sieve"} | figures
    assert sieve(order(bed, ("RM-1", 80), ("CR-1", 20))) == {"mill_gap_mm", "bare_sieve"}
    assert sieve(order(houses.tun("filter"), ("PD-1", 100))) == {"mill_gap_mm", "filter_sieve"}
    assert not any(aim.aim for aim in order(houses.tun("filter"), ("PD-1", 100)).aims if aim.group == "mill")


def test_only_caramel_and_roast_lower_the_pH() -> None:
    """5 % of chocolate malt in a smoked bill are 5 %, not all of it; smoked pale malt is none."""
    plant = houses.tun()
    made = order(plant, ("PE-1", 55), ("BS-1", 40), ("CH-1", 5))
    note = next(note for note in made.notes if note.key == "order.note.dark")
    assert dict(note.terms)["share"].value == 5.0  # type: ignore[union-attr]
    assert "order.note.dark" not in [one.key for one in order(plant, ("PE-1", 60), ("BS-1", 40)).notes]


# ------------------------------------------------------------------ cookers, filters, a brewhouse


def test_a_house_without_a_cooker_hears_nothing_of_one() -> None:
    for made in (order(infused(), ("PD-1", 70), ("OM-1", 30)), order(houses.whole_mash(cook=None), ("RM-1", 100))):
        assert "cook" not in words(made).lower().replace("cooked through", "")
        assert "kocher" not in words(made, "de").lower()


def test_wheat_and_rye_cooked_and_lautered() -> None:
    plant = houses.tun("lauter", cook_degC=95.0, premalt_pct=4.0, cooker=CookerPlan(slurry_degC=50.0))
    made = order(plant, ("RW-1", 40), ("HE-1", 20), ("PD-1", 40))
    keys = [step.what.key for step in made.steps]
    assert keys[:4] == ["order.step.liquor", "order.step.grain", "order.step.grain", "order.step.heat_cook"]
    assert sum(step.kg or 0.0 for step in made.steps) == pytest.approx(made.kg_per_mash)
    seen = {action.seen.key for action in made.actions}
    assert {"order.seen.gelled", "order.seen.stuck", "order.seen.too_hot_cook"} <= seen
    assert "order.seen.too_hot" not in seen
    assert "hold_min" in {aim.key for aim in made.aims} and "stand_min" not in {aim.key for aim in made.aims}
    assert "order.step.run_off" in keys and not any("pressure" in one.key for one in made.cautions)
    hot = order(dataclasses.replace(plant, mash=dataclasses.replace(plant.mash, cook_degC=115.0)), ("RW-1", 40),
                ("HE-1", 20), ("PD-1", 40))  # fmt: skip
    assert "order.caution.pressure" in [one.key for one in hot.cautions]


def test_a_brewer_s_order_ends_at_the_kettle() -> None:
    plant = houses.brewhouse("lauter", rests=(Rest(63.0, 40.0), Rest(72.0, 20.0)), liquor_L_per_kg=3.2)
    made = order(plant, ("PD-1", 90), ("CM-1", 10), beer=True)
    assert made.brews and made.steps[-1].what.key == "order.step.kettle" and made.rounding is None
    told = words(made).lower()
    assert not [word for word in ("washback", "still", "spirit", "backset", "feints") if word in told]
    assert "gärbottich" not in words(made, "de").lower() and "würzepfanne" in words(made, "de").lower()
    assert {aim.group for aim in made.aims} == {"mill", "mash", "run-off", "wort"}


def test_a_filter_is_not_asked_for_rakes_or_a_bed() -> None:
    made = order(houses.tun("filter", rests=RESTS, liquor_L_per_kg=3.0, sparges=(Sparge(2.4, 78.0),)), ("PD-1", 100))
    assert "rake" not in words(made) and "order.seen.filter_stuck" in [action.seen.key for action in made.actions]


HOUSES = {
    "infused": (infused(), (("PD-1", 70), ("OM-1", 30)), False),
    "cooker": (houses.whole_mash(premalt_pct=2.0, backset_pct=20.0), (("MZ-1", 80), ("HE-1", 20)), False),
    "filter": (houses.tun("filter"), (("RM-1", 80), ("CR-1", 20)), False),
    "brewhouse": (houses.brewhouse(), (("PD-1", 88), ("CH-1", 12)), True),
}


@pytest.mark.parametrize("language", LOCALES)
@pytest.mark.parametrize("name", HOUSES)
def test_every_sentence_is_filled_in_both_languages(name: str, language: str) -> None:
    plant, parts, beer = HOUSES[name]
    told = words(order(plant, *parts, beer=beer), language)
    assert "{" not in told and "None" not in told and not re.search(r"order\.[a-z]", told)
    if language == "de":
        types = order(plant, *parts, beer=beer).weighings
        named = order_view(order(plant, *parts, beer=beer), {}, speech("de")).weighings
        for line, shown in zip(types, named, strict=True):
            assert shown.title.lower() == speech("de").name(Name("type", line.material)).lower()


def test_much_cold_malt_is_said_to_cool_the_cook_more_than_it_may_be_hot() -> None:
    """1775 kg of malt at 15 degC into some 8000 L: at 66.7 degC, the most malt bears, the mash falls under its 64."""
    plant = houses.tun("lauter", cook_degC=95.0, premalt_pct=4.0, cooker=CookerPlan(slurry_degC=50.0))
    made = order(plant, ("RW-1", 25), ("HE-1", 15), ("PD-1", 60))
    before = next(step for step in made.steps if step.why and step.why.key == "order.why.before_malt_capped")
    assert before.settled_degC == 66.7 and before.why is not None
    malt = sum(step.kg or 0.0 for step in made.steps if step.why and step.why.key == "order.why.malt")
    ratio = float(heat.slaking(made.grist_moisture_pct)[0])
    litres = next(step.litres for step in made.steps if step.litres is not None)
    held = litres + ratio * (made.kg_per_mash - malt)
    by_hand = (held * 66.7 + malt * ratio * 15.0) / (held + malt * ratio)
    assert dict(before.why.terms)["settled"].value == pytest.approx(by_hand, abs=0.05)  # type: ignore[union-attr]
