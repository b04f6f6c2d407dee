"""Enquiry, plant and bill files into records, with every fault of all of them together. See docs/files.md."""

from __future__ import annotations

import datetime as dt
import math
from pathlib import Path

from gristwright.basics import Problem, Refused, Standing
from gristwright.files.reader import Table
from gristwright.files.reading import Reading
from gristwright.files.toml_in import open_table
from gristwright.records.bill import Bill, Share
from gristwright.records.cask import CaskKind, Climate
from gristwright.records.enquiry import BillSheet, CaskPlan, Enquiry, Group, Limits, Offered
from gristwright.records.plant import ColumnDoubler, MashPlan, Plant, PlantRecord, PotStills, Washbacks
from gristwright.stages.cask import limits as cask_limits
from gristwright.stages.cask import stores
from gristwright.stages.mash import limits as mash_limits
from gristwright.stages.wash import limits as wash_limits

ENZYMES = ("malt only", "added natural", "added microbial", "koji")
PURPOSES = ("whisky",)


def read_enquiry(path: Path) -> Reading[Enquiry]:
    """The enquiry with its plant and present bill, and every fault of the three files."""
    problems: list[Problem] = []
    try:
        top = open_table(path, "enquiry", problems)
    except Refused as refused:
        return Reading(None, (path,), refused.problems)
    plant_path = path.parent / (top.text("plant") or "plant.toml")
    plant, cask = _plant_from(plant_path, problems)
    present = top.table("present")
    bill_path = path.parent / (present.text("bill") or "bill.toml")
    bill, _ = _bill_from(bill_path, problems)
    enquiry = Enquiry(
        title=top.text("title"),
        customer=top.text("customer"),
        question=top.text("question"),
        adviser=top.text("adviser"),
        date=top.date("date"),
        valid_days=int(_or_zero(top.number("valid_days", 1, 730, "days", 90))),
        categories=top.texts("categories"),
        purpose=top.choice("purpose", PURPOSES, "whisky"),
        currency=top.text("currency"),
        plant=plant,
        present=bill,
        offered=tuple(_offered(table) for table in top.tables("material")),
        groups=tuple(_group(table) for table in top.tables("group")),
        limits=_limits(top.table("limits", required=False)),
        cask=cask,
        record=_record(present.table("record", required=False)),
        processing_cost_per_t=top.number("processing_cost_per_t", 0, 5000, "money a tonne", 0.0),
        grid_parts=_grid(top.table("search", required=False)),
        invented=top.flag("invented"),
    )
    present.nothing_else()
    top.nothing_else()
    problems += _cross_checks(enquiry, path.name)
    return Reading(enquiry, (path, plant_path, bill_path), tuple(problems))


def read_bill(path: Path) -> Reading[BillSheet]:
    """A bill sheet with its plant, and every fault of both files."""
    problems: list[Problem] = []
    bill, sheet = _bill_from(path, problems)
    plant_path = path.parent / (sheet.text("plant", "plant.toml") or "plant.toml")
    plant, cask = _plant_from(plant_path, problems)
    prices = sheet.table("price_per_t", required=False)
    result = BillSheet(
        bill=bill,
        plant=plant,
        cask=cask,
        categories=sheet.texts("categories"),
        prices={lot: _or_zero(prices.number(lot, 0, 20_000, "money a tonne")) for lot in prices.data},
        currency=sheet.text("currency", ""),
        date=sheet.date("date", dt.date(2026, 1, 1)) if sheet.has("date") else dt.date.today(),  # noqa: DTZ011
    )
    return Reading(result, (path, plant_path), tuple(problems))


def _bill_from(path: Path, problems: list[Problem]) -> tuple[Bill, Table]:
    try:
        sheet = open_table(path, "bill", problems)
    except Refused as refused:
        problems += refused.problems
        return Bill("", ()), Table({}, path.name, [])
    shares = sheet.table("shares")
    bill = Bill(sheet.text("name"), tuple(share for lot in shares.data if (share := _share(shares, lot))))
    sheet.nothing_else(("plant", "categories", "price_per_t", "currency", "date"))
    return bill, sheet


def _share(shares: Table, lot: str) -> Share | None:
    parts = _parts(shares, lot, None)
    return Share(lot, parts) if parts is not None else None


def _parts(table: Table, key: str, default: int | None) -> int | None:
    """A percentage as integer hundredths; finer than 0.01 % is a fault, not rounded away."""
    value = table.optional_number(key, 0, 100, "%")
    if value is None:
        return default
    parts = round(value * 100)
    if abs(parts - value * 100) > 1e-6:
        table.fault(key, f"{value!r} % is finer than 0.01 %.", "Round it to two decimals.")
        return default
    return parts


def _plant_from(path: Path, problems: list[Problem]) -> tuple[Plant, CaskPlan]:
    try:
        top = open_table(path, "plant", problems)
    except Refused as refused:
        problems += refused.problems
        top = Table({}, path.name, [])
    column = _column(top.table("column")) if top.has("column") else None
    if column and "pot_stills" in top.data:
        top.fault("column", "stands beside pot_stills.", "Keep the one this spirit runs through.")
    plant = Plant(
        name=top.text("name"),
        kind=top.choice("kind", ("separated", "grain-in")),
        country=top.text("country"),
        mash=_mash(top.table("mash"), top.data.get("kind") == "grain-in"),
        washbacks=_washbacks(top.table("washbacks")),
        pot_stills=_pot_stills(top.table("pot_stills")) if "pot_stills" in top.data or not column else None,
        tonnes_per_year=top.number("tonnes_per_year", 0.1, 1_000_000, "t"),
        column=column,
        one_distillery=top.flag("one_distillery", True),
        wort_boiled=top.flag("wort_boiled"),
        enzymes=top.choice("enzymes", ENZYMES, "malt only"),
        ferment_agents=top.choice("ferment_agents", ("yeast", "yeast and others"), "yeast"),
    )
    cask = _cask_plan(top.table("cask"), top.problems)
    top.nothing_else()
    return plant, cask


def _mash(table: Table, grain_in: bool) -> MashPlan:
    volume, words = ("mash_L_per_t", "L of mash a tonne") if grain_in else ("wort_L_per_t", "L of wort a tonne")
    plan = MashPlan(
        kg_per_mash=table.number("kg_per_mash", *mash_limits.KG_PER_MASH, "kg"),
        wort_L_per_t=table.number(volume, *mash_limits.VOLUME_L_PER_T, words),
        settled_mash_degC=table.number("settled_mash_degC", *mash_limits.SETTLED_DEGC, "degC", 64.0),
        mash_pH=table.optional_number("mash_pH", *mash_limits.MASH_PH, "pH"),
        cook_degC=table.optional_number("cook_degC", *mash_limits.COOK_DEGC, "degC"),
        premalt_pct=table.number("premalt_pct", *mash_limits.PREMALT_PCT, "%", 0.0),
        backset_pct=table.number("backset_pct", *mash_limits.BACKSET_PCT, "%", 0.0),
        plate_area_m2=table.optional_number("plate_area_m2", *mash_limits.PLATE_M2, "m2"),
        usual_run_off_hours=table.optional_number("usual_run_off_hours", *mash_limits.RUN_OFF_HOURS, "h"),
    )
    table.nothing_else()
    return plan


def _washbacks(table: Table) -> Washbacks:
    washbacks = Washbacks(
        count=int(_or_zero(table.number("count", *wash_limits.COUNT, "washbacks"))),
        volume_L=table.number("volume_L", *wash_limits.VOLUME_L, "L"),
        hours=table.number("hours", *wash_limits.HOURS, "h"),
        set_degC=table.number("set_degC", *wash_limits.SET_DEGC, "degC", 20.0),
    )
    table.nothing_else()
    return washbacks


def _pot_stills(table: Table) -> PotStills:
    stills = PotStills(
        wash_charge_L=table.number("wash_charge_L", 10, 100_000, "L"),
        spirit_charge_L=table.number("spirit_charge_L", 10, 100_000, "L"),
        low_wines_abv_pct=table.number("low_wines_abv_pct", 15, 35, "%vol", 22.0),
        charge_abv_pct=table.number("charge_abv_pct", 15, 35, "%vol", 25.0),
        heart_abv_pct=table.number("heart_abv_pct", 55, 85, "%vol", 69.0),
    )
    table.nothing_else()
    return stills


def _column(table: Table) -> ColumnDoubler:
    column = ColumnDoubler(
        beer_L_per_h=table.number("beer_L_per_h", 10, 1_000_000, "L/h"),
        head_abv_pct=table.number("head_abv_pct", 40, 80, "%vol", 60.0),
        doubler_abv_pct=table.number("doubler_abv_pct", 40, 94.7, "%vol", 68.0),
    )
    table.nothing_else()
    return column


def _cask_plan(table: Table, problems: list[Problem]) -> CaskPlan:
    kind = _named(stores.kind_named, table.text("kind"), table, "kind", problems)
    base = kind or CaskKind("", 200.0)
    plan = CaskPlan(
        kind=CaskKind(
            base.name,
            table.number("capacity_L", cask_limits.LOW_CAPACITY_L, cask_limits.HIGH_CAPACITY_L, "L", base.capacity_L),
            table.number("wall_mm", cask_limits.LOW_WALL_MM, cask_limits.HIGH_WALL_MM, "mm", base.wall_mm),
            table.text("wood", "oak"),
            int(_or_zero(table.number("fill_number", 1, 9, "fills", 1))),
            table.flag("charred", True),
            table.text("prior_contents", ""),
        ),
        climate=_climate(table, problems),
        entry_abv_pct=table.number(
            "entry_abv_pct", cask_limits.LOW_ENTRY_ABV_PCT, cask_limits.HIGH_ENTRY_ABV_PCT, "%vol"
        ),
        years=table.number("years", 0, 50, "years"),
        bottle_abv_pct=table.number("bottle_abv_pct", 37, 70, "%vol"),
        bottle_L=table.number("bottle_L", 0.02, 5, "L", 0.7),
        first_month=int(_or_zero(table.number("first_month", 1, 12, "month", 1))) or 1,
        additions=table.texts("additions") or ("water",),
    )
    table.nothing_else()
    return plan


def _climate(table: Table, problems: list[Problem]) -> Climate:
    if isinstance(table.data.get("climate"), dict):
        own = table.table("climate")
        months = [own.data.get(key, []) if own.has(key) else [] for key in ("month_degC", "month_humidity")]
        degC, humidity = (tuple(float(x) for x in m if isinstance(x, int | float)) for m in months)
        for key, values in (("month_degC", degC), ("month_humidity", humidity)):
            if len(values) != 12:
                own.fault(key, f"has {len(values)} months and 12 are needed.", "Give one mean a month, January first.")
        climate = Climate(own.text("name"), degC, humidity, own.text("source", "the house"), Standing.MEASURED)
        own.nothing_else()
        return climate
    named = _named(stores.climate_named, table.text("climate"), table, "climate", problems)
    return named or Climate("", (10.0,) * 12, (0.8,) * 12)


def _named(find, name: str, table: Table, key: str, problems: list[Problem]):  # type: ignore[no-untyped-def]
    """What a table of the package calls `name`; None after noting the fault with its place."""
    if not name:
        return None
    try:
        return find(name)
    except Refused as refused:
        problems += [Problem(table.place(key), p.what, p.way_out) for p in refused.problems]
        return None


def _offered(table: Table) -> Offered:
    offered = Offered(
        lot_id=table.text("lot"),
        price_per_t=table.number("price_per_t", 0, 20_000, "money a tonne"),
        least_parts=_parts(table, "least_pct", 0) or 0,
        most_parts=_most(table),
    )
    if offered.least_parts > offered.most_parts:
        table.fault("least_pct", "is above most_pct.", "Exchange them or widen the range.")
    table.nothing_else()
    return offered


def _most(table: Table) -> int:
    most = _parts(table, "most_pct", 10_000)
    return 10_000 if most is None else most


def _group(table: Table) -> Group:
    group = Group(table.text("name"), table.texts("lots"), _parts(table, "least_pct", 0) or 0, _most(table))
    if group.least_parts > group.most_parts:
        table.fault("least_pct", "is above most_pct.", "Exchange them or widen the range.")
    table.nothing_else()
    return group


def _limits(table: Table) -> Limits:
    limits = Limits(
        least_lpa_per_t=table.optional_number("least_lpa_per_t", 0, 500, "L/t"),
        most_cost_per_lpa=table.optional_number("most_cost_per_lpa", 0, 1000, "money a litre"),
        least_wash_abv_pct=table.optional_number("least_wash_abv_pct", 0, 20, "%vol"),
        most_original_gravity_sg=table.optional_number("most_original_gravity_sg", 1.0, 1.15, "SG"),
    )
    table.nothing_else()
    return limits


def _record(table: Table) -> PlantRecord | None:
    if not table.data:
        return None
    record = PlantRecord(
        mean_lpa_per_t=table.number("mean_lpa_per_t", 200, 480, "L/t"),
        sd_lpa_per_t=table.number("sd_lpa_per_t", 0.1, 100, "L/t"),
        mashes=int(_or_zero(table.number("mashes", 1, 100_000, "mashes"))),
    )
    table.nothing_else()
    return record


def _grid(table: Table) -> int:
    step = _parts(table, "step_pct", 500)
    if step is not None and (step < 100 or 10_000 % step):
        table.fault("step_pct", f"{step / 100:g} % does not divide 100 %.", "Use 1, 2, 2.5, 4, 5, 10, 20 or 25.")
        step = 500
    table.nothing_else()
    return step or 500


def _cross_checks(enquiry: Enquiry, where: str) -> list[Problem]:
    """Lots offered twice, groups naming lots that are not offered, nothing offered at all."""
    problems = []
    offered = [o.lot_id for o in enquiry.offered]
    if not offered:
        problems.append(Problem(f"{where}, material", "no material is offered.", "Add a [[material]] for each lot."))
    problems += [
        Problem(f"{where}, material", f"lot {lot!r} is offered twice.", "Keep one [[material]] for it.")
        for lot in sorted({lot for lot in offered if lot and offered.count(lot) > 1})
    ]
    problems += [
        Problem(f"{where}, group {group.name!r}", f"lot {lot!r} is not offered.", "Offer it or take it out.")
        for group in enquiry.groups
        for lot in group.lot_ids
        if lot not in offered
    ]
    return problems


def _or_zero(value: float) -> float:
    return 0.0 if math.isnan(value) else value
