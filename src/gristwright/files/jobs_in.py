"""Enquiry, plant and bill files into records, with every fault of all of them together. See docs/files.md."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from gristwright.basics import Address, Problem, Refused
from gristwright.files.claim_in import read_claim, read_release
from gristwright.files.plant_in import read_plant
from gristwright.files.reader import Table, or_zero
from gristwright.files.reading import Reading
from gristwright.files.texts import beside
from gristwright.files.toml_in import open_table
from gristwright.records.bill import Bill, Share
from gristwright.records.enquiry import BillSheet, Enquiry, Group, Limits, Offered
from gristwright.records.plant import PlantRecord

ATTENUATION_PCT = (30.0, 100.0)
PURPOSES = ("whisky", "beer")


def read_enquiry(path: Path) -> Reading[Enquiry]:
    """The enquiry with its plant and present bill, and every fault of the three files."""
    problems: list[Problem] = []
    try:
        top = open_table(path, "enquiry", problems)
    except Refused as refused:
        return Reading(None, (path,), refused.problems)
    plant_path = beside(path.parent, top.text("plant") or "plant.toml")
    plant, cask = read_plant(plant_path, problems)
    assert cask is not None  # a distiller always has one, if only an empty one beside its faults
    present = top.table("present")
    release = read_release(top.table("release", required=False))
    claim, claim_paths = read_claim(top.table("claim", required=False), path.parent, problems)
    bill_path = beside(path.parent, present.text("bill") or "bill.toml")
    bill, _ = _bill_from(bill_path, problems)
    enquiry = Enquiry(
        title=top.text("title"),
        customer=top.text("customer"),
        question=top.text("question"),
        adviser=top.text("adviser"),
        date=top.date("date"),
        valid_days=int(or_zero(top.number("valid_days", 1, 730, "days", 90))),
        categories=top.texts("categories"),
        purpose=_searched(top),
        currency=top.text("currency"),
        plant=plant,
        present=bill,
        offered=tuple(_offered(table) for table in top.tables("material")),
        groups=tuple(_group(table) for table in top.tables("group")),
        limits=_limits(top.table("limits", required=False)),
        cask=cask,
        record=_record(present.table("record", required=False)),
        processing_cost_per_t=top.number("processing_cost_per_t", 0, 5000, "money a tonne", 0.0),
        grid_parts=_grid(search := top.table("search", required=False)),
        most_materials=_most_materials(search),
        invented=top.flag("invented"),
        release=release,
        claim=claim,
    )
    present.nothing_else()
    top.nothing_else()
    problems += _cross_checks(enquiry, Address(path.name))
    return Reading(enquiry, (path, plant_path, bill_path, *claim_paths), tuple(problems))


def _searched(top: Table) -> str:
    """The purpose of an enquiry: bills are searched for distillers only."""
    purpose = top.choice("purpose", PURPOSES, "whisky")
    if purpose == "beer":
        top.fault("purpose", "an enquiry for beer is not searched.", "Use gristwright run and check on a bill.")
    return purpose


def read_bill(path: Path) -> Reading[BillSheet]:
    """A bill sheet with its plant, and every fault of both files."""
    problems: list[Problem] = []
    bill, sheet = _bill_from(path, problems)
    purpose = sheet.choice("purpose", PURPOSES, "whisky")
    plant_path = beside(path.parent, sheet.text("plant", "plant.toml") or "plant.toml")
    plant, cask = read_plant(plant_path, problems, distils=purpose != "beer")
    prices = sheet.table("price_per_t", required=False)
    result = BillSheet(
        bill=bill,
        plant=plant,
        cask=cask,
        categories=sheet.texts("categories"),
        prices={lot: or_zero(prices.number(lot, 0, 20_000, "money a tonne")) for lot in prices.data},
        currency=sheet.text("currency", ""),
        date=sheet.date("date", dt.date(2026, 1, 1)) if sheet.has("date") else dt.date.today(),  # noqa: DTZ011
        purpose=purpose,
        target_attenuation_pct=sheet.optional_number("target_attenuation_pct", *ATTENUATION_PCT, "%"),
    )
    return Reading(result, (path, plant_path), tuple(problems))


def _bill_from(path: Path, problems: list[Problem]) -> tuple[Bill, Table]:
    try:
        sheet = open_table(path, "bill", problems)
    except Refused as refused:
        problems += refused.problems
        return Bill("", ()), Table({}, Address(path.name), [])
    shares = sheet.table("shares")
    bill = Bill(sheet.text("name"), tuple(share for lot in shares.data if (share := _share(shares, lot))))
    sheet.nothing_else(("plant", "categories", "price_per_t", "currency", "date", "purpose", "target_attenuation_pct"))
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


def _offered(table: Table) -> Offered:
    offered = Offered(
        lot_id=table.text("lot"),
        price_per_t=table.number("price_per_t", 0, 20_000, "money a tonne"),
        least_parts=_parts(table, "least_pct", 0) or 0,
        most_parts=_most(table),
        for_character=table.flag("for_character") if table.has("for_character") else None,
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
        mashes=int(or_zero(table.number("mashes", 1, 100_000, "mashes"))),
    )
    table.nothing_else()
    return record


def _grid(table: Table) -> int:
    step = _parts(table, "step_pct", 100)
    if step is not None and (step < 100 or 10_000 % step):
        table.fault("step_pct", f"{step / 100:g} % does not divide 100 %.", "Use 1, 2, 2.5, 4, 5, 10, 20 or 25.")
        step = 500
    return step or 100


def _most_materials(table: Table) -> int:
    most = int(or_zero(table.number("most_materials", 1, 8, "materials in a bill", 5)))
    table.nothing_else()
    return most


def _cross_checks(enquiry: Enquiry, where: Address) -> list[Problem]:
    """Lots offered twice, groups naming lots that are not offered, nothing offered at all."""
    problems = []
    offered = [o.lot_id for o in enquiry.offered]
    if not offered:
        problems.append(Problem(where.to("material"), "no material is offered.", "Add a [[material]] for each lot."))
    problems += [
        Problem(where.to("material"), f"lot {lot!r} is offered twice.", "Keep one [[material]] for it.")
        for lot in sorted({lot for lot in offered if lot and offered.count(lot) > 1})
    ]
    places = [where.to("group", number, "lots") for number in range(1, len(enquiry.groups) + 1)]
    problems += [
        Problem(place, f"lot {lot!r} is not offered; {group.name!r} names it.", "Offer it or take it out.")
        for group, place in zip(enquiry.groups, places, strict=True)
        for lot in group.lot_ids
        if lot not in offered
    ]
    if enquiry.release is not None and not enquiry.cask.years > 0.0:
        what = "no years in wood are planned, so nothing is released."
        problems.append(Problem(where.to("release"), what, "Give cask.years in the plant file, or take the table out."))
    return problems
