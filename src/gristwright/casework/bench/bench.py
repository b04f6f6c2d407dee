"""What every bill of one job is computed on: the lots believed, the same draws, their weights, one reference run."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Self, TypeVar

import numpy as np

from gristwright.basics import Draws, FloatArray, Prior, Problem, Refused
from gristwright.casework.bench.laid_down import fill_of
from gristwright.flowsheet import line as flowsheet
from gristwright.flowsheet import mashing, washing
from gristwright.flowsheet.effects import HouseEffect, cut, joined, scaled
from gristwright.flowsheet.line import NewMake
from gristwright.numerics import draws as drawing
from gristwright.numerics.runs import Runs, with_moved
from gristwright.numerics.weights import quantiles
from gristwright.records.bill import WHOLE, Bill
from gristwright.records.cask import MaturedCask
from gristwright.records.enquiry import CaskPlan
from gristwright.records.lot import Material
from gristwright.records.mash import MashCourse
from gristwright.records.plant import Plant
from gristwright.records.streams import Bottled, Wort
from gristwright.stages.cask import limits as cask_limits
from gristwright.stages.cask import model as cask
from gristwright.stages.grist import certificate, nitrogen, raw_grain
from gristwright.stages.grist.certificate import LotBelief
from gristwright.stages.grist.model import LotColumns
from gristwright.stages.mash.laboratory import MashEffect

# The runs of a bench, in the order in which they lie in one batch; all of them; grists mashed among others ahead.
DRAWS, MIDDLES, MOVED, ALL, AHEAD = "draws", "middles", "moved", "all", "ahead"
FEW = 32  # draws on which a washback is kept as it is pitched, for ways that are run through it again


@dataclass
class MashMemory:
    """Mashes already simulated, by run of the bench and shares: in the house, with its wash; in the laboratory, by the
    runs mashed together; what a sound malt leaves there, by run; washbacks as pitched, on the first few draws and on
    the reference run."""

    effects: dict[tuple[str, bytes], HouseEffect] = field(default_factory=dict)
    measured: dict[tuple[tuple[str, ...], bytes], MashCourse] = field(default_factory=dict)
    usual_unopened: dict[str, FloatArray] = field(default_factory=dict)
    pitched: dict[tuple[str, bytes], washing.Pitched] = field(default_factory=dict)


@dataclass(frozen=True)
class GristBench:
    """Lots, house and draws of one job.

    `draws` has columns (members,): the weighted draws and, of a bench that was `traced`, the members in which inputs
    are moved one at a time. `middles` has columns (1,) of the reference run.
    """

    lots: tuple[LotBelief, ...]
    prices: tuple[float, ...]
    plant: Plant
    priors: tuple[Prior, ...]
    draws: Draws
    weights: FloatArray
    middles: Draws
    seed: int
    warnings: tuple[Problem, ...]
    moved: tuple[str, ...] = field(default=(), kw_only=True)
    present: Bill | None = field(default=None, kw_only=True)  # what the house's own hours of run-off belong to
    memory: MashMemory = field(default_factory=MashMemory, compare=False, repr=False, kw_only=True)

    @property
    def runs(self) -> Runs:
        """How to read what was computed on the bench's draws."""
        return Runs(self.weights, self.moved)

    def traced(self) -> Self:
        """The bench with every input moved to its 5 and 95 % by itself, behind the draws: what moves a figure is what
        it rests on."""
        moved = {name: quantiles(self.draws[name], self.weights, (0.05, 0.95)) for name in self.draws}
        ends = {name: (low, high) for name, (low, high) in moved.items() if high > low}
        return replace(self, draws=with_moved(self.draws, self.middles, ends), moved=tuple(ends))

    def house_effect(self, shares: FloatArray, draws: Draws) -> HouseEffect:
        """What the house's simulated mash and wash do to the laboratory's figures, (members,).

        `shares` (lots,) or (members, lots). On the bench's own draws all runs ride in one batch, and are kept.
        """
        run = DRAWS if draws is self.draws else MIDDLES if draws is self.middles else ""
        if not run:
            of_mash, pitched = self.pitched(shares, draws)
            return HouseEffect(of_mash, pitched.run(None).end)
        grist = np.ascontiguousarray(shares).tobytes()
        run = ALL if run == DRAWS and self.moved else run
        if (run, grist) not in self.memory.effects:
            self._mash(shares, grist, run)
        return self.memory.effects[run, grist]

    def pitched(
        self, shares: FloatArray, draws: Draws, unopened: FloatArray | None = None, lab: MashCourse | None = None
    ) -> tuple[MashEffect, washing.Pitched]:
        """The mash of a grist, and its wort by the balance as it is pitched; `draws` need not be the bench's own."""
        lab = mashing.in_laboratory(self.lots, self.plant, shares, draws) if lab is None else lab
        unopened = mashing.usual_unopened(self.plant, draws) if unopened is None else unopened
        of_mash, course = mashing.mashed(self.lots, self.plant, shares, draws, unopened, lab, self.middles)
        wort = flowsheet.mashed_wort(shares, self.lot_columns(draws), self.plant, draws, of_mash, self.usual_shares)
        return of_mash, washing.set_out(course, wort, self.wort_fan(shares, wort, draws), self.plant, draws)

    def pitched_middle(self, shares: FloatArray) -> washing.Pitched:
        """The wort of a grist as it is pitched on the reference run, kept where its mash was simulated before."""
        kept = self.memory.pitched.get((MIDDLES, np.ascontiguousarray(shares).tobytes()))
        return self.pitched(shares, self.middles)[1] if kept is None else kept

    def of_lots(self, name: str, draws: Draws | None = None) -> FloatArray:
        """One drawn field of every lot, (members, lots); on the bench's own draws unless others are given."""
        drawn = self.draws if draws is None else draws
        return np.stack([drawn[certificate.column(belief.lot.lot_id, name)] for belief in self.lots], axis=-1)

    def wort_fan(self, shares: FloatArray, wort: Wort, draws: Draws) -> FloatArray:
        """Free amino nitrogen of the wort [mg/L], (members,); `shares` (lots,) or (members, lots)."""
        fan, moisture = (self.of_lots(name, draws) for name in ("fan_mg_per_100g", "moisture_pct"))
        grist = nitrogen.wort_fan_mg_per_L(shares, fan, moisture, self.plant.mash.wort_L_per_t / 1000.0)
        return np.asarray(grist * nitrogen.reaching_the_wort(wort, self.plant.mash.rests, draws))

    def _mash(self, shares: FloatArray, grist: bytes, asked: str) -> None:
        """Mash a grist on every run that is asked for and does not know it yet, all in one batch; the reference run
        rides with the draws."""
        memory = self.memory
        wanted = (MIDDLES,) if asked == MIDDLES else (DRAWS, MOVED if self.moved else MIDDLES)
        runs = tuple(run for run in wanted if (run, grist) not in memory.effects)
        if runs:
            draws = self._together(runs)
            if (runs, grist) not in memory.measured:
                memory.measured[runs, grist] = mashing.in_laboratory(self.lots, self.plant, shares, draws)
            unopened = np.concatenate([self._usual_unopened(run) for run in runs])
            of_mash, pitched = self.pitched(shares, draws, unopened, memory.measured[runs, grist])
            # The reference run comes first behind the draws, whether as itself or ahead of what is moved.
            drawn = len(self.weights) if DRAWS in runs else 0
            if drawn:
                memory.pitched[DRAWS, grist] = pitched.some(0, min(FEW, drawn))
            if runs != (DRAWS,):
                memory.pitched[MIDDLES, grist] = pitched.some(drawn, 1)
            measured, start = HouseEffect(of_mash, pitched.run(None).end), 0
            for run in runs:
                end = start + drawing.members_of(self._run(run))
                memory.effects[run, grist] = cut(measured, slice(start, end))
                start = end
        if asked == ALL:
            behind = memory.effects[MOVED, grist]
            memory.effects.setdefault((MIDDLES, grist), cut(behind, slice(0, 1)))
            memory.effects[ALL, grist] = joined([memory.effects[DRAWS, grist], behind])

    def _run(self, run: str) -> Draws:
        if run == MIDDLES:
            return self.middles
        count = len(self.weights)
        part = slice(0, count) if run == DRAWS else slice(count, None)
        return {name: column[part] for name, column in self.draws.items()}

    def _together(self, runs: tuple[str, ...]) -> Draws:
        parts = [self._run(run) for run in runs]
        return {name: np.concatenate([part[name] for part in parts]) for name in self.draws}

    def _usual_unopened(self, run: str) -> FloatArray:
        if run not in self.memory.usual_unopened:
            self.memory.usual_unopened[run] = mashing.usual_unopened(self.plant, self._run(run))
        return self.memory.usual_unopened[run]

    def with_plant(self, plant: Plant) -> Self:
        """The same lots and draws in another house: what was mashed in this one is forgotten."""
        alike = mashing.alike_in_laboratory(plant, self.plant)
        kept = MashMemory({}, self.memory.measured, self.memory.usual_unopened) if alike else MashMemory()
        return replace(self, plant=plant, memory=kept)

    def first(self, members: int) -> Self:
        """The bench on its first draws alone, at most all of them, for what need not be known so finely."""
        count = len(self.weights)
        members = min(members, count)
        weights = self.weights[:members] / self.weights[:members].sum()
        draws = {name: np.concatenate([column[:members], column[count:]]) for name, column in self.draws.items()}
        return replace(self, draws=draws, weights=weights, memory=MashMemory())

    def mash_ahead(self, grists: FloatArray) -> HouseEffect:
        """Many grists (bills, lots) mashed on the reference run at once, and kept; arrays (bills,)."""
        middles = {name: np.repeat(value, len(grists)) for name, value in self.middles.items()}
        effects = self.house_effect(grists, middles)
        for k, shares in enumerate(grists):
            self.memory.effects[AHEAD, np.ascontiguousarray(shares).tobytes()] = cut(effects, slice(k, k + 1))
        return effects

    def house_effect_near(self, shares: FloatArray, known: FloatArray) -> HouseEffect:
        """The effect on the bench's draws of a grist little different from a `known` one, (lots,) each.

        The known one's, times the ratio of the two on the reference run: the spread is taken as the same.
        """
        here, there = (self._on_reference(one) for one in (shares, known))
        return scaled(self.house_effect(known, self.draws), here, there)

    def _on_reference(self, shares: FloatArray) -> HouseEffect:
        """The effect on the reference run, as it was mashed ahead among others where that was done."""
        ahead = self.memory.effects.get((AHEAD, np.ascontiguousarray(shares).tobytes()))
        return self.house_effect(shares, self.middles) if ahead is None else ahead

    @property
    def materials(self) -> dict[str, Material]:
        """The type of every lot, by lot."""
        return {belief.lot.lot_id: belief.material for belief in self.lots}

    def shares(self, bill: Bill) -> FloatArray:
        """The bill as shares of the bench's lots, shape (lots,), adding to one."""
        return np.array([bill.parts_of(belief.lot.lot_id) / WHOLE for belief in self.lots])

    @property
    def usual_shares(self) -> FloatArray | None:
        """The present bill as shares, (lots,); None where it is not known."""
        return None if self.present is None else self.shares(self.present)

    def labels(self, bill: Bill) -> tuple[tuple[str, str, float], ...]:
        """Lot, type and share in per cent of every lot in the bill, in the bill's own order."""
        titles = {belief.lot.lot_id: belief.material.title for belief in self.lots}
        named = dict.fromkeys(share.lot_id for share in bill.shares if share.parts)
        return tuple((lot_id, titles[lot_id], bill.parts_of(lot_id) / 100.0) for lot_id in named)

    def lot_columns(self, draws: Draws) -> LotColumns:
        """The lots' values on these draws, each (members, lots)."""
        values = [certificate.lot_values(belief, draws) for belief in self.lots]
        extract, ferment, power, units = (np.stack(column, axis=-1) for column in zip(*values, strict=True))
        raw = [self._raw(belief, draws) for belief in self.lots]
        starch, efficiency = (np.stack(column, axis=-1) for column in zip(*raw, strict=True))
        malted = np.array([float(belief.material.malted) for belief in self.lots])
        glucan = [draws[certificate.column(belief.lot.lot_id, "beta_glucan_mg_per_L")] for belief in self.lots]
        return LotColumns(
            extract, ferment, power, units, np.array([self.prices]), malted, starch, efficiency,
            np.stack(glucan, axis=-1), tuple(belief.material for belief in self.lots),
        )  # fmt: skip

    def _raw(self, belief: LotBelief, draws: Draws) -> tuple[FloatArray, FloatArray]:
        """Starch as is [%] and efficiency of a raw grain, zero for malt and for husks; each (members,)."""
        if not belief.material.raw:
            nothing = np.zeros(drawing.members_of(draws))
            return nothing, nothing
        of = belief.material
        cook = self.plant.mash.cook_degC
        return certificate.starch_asis_pct(belief, draws), raw_grain.efficiency(of.species, cook, draws, of.opened)


@dataclass(frozen=True)
class SpiritBench(GristBench):
    """The bench of a distiller's job as far as new spirit: nothing need be said of a cask."""

    def new_make(self, shares: FloatArray, draws: Draws, effect: HouseEffect | None = None) -> NewMake:
        """Shares (lots,) or (members, lots) followed to new spirit on these draws.

        Without the `effect` of a simulated mash it is the published balance: the grist converts as in the laboratory.
        """
        return flowsheet.to_new_make(shares, self.lot_columns(draws), self.plant, draws, effect, self.usual_shares)

    def made(self, bill: Bill) -> NewMake:
        """A bill through its simulated mash to new spirit, on the bench's draws."""
        shares = self.shares(bill)
        return self.new_make(shares, self.draws, self.house_effect(shares, self.draws))

    def made_middle(self, bill: Bill) -> NewMake:
        """The same on the reference run."""
        shares = self.shares(bill)
        return self.new_make(shares, self.middles, self.house_effect(shares, self.middles))

    def made_near(self, bill: Bill, known: Bill) -> NewMake:
        """A bill little different from a known one, through its mash as `house_effect_near` has it."""
        shares = self.shares(bill)
        return self.new_make(shares, self.draws, self.house_effect_near(shares, self.shares(known)))


@dataclass(frozen=True)
class Bench(SpiritBench):
    """The bench of a distiller's job: the cask has lain already, for it is the same whatever the bill."""

    cask: CaskPlan
    lain: MaturedCask | None  # None: a plan outside the range of the cask's model, which the law is asked about alone
    lain_middle: MaturedCask | None

    def traced(self) -> Self:
        """As of any bench; the cask lies on the moved inputs too."""
        ends = super().traced()
        return replace(ends, lain=lay(self.cask, ends.draws))

    @property
    def matured(self) -> MaturedCask:
        """The cask on the bench's draws. Raises Refused where its model does not reach the plan."""
        return _forecast(self.lain, self.cask)

    @property
    def matured_middle(self) -> MaturedCask:
        """The cask on the reference run. Raises Refused where its model does not reach the plan."""
        return _forecast(self.lain_middle, self.cask)

    def bottled(self, made: NewMake) -> Bottled:
        """New spirit on the bench's draws followed into bottles."""
        return flowsheet.to_bottle(made, self.matured, self.cask.bottle_abv_pct, self.cask.bottle_L, self.draws)

    def bottled_middle(self, made: NewMake) -> Bottled:
        """The reference run followed into bottles."""
        return flowsheet.to_bottle(
            made, self.matured_middle, self.cask.bottle_abv_pct, self.cask.bottle_L, self.middles
        )


B = TypeVar("B", bound=SpiritBench)


def lay(plan: CaskPlan, draws: Draws) -> MaturedCask | None:
    """The first cask of a plan after its years; None where its model does not reach the plan."""
    fill = fill_of(plan)
    return None if cask_limits.outside_model(fill) else cask.mature(fill, plan.climate, draws)


def _forecast(lain: MaturedCask | None, plan: CaskPlan) -> MaturedCask:
    if lain is None:
        raise Refused(cask_limits.outside_model(fill_of(plan)))
    return lain


def reweighted(bench: B, weights: FloatArray) -> B:
    """An untraced bench after a figure of the plant's own: new weights, and a reference run at the new middles."""
    middles = {name: np.array([quantiles(column, weights, (0.5,))[0]]) for name, column in bench.draws.items()}
    old = bench.memory
    memory = MashMemory(
        {key: effect for key, effect in old.effects.items() if key[0] == DRAWS},
        {key: course for key, course in old.measured.items() if key[0] == (DRAWS,)},
        {run: value for run, value in old.usual_unopened.items() if run == DRAWS},
        {key: pitched for key, pitched in old.pitched.items() if key[0] == DRAWS},
    )
    moved = replace(bench, weights=weights, middles=middles, memory=memory)
    if isinstance(moved, Bench):
        return replace(moved, lain_middle=lay(moved.cask, middles))
    return moved
