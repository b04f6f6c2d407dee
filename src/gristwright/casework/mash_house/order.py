"""The mash-house order: one mash of one bill, with what to weigh, heat, keep, watch and do. See docs/order.md."""

from __future__ import annotations

from collections.abc import Collection

from gristwright.basics import Light
from gristwright.casework.bench import whisky
from gristwright.casework.bench.bench import Bench
from gristwright.casework.mash_house.cooking import cooking, readable_L
from gristwright.casework.mash_house.order_aims import actions, aims
from gristwright.casework.mash_house.weighing import rounding, special_lots, weighed_bill, weighings
from gristwright.quantities.shown import lower, plain
from gristwright.records.enquiry import Enquiry
from gristwright.records.order import MashOrder, WaterLine, Weighing
from gristwright.records.plant import Water
from gristwright.records.results import BillResult
from gristwright.reference import csv_rows
from gristwright.rules.hazard import cautions
from gristwright.stages.grist.certificate import column
from gristwright.stages.mash import heat
from gristwright.stages.mash.waters import liquor_L_per_kg, usual_waters

CAUTIONS = ("planning", "liquor", "co2", "dust")
# Waters that differ more from the house's litres of wort than this are remarked on.
NEAR_WORT = 0.05
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
    waters, water_notes = ((), []) if bench.plant.grain_in else _waters(bench, result, moisture)
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
        cooking=cooking(bench, weighed, moisture) if bench.plant.grain_in else (),
        aims=aims(bench, result, enquiry.record),
        actions=actions(bench, result, enquiry.record, _per_degC(bench, moisture, waters)),
        notes=(*_notes(bench, enquiry, result, weighed, moisture), *water_notes),
        cautions=(*(caution.text for caution in cautions(*CAUTIONS)), *result.cautions),
    )


def grist_moisture_pct(bench: Bench, weighed: Collection[Weighing]) -> float:
    """Moisture of the grist as weighed [%], at the middles of the certificates or of the types."""
    return sum(line.kg * float(bench.middles[column(line.lot_id, "moisture_pct")][0]) for line in weighed) / sum(
        line.kg for line in weighed
    )


def _extract_kg_per_t(bench: Bench, result: BillResult) -> float:
    """Extract in the wort of the reference run [kg/t]."""
    return float(bench.made_middle(result.bill).wort.extract_kg_per_t[0])


def _waters(bench: Bench, result: BillResult, moisture: float) -> tuple[tuple[WaterLine, ...], list[str]]:
    """Every water with its liquor and its settled mash, and what is odd about them."""
    plan = bench.plant.mash
    extract = _extract_kg_per_t(bench, result)
    if plan.rests:
        return _rests(bench, moisture)
    given = plan.waters or usual_waters(
        plan.wort_L_per_t, plan.settled_mash_degC, extract, moisture, plan.liquor_L_per_kg
    )
    rows = {row["water"]: row for row in csv_rows("tables/waters.csv")}
    lines: list[WaterLine] = []
    for water in given:
        row = rows.get(water.name, rows["third"])
        own = ("measured", "plant file") if plan.waters else (row["standing"], row["source"])
        liquor = _liquor(bench, water, lines, moisture)
        litres = readable_L(water.L_per_kg * plan.kg_per_mash)
        lines.append(WaterLine(water.name, water.L_per_kg, litres, liquor, water.settled_degC, row["goes_to"], *own))
    notes = _wort_note(given, extract, moisture, plan.wort_L_per_t)
    if plan.waters and plan.waters[0].settled_degC != plan.settled_mash_degC:
        notes.append(
            f"The plant file settles the mash at {plan.settled_mash_degC:g} degC and its first water at "
            f"{plan.waters[0].settled_degC:g} degC: say which."
        )
    return tuple(lines), notes


def _rests(bench: Bench, moisture: float) -> tuple[tuple[WaterLine, ...], list[str]]:
    """The one liquor of a mash with rests, and the rests in words."""
    plan = bench.plant.mash
    water = Water("first", liquor_L_per_kg(plan, moisture), plan.rests[0].settled_degC)
    litres, liquor = readable_L(water.L_per_kg * plan.kg_per_mash), _liquor(bench, water, [], moisture)
    line = WaterLine("first", water.L_per_kg, litres, liquor, water.settled_degC, "washback", "measured", "plant file")
    steps = ", ".join(f"{plain(rest.settled_degC, 1)} degC for {plain(rest.minutes, 0)} min" for rest in plan.rests)
    return (line,), [f"Rests, with ramps of {plan.ramp_K_per_min:g} K a minute between them: {steps}. Then run off."]


def _liquor(bench: Bench, water: Water, before: list[WaterLine], moisture: float) -> float:
    if before:
        return float(heat.later_liquor_degC(water.settled_degC, before[-1].settled_degC, water.L_per_kg))
    plan = bench.plant.mash
    ratio, rise = heat.slaking(moisture)
    return float(heat.liquor_degC(water.settled_degC, plan.grist_degC, water.L_per_kg, ratio, rise, plan.vessel_loss_K))


def _wort_note(waters: Collection[Water], extract: float, moisture: float, wort_L_per_t: float) -> list[str]:
    first_two = sum(water.L_per_kg for water in waters if water.name in ("first", "second"))
    gives = heat.wort_of_waters_L_per_t(first_two, extract, moisture)
    if abs(gives / wort_L_per_t - 1.0) <= NEAR_WORT:
        return []
    return [
        f"First and second water would give about {plain(gives, 0)} L of wort a tonne by their balance; the house "
        f"states {plain(wort_L_per_t, 0)}. One of the two is not as written."
    ]


def _per_degC(bench: Bench, moisture: float, waters: Collection[WaterLine]) -> float:
    """Degrees of liquor for one degree of settled mash."""
    first = next((line.L_per_kg for line in waters), None) or liquor_L_per_kg(bench.plant.mash, moisture)
    return 1.0 + float(heat.slaking(moisture)[0]) / first


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
