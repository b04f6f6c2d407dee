"""If this is seen in the mash house, do that. See docs/order.md."""

from __future__ import annotations

from gristwright.casework.mash_house.order_aims import NEAR_SETTLED_K, Ordered, fits, gravity_band, settled_degC
from gristwright.casework.mash_house.order_wash import room_pct
from gristwright.records.order import Action
from gristwright.records.said import Amount, Said, Term, said
from gristwright.reference import csv_rows
from gristwright.stages.mash import heat
from gristwright.stages.wash.lines import ceiling_degC

HOT_DEGC, COLD_DEGC = 65.5, 61.0
# Above the ceiling by so much a wash that stands is taken to be stuck by heat: our choice.
HOT_ABOVE_K = 2.0


def actions(of: Ordered) -> tuple[Action, ...]:
    """Every row of the table that this house may need, with its numbers."""
    found, numbers = of.traits, _numbers(of)
    return tuple(
        _action(row, numbers)
        for row in csv_rows("tables/order_actions.csv")
        if fits(row, found) and set(row["numbers"].split()) <= set(numbers)
    )


def _action(row: dict[str, str], numbers: dict[str, Term]) -> Action:
    terms = tuple((name, numbers[name]) for name in row["numbers"].split())
    seen, do = (Said(f"order.{part}.{row['key']}", terms) for part in ("seen", "do"))
    return Action(seen, do, row["standing"], row["source"])


def _numbers(of: Ordered) -> dict[str, Term]:
    """Numbers that the actions name; those that are withheld are not among them."""
    plan, settled = of.mash.plan, settled_degC(of.mash)
    hours = plan.usual_run_off_hours
    return (
        _gravities(of)
        | _washback(of)
        | {
            "hot_degC": Amount(max(HOT_DEGC, settled + NEAR_SETTLED_K), "degC", 1),
            "cold_degC": Amount(min(COLD_DEGC, settled - NEAR_SETTLED_K), "degC", 1),
            "settled_degC": Amount(plan.settled_mash_degC, "degC", 1),
            "per_degC": Amount(_per_degC(of), "degC", 1),
            "near": Amount(NEAR_SETTLED_K, "degC", 1),
            "run_off": Amount(hours, "h", 1) if hours else said("order.usual"),
        }
    )


def _washback(of: Ordered) -> dict[str, Term]:
    """Numbers of the washback; gravities by the hour only where the wash is followed."""
    if of.mash.brews:
        return {}
    bench, wash = of.mash.bench, of.wash
    backs = bench.plant.washbacks
    ceiling = ceiling_degC(backs, False)
    found: dict[str, Term] = {
        "ceiling": Amount(ceiling, "degC", 1),
        "hot": Amount(ceiling + HOT_ABOVE_K, "degC", 1),
        "set": Amount(backs.set_degC, "degC", 1),
        "room": Amount(room_pct(bench), "%"),
        "pitch": Amount(of.yeast.million_per_mL.middle, "mln/mL"),
    }
    if wash is None:
        return found
    late = {f"g{hour}_high": Amount(band.high, "SG", 4) for hour, band in wash.gravity_sg.items()}
    peak = {"peak": Amount.of_band(wash.peak_degC, "degC", 1), "after": Amount.of_band(wash.peak_h, "h", 0)}
    return found | late | peak


def _per_degC(of: Ordered) -> float:
    """Degrees of liquor for one degree of settled mash."""
    first = next(one.liquor_L_per_kg for one in of.mash.programme.charges if one.liquor_L_per_kg > 0.0)
    return 1.0 + float(heat.slaking(of.mash.moisture_pct)[0]) / first


def _gravities(of: Ordered) -> dict[str, Term]:
    """Gravities an action may name; none where they are withheld."""
    if of.result.withheld is not None:
        return {}
    gravity = gravity_band(of)
    ends = {"og_low": gravity.low, "og": gravity.middle, "og_high": gravity.high}
    if "final_gravity_sg" in of.result.figures:
        ends["fg_high"] = of.result.figures["final_gravity_sg"].band.high
    return {name: Amount(value, "SG", 4) for name, value in ends.items()}
