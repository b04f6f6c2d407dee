"""The boards of run-off, whole mash and foam, with remedies worked out and judged by the law. See docs/boards.md."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from gristwright.basics import Light
from gristwright.casework.bench.bench import GristBench
from gristwright.flowsheet.running_off import RunningOff, mash_run
from gristwright.quantities.shown import lower, plain
from gristwright.records.bill import Bill
from gristwright.records.plant import Plant
from gristwright.records.remedies import Alteration, Remedy
from gristwright.records.results import Board
from gristwright.records.streams import Grist, Wort
from gristwright.stages.grist import bed_remedies
from gristwright.stages.grist.bed import FILTER
from gristwright.stages.grist.bed_board import bed_board
from gristwright.stages.grist.bed_remedies import BedCase
from gristwright.stages.grist.board_floors import at, sticky_share
from gristwright.stages.grist.handling import WholeMash, handling_board
from gristwright.stages.grist.offered import WayTried, few, offered
from gristwright.stages.grist.viscosity import Foaming, foam_board
from gristwright.stages.wash.boards import headspace

# What the law says of a change, in a sentence; empty where no category is asked.
LawOf = Callable[[Alteration], str]
ON_THE_GRAIN = "grain_in"


def boards(
    bench: GristBench, bill: Bill, grist: Grist, wort: Wort, present: Bill | None = None, judge: LawOf | None = None
) -> list[Board | None]:
    """Run-off or whole mash, and foam."""
    mash = _mash(bench, bill, grist, wort, present)
    plant = bench.plant
    lots = [belief.lot.lot_id for belief in bench.lots]

    def room(kg: float) -> float:
        return headspace(replace(plant.mash, kg_per_mash=kg), plant.washbacks)

    foaming = Foaming(mash.laid, plant.mash.kg_per_mash, room, bench.runs, bench.draws, lots)
    foam = foam_board(foaming, pots=plant.column is None and not plant.wort_boiled)
    if plant.grain_in:
        first: Board | None = handling_board(whole_mash(mash, plant, bench), lots)
    else:
        first = _bed(mash, bench, lots)
    return [None if board is None else judged(board, judge) for board in (first, foam)]


def _mash(bench: GristBench, bill: Bill, grist: Grist, wort: Wort, present: Bill | None) -> RunningOff:
    """The grist in its vessel; what is dissolved is read off the wort."""
    usual = bench.usual_shares if present is None else bench.shares(present)
    dissolved = (wort.extract_kg_per_t + wort.lost_extract_kg_per_t) / 1000.0
    ready = mash_run(bench.shares(bill), bench.lot_columns(bench.draws), grist, bench.draws, None, usual)
    return replace(ready, extract_kg_per_kg=dissolved)


def whole_mash(mash: RunningOff, plant: Plant, bench: GristBench) -> WholeMash:
    """The same grist as a whole mash of a house."""
    return WholeMash(mash.laid, plant.mash, mash.extract_kg_per_kg, plant.pot_stills, mash.draws, bench.runs)


def _bed(mash: RunningOff, bench: GristBench, lots: list[str]) -> Board:
    plan, plant = bench.plant.mash, bench.plant
    case = BedCase(mash.laid, plan, lots, bench.runs, mash.off, mash.own(plan), plant.wort_boiled)
    now = case.now()
    remedies: tuple[Remedy, ...] = ()
    if now.light is not Light.GREEN:
        every = [*bed_remedies.ways(case), *_on_the_grain(mash, bench)]
        remedies = few(offered(now, every), (ON_THE_GRAIN,))
    ran = mash.off(plan)
    return _with_asks(bed_board(ran, mash.laid, plan, bench.runs, bench.draws, remedies), mash, bench)


def _on_the_grain(mash: RunningOff, bench: GristBench) -> Iterator[WayTried]:
    """The whole mash fermented and distilled on its grain: no bed, and what its thickness asks instead."""
    sticky = float(sticky_share(mash.laid.shares, mash.laid.materials))
    hard = float(mash.laid.bare) >= at("huskless_watch") or sticky >= at("rye_bed_watch")
    if bench.plant.wort_boiled or bench.plant.mash.vessel == FILTER or not hard:
        return
    change = Alteration(plant=(("kind", "grain-in"), ("mash.vessel", "tun"), ("mash.waters", ()), ("mash.sparges", ())))
    judged = whole_mash(mash, change.of(bench.plant), bench).judged()
    yield WayTried(ON_THE_GRAIN, "ferment the whole mash on the grain", change, replace(judged, figure=None))


def _with_asks(board: Board, mash: RunningOff, bench: GristBench) -> Board:
    """The board with what fermenting on the grain asks of the still."""
    asked = whole_mash(mash, bench.plant, bench)
    solids, bears = (bench.runs.band(values) for values in (asked.solids_pct, asked.bears_kW_per_m2))
    stills = f"{plain(bears.low, 0)} to {plain(bears.high, 0)} kW/m2 (estimate)"
    load = asked.load_kW_per_m2
    has = "" if load is None else f", and carries {plain(load, 1)}"
    foams = ", and foams" if sticky_share(mash.laid.shares, mash.laid.materials) > 0.0 else ""
    words = f"It takes {plain(solids.middle, 1)} g of grain in 100 mL into the still"
    words += f"{foams}." if asked.stills is None else f", whose surface then bears {stills}{has}{foams}."
    remedies = tuple(replace(r, asks=words) if r.key == ON_THE_GRAIN else r for r in board.remedies)
    return replace(board, remedies=remedies, remedy=_again(board, remedies))


def judged(board: Board, judge: LawOf | None) -> Board:
    """The board with the verdict of the categories asked on each remedy; it says a verdict on several of them once."""
    if judge is None or not board.remedies:
        return board
    verdicts = [judge(remedy.change) for remedy in board.remedies]
    remedies = tuple(
        replace(r, law=" ".join(x for x in (r.law, verdict) if x))
        for r, verdict in zip(board.remedies, verdicts, strict=True)
    )
    often = max(verdicts, key=verdicts.count)
    if verdicts.count(often) == 1:
        return replace(board, remedies=remedies, remedy=_again(board, remedies))
    told = [old if v == often else new for old, new, v in zip(board.remedies, remedies, verdicts, strict=True)]
    text, last = _again(board, told), told[-1].sentence
    once = _of_several(often, all_of_them=verdicts.count(often) == len(verdicts))
    return replace(board, remedies=remedies, remedy=text.replace(last, f"{last} {once}"))


def _of_several(verdict: str, all_of_them: bool) -> str:
    """A verdict on one remedy as that on every remedy of its board, or on those that have none beside them."""
    said = verdict.replace("With it ", "With each of these ").replace(" with it ", " with each of these ")
    return said if all_of_them else f"The others: {lower(said)}"


def _again(board: Board, remedies: Sequence[Remedy]) -> str:
    """The sentence of a board whose remedies say more now; what stands behind them stays."""
    text = board.remedy
    for old, new in zip(board.remedies, remedies, strict=True):
        text = text.replace(old.sentence, new.sentence)
    return text
