"""What a distiller writes, compiled to settled corners, charges and draw-offs. See docs/mash_simulation.md.

All temperatures are those of the settled mash; what the liquor must have for that is asked of the heat balance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from gristwright.basics import Problem, Refused, at
from gristwright.records.mash import NEXT_MASH, WASHBACK, Charge, Corner, DrawOff, MashProgramme, TakenOut
from gristwright.records.plant import Decoction, Sparge, Water
from gristwright.stages.mash import heat
from gristwright.stages.mash.decoction import BOILS_DEGC, parts

NAMES = ("first", "second", "third", "fourth")
# One degree a minute is the usual ramp of a mash vessel with a jacket; a cooker with live steam climbs faster.
RAMP_K_PER_MIN, COOKER_K_PER_MIN, COOLING_K_PER_MIN = 1.0, 2.0, 1.5
COLD_SLURRY_DEGC = 40.0
FIRST_WORT, SPARGE = "first wort", "{} sparge"


def _whole(keys: Sequence[str]) -> tuple[tuple[str, float], ...]:
    return tuple((key, 1.0) for key in keys)


def single_infusion(
    grains: Sequence[str],
    waters: Sequence[Water],
    stand_min: float = 60.0,
    later_stand_min: float = 20.0,
    run_off_min: float = 40.0,
    to_washback: int = 2,
    grist_degC: float = 15.0,
    mash_pH: float | None = None,
) -> MashProgramme:
    """A tun with one to four waters: all grain with the first, each water stands and is drawn to the drained bed.

    Waters after the first `to_washback` are weak worts; they make the next mash's first liquor, and so in this mash the
    first liquor holds those of the last one. Raises Refused for no water or more than four.
    """
    if not 1 <= len(waters) <= len(NAMES):
        way_out = f"Give one to {len(NAMES)}."
        raise Refused([Problem(at("mash programme"), f"{len(waters)} waters.", way_out)])
    corners: list[Corner] = []
    charges: list[Charge] = []
    draws: list[DrawOff] = []
    clock = 0.0
    for number, water in enumerate(waters):
        first = number == 0
        grain = _whole(grains) if first else ()
        charges.append(Charge(clock, water.L_per_kg, grain, weak_worts=first and len(waters) > to_washback))
        end = clock + (stand_min if first else later_stand_min) + run_off_min
        corners += [Corner(clock, water.settled_degC), Corner(end, water.settled_degC)]
        draws.append(DrawOff(end, f"{NAMES[number]} water", WASHBACK if number < to_washback else NEXT_MASH))
        clock = end
    name = "single infusion"
    return MashProgramme(name, tuple(corners), tuple(charges), tuple(draws), grist_degC, 0.0, mash_pH)


@dataclass(frozen=True)
class SharedDecoction:
    """A decoction of the plan with its share of the mash [% of its volume]."""

    decoction: Decoction
    share_pct: float


def programmed_rests(
    grains: Sequence[str],
    rests: Sequence[tuple[float, float]],
    liquor_L_per_kg: float,
    ramp_K_per_min: float = RAMP_K_PER_MIN,
    grist_degC: float = 15.0,
    mash_pH: float | None = None,
    backset_pct: float = 0.0,
    decoctions: Sequence[SharedDecoction] = (),
    infused_L_per_kg: Sequence[float] = (),
) -> MashProgramme:
    """Rests of (settled degC, minutes) in their order, joined by ramps or decoctions; the whole mash goes on.

    The mash stands at its rest until a decoction comes back. `infused_L_per_kg`, one for each rest and together the
    liquor, are let in at once where each rest begins, in place of ramps. Raises Refused for a rest of less than no
    time, or without one.
    """
    wrong = [minutes for _, minutes in rests if minutes < 0.0]
    if wrong or not rests or ramp_K_per_min <= 0.0:
        what = f"a rest of {wrong[0]:g} min: time goes backwards." if wrong else "no rest, or no ramp between them."
        raise Refused([Problem(at("mash programme"), what, "Give rests of (degC, minutes) and a ramp above zero.")])
    corners: list[Corner] = []
    out: list[TakenOut] = []
    by_rest = {shared.decoction.after_rest: shared for shared in decoctions}
    starts: list[float] = []
    clock = 0.0
    for number, (degC, minutes) in enumerate(rests, start=1):
        if corners and number - 1 not in by_rest and not infused_L_per_kg:
            clock += abs(degC - corners[-1].settled_degC) / ramp_K_per_min
        starts.append(clock)
        corners += [Corner(clock, degC), Corner(clock + minutes, degC)]
        clock += minutes
        if number in by_rest:
            out.append(_taken_out(by_rest[number], clock, degC, liquor_L_per_kg, ramp_K_per_min))
            clock = out[-1].back_min
            corners.append(Corner(clock, degC))
    first, *later = infused_L_per_kg or (liquor_L_per_kg,)
    charges = [Charge(0.0, first, _whole(grains))]
    charges += [Charge(at, litres) for at, litres in zip(starts[1:], later, strict=bool(later))]
    made = MashProgramme("programmed rests", tuple(corners), tuple(charges), (), grist_degC, backset_pct, mash_pH)
    return replace(made, decoctions=tuple(out))


def _taken_out(shared: SharedDecoction, at_min: float, degC: float, L_per_kg: float, ramp: float) -> TakenOut:
    """A decoction on its own way: up to its rest, up to the boil, back."""
    how = shared.decoction
    corners = [Corner(at_min, degC)]
    for stop, minutes in ((how.held_degC, how.held_min), (BOILS_DEGC, how.boil_min)):
        if minutes > 0.0 or stop == BOILS_DEGC:
            reached = corners[-1].at_min + abs(stop - corners[-1].settled_degC) / ramp
            corners += [Corner(reached, stop), Corner(reached + minutes, stop)]
    held = parts(shared.share_pct / 100.0, how.part, L_per_kg)
    return TakenOut(at_min, corners[-1].at_min, held.liquid, held.grain, tuple(corners), shared.share_pct, how.part)


def drawn_off(programme: MashProgramme, sparges: Sequence[Sparge] = (), run_off_min: float = 40.0) -> MashProgramme:
    """A mash run off behind its end: the first wort at the heat it has there, then each sparge through the drained bed.

    A sparge settles with the bed by the heat balance. Weak worts come back in this mash's first liquor, as this one's
    do in the next. Raises Refused for more than four sparges.
    """
    if len(sparges) > len(NAMES):
        what = f"{len(sparges)} sparges."
        raise Refused([Problem(at("mash programme"), what, f"Give at most {len(NAMES)}.")])
    clock, degC = programme.end_min + run_off_min, programme.corners[-1].settled_degC
    corners, charges = [*programme.corners, Corner(clock, degC)], list(programme.charges)
    draws = [DrawOff(clock, FIRST_WORT)]
    for number, sparge in enumerate(sparges):
        degC = float(heat.sparged_degC(sparge.liquor_degC, degC, sparge.L_per_kg))
        charges.append(Charge(clock, sparge.L_per_kg))
        corners += [Corner(clock, degC), Corner(clock + run_off_min, degC)]
        clock += run_off_min
        draws.append(DrawOff(clock, SPARGE.format(NAMES[number]), sparge.goes_to))
    weak = any(draw.goes_to == NEXT_MASH for draw in draws)
    charges[0] = replace(charges[0], weak_worts=weak)
    return replace(programme, corners=tuple(corners), charges=tuple(charges), draw_offs=tuple(draws))


def cooker(
    cooked: Sequence[str],
    malts: Sequence[str],
    cook_degC: float,
    cook_min: float,
    liquor_L_per_kg: float,
    premalt: tuple[str, float] | None = None,
    second: Sequence[str] = (),
    second_degC: float = 77.0,
    second_min: float = 20.0,
    malt_degC: float = 63.0,
    malt_min: float = 30.0,
    slurry_degC: float = COLD_SLURRY_DEGC,
    grist_degC: float = 15.0,
    backset_pct: float = 0.0,
    mash_pH: float | None = None,
) -> MashProgramme:
    """A grain-in cook: slurry with its pre-malt, cook (above 100 degC under pressure), second grain, then the malt.

    `premalt` is (key of the malt, part of that malt in the cooker); the rest of it goes in at `malt_degC`.
    """
    up = (cook_degC - slurry_degC) / COOKER_K_PER_MIN
    corners = [Corner(0.0, slurry_degC), Corner(up, cook_degC), Corner(up + cook_min, cook_degC)]
    early = (premalt,) if premalt else ()
    charges = [Charge(0.0, liquor_L_per_kg, (*_whole(cooked), *early))]
    clock = up + cook_min
    for keys, degC, minutes in ((second, second_degC, second_min), (malts, malt_degC, malt_min)):
        if not keys:
            continue
        clock += abs(corners[-1].settled_degC - degC) / COOLING_K_PER_MIN
        corners += [Corner(clock, degC), Corner(clock + minutes, degC)]
        late = tuple((key, 1.0 - (premalt[1] if premalt and premalt[0] == key else 0.0)) for key in keys)
        charges.append(Charge(clock, 0.0, late))
        clock += minutes
    return MashProgramme("cooker", tuple(corners), tuple(charges), (), grist_degC, backset_pct, mash_pH)
