"""Every board of one bill, from what the stages say and what the house is. See docs/boards.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from gristwright.basics import FloatArray, Light, Verdict
from gristwright.casework.bench import converting, fermenting, running_off
from gristwright.casework.bench.bench import GristBench, SpiritBench
from gristwright.casework.bench.running_off import LawOf
from gristwright.casework.bench.withheld import LITRES, unsaid, withheld
from gristwright.flowsheet.line import NewMake
from gristwright.records.bill import Bill
from gristwright.records.enquiry import Limits
from gristwright.records.law import CategoryAnswer
from gristwright.records.lot import Material
from gristwright.records.plant import Plant
from gristwright.records.remedies import Remedy
from gristwright.records.results import Board, Withheld
from gristwright.records.streams import Grist, Wash, Wort
from gristwright.records.wash import WashEnd
from gristwright.records.ways import Ways
from gristwright.stages.grist import gelatinisation, nitrile, nitrogen
from gristwright.stages.grist.board_floors import AMBER_SHARE, at, dark_share
from gristwright.stages.grist.boards import EnzymeOffer, enzyme_board
from gristwright.stages.grist.certificate import LotBelief, column
from gristwright.stages.mash.boards import dextrin_board, gravity_board, starch_board
from gristwright.stages.still.boards import charge_board
from gristwright.stages.wash.boards import washback_board

LAW_LIGHT = {
    Verdict.PASS: Light.GREEN,
    Verdict.FAIL: Light.RED,
    Verdict.UNKNOWN: Light.UNKNOWN,
    Verdict.DEPENDS: Light.AMBER,
}


def distillers_boards(
    bench: SpiritBench,
    bill: Bill,
    made: NewMake,
    limits: Limits,
    verdicts: Sequence[CategoryAnswer],
    present: Bill | None = None,
    judge: LawOf | None = None,
) -> tuple[Board, ...]:
    """Every board of a distiller's bill; `present` is the bill that the house's usual run-off hours belong to, `judge`
    asks the law of a remedy."""
    plant = bench.plant
    boards = (
        *grist_boards(bench, bill, made.grist, made.wort, present, judge),
        *_fermentability(bench, made),
        gravity_board(made.wort, bench.runs, limits.most_original_gravity_sg, plant.grain_in),
        *wash_boards(bench, bill, made.wort, made.wash.end),
        *([charge_board(made.spirit, bench.runs)] if plant.pot_stills else []),
        _nitrile(bench, bill, made.spirit.lpa_per_t),
        *(law_board(answer) for answer in verdicts),
    )
    return unsaid(boards, why_withheld(bench, bill, made.grist, made.wort, wash=made.wash))


def wash_boards(bench: GristBench, bill: Bill, wort: Wort, end: WashEnd | None) -> tuple[Board, ...]:
    """Room for the head and fermenting out, for distillers and brewers alike, by the simulated wash."""
    if end is None:
        return ()
    seen, plant = fermenting.seen_wash(bench, bill, wort, end), bench.plant
    room = washback_board(plant.mash, plant.washbacks, end, seen.grist, bench.runs, bench.draws)
    return room, fermenting.fermentation_board(seen)


def why_of(bench: SpiritBench, bill: Bill) -> Withheld | None:
    """Why the litres of a bill are not said, its own mash behind it; None where they are."""
    made = bench.made(bill)
    return why_withheld(bench, bill, made.grist, made.wort, wash=made.wash)


def why_withheld(
    bench: GristBench, bill: Bill, grist: Grist, wort: Wort, what: str = LITRES, wash: Wash | None = None
) -> Withheld | None:
    """Why what a bill gives is not said, None where it is; `wash` is what a distiller's still gets."""
    return withheld(wort.starch_left_pct, bench.runs, what, wort.run_off, wash)


def _holds_raw(bench: GristBench, bill: Bill) -> bool:
    return any(b.material.raw and bill.parts_of(b.lot.lot_id) for b in bench.lots)


def grist_boards(
    bench: GristBench,
    bill: Bill,
    grist: Grist,
    wort: Wort,
    present: Bill | None = None,
    judge: LawOf | None = None,
) -> tuple[Board, ...]:
    """The boards that grain, enzymes and water decide, for distillers and brewers alike; `judge` asks the law of a
    remedy."""
    plant, runs, draws = bench.plant, bench.runs, bench.draws
    shares, materials = bench.shares(bill), [belief.material for belief in bench.lots]
    fan = bench.wort_fan(shares, wort, draws)
    ways = Ways.of(plant.mash, plant.wort_boiled)
    opening = gelatinisation.opening(shares, materials, ways)
    boards = [
        _enzymes(bench, bill, grist, wort, judge),
        nitrogen.nitrogen_board(
            fan,
            wort.original_gravity_degP,
            runs,
            dark_share(shares, materials),
            brewing=plant.wort_boiled,
            raw=_holds_raw(bench, bill),
        ),
        gelatinisation.gelatinisation_board(
            shares,
            materials,
            ways.hottest_degC if ways.rests else plant.mash.settled_mash_degC,
            plant.mash.cook_degC,
            wort.original_gravity_degP,
            runs,
            draws,
            ways,
        ),
        starch_board(wort, runs, ways, opening),
        *running_off.boards(bench, bill, grist, wort, present, judge),
    ]
    return tuple(board for board in boards if board is not None)


def _fermentability(bench: SpiritBench, made: NewMake) -> list[Board]:
    ways = Ways.of(bench.plant.mash, bench.plant.wort_boiled)
    board = dextrin_board(made.wort, made.grist.psy_lpa_per_t, bench.runs, ways)
    return [board] if board else []


def _enzymes(bench: GristBench, bill: Bill, grist: Grist, wort: Wort, judge: LawOf | None = None) -> Board:
    held = wort.held_back_pct
    short = held is not None and bench.runs.chance(held > at("held_back_red")) > AMBER_SHARE
    ways = converting.remedies(bench, bill, held) if short else ()
    board = _enzyme_board(bench, bill, grist, wort, ways)
    if board.remedies and len(bench.weights) > converting.MEMBERS:
        # Their figures of now stand beside the board's, which are those of every run.
        board = replace(board, remedy=f"Ways tried on {converting.MEMBERS} of the runs. {board.remedy}")
    return running_off.judged(board, judge)


def _enzyme_board(bench: GristBench, bill: Bill, grist: Grist, wort: Wort, ways: Sequence[Remedy]) -> Board:
    plant = bench.plant
    raw = _holds_raw(bench, bill)
    return enzyme_board(
        grist,
        bench.runs,
        plant.grain_cooked,
        plant.wort_boiled,
        ferment_hours=plant.washbacks.hours,
        offer=strongest(bench),
        premalt_pct=_premalt_pct(plant, raw),
        diluted=any(not brings_enzymes(b.material) and bill.parts_of(b.lot.lot_id) for b in bench.lots),
        held_back_pct=wort.held_back_pct,
        remedies=ways,
    )


def _premalt_pct(plant: Plant, raw: bool) -> float | None:
    """Malt in the cooker [% of the grist]; as much as is wanted where the bill sends no grain through one."""
    if not plant.grain_cooked:
        return None
    return plant.mash.premalt_pct if raw else at("premalt_most_pct")


def brings_enzymes(material: Material) -> bool:
    """Whether a type of grain brings enzymes to speak of."""
    return material.malted and not material.dark


def strongest(bench: GristBench) -> EnzymeOffer | None:
    """The offered lot with most diastatic power."""
    offers = [
        EnzymeOffer(
            b.lot.lot_id,
            float(bench.middles[column(b.lot.lot_id, "diastatic_power")][0]),
            float(bench.middles[column(b.lot.lot_id, "dextrinising_units")][0]),
        )
        for b in bench.lots
    ]
    return max(offers, key=lambda offer: offer.diastatic_power_degLintner, default=None)


def _nitrile(bench: SpiritBench, bill: Bill, lpa_per_t: FloatArray) -> Board:
    printed = np.array([_nitrile_g_per_t(belief) for belief in bench.lots])
    return nitrile.nitrile_board(
        bench.shares(bill),
        [belief.lot.lot_id for belief in bench.lots],
        [belief.material for belief in bench.lots],
        np.broadcast_to(printed, (len(lpa_per_t), len(printed))),
        lpa_per_t,
        bench.runs,
    )


def _nitrile_g_per_t(belief: LotBelief) -> float:
    """Glycosidic nitrile of the certificate, as glycoside; NaN when it is silent, for then nothing may be assumed."""
    return belief.values.get("glycosidic_nitrile_g_per_t", float("nan"))


def law_board(answer: CategoryAnswer) -> Board:
    """A category as a board: what is unknown counts as not in order until it is known."""
    light = LAW_LIGHT[answer.verdict]
    against = [a for a in answer.answers if a.verdict is not Verdict.PASS]
    reasons = " ".join(a.reason for a in against) or "Every rule that can be judged from the plan is met."
    return Board(
        key=f"law.{answer.category}",
        title=answer.title,
        light=light,
        probability_red=0.0 if answer.verdict in (Verdict.PASS, Verdict.DEPENDS) else 1.0,
        figure=None,
        sentence=f"{answer.verdict.value}: {reasons}",
        remedy="" if light is Light.GREEN else "Change the bill or the plan, or give up the category.",
        standing="published",
        source="; ".join(dict.fromkeys(a.source for a in (against or answer.answers))),
    )
