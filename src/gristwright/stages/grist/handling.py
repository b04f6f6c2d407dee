"""Can a whole mash be stirred, pumped and heated without scorching? See docs/boards.md."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from gristwright.basics import BoolArray, Draws, FloatArray, Light
from gristwright.numerics.runs import Runs
from gristwright.quantities.shown import interval, plain
from gristwright.records.plant import MashPlan, PotStills
from gristwright.records.remedies import Alteration, sentence_of
from gristwright.records.results import Board, Figure
from gristwright.stages.grist.bed import Laid
from gristwright.stages.grist.bed_board import Judged
from gristwright.stages.grist.bed_remedies import POINTS, more_malt
from gristwright.stages.grist.board_floors import at, floor, light_of, share_where
from gristwright.stages.grist.gums import log_thickness
from gristwright.stages.grist.offered import WayTried, least_that_helps, offered

HOUSE = "input.plant"
USUAL_L_PER_KG, USUAL_EXTRACT_KG_PER_KG = 4.5, 0.76
DRY_MATTER, EXTRACT_L_PER_KG = 0.89, 0.62
PACKED = 0.6  # part of the volume at which wet grain touches and no longer flows; of spheres 0.64
SUSPENSION = 1.5  # power of Krieger & Dougherty 1959 for spheres, 2.5 times PACKED
THINNER = (1.1, 1.2, 1.3, 1.4)
LESS_HEAT = (0.75, 0.5, 0.35, 0.25)
MOST_WORT_L_PER_T = 9000.0


@dataclass(frozen=True)
class WholeMash:
    """A whole mash and what heats it; arrays (members,). `stills` is None where it goes to a column."""

    laid: Laid
    plan: MashPlan
    extract_kg_per_kg: FloatArray
    stills: PotStills | None
    draws: Draws
    runs: Runs

    @property
    def solids_pct(self) -> FloatArray:
        """Grain that is not dissolved, dry, in the mash as it is charged [g/100 mL], (members,)."""
        return np.asarray(100.0 * self._left_kg() / (self.plan.wort_L_per_t / 1000.0))

    def _left_kg(self) -> FloatArray:
        return np.asarray(np.maximum(DRY_MATTER - self.extract_kg_per_kg, 0.02))

    @property
    def times(self) -> FloatArray:
        """Thickness over a whole mash of barley malt at 4.5 L/kg, (members,): liquid, its gums, grain in it."""
        usual = self._suspended(DRY_MATTER - USUAL_EXTRACT_KG_PER_KG, USUAL_L_PER_KG)
        litres = self.plan.wort_L_per_t / 1000.0
        here = self._suspended(self._left_kg(), litres) * self._strength(self.extract_kg_per_kg, litres)
        usual = usual * self._strength(USUAL_EXTRACT_KG_PER_KG, USUAL_L_PER_KG)
        gums = log_thickness(
            self.laid.shares, self.laid.materials, self.laid.beta_glucan_mg_per_L, self.plan, self.draws
        )
        return np.asarray(here / usual * np.exp(gums * USUAL_L_PER_KG / litres))

    def _suspended(self, left_kg: FloatArray | float, litres: float) -> FloatArray:
        full = np.minimum(self.draws["grist.swollen_L_per_kg"] * left_kg / litres, 0.95 * PACKED)
        return np.asarray((1.0 - full / PACKED) ** -SUSPENSION)

    def _strength(self, extract: FloatArray | float, litres: float) -> FloatArray:
        water = litres - EXTRACT_L_PER_KG * extract
        return np.asarray(np.exp(self.draws["grist.wort_strength_effect"] * extract / water))

    @property
    def bears_kW_per_m2(self) -> FloatArray:
        """Heat that its heating surface bears, (members,): less the more grain lies on it and the thicker it is."""
        usual = 100.0 * (DRY_MATTER - USUAL_EXTRACT_KG_PER_KG) / USUAL_L_PER_KG
        return np.asarray(self.draws["grist.scorch_kW_per_m2"] * usual / self.solids_pct / np.sqrt(self.times))

    @property
    def load_kW_per_m2(self) -> float | None:
        """Heat through the surface of the wash still; None where the house does not state it or heats no pot."""
        stills = self.stills
        if stills is None or stills.heating_kW is None or stills.heating_m2 is None:
            return None
        return stills.heating_kW / stills.heating_m2

    @property
    def out_of_order(self) -> BoolArray:
        """Too thick, or more heat than its surface bears, (members,)."""
        thick, load = self.times > at("handling_red_times"), self.load_kW_per_m2
        return np.asarray(thick if load is None else thick | (load > self.bears_kW_per_m2))

    def judged(self) -> Judged:
        """How it stands; the figure is its thickness."""
        middle, probability = self.runs.band(self.times).middle, self.runs.chance(self.out_of_order)
        unknown = self.stills is not None and self.load_kW_per_m2 is None
        wheat = share_where(self.laid.shares, [m.species == "wheat" for m in self.laid.materials])
        easy = middle <= at("handling_watch_times") and wheat < at("handling_wheat") and not unknown
        return Judged(light_of(probability, easy), probability, middle)


def handling_board(mash: WholeMash, lots: Sequence[str] = ()) -> Board:
    """Thickness, solids and scorching of a whole mash; `lots` are the names of its grains."""
    judged, runs = mash.judged(), mash.runs
    times, solids, bears = (runs.band(x) for x in (mash.times, mash.solids_pct, mash.bears_kW_per_m2))
    remedies = () if judged.light is Light.GREEN else offered(judged, ways(mash, lots), "times", 1)
    return Board(
        key="handling",
        title="Whole mash: stirring and heating",
        light=judged.light,
        probability_red=judged.probability_red,
        figure=Figure.of("thickness_times", "thickness over a barley mash", "times", mash.times, 1, runs, HOUSE),
        sentence=f"{plain(times.middle, 1)} ({interval(times, 1)}) times as thick as a mash of barley malt at "
        f"{USUAL_L_PER_KG:g} L/kg, out of order above {at('handling_red_times'):g}, an estimate; "
        f"{plain(solids.middle, 1)} g of grain in 100 mL. {_heated(mash, bears.low, bears.high)}",
        remedy="" if judged.light is Light.GREEN else sentence_of(remedies, _ask(mash)),
        standing="estimate",
        source=floor("handling_watch_times").source,
        remedies=remedies,
    )


def _heated(mash: WholeMash, low: float, high: float) -> str:
    if mash.stills is None:
        return "A column takes it with its grain."
    bears = f"the surface bears {plain(low, 0)} to {plain(high, 0)} kW/m2 before it scorches (estimate)"
    if mash.load_kW_per_m2 is None:
        return f"In the still {bears}; the house states no heat."
    return f"In the still {bears} and carries {plain(mash.load_kW_per_m2, 1)}."


def _ask(mash: WholeMash) -> str:
    if mash.stills is not None and mash.load_kW_per_m2 is None:
        return "State the heat into the wash still and its heating surface: then scorching is judged."
    return "Stir through heating and cooling, and let nothing stand."


def ways(mash: WholeMash, lots: Sequence[str]) -> Iterator[WayTried]:
    """Every way there is to make it thinner or to heat it more gently, each tried."""
    now = mash.judged()
    yield from least_that_helps(now, _thinner(mash))
    yield from least_that_helps(now, _malt(mash, lots))
    yield from least_that_helps(now, _less_heat(mash))
    if mash.plan.gum_enzyme == "none":
        change = Alteration(plant=(("mash.gum_enzyme", "added"), ("enzymes", "added microbial")))
        plan = replace(mash.plan, gum_enzyme="added")
        yield WayTried("enzyme", "add beta-glucanase and xylanase to the mash", change, _by(mash, plan))


def _by(mash: WholeMash, plan: MashPlan) -> Judged:
    return replace(mash, plan=plan).judged()


def _thinner(mash: WholeMash) -> Iterator[WayTried]:
    for times in THINNER:
        litres = round(mash.plan.wort_L_per_t * times, -1)
        if litres <= MOST_WORT_L_PER_T:
            change = Alteration(plant=(("mash.wort_L_per_t", litres),))
            plan = replace(mash.plan, wort_L_per_t=litres)
            yield WayTried("thinner", f"mash thinner, {litres:g} L a tonne", change, _by(mash, plan))


def _malt(mash: WholeMash, lots: Sequence[str]) -> Iterator[WayTried]:
    for points in POINTS if lots else ():
        moved = more_malt(mash.laid, lots, points)
        if moved is not None:
            words = f"take {points:g} points more of {moved[2]} in place of grain without husk"
            yield WayTried("malt", words, Alteration(bill=moved[1]), replace(mash, laid=moved[0]).judged())


def _less_heat(mash: WholeMash) -> Iterator[WayTried]:
    stills = mash.stills
    if stills is None or stills.heating_kW is None:
        return
    for part in LESS_HEAT:
        kW = round(stills.heating_kW * part, 1)
        changed = replace(stills, heating_kW=kW)
        change = Alteration(plant=(("pot_stills.heating_kW", kW),))
        yield WayTried(
            "less_heat", f"heat the wash still with {kW:g} kW", change, replace(mash, stills=changed).judged()
        )
