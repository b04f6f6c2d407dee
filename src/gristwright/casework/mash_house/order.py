"""The mash-house order: one mash of one bill, with what to weigh, heat, keep, watch and do. See docs/order.md."""

from __future__ import annotations

from collections.abc import Collection

from gristwright.basics import Light
from gristwright.casework.bench import whisky
from gristwright.casework.bench.bench import Bench
from gristwright.casework.mash_house.clock import clock
from gristwright.casework.mash_house.cooking import cooking
from gristwright.casework.mash_house.mash_bench import set_out
from gristwright.casework.mash_house.order_aims import actions, aims
from gristwright.casework.mash_house.order_waters import water_lines, water_notes
from gristwright.casework.mash_house.weighing import rounding, special_lots, weighed_bill, weighings
from gristwright.flowsheet.setting_out import in_waters
from gristwright.quantities.shown import lower, plain
from gristwright.records.enquiry import Enquiry
from gristwright.records.mash import MashProgramme
from gristwright.records.order import MashOrder, Weighing
from gristwright.records.results import BillResult
from gristwright.rules.hazard import cautions
from gristwright.stages.grist.certificate import column
from gristwright.stages.mash import heat

CAUTIONS = ("planning", "liquor", "co2", "dust")
PH_PER_10_PCT = (0.05, 0.1)


def mash_order(
    bench: Bench,
    enquiry: Enquiry,
    result: BillResult,
    letter: str = "",
    bagged: Collection[str] | None = None,
    bag_kg: float | None = None,
    silo_kg: float | None = None,
) -> MashOrder:
    """The order for one mash of `result`'s bill; an offer's `letter` or "" for the present bill.

    `bagged` names the lots that come in bags (the special malts when None); steps are the plant file's unless given.
    Raises Refused when the lots cannot be weighed or a liquor cannot be had.
    """
    plan, bill = bench.plant.mash, result.bill
    weighed = weighings(
        result.labels,
        plan.kg_per_mash,
        special_lots(bench) if bagged is None else bagged,
        plan.bag_kg if bag_kg is None else bag_kg,
        plan.silo_kg if silo_kg is None else silo_kg,
    )
    moisture = grist_moisture_pct(bench, weighed)
    ready = set_out(bench, bill, bench.middles)
    programme = ready.programme
    drawn = not bench.plant.grain_in
    waters = water_lines(bench, ready, moisture) if drawn else ()
    odd = water_notes(plan, waters, _extract_kg_per_t(bench, result), moisture) if drawn else []
    whole = not drawn or bench.plant.grain_cooked
    return MashOrder(
        bill=bill.name,
        letter=letter,
        grain_in=bench.plant.grain_in,
        kg_per_mash=plan.kg_per_mash,
        weighings=weighed,
        rounding=rounding(bench, bill, weighed),
        grist_moisture_pct=moisture,
        grist_degC=plan.grist_degC,
        waters=waters,
        cooking=cooking(bench, programme, weighed, moisture) if whole else (),
        aims=aims(bench, result, enquiry.record, programme),
        actions=actions(bench, result, enquiry.record, _per_degC(programme, moisture)),
        notes=(*_notes(bench, enquiry, result, weighed, moisture), *odd),
        cautions=(*(caution.text for caution in cautions(*CAUTIONS)), *result.cautions),
        clock=() if in_waters(bench.plant) or bench.plant.grain_cooked else clock(programme, plan.kg_per_mash),
    )


def grist_moisture_pct(bench: Bench, weighed: Collection[Weighing]) -> float:
    """Moisture of the grist as weighed [%], at the middles of the certificates or of the types."""
    return sum(line.kg * float(bench.middles[column(line.lot_id, "moisture_pct")][0]) for line in weighed) / sum(
        line.kg for line in weighed
    )


def _extract_kg_per_t(bench: Bench, result: BillResult) -> float:
    """Extract in the wort of the reference run [kg/t]."""
    return float(bench.made_middle(result.bill).wort.extract_kg_per_t[0])


def _per_degC(programme: MashProgramme, moisture: float) -> float:
    """Degrees of liquor for one degree of settled mash."""
    return 1.0 + float(heat.slaking(moisture)[0]) / programme.mashed_in_L_per_kg


def _notes(
    bench: Bench, enquiry: Enquiry, result: BillResult, weighed: tuple[Weighing, ...], moisture: float
) -> list[str]:
    notes = [
        f"Temperatures are reckoned for grist of {plain(moisture, 1)} % moisture at "
        f"{plain(bench.plant.mash.grist_degC, 1)} degC. Measure the settled mash and correct the next liquor: a cold "
        "tun, long pipes and the thermometer can move it by more than the balance is wrong."
    ]
    notes += [
        f"Not in order for this bill: {lower(board.title)}. {board.remedy}"
        for board in result.boards
        if board.light is Light.RED
    ]
    notes += _loose(weighed)
    notes += _law(bench, enquiry, result, weighed)
    special = sum(line.weighed_pct for line in weighed if line.lot_id in special_lots(bench))
    if special > 0.0:
        low, high = (plain(per * special / 10.0, 2) for per in PH_PER_10_PCT)
        notes.append(
            f"Caramel or roasted malt lowers the pH of the mash: by about {low} to {high} with {plain(special, 1)} % "
            "of it (from memory; smoked pale malt does not). Measure."
        )
    return notes


def _loose(weighed: tuple[Weighing, ...]) -> list[str]:
    return [
        f"{line.lot_id}: {plain(line.loose_kg, 1)} kg beside {line.full} "
        f"{'bags' if line.bags else 'steps of the weigher'} must be weighed out."
        for line in weighed
        if line.loose_kg > 1e-6
    ]


def _law(bench: Bench, enquiry: Enquiry, result: BillResult, weighed: tuple[Weighing, ...]) -> list[str]:
    """A verdict that the rounding changes."""
    rounded = whisky.judge(bench, weighed_bill(result.bill, weighed), enquiry.categories, enquiry.date)
    return [
        f"Rounded like this, {now.title} reads {now.verdict.value} instead of {asked.verdict.value}: weigh finer."
        for asked, now in zip(result.law, rounded, strict=True)
        if asked.verdict is not now.verdict
    ]
