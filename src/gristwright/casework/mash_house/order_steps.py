"""The steps of a mash by the clock, read off the programme that is simulated. See docs/order.md."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from gristwright.basics import Standing
from gristwright.casework.mash_house import order_cook
from gristwright.casework.mash_house.order_liquor import (
    BALANCE,
    OWN,
    Basis,
    Mashing,
    later_basis,
    litres_of,
    mashing_in_basis,
    mashing_in_degC,
    onto_bed_degC,
    place,
    readable_L,
    weak_L,
    wort_litres,
)
from gristwright.flowsheet.setting_out import in_waters
from gristwright.records.mash import WASHBACK, Charge, Corner, DrawOff, TakenOut
from gristwright.records.order import MashStep
from gristwright.records.plant import WATERS
from gristwright.records.said import Amount, Said, said
from gristwright.stages.mash.decoction import BOILS_DEGC
from gristwright.stages.mash.room import SOLIDS_L_PER_KG

PROGRAMME: Basis = (Standing.DERIVED.value, "the programme that is simulated")


def mash_steps(mash: Mashing) -> tuple[MashStep, ...]:
    """Every liquor, grain, ramp, stand, decoction and run-off in the order of the clock. Raises Refused."""
    return tuple(_steps(mash))


def _steps(mash: Mashing) -> Iterator[MashStep]:
    programme = mash.programme
    draws = {round(draw.at_min, 6): draw for draw in programme.draw_offs}
    out = {round(one.at_min, 6): one for one in programme.decoctions}
    waiting = list(programme.charges)
    for a, b in pairwise(programme.corners):
        if b.at_min - a.at_min < 1e-6:
            continue
        while waiting and waiting[0].at_min <= a.at_min + 1e-6:
            yield from _put_in(mash, waiting.pop(0), a)
        taken = out.get(round(a.at_min, 6))
        if taken is not None and a.settled_degC == b.settled_degC:
            yield _decoction(mash, taken, a)
        elif (draw := draws.get(round(b.at_min, 6))) is not None:
            yield from _stand_and_draw(mash, draw, a, b)
        elif a.settled_degC == b.settled_degC:
            yield _stand(mash, a, b)
        else:
            yield _ramp(mash, a, b)
    for charge in waiting:
        yield from _put_in(mash, charge, programme.corners[-1])
    yield _end(mash)


def _plain(
    at_min: float, what: Said, settled: float | None, why: Said | None = None, own: Basis = PROGRAMME
) -> MashStep:
    return MashStep(at_min, what, None, None, None, settled, why, *own)


def _put_in(mash: Mashing, charge: Charge, at: Corner) -> Iterator[MashStep]:
    """Liquor and grain that go in at one time."""
    if mash.bench.plant.grain_cooked and charge.grains:
        yield from order_cook.into_cooker(mash, charge, at)
    elif charge.grains:
        yield from _mash_in(mash, charge, at)
    elif not any(draw.at_min <= charge.at_min + 1e-6 for draw in mash.programme.draw_offs):
        yield _infused(mash, charge, at)
    else:
        yield _later_liquor(mash, charge, at)


def _mash_in(mash: Mashing, charge: Charge, at: Corner) -> Iterator[MashStep]:
    """The whole grist at once. Backset goes in with the water."""
    litres, liquor = litres_of(mash, charge.liquor_L_per_kg), mashing_in_degC(mash, charge, at.settled_degC)
    kg, basis = mash.plan.kg_per_mash, mashing_in_basis(mash)
    if mash.plan.backset_pct > 0.0:
        yield from order_cook.water_and_backset(mash, litres, liquor)
        why = said("order.why.stir")
        yield MashStep(0.0, said("order.step.grist_in"), kg, None, None, at.settled_degC, why, *basis)
        return
    why = said("order.why.settle")
    if charge.weak_worts:
        why = said("order.why.weak", litres=Amount(weak_L(mash), "L"))
    yield MashStep(0.0, said("order.step.mash_in"), kg, litres, liquor, at.settled_degC, why, *basis)


def _infused(mash: Mashing, charge: Charge, at: Corner) -> MashStep:
    """Hot liquor in place of heating."""
    litres, why = litres_of(mash, charge.liquor_L_per_kg), said("order.why.infused")
    what, hot = said("order.step.infuse"), mash.plan.rest_liquor_degC
    return MashStep(charge.at_min, what, None, litres, hot, at.settled_degC, why, *BALANCE)


def _later_liquor(mash: Mashing, charge: Charge, at: Corner) -> MashStep:
    """A later water, or a sparge, onto the drained bed."""
    before = [c.settled_degC for c in mash.programme.corners if c.at_min <= charge.at_min + 1e-6][-2]
    drawn = sorted(draw.at_min for draw in mash.programme.draw_offs)
    number = sum(one <= charge.at_min + 1e-6 for one in drawn)
    litres, liquor = litres_of(mash, charge.liquor_L_per_kg), onto_bed_degC(at.settled_degC, before, charge)
    if in_waters(mash.bench.plant):
        name = WATERS[number]
        what, why = said("order.step.water", water=Said(f"order.water.{name}")), Said(f"order.why.water.{mash.vessel}")
    else:
        name = WATERS[number - 1]
        what, why = (
            said("order.step.sparge", sparge=Said(f"order.sparge.{name}")),
            Said(f"order.why.sparge.{mash.vessel}"),
        )
    basis = later_basis(mash, name)
    return MashStep(charge.at_min, what, None, litres, liquor, at.settled_degC, why, *basis)


def _stand_and_draw(mash: Mashing, draw: DrawOff, a: Corner, b: Corner) -> Iterator[MashStep]:
    """A wort run off; a water stands before."""
    minutes = min(mash.plan.run_off_min, b.at_min - a.at_min)
    start = b.at_min - minutes
    if start - a.at_min > 1e-6:
        yield _stand(mash, a, Corner(start, a.settled_degC))
    first = draw.at_min == min(one.at_min for one in mash.programme.draw_offs)
    if first and (over := _pumped_over(mash, start, b.settled_degC)):
        yield over
    litres = wort_litres(mash)[draw.name]
    wort = Said(f"order.wort.{draw.name.replace(' ', '_')}")
    what = said("order.step.run_off", wort=wort, minutes=Amount(minutes, "min"), litres=Amount(readable_L(litres), "L"),
                to=place(mash, draw.goes_to))  # fmt: skip
    yield _plain(start, what, b.settled_degC, Said(f"order.why.run_off.{mash.vessel}") if first else None)


def _pumped_over(mash: Mashing, at_min: float, degC: float) -> MashStep | None:
    """A mash made in a vessel of its own goes to the lauter tun or the filter before it is run off."""
    if mash.plan.vessel == "tun":
        return None
    return _plain(at_min, Said(f"order.step.over.{mash.plan.vessel}"), degC, said("order.why.over"))


def _stand(mash: Mashing, a: Corner, b: Corner) -> MashStep:
    minutes = Amount(b.at_min - a.at_min, "min")
    own = OWN if mash.plan.rests or mash.plan.stand_min is not None or mash.plan.cooker is not None else PROGRAMME
    if a.settled_degC == mash.plan.cook_degC:
        return order_cook.held(mash, a, minutes)
    why = said("order.why.iodine") if abs(b.at_min - _converted_min(mash)) < 1e-6 else None
    return _plain(a.at_min, said("order.step.stand", minutes=minutes), a.settled_degC, why, own)


def _converted_min(mash: Mashing) -> float:
    """When run-off begins, or the whole mash is cooled."""
    drawn = [draw.at_min for draw in mash.programme.draw_offs]
    return min(drawn) - mash.plan.run_off_min if drawn else mash.programme.end_min


def _ramp(mash: Mashing, a: Corner, b: Corner) -> MashStep:
    minutes = Amount(b.at_min - a.at_min, "min")
    if mash.bench.plant.grain_cooked:
        return order_cook.ramp(mash, a, b, minutes)
    degC = Amount(b.settled_degC, "degC", 1)
    if b.settled_degC < a.settled_degC:
        return _plain(a.at_min, said("order.step.cool", degC=degC, minutes=minutes), b.settled_degC)
    what = said("order.step.heat", degC=degC, minutes=minutes)
    return _plain(
        a.at_min, what, b.settled_degC, said("order.why.heat", ramp=Amount(mash.plan.ramp_K_per_min, "K/min", 1))
    )


def _decoction(mash: Mashing, taken: TakenOut, at: Corner) -> MashStep:
    """A decoction in words: what is taken out, what is done with it, when it is back."""
    whole = mash.plan.kg_per_mash * (mash.programme.mashed_in_L_per_kg + SOLIDS_L_PER_KG)
    pairs = [(a, b.at_min - a.at_min) for a, b in pairwise(taken.corners) if a.settled_degC == b.settled_degC]
    held = tuple(_held(corner.settled_degC, minutes) for corner, minutes in pairs if minutes > 0.0)
    what = said(
        "order.step.decoction",
        share=Amount(taken.share_pct, "%"),
        part=said("order.part.thick") if taken.part == "thick" else said("order.part.thin"),
        litres=Amount(readable_L(taken.share_pct / 100.0 * whole), "L"),
        held=held or (said("order.held.to_boil"),),
        minutes=Amount(taken.back_min - taken.at_min, "min"),
    )
    return _plain(taken.at_min, what, at.settled_degC, said("order.why.decoction"))


def _held(degC: float, minutes: float) -> Said:
    if degC == BOILS_DEGC:
        return said("order.held.boil", minutes=Amount(minutes, "min"))
    return said("order.held.rest", degC=Amount(degC, "degC", 1), minutes=Amount(minutes, "min"))


def _end(mash: Mashing) -> MashStep:
    """What the mash house does with the wort or the whole mash."""
    at, set_degC = mash.programme.end_min, mash.bench.plant.washbacks.set_degC
    if mash.bench.plant.grain_in:
        return _plain(at, said("order.step.set_mash"), set_degC, said("order.why.set_mash"), OWN)
    if mash.brews:
        return _plain(at, said("order.step.kettle"), None, said("order.why.kettle"))
    first = min(draw.at_min for draw in mash.programme.draw_offs if draw.goes_to == WASHBACK)
    return _plain(max(at, first), said("order.step.set_wort"), set_degC, said("order.why.set_wort"), OWN)
