"""Enquiry, plant and bill files into records, with every fault of all of them together. See docs/files.md."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

from gristwright.basics import Address, Problem, Refused
from gristwright.casework.bench import brewing_problems
from gristwright.economics.release import evaporation_problems
from gristwright.files.claim_in import read_claim
from gristwright.files.plant_in import read_plant
from gristwright.files.reader import Table
from gristwright.files.reading import Reading
from gristwright.files.record_in import read_record
from gristwright.files.terms_in import currency_problems, day_remarks, price_remarks
from gristwright.files.texts import beside
from gristwright.files.toml_in import open_data
from gristwright.files.upgrades import as_written
from gristwright.records.bill import WHOLE, Bill, Share, shares_named
from gristwright.records.enquiry import BillSheet, BillTerms, CaskPlan, Enquiry, EnquiryTerms
from gristwright.records.fields import Described, Percent
from gristwright.records.plant import Plant

USUAL_PLANT = "plant.toml"


@dataclass(frozen=True, kw_only=True)
class PlantFile(Plant):
    """What a plant file holds: the house, and the cask its spirit is meant for."""

    cask: Annotated[CaskPlan, Described("Cask", "A brewer needs none.")] | None = None


@dataclass(frozen=True, kw_only=True)
class BillFile(BillTerms):
    """What a bill file holds: the bill, what is asked of it, and the name of the plant file beside it."""

    name: Annotated[str, Described("Name of the bill")]
    shares: Annotated[
        dict[str, Annotated[int, Percent("Share")]],
        Described("Shares", "Lot = per cent of the grist as weighed, in steps of 0.01; they add to 100."),
    ]
    plant: Annotated[str, Described("Plant file", "It stands beside this one.")] = USUAL_PLANT
    date: Annotated[dt.date, Described("Day of the law", "Without quotes. Not given: today.")] | None = None  # type: ignore[assignment]

    @property
    def bill(self) -> Bill:
        """The bill alone."""
        return Bill(self.name, tuple(Share(lot, parts) for lot, parts in self.shares.items()))


NOT_OPENED = BillFile(name="", shares={})


@dataclass(frozen=True, kw_only=True)
class AskedFile:
    """A bill that is asked about: the name of its file, or its shares."""

    bill: Annotated[str, Described("Bill file", "It stands beside this one; its shares are read and nothing else.")] = (
        ""
    )
    name: Annotated[str, Described("Name of the bill", "Not given: its shares.")] = ""
    shares: Annotated[
        dict[str, Annotated[int, Percent("Share")]],
        Described("Shares", "Lot = per cent of the grist as weighed, where no file is named."),
    ] = dataclasses.field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class EnquiryFile(EnquiryTerms):
    """What an enquiry file holds: the question, and the names of the plant file and today's bill beside it."""

    plant: Annotated[str, Described("Plant file", "It stands beside this one.")]
    present: Annotated[str, Described("Bill file of today", "It stands beside this one.")]
    asked: Annotated[
        tuple[AskedFile, ...],
        Described("Bills asked about", "Each is answered whether or not a search would offer it."),
    ] = ()
    claim: Annotated[dict[str, Any], Described("Casks of known age", "See docs/give_and_gain.md.")] | None = None


def read_enquiry(path: Path) -> Reading[Enquiry]:
    """The enquiry with its plant and present bill, and every fault of the three files."""
    own_problems: list[Problem] = []
    where = Address(path.name)
    try:
        data, names = open_data(path, "enquiry", own_problems)
    except Refused as refused:
        return Reading(None, (path,), refused.problems)
    asked = read_record(EnquiryFile, data, where, own_problems)
    others: list[Problem] = []
    named = (asked.plant or USUAL_PLANT, asked.present or "bill.toml")
    plant_path, bill_path = (beside(path.parent, name) for name in named)
    plant, cask = read_plant(plant_path, others, distils=asked.purpose != "beer")
    bill = _bill_of(bill_path, others)
    claim, claim_paths = read_claim(Table(asked.claim or {}, where.to("claim"), own_problems), path.parent, others)
    own = {f.name: getattr(asked, f.name) for f in dataclasses.fields(EnquiryTerms)}
    brews = asked.purpose == "beer"
    bills, asked_paths = _asked(asked.asked, path.parent, where, own_problems, others)
    enquiry = Enquiry(**own, plant=plant, present=bill.bill, asked=bills, cask=None if brews else cask, claim=claim)
    own_problems += _cross_checks(enquiry, where) + _money_and_days(enquiry, where)
    problems = as_written(own_problems, names, path.name) + others
    return Reading(enquiry, (path, plant_path, bill_path, *asked_paths, *claim_paths), tuple(problems))


def _asked(
    said: Sequence[AskedFile], folder: Path, where: Address, own: list[Problem], others: list[Problem]
) -> tuple[tuple[Bill, ...], tuple[Path, ...]]:
    """The bills that are asked about, and the files that were read for them."""
    bills, paths = [], []
    for number, one in enumerate(said, 1):
        place = where.to("asked", number)
        if bool(one.bill) == bool(one.shares):
            what = "names a bill file and has shares too." if one.bill else "names no bill."
            own.append(Problem(place, what, 'Write bill = "…" or a table of shares, not both.'))
            continue
        if one.bill:
            paths.append(beside(folder, one.bill))
            file = _bill_of(paths[-1], others)
            if file is not NOT_OPENED:
                bills.append(dataclasses.replace(file.bill, name=one.name or file.name))
        else:
            shares = tuple(Share(lot, parts) for lot, parts in one.shares.items())
            bills.append(Bill(one.name or shares_named(shares), shares))
    return tuple(bills), tuple(paths)


def read_bill(path: Path) -> Reading[BillSheet]:
    """A bill sheet with its plant, and every fault of both files."""
    problems: list[Problem] = []
    file = _bill_of(path, problems)
    plant_path = beside(path.parent, file.plant or USUAL_PLANT)
    plant, cask = read_plant(plant_path, problems, distils=file.purpose != "beer")
    own = {f.name: getattr(file, f.name) for f in dataclasses.fields(BillTerms)}
    own["date"] = own["date"] or dt.date.today()  # noqa: DTZ011
    # Of a file that could not be opened nothing is held against anything.
    sheet = BillSheet(**own, bill=file.bill, plant=plant, cask=cask) if file != NOT_OPENED else None
    return Reading(sheet, (path, plant_path), tuple(problems))


def _bill_of(path: Path, problems: list[Problem]) -> BillFile:
    """What a bill file holds; an empty one after a fault that let nothing be read."""
    own_problems: list[Problem] = []
    try:
        data, names = open_data(path, "bill", own_problems)
    except Refused as refused:
        problems += refused.problems
        return NOT_OPENED
    file = read_record(BillFile, data, Address(path.name), own_problems)
    where = Address(path.name)
    own_problems += currency_problems(file.currency, where.to("currency")) + day_remarks(file.date, where.to("date"))
    own_problems += price_remarks(file.prices, where.to("prices"), file.currency or "money")
    problems += as_written(own_problems, names, path.name)
    return file


def _money_and_days(enquiry: Enquiry, where: Address) -> list[Problem]:
    """A currency that is none, prices of a kilogram, a day of a law nobody knows."""
    problems = currency_problems(enquiry.currency, where.to("currency")) + day_remarks(enquiry.date, where.to("date"))
    for number, one in enumerate(enquiry.offered, start=1):
        price = {"price_per_t": one.price_per_t}
        problems += price_remarks(price, where.to("offered", number), enquiry.currency or "money")
    return problems


def _cross_checks(enquiry: Enquiry, where: Address) -> list[Problem]:
    """What only spirit is asked, ranges the wrong way round, a grid that does not close, prices without years."""
    problems = _offer_problems(enquiry, where)
    problems += [dataclasses.replace(p, where=where.to(*p.address.path)) for p in brewing_problems(enquiry)]
    if enquiry.grid_parts < 100 or WHOLE % enquiry.grid_parts:
        what = f"{enquiry.grid_parts / 100:g} % does not divide 100 %."
        problems.append(Problem(where.to("grid_pct"), what, "Use 1, 2, 2.5, 4, 5, 10, 20 or 25."))
    if enquiry.release is not None:
        problems += [replace_where(p, where.to("release")) for p in evaporation_problems(enquiry.release)]
        if enquiry.cask is not None and not enquiry.cask.years > 0.0:
            what = "no years in wood are planned, so nothing is released."
            way_out = "Give cask.years in the plant file, or take the table out."
            problems.append(Problem(where.to("release"), what, way_out))
    return problems


def replace_where(problem: Problem, above: Address) -> Problem:
    """The problem of a record's field, at the field of a file."""
    return dataclasses.replace(problem, where=above.to(problem.address.path[-1]))


def _offer_problems(enquiry: Enquiry, where: Address) -> list[Problem]:
    """Lots offered twice, groups naming lots that are not offered, nothing offered at all, ranges without inside."""
    problems = []
    offered = [o.lot_id for o in enquiry.offered]
    if not offered:
        problems.append(Problem(where.to("offered"), "no material is offered.", "Add an [[offered]] for each lot."))
    problems += [
        Problem(where.to("offered"), f"lot {lot!r} is offered twice.", "Keep one [[offered]] for it.")
        for lot in sorted({lot for lot in offered if lot and offered.count(lot) > 1})
    ]
    ranges = [("offered", n, o) for n, o in enumerate(enquiry.offered, 1)]
    ranges += [("groups", n, g) for n, g in enumerate(enquiry.groups, 1)]  # type: ignore[misc]
    problems += [
        Problem(where.to(kind, number, "least_pct"), "is above most_pct.", "Exchange them or widen the range.")
        for kind, number, one in ranges
        if one.least_parts > one.most_parts
    ]
    problems += [
        Problem(
            where.to("groups", number, "lot_ids"),
            f"lot {lot!r} is not offered; {group.name!r} names it.",
            "Offer it or take it out.",
        )
        for number, group in enumerate(enquiry.groups, 1)
        for lot in group.lot_ids
        if lot not in offered
    ]
    return problems
