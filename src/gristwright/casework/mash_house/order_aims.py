"""What a mash house keeps and writes down for one mash, with limits of action. See docs/order.md."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from gristwright.basics import Band, Standing
from gristwright.casework.bench.bench import GristBench
from gristwright.casework.mash_house.mash_bench import quick_course, set_out
from gristwright.casework.mash_house.order_liquor import Mashing
from gristwright.casework.mash_house.order_wash import (
    DRIED,
    PRESSED,
    SOURCE,
    OrderedWash,
    OrderedYeast,
    least_hours,
    ordered_wash,
    ordered_yeast,
    wash_aims,
    widened,
)
from gristwright.casework.mash_house.worts import Carried, balance_wort
from gristwright.quantities.gravity import degP_from_sg, sg_from_degP
from gristwright.quantities.shown import lower
from gristwright.records.mash import NEXT_MASH, MashProgramme
from gristwright.records.order import Aim
from gristwright.records.plant import Plant, PlantRecord
from gristwright.records.results import BillResult
from gristwright.records.said import Amount, Said, Term, said
from gristwright.reference import csv_rows
from gristwright.stages.grist.bed import huskless_share
from gristwright.stages.wash import setting
from gristwright.stages.wash.lines import ceiling_degC

# Beside the house's own figure: our choice of what is near enough.
NEAR_VOLUME, NEAR_SET_K, NEAR_SETTLED_K, NEAR_PH = 0.02, 1.0, 0.5, 0.2
# How far single worts lie apart at the least, which depend on when they are sampled: our choice.
NEAR_WORT_SG = 0.002
OF_THE_RUNS = "band of the calculation"
OF_THE_HOUSE = "plant file"
MEASURED, DERIVED = Standing.MEASURED.value, Standing.DERIVED.value
WORTS = ("first_wort_sg", "weak_sg")
# The worts are followed one by one on so many draws.
MEMBERS = 256
Limits = tuple[float | None, float | None, float | None]
Bounds = Mapping[str, tuple[Limits, str, str]]


@dataclass(frozen=True)
class Ordered:
    """What aims and actions follow from: the mash, what the calculation expects of its bill, the house's record."""

    mash: Mashing
    result: BillResult
    record: PlantRecord | None

    @cached_property
    def few(self) -> GristBench:
        """The bench on the few draws on which worts and wash are followed by the hour."""
        return self.mash.bench.first(MEMBERS)

    @cached_property
    def wash(self) -> OrderedWash | None:
        """The simulated wash; None of a brewer, whose order ends at the kettle, and where litres are withheld."""
        if self.mash.brews or self.result.withheld is not None:
            return None
        return ordered_wash(self.few, self.result.bill, self.record)

    @cached_property
    def yeast(self) -> OrderedYeast:
        """The yeast of one mash."""
        return ordered_yeast(self.mash.bench)

    @property
    def traits(self) -> set[str]:
        """What house, grist and wash are, in the words of the tables' column `house`."""
        backs = self.mash.bench.plant.washbacks
        found = traits(self.mash) | {"timed" if self.wash is not None else "untimed"}
        return found | {"chilled" if setting.cooled(backs, self.mash.brews) else "unchilled"}


def traits(mash: Mashing) -> set[str]:
    """What a house and its grist are, in the words of the tables' column `house`."""
    plant, materials = mash.bench.plant, mash.bench.materials
    bare = sum(line.kg for line in mash.weighed if _huskless(mash, line.lot_id)) / mash.plan.kg_per_mash
    malts = [line for line in mash.weighed if not (materials[line.lot_id].husk or _huskless(mash, line.lot_id))]
    found = {"both", "brewer" if mash.brews else "distiller"}
    found |= (
        {"grain-in", "fine"} if plant.grain_in else {"separated", "fine" if mash.plan.vessel == "filter" else "bed"}
    )
    found |= {"filter"} if not plant.grain_in and mash.plan.vessel == "filter" else set()
    found |= {"by-clock"} if mash.plan.rests else {"one-stand"}
    found |= {"infused"} if mash.plan.rest_liquor_degC is not None else {"heated"}
    found |= {"cooker"} if plant.grain_cooked else {"uncooked"}
    found |= {"weak"} if has_weak_worts(mash.programme) else set()
    return found | ({"husked"} if malts else set()) | ({"bare"} if bare > 0.0 else set())


def _huskless(mash: Mashing, lot_id: str) -> bool:
    return huskless_share(np.array([1.0]), [mash.bench.materials[lot_id]]) > 0.5


def fits(row: Mapping[str, str], found: set[str]) -> bool:
    """Whether a row of a table is for this house."""
    return set(row["house"].split()) <= found


def has_weak_worts(programme: MashProgramme) -> bool:
    """Whether a wort of this mash goes into the next one."""
    return any(draw.goes_to == NEXT_MASH for draw in programme.draw_offs)


def aims(of: Ordered) -> tuple[Aim, ...]:
    """Every aim of one mash, the table's figures with the house's, its programme's and the calculation's in place."""
    bounds = {**_own(of), **_computed(of), **_worts(of)}
    found = of.traits
    made: list[Aim] = []
    for row in csv_rows("tables/order_aims.csv"):
        if row["key"] == "mash_pH":
            made += _rests(of.mash)
        if row["row"] == "peak" and of.wash is not None:
            made += wash_aims(of.wash, of.record)
        if fits(row, found):
            made.append(_filled(_aim(row, bounds, _how(of, row["row"])), bounds))
    return tuple(made)


def _how(of: Ordered, row: str) -> tuple[tuple[str, Term], ...]:
    """What the words of a row about the washback name."""
    if row == "yeast":
        dry, cells = of.yeast.dry_kg, Amount.of_band(of.yeast.cells, "", 0)
        kg = {name: Amount(dry.middle / part, "kg", 1) for name, part in (("dried", DRIED), ("pressed", PRESSED))}
        return (*kg.items(), ("cells", cells))
    if of.wash is None:
        return ()
    peak = Amount.of_band(of.wash.peak_degC, "degC", 1), Amount.of_band(of.wash.peak_h, "h", 0)
    told: dict[str, tuple[tuple[str, Term], ...]] = {
        "peak": (("peak", peak[0]), ("after", peak[1])),
        "hours": (("done", Amount.of_band(of.wash.stops_h, "h", 0)),),
    }
    return told.get(row, ())


def _aim(row: Mapping[str, str], bounds: Bounds, how: tuple[tuple[str, Term], ...]) -> Aim:
    aim, low, high = (float(row[name]) if row[name] else None for name in ("aim", "low", "high"))
    middle = bounds[row["key"]][0][0] if row["key"] in bounds else None
    degP: dict[str, Term] = {"degP": Amount(_degP(middle), "degP", 1)} if row["unit"] == "SG" and middle else {}
    words = Said(f"order.how.{row['row']}", (*degP.items(), *how)) if row["words"] else None
    if row["unit"] == "SG" and not degP:
        words = said("order.how.withheld")
    title, own = (
        Said(f"order.aim.{row['row']}"),
        {name: row[name] for name in ("key", "group", "unit", "standing", "source")},
    )
    return Aim(title=title, words=words, aim=aim, low=low, high=high, decimals=int(row["decimals"]), **own)


def _degP(sg: float) -> float:
    return float(degP_from_sg(sg))


def _filled(aim: Aim, bounds: Bounds) -> Aim:
    if aim.key not in bounds:
        return aim
    (middle, low, high), standing, source = bounds[aim.key]
    return replace(aim, aim=middle, low=low, high=high, standing=standing, source=source)


def _rests(mash: Mashing) -> Iterator[Aim]:
    """Each rest with its own temperature."""
    for number, rest in enumerate(mash.plan.rests, start=1):
        middle, low, high = _near(rest.settled_degC)
        title = said("order.aim.rest", rest=number)
        how = said("order.how.settled") if number == 1 else said("order.how.rest")
        yield Aim(f"rest_{number}_degC", "mash", title, "degC", middle, low, high, 1, how, MEASURED, OF_THE_HOUSE)


def _near(settled_degC: float) -> tuple[float, float, float]:
    return settled_degC, settled_degC - NEAR_SETTLED_K, settled_degC + NEAR_SETTLED_K


def settled_degC(mash: Mashing) -> float:
    """Where the mash settles that stands at one temperature: the programme's."""
    if mash.bench.plant.grain_cooked:
        return mash.plan.settled_mash_degC
    return mash.programme.corners[0].settled_degC


def _own(of: Ordered) -> dict[str, tuple[Limits, str, str]]:
    """What the plant file says: measured, with what is near enough beside it."""
    mash = of.mash
    plan, plant, tonnes = mash.plan, mash.bench.plant, mash.plan.kg_per_mash / 1000.0
    volume, set_degC = tonnes * plan.wort_L_per_t, plant.washbacks.set_degC
    given: dict[str, Limits] = {
        "settled_degC": _near(settled_degC(mash)),
        "mash_L" if plant.grain_in else "wort_L": (volume, (1.0 - NEAR_VOLUME) * volume, (1.0 + NEAR_VOLUME) * volume),
        "set_degC": (set_degC, set_degC - NEAR_SET_K, set_degC + NEAR_SET_K),
        "hours": (plant.washbacks.hours, least_hours(plant.washbacks, of.wash), None),
        "mill_gap_mm": (plan.mill_gap_mm, None, None),
        "run_off_hours": (plan.usual_run_off_hours, None, None),
    }
    if plan.pH_aim is not None:
        given["mash_pH"] = (plan.pH_aim, plan.pH_aim - NEAR_PH, plan.pH_aim + NEAR_PH)
    if plan.stand_min is not None:
        given["stand_min"] = (plan.stand_min, None, None)
    if plan.cooker is not None:
        given["hold_min"] = (plan.cooker.malt_min, None, None)
    known = {key: limits for key, limits in given.items() if limits[0] is not None}
    measured = {key: (limits, MEASURED, OF_THE_HOUSE) for key, limits in known.items()}
    return measured | _washback(of) | _programmed(plant, mash.programme)


def _washback(of: Ordered) -> dict[str, tuple[Limits, str, str]]:
    """Yeast, ceiling, cooling and pH of the wash: the house's where it says them, else what the simulation took."""
    if of.mash.brews:
        return {}
    backs, yeast, memory = of.mash.bench.plant.washbacks, of.yeast, Standing.FROM_MEMORY.value
    cool = setting.cooled_from_degC(backs, brews=False)
    counted = (MEASURED, OF_THE_HOUSE) if yeast.stated else (memory, _source("yeast_pitch"))
    found = {
        "yeast_pitch": (_ends(yeast.million_per_mL), *counted),
        "yeast_kg": (_ends(yeast.dry_kg), memory, _source("yeast_kg")),
        "cool_degC": ((cool, None, None), *_said_by(backs.cooled_from_degC, "cool_degC")),
        "peak_degC": ((None, None, ceiling_degC(backs, False)), *_said_by(backs.ceiling_degC, "peak_degC")),
    }
    if of.wash is not None:
        found["final_pH"] = (_ends(of.wash.pH), DERIVED, SOURCE)
    return found


def _said_by(stated: float | None, key: str) -> tuple[str, str]:
    """Standing and source of a figure that the plant file may give."""
    row = next(row for row in csv_rows("tables/order_aims.csv") if row["key"] == key)
    return (row["standing"], row["source"]) if stated is None else (MEASURED, OF_THE_HOUSE)


def _programmed(plant: Plant, programme: MashProgramme) -> dict[str, tuple[Limits, str, str]]:
    """The stand that is simulated where the house states none."""
    if plant.mash.stand_min is not None or plant.mash.rests or not programme.draw_offs:
        return {}
    stand = min(draw.at_min for draw in programme.draw_offs) - plant.mash.run_off_min
    return {"stand_min": ((stand, 20.0, None), DERIVED, "the programme that is simulated; at least 20 min from memory")}


def _source(key: str) -> str:
    return next(row["source"] for row in csv_rows("tables/order_aims.csv") if row["key"] == key)


def _computed(of: Ordered) -> dict[str, tuple[Limits, str, str]]:
    """What the calculation expects: outside its band somebody acts. Nothing where it is withheld."""
    result, record = of.result, of.record
    keys = ("original_gravity_sg", "final_gravity_sg", "wash_abv_pct")
    if result.withheld is not None:
        reason = lower(result.withheld.sentence)
        return dict.fromkeys((*keys, *WORTS), ((None, None, None), DERIVED, reason))
    bands = {key: result.figures[key].band for key in keys if key in result.figures}
    spread = (
        "a usual spread between mashes of 1 % (our choice)" if record is None else "the record's spread between mashes"
    )
    source = f"{OF_THE_RUNS}, {spread} with it"
    wide = {"original_gravity_sg": 1.0, "wash_abv_pct": 0.0}
    return {
        key: (
            _ends(widened(one, record, wide[key]) if key in wide else one),
            DERIVED,
            source if key in wide else OF_THE_RUNS,
        )
        for key, one in bands.items()
    }


def _ends(one: Band) -> Limits:
    return one.middle, one.low, one.high


def _worts(of: Ordered) -> dict[str, tuple[Limits, str, str]]:
    """Gravity of the first wort and of the weak worts together, by the simulated mash of this bill."""
    mash = of.mash
    if not mash.programme.draw_offs or of.result.withheld is not None:
        return {}
    few, bill = of.few, of.result.bill
    course = quick_course(set_out(few, bill, few.draws), few.draws)
    carried = Carried(course, balance_wort(few, bill))
    names = {"first_wort_sg": course.worts[:1], "weak_sg": [w for w in course.worts if w.goes_to == NEXT_MASH]}
    found: dict[str, tuple[Limits, str, str]] = {}
    for key, worts in names.items():
        if not worts:
            continue
        litres = sum(carried.volume_L_per_t(wort.liquid) for wort in worts)
        degP = sum(carried.degP(wort.liquid) * carried.volume_L_per_t(wort.liquid) for wort in worts) / litres
        band = widened(few.runs.band(np.asarray(sg_from_degP(np.asarray(degP)))), of.record, 1.0)
        limits = band.middle, min(band.low, band.middle - NEAR_WORT_SG), max(band.high, band.middle + NEAR_WORT_SG)
        found[key] = (limits, DERIVED, "simulated mash of this bill; 0.002 either way at the least is our choice")
    return found


def gravity_band(of: Ordered) -> Band:
    """Original gravity inside which one mash may lie."""
    return widened(of.result.figures["original_gravity_sg"].band, of.record, 1.0)
