"""A whole mash by a named model, for all members at once: the tun around its kinetics. See docs/mash_simulation.md."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from typing import Any, TypeAlias

import numpy as np

from gristwright.basics import Draws, FloatArray, Problem, refuse_if_any
from gristwright.numerics.draws import members_of
from gristwright.records.mash import (
    NEXT_MASH,
    WASHBACK,
    DrawnWort,
    DrawOff,
    Liquid,
    MaltEnzymes,
    MashCourse,
    MashGrain,
    MashProgramme,
    TakenOut,
)
from gristwright.stages.mash import ph, washback
from gristwright.stages.mash.blocks import cut, for_members, joined
from gristwright.stages.mash.enzymes import put_in
from gristwright.stages.mash.kept import EXTRACT_L_PER_KG
from gristwright.stages.mash.kinetics import Contents, Kinetics, strength, total
from gristwright.stages.mash.taken_out import give_back, take_out
from gristwright.stages.mash.temperature import STEP_S, Lag, Leg, legs

# So many members are taken together, so that what they need stays in the cache; and so many steps at a time.
BLOCK, STRETCH = 2048, 24
RECORD_MIN = 5.0
# Weak worts come back from the mash before, which had some itself. A twentieth of the extract comes back each time, so
# two mashes before leave an error of a ten-thousandth; they are run in longer steps.
MASHES_BEFORE, COARSER = 2, 3.0


Build: TypeAlias = Callable[[MashProgramme, Sequence[MashGrain], FloatArray, Draws], Kinetics]
Limits: TypeAlias = Callable[[MashProgramme, Sequence[MashGrain]], list[Problem]]


@dataclass(frozen=True)
class TunModel:
    """A mash model of kinetics in a well-mixed tun: an entry of `models.MODELS`."""

    name: str
    words: str  # what it is, in a line
    source: str
    kinetics: Build
    limits: Limits  # every fault of a programme and a grist for this model, warnings with them

    def simulate(
        self,
        programme: MashProgramme,
        grains: Sequence[MashGrain],
        lots: Mapping[str, MaltEnzymes],
        draws: Draws,
        step_s: float = STEP_S,
        record_min: float | None = RECORD_MIN,
    ) -> MashCourse:
        """One mash for every draw: where its starch, sugars and enzymes go.

        `grains` and `lots` (enzymes by key of the grain; none for a grain without) hold arrays (members,), `draws`
        columns (members,) of every prior the mash rests on. `record_min` None keeps events only. Raises Refused for a
        programme or grist that cannot be. Sources of each part: docs/mash_simulation.md.
        """
        members = members_of(draws)
        grains = [for_members(grain, members) for grain in grains]
        lots = {key: for_members(lot, members) for key, lot in lots.items()}
        warnings = refuse_if_any(self.limits(programme, grains))
        parts = []
        for start in range(0, members, BLOCK):
            part = slice(start, min(start + BLOCK, members))
            some = {name: column[part] for name, column in draws.items() if name.startswith("mash.")}
            some_lots = {key: cut(lot, part) for key, lot in lots.items()}
            mash = _Mash(self.kinetics, programme, [cut(g, part) for g in grains], some_lots, some)
            parts.append(_run(mash, step_s, record_min))
        return replace(joined(parts), warnings=warnings)


@dataclass(frozen=True)
class _Mash:
    """What goes into a tun; arrays (..., members)."""

    kinetics: Build
    programme: MashProgramme
    grains: Sequence[MashGrain]
    lots: Mapping[str, MaltEnzymes]
    draws: Draws


def _run(mash: _Mash, step_s: float, record_min: float | None) -> MashCourse:
    """The mash, after those before it when their weak worts make its first liquor."""
    back: FloatArray | None = None
    if any(charge.weak_worts for charge in mash.programme.charges):
        for _ in range(MASHES_BEFORE):
            tun = _Tun(mash, back)
            tun.run(COARSER * step_s, None)
            back = tun.weak
    tun = _Tun(mash, back)
    tun.run(step_s, record_min)
    return tun.course()


@dataclass
class _Tun:
    """What stands in the tun at one time, kg per kg of grist, and what was drawn from it; arrays (..., members)."""

    mash: _Mash
    back: FloatArray | None  # products of starch, ready sugar and inert of the weak worts, (rows, members)
    weak: FloatArray = field(init=False)
    times: list[float] = field(default_factory=list)
    records: list[FloatArray] = field(default_factory=list)
    worts: list[DrawnWort] = field(default_factory=list)
    parts: dict[TakenOut, Any] = field(default_factory=dict)  # decoctions that are out
    step_s: float = STEP_S

    def __post_init__(self) -> None:
        mash = self.mash
        self.programme, self.grains, self.lots, self.draws = mash.programme, mash.grains, mash.lots, mash.draws
        self.members = members_of(self.draws)
        self.pH = ph.mash_pH(self.programme, self.grains, self.draws)
        self.kinetics = mash.kinetics(self.programme, self.grains, self.pH, self.draws)
        self.rows = self.kinetics.rows
        self.y = np.zeros((self.rows.count, self.members))
        self.put_in = np.zeros((len(self.grains), self.members))
        self.enzymes = np.zeros((3, self.members))  # alive
        self.lasting_beta = np.zeros(self.members)
        self.enzymes_in = np.zeros((3, self.members))  # put in, less what was drawn
        self.dextrinase_in = np.zeros(self.members)
        self.ready, self.inert, self.water = (np.zeros(self.members) for _ in range(3))
        self.brought, self.drawn = np.zeros(self.members), np.zeros(self.members)
        self.weak = np.zeros((self.rows.products.stop - self.rows.products.start + 2, self.members))
        offset = self.draws["mash.tun_offset_K"]
        self.lag = Lag(offset, self.draws["mash.mixing_s"], np.zeros(self.members))
        self.mash_degC = np.full(self.members, self.programme.grist_degC)

    def run(self, step_s: float, record_min: float | None) -> None:
        """From the first charge to the last draw-off."""
        self.step_s = step_s
        for leg in legs(self.programme, step_s, record_min):
            self._events(leg.start_s / 60.0)
            self._record(leg.start_s / 60.0, leg.from_degC)
            if leg.jumps:
                self.lag.jump(leg, self.mash_degC)
            self._leg(leg)
        self._record(leg.end_s / 60.0, leg.to_degC)
        self._events(leg.end_s / 60.0)

    def _events(self, minute: float) -> None:
        """Decoctions given back and taken out at this time, worts drawn, then what is put in."""
        for taken in self.programme.decoctions:
            if abs(taken.back_min - minute) < 1e-6:
                give_back(self, self.parts.pop(taken), taken)
            if abs(taken.at_min - minute) < 1e-6:
                self.parts[taken] = take_out(self, taken, self.step_s)
        for draw in self.programme.draw_offs:
            if abs(draw.at_min - minute) < 1e-6:
                self._draw(draw)
        for charge in self.programme.charges:
            if abs(charge.at_min - minute) < 1e-6:
                self.water = self.water + charge.liquor_L_per_kg
                for key, part in charge.grains:
                    self._add(key, part)
                if charge.weak_worts and self.back is not None:
                    self._add_weak(self.back)

    def _add(self, key: str, part: float) -> None:
        number = next(k for k, grain in enumerate(self.grains) if grain.key == key)
        grain = self.grains[number]
        kg = part * grain.share
        starch, ready, inert = (
            kg * x for x in (grain.starch_kg_per_kg, grain.ready_sugar_kg_per_kg, grain.inert_kg_per_kg)
        )
        if grain.opened:
            self.y[self.rows.open] += starch
        else:
            self.kinetics.put_in(self.y, number, starch)
            self.put_in[number] += starch
        self.brought = self.brought + starch
        self.ready, self.inert = self.ready + ready, self.inert + inert
        self.water = self.water + kg * grain.moisture_pct / 100.0
        brought = put_in(self.grains, self.lots, key, part)
        self.enzymes, self.enzymes_in = self.enzymes + brought, self.enzymes_in + brought
        self.lasting_beta = self.lasting_beta + self.kinetics.lasting_part * brought[1]
        self.dextrinase_in = self.dextrinase_in + brought[2]

    def _add_weak(self, back: FloatArray) -> None:
        self.y[self.rows.products] += back[:-2]
        self.ready, self.inert = self.ready + back[-2], self.inert + back[-1]
        self.water = self.water - EXTRACT_L_PER_KG * back.sum(axis=0)
        self.brought = self.brought + back[:-2].sum(axis=0)

    def _leg(self, leg: Leg) -> None:
        for first in range(0, leg.steps, STRETCH):
            last = min(first + STRETCH, leg.steps)
            seconds = leg.start_s + 0.5 * leg.step_s * np.arange(2 * first, 2 * last + 1, dtype=np.float64)
            self._stretch(self.lag.mash_degC(leg, seconds), leg.step_s)

    def _stretch(self, degC: FloatArray, step_s: float) -> None:
        contents = Contents(
            self.put_in, self.enzymes, self.lasting_beta, self.dextrinase_in, self.inert + self.ready, self.water
        )
        self.y = self.kinetics.advance(self.y, contents, degC, step_s)
        self.enzymes, self.lasting_beta = contents.enzymes, contents.lasting_beta
        self.mash_degC = degC[-1]

    def _draw(self, draw: DrawOff) -> None:
        """Run off down to the held liquid; what is dissolved goes in proportion, starch in the grain stays."""
        share = np.clip(1.0 - draw.held_L_per_kg / self._litres(), 0.0, 1.0)
        liquid = self._liquid(share)
        alpha, beta, dextrinase = self._alive()
        known = dextrinase if self.kinetics.has_limit_dextrinase else None
        self.worts.append(DrawnWort(draw.name, draw.goes_to, draw.at_min, liquid, alpha, beta, known))
        leaving = share * self.y[self.rows.dissolved]
        self.drawn = self.drawn + leaving[:-1].sum(axis=0) - leaving[-1]
        if draw.goes_to == NEXT_MASH:
            self.weak = self.weak + np.array([*leaving[1:-1], share * self.ready, share * self.inert])
        self.y[self.rows.dissolved] -= leaving
        self.enzymes, self.enzymes_in = self.enzymes * (1.0 - share), self.enzymes_in * (1.0 - share)
        self.lasting_beta, self.dextrinase_in = (x * (1.0 - share) for x in (self.lasting_beta, self.dextrinase_in))
        self.ready, self.inert, self.water = (x * (1.0 - share) for x in (self.ready, self.inert, self.water))

    def _solids(self) -> FloatArray:
        return np.asarray(total(self.y[self.rows.products]) + self.ready + self.inert)

    def _litres(self) -> FloatArray:
        return np.asarray(self.water - self.y[self.rows.taken_up] + EXTRACT_L_PER_KG * self._solids())

    def _alive(self) -> FloatArray:
        """Share alive of the enzymes put in so far and not drawn, (3, members)."""
        into = np.where(self.enzymes_in > 0.0, self.enzymes_in, 1.0)
        return np.asarray(self.enzymes / into)

    def _liquid(self, share: FloatArray) -> Liquid:
        """A share of everything dissolved, per tonne of grist."""
        rows = self.rows
        openst, *dextrins = 1000.0 * share * self.y[rows.open : rows.dextrin.stop]
        glucose, maltose, maltotriose = 1000.0 * share * self.y[rows.sugars]
        dextrin, limit = np.sum(dextrins, axis=0), dextrins[0] if rows.dextrins > 1 else None
        alpha, beta, dextrinase = share * self.enzymes
        return Liquid(
            1000.0 * share * self._litres(),
            glucose,
            maltose,
            maltotriose,
            dextrin,
            1000.0 * share * self.ready,
            1000.0 * share * self.inert,
            openst,
            1000.0 * alpha,
            1000.0 * beta,
            dextrinase,
            limit,
        )

    def _record(self, minute: float, settled_degC: float) -> None:
        rows = self.rows
        dextrin = total(self.y[rows.dextrin])
        starches = (total(self.y[: rows.unopened]), self.y[rows.open], dextrin, *self.y[rows.sugars])
        courses = (self.mash_degC, *(1000.0 * part for part in starches), self._strength())
        self.times.append(minute)
        self.records.append(np.array([np.full(self.members, settled_degC), *courses, *self._alive()]))

    def _strength(self) -> FloatArray:
        contents = Contents(
            self.put_in, self.enzymes, self.lasting_beta, self.dextrinase_in, self.inert + self.ready, self.water
        )
        wet = self._solids() + self.water
        return np.where(wet > 0.0, strength(self.y, contents, self.rows), 0.0)

    def course(self) -> MashCourse:
        """What happened, with the balance over everything put in and drawn."""
        kept = np.array(self.records)
        whole = self._liquid(np.ones(self.members))
        given = _sum([wort.liquid for wort in self.worts if wort.goes_to == WASHBACK] or [whole])
        rows = self.rows
        unopened = 1000.0 * total(self.y[: rows.unopened])
        starch_in = 1000.0 * np.sum([grain.share * grain.starch_kg_per_kg for grain in self.grains], axis=0)
        # Weak worts come back with the next mash, as those of the mash before came with this one.
        liquids = [whole, *(wort.liquid for wort in self.worts if wort.goes_to == WASHBACK)]
        unconverted = unopened + np.sum([liquid.open_starch_kg_per_t for liquid in liquids], axis=0)
        left = total(self.y[: rows.taken_up]) - self.y[rows.taken_up]
        balance = np.abs(left + self.drawn - self.brought) / np.maximum(self.brought, 1e-12)
        courses: dict[str, Any] = {name: kept[:, row] for row, name in enumerate(_COURSES, start=1)}
        if not self.kinetics.has_limit_dextrinase:
            courses["limit_dextrinase_alive"] = None
        return MashCourse(
            times_min=np.array(self.times),
            settled_degC=kept[:, 0, 0],
            worts=tuple(self.worts),
            left_in_tun=whole,
            washback=given,
            unopened_end_kg_per_t=unopened,
            unconverted_pct=100.0 * unconverted / np.maximum(starch_in, 1e-9),
            starch_in_kg_per_t=starch_in,
            fermentability=washback.fermentability(given, starch_in, self.programme, self.draws),
            mash_pH=self.pH,
            balance_error=float(balance.max()),
            **courses,
        )


# What `_record` keeps behind the settled temperature, in its order.
_COURSES = (
    "mash_degC",
    "unopened_starch_kg_per_t",
    "open_starch_kg_per_t",
    "dextrin_kg_per_t",
    "glucose_kg_per_t",
    "maltose_kg_per_t",
    "maltotriose_kg_per_t",
    "wort_g_per_100g",
    "alpha_alive",
    "beta_alive",
    "limit_dextrinase_alive",
)


def _sum(liquids: Sequence[Liquid]) -> Liquid:
    summed: dict[str, Any] = {f.name: _together([getattr(x, f.name) for x in liquids]) for f in fields(Liquid)}
    return Liquid(**summed)


def _together(parts: Sequence[FloatArray | None]) -> FloatArray | None:
    known = [part for part in parts if part is not None]
    return np.asarray(np.sum(known, axis=0)) if known else None
