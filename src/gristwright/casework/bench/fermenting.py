"""How a bill ferments in its house: what is told of it, and its board. See docs/wash.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gristwright.basics import Draws, Light
from gristwright.casework.bench import wash_ways
from gristwright.casework.bench.bench import GristBench
from gristwright.casework.bench.wash_ways import WashWays
from gristwright.quantities.shown import lower
from gristwright.records.bill import Bill
from gristwright.records.remedies import sentence_of
from gristwright.records.results import Board, Figure
from gristwright.records.streams import Wort
from gristwright.records.wash import WashEnd
from gristwright.records.wash_findings import GristInWash, WashFinding
from gristwright.stages.grist.bed_board import Judged
from gristwright.stages.grist.board_floors import at, dark_share, light_of, share_where, sticky_share
from gristwright.stages.grist.offered import WayTried, few, offered
from gristwright.stages.grist.viscosity import headspace_wanted
from gristwright.stages.wash.boards import filled_L, headspace
from gristwright.stages.wash.lines import line
from gristwright.stages.wash.setting import yeast_kind
from gristwright.stages.wash.warnings import MALTOTRIOSE_LEFT, SeenWash, findings

WHEAT = "wheat"
LEFT = "% left"
# Findings whose way out the board tells where none was worked out.
THROUGH = ("yeast_dies", "stuck", "short_hours", "leaves_maltotriose", "fan_short", "strong", "ethanol_limit", "hot")


@dataclass(frozen=True)
class ToldWash:
    """What is told of a wash, and its board with the ways that better it; None where it is not said."""

    findings: tuple[WashFinding, ...]
    board: Board | None = None
    seen: SeenWash | None = None
    ways: WashWays | None = None  # where a caution stands that they mend

    @property
    def sentences(self) -> tuple[str, ...]:
        """What is told, as sentences."""
        return tuple(one.sentence for one in self.findings)

    def among(self, boards: Sequence[Board]) -> tuple[Board, ...]:
        """A bill's boards with this one, worked out, in the place of its like."""
        own = self.board
        return tuple(own if own is not None and board.key == own.key else board for board in boards)


def told_of(bench: GristBench, bill: Bill, wort: Wort, end: WashEnd | None, withheld: bool) -> ToldWash:
    """A bill's wash with its ways out, which are run again where a caution stands and not elsewhere.

    Of a bill whose litres are `withheld` only what was assumed of the house is told.
    """
    if end is None:
        return ToldWash(())
    seen = seen_wash(bench, bill, wort, end)
    found = findings(seen)
    if withheld:
        return ToldWash(tuple(one for one in found if one.key == "assumed"))
    asked = {one.key for one in found if one.caution}
    if not asked & wash_ways.WORKED_OUT:
        return ToldWash(found, fermentation_board(seen), seen)
    ways = wash_ways.ways(bench, bill, seen, asked)
    by_key = wash_ways.ways_out(asked, ways, seen)
    return ToldWash(findings(seen, by_key), fermentation_board(seen, ways), seen, ways)


def seen_wash(bench: GristBench, bill: Bill, wort: Wort, end: WashEnd) -> SeenWash:
    """The simulated wash of a bill with all that it is judged by."""
    plant, shares = bench.plant, bench.shares(bill)
    return SeenWash(
        end=end,
        runs=bench.runs,
        draws=bench.draws,
        backs=plant.washbacks,
        brews=plant.wort_boiled,
        filled_L=filled_L(plant.mash, plant.washbacks),
        room=headspace(plant.mash, plant.washbacks),
        original_gravity_degP=wort.original_gravity_degP,
        fan_mg_per_L=bench.wort_fan(shares, wort, bench.draws),
        grist=grist_in_wash(bench, bill, bench.draws),
    )


def grist_in_wash(bench: GristBench, bill: Bill, draws: Draws) -> GristInWash:
    """What of a bill counts in the washback beside its sugar."""
    shares, materials = bench.shares(bill), [belief.material for belief in bench.lots]
    sticky = float(sticky_share(shares, materials))
    return GristInWash(
        head_of_sticky=headspace_wanted(sticky, draws) / at("plain_headspace"),
        sticky_share=sticky,
        wheat_share=share_where(shares, [material.species == WHEAT for material in materials]),
        raw_share=share_where(shares, [material.raw for material in materials]),
        dark_share=dark_share(shares, materials),
        whole_mash=bench.plant.grain_in,
        boiled=bench.plant.wort_boiled,
    )


def judged(seen: SeenWash) -> Judged:
    """How a wash stands: red where too much is left or heat has killed the yeast; the figure is what is left [%]."""
    left, runs = seen.left_pct, seen.runs
    probability = runs.chance((left > line("left_red_pct")) | seen.died_of_heat)
    middle = runs.band(left).middle
    light = light_of(probability, middle <= line("left_watch_pct"))
    if seen.brews and yeast_kind(seen.backs, True) == MALTOTRIOSE_LEFT:
        light, probability = Light.AMBER, 0.0  # a brewer chooses such a yeast for what it leaves
    return Judged(light, probability, middle)


def fermentation_board(seen: SeenWash, ways: WashWays | None = None) -> Board:
    """Whether the wash ferments out in its hours; with `ways` that were run again on some of the draws."""
    stands, left = judged(seen), seen.left_pct
    good = stands.light is Light.GREEN
    remedies = () if ways is None or good else few(offered(judged(ways.now), _tried(ways), LEFT))
    tried = f"Ways tried on {len(ways.now.runs.weights)} of the runs. " if ways and remedies else ""
    return Board(
        key="fermentation",
        title="Fermenting out",
        light=stands.light,
        probability_red=stands.probability_red,
        figure=Figure.of(
            "wash_left_pct", "not fermented when the hours are over", "%", left, 1, seen.runs, "input.plant",
            also=(seen.end.peak_degC,),
        ),
        sentence=f"{seen.left} is left in sugar after {seen.backs.hours:g} h; "
        f"warmest {seen.said(seen.end.peak_degC)} degC. More than {line('left_red_pct'):g} % left, or yeast that "
        "dies of heat, is not in order.",
        remedy="" if good else tried + sentence_of(remedies, _otherwise(seen)),
        standing="estimate",
        source="the simulated wash (docs/wash.md); its lines are our choice, from what a sound wash leaves (common "
        "practice)",
        remedies=remedies,
    )  # fmt: skip


def _tried(ways: WashWays) -> list[WayTried]:
    return [WayTried(way.key, lower(way.words), way.change, judged(way.seen)) for way in ways.tried]


def _otherwise(seen: SeenWash) -> str:
    return next((one.way_out for one in findings(seen) if one.caution and one.key in THROUGH), "")
