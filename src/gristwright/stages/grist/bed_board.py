"""Does the wort run off its grain in the day that the house has? See docs/boards.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gristwright.basics import Draws, Light
from gristwright.numerics.runs import Runs
from gristwright.quantities.shown import interval, plain
from gristwright.records.plant import MashPlan
from gristwright.records.remedies import Remedy, sentence_of
from gristwright.records.results import Board, Figure
from gristwright.records.streams import RunOff
from gristwright.stages.grist import gums
from gristwright.stages.grist.bed import FILTER, LAUTER, Laid, bed_depth_m, huskless_share
from gristwright.stages.grist.board_floors import RED_SHARE, at, floor, light_of, sticky_share, sticky_words

HOUSE = "input.plant"


@dataclass(frozen=True)
class BedLines:
    """Hours from which a run-off is watched, and from which it is out of order."""

    watch_h: float
    red_h: float


def lines_of(plan: MashPlan) -> BedLines:
    """The lines of a house: against its own hours where it states them, else those of its vessel."""
    own = plan.usual_run_off_hours
    if own is not None:
        return BedLines(own * at("run_off_watch_times"), own * at("run_off_red_times"))
    kind = "filter" if plan.vessel == FILTER else "run_off"
    return BedLines(at(f"{kind}_watch_h"), at(f"{kind}_red_h"))


@dataclass(frozen=True)
class Judged:
    """How a run-off stands."""

    light: Light
    probability_red: float
    figure: float | None  # the middle of its figure; None of a mash that never runs off


def judge(ran: RunOff, laid: Laid, plan: MashPlan, lines: BedLines, runs: Runs) -> Judged:
    """Light and chance of being out of order of a run-off of one grist, `laid.shares` (lots,)."""
    probability = runs.chance((ran.hours > lines.red_h) | ran.never)
    bare, sticky = float(laid.bare), float(sticky_share(laid.shares, laid.materials))
    middle = runs.band(ran.hours).middle
    easy = middle <= lines.watch_h
    if plan.vessel != FILTER:
        easy = easy and bare < at("huskless_watch") and sticky < at("rye_bed_watch")
    return Judged(light_of(probability, easy), probability, None if never_of(ran, runs) else middle)


def never_of(ran: RunOff, runs: Runs) -> bool:
    """Whether a mash is likelier never to run off than to do so."""
    return runs.chance(ran.never) > RED_SHARE


def bed_board(
    ran: RunOff, laid: Laid, plan: MashPlan, runs: Runs, draws: Draws, remedies: Sequence[Remedy] = ()
) -> Board:
    """Run-off of a separated house, one vessel a mash; `laid.shares` (lots,). `remedies` were worked out for it."""
    lines = lines_of(plan)
    judged, band = judge(ran, laid, plan, lines, runs), runs.band(ran.hours)
    bare = huskless_share(laid.shares, laid.materials) if plan.vessel != FILTER else 0.0
    sticky, husks = float(sticky_share(laid.shares, laid.materials)), float(laid.added_husks)
    never = never_of(ran, runs)
    own = plan.usual_run_off_hours is not None and plain(band.low, 1) == plain(band.high, 1)
    what = (
        f"Never: the model's {plain(band.middle, 0)} h stand for no run-off" if never else
        f"{plain(band.middle, 1)} h" if own else f"{plain(band.middle, 1)} h ({interval(band, 1)})"
    )  # fmt: skip
    stands = "as the house states it" if own else "an estimate"
    said = f"{what} through {_vessel(plan, runs, draws)}, {stands}; over {lines.red_h:.3g} h is too long."
    parts = (said, _grain(bare, sticky, never, plan, husks), _gums(laid, plan, runs))
    offered = () if judged.light is Light.GREEN else tuple(remedies)
    said_of = sentence_of(offered, _otherwise(never, own))
    return Board(
        key="bed",
        title="Run-off",
        light=judged.light,
        probability_red=judged.probability_red,
        figure=Figure.of("run_off_h", "run-off", "h", ran.hours, 1, runs, HOUSE),
        sentence=" ".join(part for part in parts if part),
        remedy="" if judged.light is Light.GREEN else f"{said_of} {_asked(never, plan)}".rstrip(),
        standing="estimate",
        source=_source(sticky, bare),
        remedies=offered,
    )


def _vessel(plan: MashPlan, runs: Runs, draws: Draws) -> str:
    if plan.vessel == FILTER:
        return "the mash filter"
    kind = "a bed of the lauter tun" if plan.vessel == LAUTER else "a bed"
    depth = f"{runs.band(bed_depth_m(plan, draws)).middle:.2f} m deep"
    return f"{kind} {depth}" if plan.plate_area_m2 is not None else f"{kind} of a depth not stated"


def _grain(bare: float, sticky: float, never: bool, plan: MashPlan, husks: float) -> str:
    thick = f"{100 * sticky:.0f} % is {sticky_words()}, whose pentosan thickens the wort" if sticky > 0.0 else ""
    if bare < 0.005:
        return f"Of the grist {thick}." if thick else ""
    said = f"{100 * bare:.0f} % of the grist has no husk"
    said += f", {thick}" if thick else ""
    said += f", {100 * husks:.2g} % is husks" if husks > 0.0 else ""
    return f"{said}: a conventional tun does not run this off." if never and plan.vessel == "tun" else f"{said}."


def _gums(laid: Laid, plan: MashPlan, runs: Runs) -> str:
    """The beta-glucan of the wort where it is more than malt alone brings; the rest that was counted."""
    glucan = runs.band((laid.shares * laid.beta_glucan_mg_per_L).sum(axis=-1))
    said = (
        f"Its laboratory wort holds {glucan.middle:.0f} mg/L of beta-glucan."
        if glucan.middle > at("glucan_said_mg_per_L")
        else ""
    )
    minutes = gums.rest_min(plan)
    return f"{said} A gum rest of {minutes:g} min is counted in.".strip() if minutes else said


def _asked(never: bool, plan: MashPlan) -> str:
    """What would settle the hours that were estimated."""
    if plan.usual_run_off_hours is not None:
        return ""
    if never:
        return "If the house runs it off today, its own hours of run-off settle it: state them."
    return "State the house's own hours of run-off: then only the change against them is estimated."


def _otherwise(never: bool, own: bool) -> str:
    """What is left to say where the model finds no way that betters the board; `own` hours are the house's."""
    if own:
        return "The house runs it off as it is: watch the bed when its malt or its mill changes."
    return "The bill must change: nothing the model knows runs it off here." if never else "Change the bill."


def _source(sticky: float, bare: float) -> str:
    lines = ["our engineering estimate (docs/boards.md)", "Barrett et al. 1973, J. Inst. Brew. 79:407-413"]
    lines += [floor("rye_bed_red").source] if sticky > 0.0 else []
    lines += [floor("huskless_red").source] if bare > sticky else []
    return "; ".join(lines)
