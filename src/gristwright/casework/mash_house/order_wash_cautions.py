"""What the order of one mash warns of in its washback, by the simulated wash. See docs/order.md."""

from __future__ import annotations

from gristwright.casework.bench.fermenting import told_of
from gristwright.casework.mash_house.order_liquor import Mashing
from gristwright.casework.mash_house.worts import balance_wort
from gristwright.records.bill import Bill
from gristwright.records.said import Amount, Said, said
from gristwright.stages.wash.foam import CO2_m3_PER_KG, head_over_wash, most_filled_L
from gristwright.stages.wash.warnings import SeenWash


def wash_cautions(mash: Mashing, bill: Bill) -> tuple[Said, ...]:
    """How warm the wash becomes and how much gas it gives off; heat, foam and sugar left where they stand."""
    bench = mash.bench
    end = bench.house_effect(bench.shares(bill), bench.draws).wash
    told = told_of(bench, bill, balance_wort(bench, bill), end, withheld=False)
    seen, keys = told.seen, {one.key for one in told.findings}
    if seen is None:
        return ()
    made = [_peak(seen)]
    if "hot" in keys:
        share = Amount(100.0 * seen.runs.chance(end.peak_degC > seen.ceiling_degC), "%")
        made.append(said("order.caution.hot", share=share))
        cooler = None if told.ways is None else told.ways.by_key.get("set_cooler")
        if cooler is not None:
            made.append(said("order.caution.cooler", at=Amount(cooler.seen.backs.set_degC, "degC")))
    if "yeast_dies" in keys:
        share = Amount(100.0 * seen.runs.chance(seen.died_of_heat), "%")
        made.append(said("order.caution.dies", share=share, left=_band(seen, "left")))
    elif keys & {"short_hours", "stuck"}:
        made.append(said("order.caution.left", hours=Amount(seen.backs.hours, "h"), left=_band(seen, "left")))
    if "foam" in keys:
        head = seen.runs.band(head_over_wash(end, seen.grist, seen.draws))
        made.append(said("order.caution.foam", litres=Amount(most_filled_L(seen.backs.volume_L, head), "L")))
    return (*made, _gas(seen))


def _peak(seen: SeenWash) -> Said:
    return said(
        "order.caution.heat",
        at=Amount(seen.backs.set_degC, "degC"),
        peak=_band(seen, "peak"),
        hour=Amount.of_band(seen.runs.band(seen.end.peak_h), "h", 0),
        ceiling=Amount(seen.ceiling_degC, "degC"),
    )


def _band(seen: SeenWash, what: str) -> Amount:
    values, unit = (seen.left_pct, "%") if what == "left" else (seen.end.peak_degC, "degC")
    return Amount.of_band(seen.runs.band(values), unit, 1)


def _gas(seen: SeenWash) -> Said:
    m3 = seen.filled_L / 1000.0 * CO2_m3_PER_KG
    whole, most = (seen.runs.band(m3 * x) for x in (seen.end.co2_kg_per_m3, seen.end.most_co2_kg_per_m3_h))
    return said("order.caution.gas", whole=Amount(whole.middle, "m3"), most=Amount(most.high, "m3/h"))
