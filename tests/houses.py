"""Invented houses, lots and bills for tests that go through many of them: inputs here, never a test's truth."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from gristwright.records.bill import Bill, Share
from gristwright.records.cask import CaskKind
from gristwright.records.enquiry import BillSheet, CaskPlan, Enquiry, Offered
from gristwright.records.lot import Analysis, Lot
from gristwright.records.plant import ColumnDoubler, CookerPlan, MashPlan, Plant, PotStills
from gristwright.records.washbacks import Washbacks
from gristwright.stages.cask.stores import climate_named

DATE = dt.date(2026, 11, 25)
CASK = CaskPlan(CaskKind("barrel", 200.0), climate_named("cool humid store"), 62.0, 4.0, 46.0)
# lot: type, price a tonne, analyses as printed
KNOWN: dict[str, tuple[str, float, tuple[tuple[str, float, str], ...]]] = {
    "PD-1": ("pale_distilling_malt", 520.0, ()),
    "HE-1": ("high_enzyme_malt", 640.0, (("diastatic_power", 210.0, "degLintner"), ("dextrinising_units", 72.0, "DU"))),
    "RM-1": ("rye_malt", 640.0, (("diastatic_power", 102.0, "degLintner"), ("dextrinising_units", 42.0, "DU"))),
    "CR-1": ("caramel_rye_malt", 900.0, ()),
    "WM-1": ("wheat_malt", 560.0, ()),
    "CM-1": ("caramel_malt_medium", 730.0, ()),
    "MZ-1": ("raw_maize", 215.0, ()),
    "RW-1": ("raw_wheat", 290.0, ()),
    "RB-1": ("raw_barley", 300.0, ()),
    "OH-1": ("oat_husks", 260.0, ()),
    "RH-1": ("rice_husks", 240.0, ()),
}
LOTS = tuple(
    Lot(name, material, analyses=tuple(Analysis(*one) for one in analyses))
    for name, (material, _, analyses) in KNOWN.items()
)
PRICES = {name: price for name, (_, price, _) in KNOWN.items()}


def tun(vessel: str = "tun", settled: float = 64.0, **mash: Any) -> Plant:
    """A house that draws wort off its grain and distils in pots."""
    plan = MashPlan(2500.0, 5200.0, settled_mash_degC=settled, vessel=vessel)
    return Plant("Reed Mill (invented)", "separated", "DE", replace(plan, **mash), Washbacks(6, 18_000.0, 72.0),
                 600.0, PotStills(6500.0, 4500.0))  # fmt: skip


def whole_mash(settled: float = 63.0, cook: float | None = 105.0, **mash: Any) -> Plant:
    """A house that ferments and distils its whole mash in a column, with a cooker or without one."""
    plan = MashPlan(6000.0, 4600.0, settled_mash_degC=settled, cook_degC=cook)
    if cook is not None:
        plan = replace(plan, cooker=CookerPlan(malt_min=45.0))
    return Plant("Sand Bar (invented)", "grain-in", "US", replace(plan, **mash), Washbacks(8, 36_000.0, 72.0), 3000.0,
                 column=ColumnDoubler(7000.0))  # fmt: skip


def brewhouse(vessel: str = "lauter", settled: float = 64.0, **mash: Any) -> Plant:
    """A house that boils its wort."""
    return replace(tun(vessel, settled, **mash), pot_stills=None, wort_boiled=True)


def bill(name: str = "today", **pct: float) -> Bill:
    """A bill of shares in per cent, lots written PD_1 for PD-1."""
    return Bill(name, tuple(Share(lot.replace("_", "-"), round(100.0 * x)) for lot, x in pct.items() if x))


def sheet(made: Bill, plant: Plant, categories: tuple[str, ...] = (), **given: Any) -> BillSheet:
    """A bill in a house, priced."""
    cask = None if plant.wort_boiled else CASK
    purpose = "beer" if plant.wort_boiled else "whisky"
    terms: dict[str, Any] = {"categories": categories, "prices": PRICES, "currency": "EUR", "purpose": purpose, **given}
    return BillSheet(bill=made, plant=plant, cask=cask, date=DATE, **terms)


def enquiry(present: Bill, plant: Plant, ranges: Mapping[str, tuple[float, float]], **given: Any) -> Enquiry:
    """A question about a bill: lots on offer with their least and most in per cent."""
    offered = tuple(
        Offered(lot, PRICES[lot], round(100.0 * low), round(100.0 * high)) for lot, (low, high) in ranges.items()
    )
    asked = Enquiry(
        title="A question", customer=plant.name, question="What else?", adviser="A. Example", date=DATE, currency="EUR",
        plant=plant, present=present, offered=offered, cask=CASK, processing_cost_per_t=280.0, grid_parts=500,
        invented=True,
    )  # fmt: skip
    return replace(asked, **given)
