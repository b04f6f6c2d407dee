"""Heat that a mash takes and gives off. See docs/mash.md.

The mash is followed by its heat content from the first liquor to the washback. Heat capacities are those of
`heat`: a litre of liquor counts as a kilogram of water, grist and drained bed by their share of it. What walls, pipes,
steam and standing lose is not counted, nor the water that live steam or flashing brings and takes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from gristwright.basics import FloatArray, Refused, at
from gristwright.records.mash import NEXT_MASH, Charge, DrawOff, MashGrain, MashProgramme
from gristwright.stages.mash import heat
from gristwright.stages.mash.limits import liquor_problems
from gristwright.stages.mash.temperature import Leg, legs

# The 15 degC calorie (International Committee for Weights and Measures 1950, from memory); water at 140 degC: 2 % more.
WATER_KJ_PER_KG_K = 4.1855
COLD_WATER_DEGC = 10.0
MJ_PER_KWH = 3.6


@dataclass(frozen=True)
class HotLiquor:
    """One liquor as it is let in, per kilogram of the whole grist; arrays (members,) or ()."""

    at_min: float
    L_per_kg: float
    liquor_degC: FloatArray


@dataclass(frozen=True)
class MashDuty:
    """Heat duties [MJ per tonne of grist as weighed], none below zero; arrays (members,) or ()."""

    hot_liquor_MJ_per_t: FloatArray  # from cold water to liquor, less what comes back hot
    returned_MJ_per_t: FloatArray  # over cold water, in the weak worts of the mash before and in hot backset
    liquor_cooling_MJ_per_t: FloatArray  # what comes back hotter than the liquor may be
    ramps_up_MJ_per_t: FloatArray
    ramps_down_MJ_per_t: FloatArray  # such as cooker to malt
    washback_cooling_MJ_per_t: FloatArray  # from the tun or cooker to the set temperature
    liquors: tuple[HotLiquor, ...]

    @property
    def heating_MJ_per_t(self) -> FloatArray:
        """All heat to be brought."""
        return np.asarray(self.hot_liquor_MJ_per_t + self.ramps_up_MJ_per_t)

    @property
    def cooling_MJ_per_t(self) -> FloatArray:
        """All heat to be taken away."""
        return np.asarray(self.liquor_cooling_MJ_per_t + self.ramps_down_MJ_per_t + self.washback_cooling_MJ_per_t)


def per_mash_MJ(MJ_per_t: ArrayLike, kg_per_mash: ArrayLike) -> FloatArray:
    """A duty of one mash [MJ] from that of a tonne; shapes broadcast."""
    return np.asarray(np.asarray(MJ_per_t, dtype=float) * np.asarray(kg_per_mash, dtype=float) / 1000.0)


def kWh(MJ: ArrayLike) -> FloatArray:
    """Megajoules as kilowatt-hours, by definition; shape of the input."""
    return np.asarray(np.asarray(MJ, dtype=float) / MJ_PER_KWH)


def mash_duty(
    programme: MashProgramme,
    grains: Sequence[MashGrain],
    set_degC: float,
    cold_water_degC: float = COLD_WATER_DEGC,
    vessel_loss_K: float = 0.0,
    backset_degC: float | None = None,
) -> MashDuty:
    """Duties of one mash by its enthalpies: hot liquor, ramps, and cooling to the washback's `set_degC`.

    Shares and moistures of the grains (members,) or single numbers. Liquors are those of the heat balance (`heat`):
    the first carries the heat of slaking and the loss to a cold vessel, later ones and later grain do not. Cold grain
    put in after a ramp down takes its heat from that cooling. Weak worts come back as hot as they were drawn; backset
    at `backset_degC`, None for as cold as water. Raises Refused for a liquor that would have to boil.
    """
    walk = _Walk(programme, {grain.key: grain for grain in grains}, set_degC, cold_water_degC, vessel_loss_K)
    walk.backset_K = 0.0 if backset_degC is None else backset_degC - cold_water_degC
    walk.weak = _weak_worts(programme, walk)
    return walk.run()


Weak = tuple[FloatArray, FloatArray]  # litres of water in heat capacity, and their heat over 0 degC, per kg of grist
NOTHING: Weak = (np.zeros(()), np.zeros(()))


def _weak_worts(programme: MashProgramme, walk: _Walk) -> Weak:
    """What the mash before sends back: as this one does, for it does not hang on what came back to it."""
    if not any(charge.weak_worts for charge in programme.charges):
        return NOTHING
    before = _Walk(programme, walk.grains, walk.set_degC, walk.cold_degC, walk.loss_K)
    before.run()
    return before.sent_back


def _sides(heat_L_K: FloatArray) -> tuple[FloatArray, FloatArray]:
    """A heat to be brought and one to be taken away, the other of them zero."""
    return np.maximum(heat_L_K, 0.0), np.maximum(-heat_L_K, 0.0)


@dataclass
class _Walk:
    """Heat content of the mash on its way; heats in L of water times K, per kg of grist: kJ/kg once times 4.1855."""

    programme: MashProgramme
    grains: dict[str, MashGrain]
    set_degC: float
    cold_degC: float
    loss_K: float
    backset_K: float = 0.0
    weak: Weak = NOTHING
    sent_back: Weak = NOTHING
    holds_L: FloatArray = field(default_factory=lambda: np.zeros(()))  # heat capacity of what stands in the vessel
    ramp: FloatArray = field(default_factory=lambda: np.zeros(()))  # heat of the ramp under way
    liquors: list[HotLiquor] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.sums = {name: np.zeros(()) for name in ("hot", "returned", "too hot", "up", "down", "washback")}

    def run(self) -> MashDuty:
        """From the first charge to the washback."""
        before = self.programme.corners[0].settled_degC
        for leg in legs(self.programme):
            self._events(leg.start_s / 60.0, before, leg.from_degC)
            self._leg(leg)
            before = leg.to_degC
        self._events(self.programme.end_min, before, before)
        self._book_ramp()
        if not self.programme.draw_offs:
            self._to_washback(self.holds_L, before)
        duty = {name: WATER_KJ_PER_KG_K * total for name, total in self.sums.items()}
        return MashDuty(
            hot_liquor_MJ_per_t=duty["hot"],
            returned_MJ_per_t=duty["returned"],
            liquor_cooling_MJ_per_t=duty["too hot"],
            ramps_up_MJ_per_t=duty["up"],
            ramps_down_MJ_per_t=duty["down"],
            washback_cooling_MJ_per_t=duty["washback"],
            liquors=tuple(self.liquors),
        )

    def _events(self, minute: float, before: float, after: float) -> None:
        """Worts drawn, then what is put in, and the step of the temperature that goes with it."""
        for draw in self.programme.draw_offs:
            if abs(draw.at_min - minute) < 1e-6:
                self._book_ramp()
                self._draw(draw, before)
        charges = [charge for charge in self.programme.charges if abs(charge.at_min - minute) < 1e-6]
        for number, charge in enumerate(charges):
            self._charge(charge, before if number == 0 else after, after)
        if not charges and after != before:
            self._book_ramp()
            self._add_ramp(self.holds_L * (after - before))

    def _leg(self, leg: Leg) -> None:
        step = leg.to_degC - leg.from_degC
        if step == 0.0:
            self._book_ramp()
        else:
            self._add_ramp(self.holds_L * step)

    def _add_ramp(self, heat_L_K: FloatArray) -> None:
        """More of the ramp under way; a turn from up to down ends it, for heat once brought is not had back."""
        if float(np.min(self.ramp * heat_L_K)) < 0.0:
            self._book_ramp()
        self.ramp = self.ramp + heat_L_K

    def _book_ramp(self) -> None:
        up, down = _sides(self.ramp)
        self.sums["up"], self.sums["down"] = self.sums["up"] + up, self.sums["down"] + down
        self.ramp = np.zeros(())

    def _charge(self, charge: Charge, before: float, after: float) -> None:
        """What is put in; with liquor its temperature makes the mash settle, without it the jacket must."""
        litres, first = charge.liquor_L_per_kg, float(np.max(self.holds_L)) == 0.0
        grist_L, rise_K = self._grist(charge)
        into_L = litres + grist_L
        missing = into_L * after - grist_L * self.programme.grist_degC + self.holds_L * (after - before)
        if first:
            missing = missing - into_L * (rise_K - self.loss_K)
        self.holds_L = self.holds_L + into_L
        if litres > 0.0:
            self._book_ramp()
            self._let_in(charge, missing / litres, first and bool(charge.grains), after)
        else:
            self.ramp = self.ramp + missing

    def _grist(self, charge: Charge) -> tuple[FloatArray, FloatArray]:
        """Heat capacity of the grain of a charge as litres of water, and its rise by slaking [K]."""
        weights = [part * np.asarray(self.grains[key].share, dtype=float) for key, part in charge.grains]
        if not weights:
            return np.zeros(()), np.zeros(())
        slaked = [heat.slaking(self.grains[key].moisture_pct) for key, _ in charge.grains]
        capacity = sum((kg * ratio for kg, (ratio, _) in zip(weights, slaked, strict=True)), start=np.zeros(()))
        rise = sum((kg * rise for kg, (_, rise) in zip(weights, slaked, strict=True)), start=np.zeros(()))
        total = sum(weights, start=np.zeros(()))
        return capacity, np.asarray(rise / np.where(total > 0.0, total, 1.0))

    def _let_in(self, charge: Charge, liquor_degC: FloatArray, onto_grist: bool, settled: float) -> None:
        """A liquor of the temperature needed: heated from cold water, less what comes back hot."""
        colder_than = self.programme.grist_degC if onto_grist else 0.0
        above = float(np.min(liquor_degC)) - colder_than
        where = at("mash programme", self.programme.name, f"charge at {charge.at_min:g} min")
        if problems := liquor_problems(float(np.max(liquor_degC)), above, settled, where):
            raise Refused(problems)
        litres = charge.liquor_L_per_kg
        returned = np.asarray(self.programme.backset_pct / 100.0 * litres * self.backset_K)
        if charge.weak_worts:
            back_L, back_heat = self.weak
            # No more of them comes back than there is liquor.
            part = np.minimum(litres / np.where(back_L > 0.0, back_L, 1.0), 1.0)
            returned = returned + part * (back_heat - back_L * self.cold_degC)
        hot, too_hot = _sides(litres * (liquor_degC - self.cold_degC) - returned)
        for name, more in (("hot", hot), ("returned", returned), ("too hot", too_hot)):
            self.sums[name] = self.sums[name] + more
        self.liquors.append(HotLiquor(charge.at_min, litres, np.asarray(liquor_degC)))

    def _draw(self, draw: DrawOff, degC: float) -> None:
        """Run off to the drained bed, which keeps its heat."""
        bed_L = draw.held_L_per_kg + heat.SPENT_KG_PER_KG * heat.SPENT_HEAT_RATIO
        drawn_L = np.maximum(self.holds_L - bed_L, 0.0)
        self.holds_L = self.holds_L - drawn_L
        if draw.goes_to == NEXT_MASH:
            self.sent_back = (self.sent_back[0] + drawn_L, self.sent_back[1] + drawn_L * degC)
        else:
            self._to_washback(drawn_L, degC)

    def _to_washback(self, litres: FloatArray, degC: float) -> None:
        """Cooled to the set temperature; a wort colder than that must be warmed."""
        warm, cool = _sides(litres * (self.set_degC - degC))
        self.sums["up"], self.sums["washback"] = self.sums["up"] + warm, self.sums["washback"] + cool
