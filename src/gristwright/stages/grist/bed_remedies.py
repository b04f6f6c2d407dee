"""What would shorten a run-off: every way is run through the model of the bed. See docs/boards.md."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from gristwright.basics import FloatArray
from gristwright.numerics.runs import Runs
from gristwright.records.lot import Material
from gristwright.records.plant import MashPlan, Rest
from gristwright.records.remedies import Alteration
from gristwright.records.streams import RunOff
from gristwright.reference.grains import usual
from gristwright.stages.grist import gums
from gristwright.stages.grist.bed import FILTER, LAUTER, TUN, Laid, husk_share, with_husks
from gristwright.stages.grist.bed_board import Judged, judge, lines_of
from gristwright.stages.grist.board_floors import at
from gristwright.stages.grist.offered import WayTried, least_that_helps

HUSKS_PCT = (2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
LESS = (0.9, 0.8, 0.7, 0.6, 0.5)
POINTS = (10.0, 20.0, 30.0, 40.0, 50.0, 60.0)
COARSER = (1.25, 1.5, 2.0)
GUM_REST, MASH_OUT = Rest(42.0, 30.0), Rest(76.0, 5.0)
MASH_OUT_FROM_DEGC, USUAL_STAND_MIN, MOST_GAP_MM = 74.0, 60.0, 4.0
ANOTHER = (("mash.plate_area_m2", None), ("mash.usual_run_off_hours", None))


class Off(Protocol):
    """The run-off of the mash by a plan; of another grist where one is given, with the house's own factor."""

    def __call__(self, plan: MashPlan, laid: Laid | None = None, own: FloatArray | None = None) -> RunOff: ...


@dataclass(frozen=True)
class BedCase:
    """A run-off as a remedy must know it: `own` is the house's own factor (members,), `lots` are the names."""

    laid: Laid
    plan: MashPlan
    lots: Sequence[str]
    runs: Runs
    off: Off
    own: FloatArray
    boiled: bool = False

    def now(self) -> Judged:
        """How it stands."""
        return judge(self.off(self.plan), self.laid, self.plan, lines_of(self.plan), self.runs)

    def with_grist(self, laid: Laid) -> Judged:
        """How another grist stands in the same house."""
        return judge(self.off(self.plan, laid, self.own), laid, self.plan, lines_of(self.plan), self.runs)

    def with_plan(self, plan: MashPlan) -> Judged:
        """How the same grist stands by another plan of the same vessel: the house's own factor and lines hold."""
        return judge(self.off(plan, self.laid, self.own), self.laid, plan, lines_of(self.plan), self.runs)

    def with_vessel(self, vessel: str) -> tuple[Alteration, Judged]:
        """How it stands in another vessel, of which the house's own hours say nothing."""
        change = (("mash.vessel", vessel), *ANOTHER)
        plan = replace(self.plan, vessel=vessel, plate_area_m2=None, usual_run_off_hours=None)  # type: ignore[arg-type]
        return Alteration(plant=change), judge(self.off(plan), self.laid, plan, lines_of(plan), self.runs)


def ways(case: BedCase) -> Iterator[WayTried]:
    """Every way there is in this house, each tried."""
    now, husky = case.now(), case.plan.vessel != FILTER
    if husky:
        yield from least_that_helps(now, _husks(case))
        yield from _vessels(case)
        yield from least_that_helps(now, _less(case))
        yield from least_that_helps(now, _coarser(case))
    yield from least_that_helps(now, _malt(case))
    yield from _rests(case)
    if case.plan.gum_enzyme == "none":
        plan = replace(case.plan, gum_enzyme="added")
        change = Alteration(plant=(("mash.gum_enzyme", "added"), ("enzymes", "added microbial")))
        yield WayTried("enzyme", "add beta-glucanase and xylanase to the mash", change, case.with_plan(plan))


def _husks(case: BedCase) -> Iterator[WayTried]:
    """Husk beside the grist, where some is missing."""
    there = 100.0 * float(case.laid.added_husks)
    if float(case.laid.bare) <= 0.0:
        return
    for pct in HUSKS_PCT:
        if there + pct <= at("most_husks_pct"):
            judged = case.with_grist(with_husks(case.laid, pct / 100.0))
            words = f"put {pct:g} kg of oat or rice husks into 100 kg of grist"
            yield WayTried("husks", words, Alteration(added_pct=(("rice_husks", pct),)), judged)


def _vessels(case: BedCase) -> Iterator[WayTried]:
    if case.plan.vessel == TUN:
        yield WayTried("lauter", "run it off in a lauter tun", *case.with_vessel(LAUTER))
    yield WayTried("filter", "use a mash filter", *case.with_vessel(FILTER))


def _less(case: BedCase) -> Iterator[WayTried]:
    """Less grain on the same plates; where their area is not stated the load is not known either."""
    if case.plan.plate_area_m2 is None:
        return
    for part in LESS:
        kg = round(case.plan.kg_per_mash * part)
        judged = case.with_plan(replace(case.plan, kg_per_mash=float(kg)))
        words = f"mash {kg:g} kg at a time, not {case.plan.kg_per_mash:g}"
        yield WayTried("less", words, Alteration(plant=(("mash.kg_per_mash", float(kg)),)), judged)


def _coarser(case: BedCase) -> Iterator[WayTried]:
    gap = case.plan.mill_gap_mm
    for times in COARSER if gap is not None else ():
        wider = round((gap or 0.0) * times, 2)
        if wider <= MOST_GAP_MM:
            judged = case.with_plan(replace(case.plan, mill_gap_mm=wider))
            words = f"open the last rolls to {wider:g} mm"
            yield WayTried("coarser", words, Alteration(plant=(("mash.mill_gap_mm", wider),)), judged)


def _malt(case: BedCase) -> Iterator[WayTried]:
    """Malt with its husk in place of grain without it, where the house has such malt."""
    for points in POINTS:
        moved = more_malt(case.laid, case.lots, points)
        if moved is not None:
            laid, change, lot = moved
            words = f"take {points:g} points more of {lot} in place of grain without husk"
            yield WayTried("malt", words, Alteration(bill=change), case.with_grist(laid))


def more_malt(laid: Laid, lots: Sequence[str], points: float) -> tuple[Laid, tuple[tuple[str, float], ...], str] | None:
    """The grist with so many points more of its largest husked malt, taken evenly off the grain without husk; with the
    points each lot moves and the malt's name. None where there is no such malt or not so much of that grain."""
    shares = np.asarray(laid.shares, dtype=float)
    malts = [k for k, material in enumerate(laid.materials) if _husked_malt(material)]
    bare = np.array([husk_share(material) == 0.0 for material in laid.materials])
    there = float(shares[bare].sum())
    if not malts or there < points / 100.0 - 1e-9:
        return None
    best = max(malts, key=lambda k: float(shares[k]))
    moved = np.where(bare, -shares / there, 0.0) * points / 100.0
    moved[best] += points / 100.0
    change = tuple((lot, round(100.0 * float(x), 2)) for lot, x in zip(lots, moved, strict=True) if abs(x) > 0.0)
    return replace(laid, shares=shares + moved), change, lots[best]


def _husked_malt(material: Material) -> bool:
    return material.malted and not material.dark and material.species == usual()


def _rests(case: BedCase) -> Iterator[WayTried]:
    """A gum rest, where the mash is rested or can be; a mash-out, where the wort is boiled."""
    plan = case.plan
    rests = rests_of(plan)
    if not rests:
        return
    if gums.rest_min(plan) <= 0.0 and not plan.decoctions:  # which are counted by the rests there are
        yield _rested(case, "gum_rest", f"rest the mash {GUM_REST.minutes:g} min at {GUM_REST.settled_degC:g} degC",
                      (GUM_REST, *rests))  # fmt: skip
    if case.boiled and rests[-1].settled_degC < MASH_OUT_FROM_DEGC:
        yield _rested(case, "mash_out", f"rest {MASH_OUT.minutes:g} min at {MASH_OUT.settled_degC:g} degC at the end",
                      (*rests, MASH_OUT))  # fmt: skip


def rests_of(plan: MashPlan) -> tuple[Rest, ...]:
    """The rests of a mash; of a lauter tun or filter that states neither rests nor waters its one stand as a rest."""
    if plan.rests:
        return plan.rests
    if plan.vessel == TUN or plan.waters or plan.cook_degC is not None:
        return ()
    return (Rest(plan.settled_mash_degC, plan.stand_min or USUAL_STAND_MIN),)


def _rested(case: BedCase, key: str, words: str, rests: tuple[Rest, ...]) -> WayTried:
    judged = case.with_plan(replace(case.plan, rests=rests))
    change: tuple[tuple[str, object], ...] = (("mash.rests", rests),)
    return WayTried(key, words, Alteration(plant=change), judged)
