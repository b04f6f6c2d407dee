"""A plant file into records: the house, and the cask its spirit is meant for. See docs/files.md."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from gristwright.basics import Address, Problem, Refused, Standing
from gristwright.files.mash_in import read_mash
from gristwright.files.reader import Table, or_zero
from gristwright.files.toml_in import open_table
from gristwright.records.cask import CaskKind, Climate
from gristwright.records.enquiry import CaskPlan
from gristwright.records.plant import ColumnDoubler, Plant, PotStills, Washbacks
from gristwright.stages.cask import limits as cask_limits
from gristwright.stages.cask import stores
from gristwright.stages.wash import limits as wash_limits

ENZYMES = ("malt only", "added natural", "added microbial", "koji")
T = TypeVar("T")


def read_plant(path: Path, problems: list[Problem], distils: bool = True) -> tuple[Plant, CaskPlan | None]:
    """The house and its cask plan, faults added to `problems`; a brewer needs neither stills nor casks."""
    try:
        top = open_table(path, "plant", problems)
    except Refused as refused:
        problems += refused.problems
        top = Table({}, Address(path.name), [])
    column = _column(top.table("column")) if top.has("column") else None
    needs_pots = distils and column is None
    if column and "pot_stills" in top.data:
        top.fault("column", "stands beside pot_stills.", "Keep the one this spirit runs through.")
    plant = Plant(
        name=top.text("name"),
        kind=top.choice("kind", ("separated", "grain-in")),
        country=top.text("country"),
        mash=read_mash(top.table("mash"), top.data.get("kind") == "grain-in"),
        washbacks=_washbacks(top.table("washbacks")),
        pot_stills=_pot_stills(top.table("pot_stills")) if "pot_stills" in top.data or needs_pots else None,
        tonnes_per_year=top.number("tonnes_per_year", 0.1, 1_000_000, "t"),
        column=column,
        one_distillery=top.flag("one_distillery", True),
        wort_boiled=top.flag("wort_boiled"),
        enzymes=top.choice("enzymes", ENZYMES, "malt only"),
        ferment_agents=top.choice("ferment_agents", ("yeast", "yeast and others"), "yeast"),
    )
    cask = _cask_plan(top.table("cask"), top.problems) if distils or "cask" in top.data else None
    top.nothing_else(("pot_stills", "cask"))
    return plant, cask


def _washbacks(table: Table) -> Washbacks:
    washbacks = Washbacks(
        count=int(or_zero(table.number("count", *wash_limits.COUNT, "washbacks"))),
        volume_L=table.number("volume_L", *wash_limits.VOLUME_L, "L"),
        hours=table.number("hours", *wash_limits.HOURS, "h"),
        set_degC=table.number("set_degC", *wash_limits.SET_DEGC, "degC", 20.0),
        cooling=table.choice("cooling", wash_limits.COOLING, ""),
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
            int(or_zero(table.number("fill_number", 1, 9, "fills", 1))),
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
        first_month=int(or_zero(table.number("first_month", 1, 12, "month", 1))) or 1,
        additions=table.texts("additions") or ("water",),
        excise_warehouse=table.flag("excise_warehouse") if table.has("excise_warehouse") else None,
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


def _named(find: Callable[[str], T], name: str, table: Table, key: str, problems: list[Problem]) -> T | None:
    """What a table of the package calls `name`; None after noting the fault with its place."""
    if not name:
        return None
    try:
        return find(name)
    except Refused as refused:
        problems += [Problem(table.place(key), p.what, p.way_out) for p in refused.problems]
        return None
