"""The mash-house order: one mash of one bill, with what to weigh, heat, keep, watch and do. See docs/order.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
from typing import Protocol

from gristwright.basics import Light, Verdict
from gristwright.casework.bench import whisky
from gristwright.casework.bench.bench import Bench, GristBench, SpiritBench
from gristwright.casework.mash_house.mash_bench import set_out
from gristwright.casework.mash_house.order_actions import actions
from gristwright.casework.mash_house.order_aims import Ordered, aims
from gristwright.casework.mash_house.order_liquor import Mashing, balance_lines, plan_notes
from gristwright.casework.mash_house.order_steps import mash_steps
from gristwright.casework.mash_house.order_wash_cautions import wash_cautions
from gristwright.casework.mash_house.weighing import noise_lpa_per_t, of_plan, rounding, special_lots, weighed_bill
from gristwright.flowsheet.line import to_wort
from gristwright.quantities.shown import plain
from gristwright.records.bill import Bill
from gristwright.records.order import MashOrder, Weighing
from gristwright.records.plant import PlantRecord
from gristwright.records.results import BillResult, Board, Figure
from gristwright.records.said import Amount, Name, Said, said
from gristwright.stages.grist.certificate import column

CAUTIONS = ("planning", "liquor", "co2", "dust")
PRESSURE_DEGC = 100.0
PH_PER_10_PCT = (0.05, 0.1)


class AsksTheLaw(Protocol):
    """What an enquiry or a bill sheet asks of the law."""

    @property
    def categories(self) -> tuple[str, ...]: ...

    @property
    def date(self) -> dt.date: ...


def mash_order(
    bench: GristBench,
    asked: AsksTheLaw,
    result: BillResult,
    letter: str = "",
    bagged: Collection[str] | None = None,
    record: PlantRecord | None = None,
) -> MashOrder:
    """The order for one mash of `result`'s bill; an offer's `letter` or "" for the present bill.

    `bagged` names the lots that come in bags, the special malts when None. A brewer's ends at the kettle. Raises
    Refused when the lots cannot be weighed or a liquor cannot be had.
    """
    bill, plan = result.bill, bench.plant.mash
    weighed, change = _weighed(bench, bill, bagged, record)
    moisture = grist_moisture_pct(bench, weighed)
    mash = Mashing(bench, set_out(bench, bill, bench.middles), weighed, moisture, _extract_kg_per_t(bench, bill))
    of = Ordered(mash, result, record)
    return MashOrder(
        bill=bill.name,
        letter=letter,
        house=bench.plant.name,
        grain_in=bench.plant.grain_in,
        brews=mash.brews,
        kg_per_mash=plan.kg_per_mash,
        weighings=weighed,
        rounding=change,
        bags=_bags(bench, weighed, bagged),
        grist_moisture_pct=moisture,
        grist_degC=plan.grist_degC,
        steps=mash_steps(mash),
        balance=balance_lines(mash),
        aims=aims(of),
        actions=actions(of),
        notes=_notes(bench, asked, result, mash),
        cautions=_cautions(mash, bill),
    )


def grist_moisture_pct(bench: GristBench, weighed: Collection[Weighing]) -> float:
    """Moisture of the grist as weighed [%], at the middles of the certificates or of the types."""
    return sum(one.kg * float(bench.middles[column(one.lot_id, "moisture_pct")][0]) for one in weighed) / sum(
        one.kg for one in weighed
    )


def _extract_kg_per_t(bench: GristBench, bill: Bill) -> float:
    """Extract in the wort of the reference run [kg/t]."""
    shares, middles = bench.shares(bill), bench.middles
    effect = bench.house_effect(shares, middles)
    wort = to_wort(shares, bench.lot_columns(middles), bench.plant, middles, effect, bench.usual_shares)[1]
    return float(wort.extract_kg_per_t[0])


def _weighed(
    bench: GristBench, bill: Bill, bagged: Collection[str] | None, record: PlantRecord | None
) -> tuple[tuple[Weighing, ...], Figure | None]:
    """Whole bags as far as the plant file lets them, and only where the litres do not show it."""
    weighed = of_plan(bench, bill, bagged, bench.plant.mash.rounding_pct)
    if not isinstance(bench, SpiritBench):
        return weighed, None
    change = rounding(bench, bill, weighed)
    if change is not None and abs(change.band.middle) > noise_lpa_per_t(record):
        weighed = of_plan(bench, bill, bagged, 0.0)
        change = rounding(bench, bill, weighed)
    return weighed, change


def _bags(bench: GristBench, weighed: Sequence[Weighing], bagged: Collection[str] | None) -> tuple[Said, ...]:
    """How far whole bags may be from the bill, and what is weighed out beside them."""
    bags = special_lots(bench) if bagged is None else set(bagged)
    if not any(one.lot_id in bags for one in weighed):
        return ()
    near = said("order.bags", within=Amount(bench.plant.mash.rounding_pct, "points", 1))
    loose = [one for one in weighed if one.loose_kg > 1e-6 and one.bags]
    return (near, *(said("order.loose", lot=one.lot_id, kg=_kg(one)) for one in loose))


def _kg(one: Weighing) -> Amount:
    return Amount(one.loose_kg, "kg", 1 if one.loose_kg >= 10.0 else 2)


def _notes(bench: GristBench, asked: AsksTheLaw, result: BillResult, mash: Mashing) -> tuple[Said, ...]:
    notes = [
        said(
            "order.note.moisture",
            moisture=Amount(mash.moisture_pct, "%", 1),
            grist=Amount(bench.plant.mash.grist_degC, "degC", 1),
        )
    ]
    red = tuple(_board(board) for board in result.boards if board.light is Light.RED)
    notes += [said("order.note.red", boards=red)] if red else []
    odd = [one for one in mash.weighed if one.loose_kg > 1e-6 and not one.bags]
    notes += [said("order.note.odd_kg", lot=one.lot_id, kg=_kg(one)) for one in odd]
    notes += _law(bench, asked, result, mash.weighed)
    dark = sum(one.weighed_pct for one in mash.weighed if bench.materials[one.lot_id].dark)
    if dark > 0.0:
        low, high = (plain(per * dark / 10.0, 2) for per in PH_PER_10_PCT)
        drop = Amount(0.5 * (PH_PER_10_PCT[0] + PH_PER_10_PCT[1]) * dark / 10.0, "", 2, float(low), float(high))
        notes.append(said("order.note.dark", drop=drop, share=Amount(dark, "%", 1)))
    return (*notes, *plan_notes(bench.plant))


def _board(board: Board) -> Name | str:
    """What a board is called: a category of law has the name that the law gives it."""
    return board.title if board.key.startswith("law.") else Name("board", board.key)


def _law(bench: GristBench, asked: AsksTheLaw, result: BillResult, weighed: tuple[Weighing, ...]) -> list[Said]:
    """A verdict that the rounding changes."""
    if not isinstance(bench, Bench) or not result.law:
        return []
    rounded = whisky.judge(bench, weighed_bill(result.bill, weighed), asked.categories, asked.date)
    return [
        said("order.note.law", category=now.title, now=_verdict(now.verdict), asked=_verdict(before.verdict))
        for before, now in zip(result.law, rounded, strict=True)
        if before.verdict is not now.verdict
    ]


def _verdict(verdict: Verdict) -> Name:
    return Name("verdict", verdict.value)


def _cautions(mash: Mashing, bill: Bill) -> tuple[Said, ...]:
    """What hurts in this house, and what the simulated wash warns of."""
    plant = mash.bench.plant
    made = [Said(f"caution.{key}") for key in CAUTIONS if key != "co2" or not mash.brews]
    if plant.mash.cook_degC is not None and plant.mash.cook_degC > PRESSURE_DEGC:
        made.append(said("order.caution.pressure", degC=Amount(plant.mash.cook_degC, "degC")))
    if mash.brews:
        return tuple(made)
    return (*made, *wash_cautions(mash, bill))
