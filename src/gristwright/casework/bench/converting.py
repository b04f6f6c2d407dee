"""What would convert a grist that is short of enzyme: every way is run through the mash. See docs/boards.md."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from gristwright.basics import Draws, FloatArray, Light
from gristwright.casework.bench.bench import GristBench
from gristwright.flowsheet import mashing
from gristwright.numerics.runs import Runs
from gristwright.quantities.shown import plain
from gristwright.records.bill import Bill
from gristwright.records.plant import CookerPlan, Plant
from gristwright.records.remedies import Alteration, Remedy
from gristwright.stages.grist.bed_board import Judged
from gristwright.stages.grist.board_floors import at, light_of
from gristwright.stages.grist.certificate import column
from gristwright.stages.grist.offered import WayTried, few, offered

# Ways are tried on so many of the draws, and doses on the reference run: a board is read while a share is typed.
MEMBERS = 64
POINTS = (1.0, 2.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0)
MORE_HOURS, MOST_HOURS = 24.0, 120.0
MORE_STAND_MIN, LONGEST_STAND_MIN = 30.0, 120.0


@dataclass(frozen=True)
class _Case:
    """A bill in its house on some of the draws."""

    bench: GristBench
    shares: FloatArray
    draws: Draws
    runs: Runs

    def held_back(self, plant: Plant, shares: FloatArray, draws: Draws) -> FloatArray:
        unopened = mashing.usual_unopened(plant, draws)
        lots, middles = self.bench.lots, self.bench.middles
        return mashing.effect(lots, plant, shares, draws, unopened, None, middles).held_back_pct

    def judged(self, plant: Plant, shares: FloatArray) -> Judged:
        """How the board stands with another house or bill."""
        held = self.held_back(plant, shares, self.draws)
        probability, band = self.runs.chance(held > at("held_back_red")), self.runs.band(held)
        return Judged(light_of(probability, band.high <= at("held_back_watch")), probability, band.middle)

    def now(self) -> Judged:
        """How it stands as it is."""
        return self.judged(self.bench.plant, self.shares)


def remedies(bench: GristBench, bill: Bill, held_back_pct: FloatArray | None = None) -> tuple[Remedy, ...]:
    """Ways that leave less starch for want of enzyme in this house: more of the strongest malt, time to ferment or to
    stand; the best first.

    `held_back_pct` (members,) is what the bill leaves on all draws, as its board says it: the gains are then told
    against that, for one bill has one figure.
    """
    case = _case(bench, bench.shares(bill))
    now = case.now()
    if now.light is Light.GREEN:
        return ()
    tried = [*_more_malt(case), *_longer_fermentation(case), *_longer_stand(case)]
    better = offered(now, tried, "% of the starch")
    return few(better if held_back_pct is None else [_on_all(one, held_back_pct, bench.runs) for one in better])


def _on_all(remedy: Remedy, held_back_pct: FloatArray, runs: Runs) -> Remedy:
    """A remedy tried on some of the draws, told against all of them: what it leaves is brought there by ratio.

    It does not say that the board is then in order, for floors and lumps are judged beside the mash.
    """
    gain = remedy.gain
    chance, left = runs.chance(held_back_pct > at("held_back_red")), runs.band(held_back_pct).middle
    after = _by_ratio(gain.chance_after, gain.chance_before, chance)
    figure = _by_ratio(gain.figure_after or 0.0, gain.figure_before or 0.0, left)
    turns = "" if gain.turns == Light.GREEN.value else gain.turns
    told = replace(gain, chance_before=chance, chance_after=after, figure_before=left, figure_after=figure, turns=turns)
    return replace(remedy, gain=told)


def _by_ratio(after: float, before: float, all_before: float) -> float:
    return after * all_before / before if before > 0.0 else after


def _case(bench: GristBench, shares: FloatArray) -> _Case:
    members = min(MEMBERS, len(bench.weights))
    weights = bench.weights[:members] / bench.weights[:members].sum()
    draws = {name: values[:members] for name, values in bench.draws.items()}
    return _Case(bench, shares, draws, Runs(weights))


def _power(bench: GristBench) -> FloatArray:
    """Dextrinising units of every lot at the reference run; none of raw, caramel and roasted grain, (lots,)."""
    units = [float(bench.middles[column(b.lot.lot_id, "dextrinising_units")][0]) for b in bench.lots]
    alive = [b.material.malted and not b.material.dark for b in bench.lots]
    return np.where(alive, units, 0.0)


def _more_malt(case: _Case) -> Iterator[WayTried]:
    """Points of the strongest malt for the lot of which there is most without its enzymes: the least that helps."""
    bench, power = case.bench, _power(case.bench)
    strong = int(np.argmax(power))
    weaker = np.where(power < 0.8 * power[strong], case.shares, 0.0)
    giver = int(np.argmax(weaker))
    doses = [points for points in POINTS if points / 100.0 <= weaker[giver]]
    if power[strong] <= 0.0 or not doses:
        return
    grists = np.array([_moved(case.shares, giver, strong, points) for points in doses])
    middles = {name: np.repeat(value, len(doses)) for name, value in bench.middles.items()}
    held = case.held_back(bench.plant, grists, middles)
    enough = np.flatnonzero(held <= at("held_back_watch"))
    points = doses[int(enough[0])] if len(enough) else doses[-1]
    names = [belief.lot.lot_id for belief in bench.lots]
    words = f"{plain(points, 0)} % more {names[strong]} in place of {names[giver]}"
    change = Alteration(bill=((names[strong], points), (names[giver], -points)))
    yield WayTried("more_malt", words, change, case.judged(bench.plant, _moved(case.shares, giver, strong, points)))


def _moved(shares: FloatArray, giver: int, taker: int, points: float) -> FloatArray:
    moved = shares.copy()
    moved[giver] -= points / 100.0
    moved[taker] += points / 100.0
    return moved


def _longer_fermentation(case: _Case) -> Iterator[WayTried]:
    plant = case.bench.plant
    hours = plant.washbacks.hours + MORE_HOURS
    if plant.wort_boiled or hours > MOST_HOURS:
        return
    change = Alteration(plant=(("washbacks.hours", hours),))
    words = f"ferment for {plain(hours, 0)} hours"
    yield WayTried("longer_fermentation", words, change, case.judged(change.of(plant), case.shares))


def _longer_stand(case: _Case) -> Iterator[WayTried]:
    """A longer stand with the malt of a house that cooks."""
    plan = case.bench.plant.mash
    if plan.cook_degC is None:
        return
    cooker = plan.cooker or CookerPlan()
    minutes = cooker.malt_min + MORE_STAND_MIN
    if minutes > LONGEST_STAND_MIN:
        return
    change = Alteration(plant=(("mash.cooker", replace(cooker, malt_min=minutes)),))
    words = f"stand {plain(minutes, 0)} minutes with the malt"
    yield WayTried("longer_stand", words, change, case.judged(change.of(case.bench.plant), case.shares))
