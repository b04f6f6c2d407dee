"""What an enquiry or a bill may ask before anything is computed. See docs/casework.md."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from gristwright.basics import Address, Problem, at
from gristwright.casework.bench.believing import believe_lots
from gristwright.casework.bench.dosing import dose_problems
from gristwright.records.bill import Bill
from gristwright.records.enquiry import BillSheet, Enquiry, SpiritEnquiry
from gristwright.records.lot import Lot
from gristwright.records.plant import Plant
from gristwright.reference.spelling import one_of
from gristwright.reference.type_names import type_named
from gristwright.rules import law
from gristwright.stages.grist.limits import bill_problems, husk_problems, sour_problems
from gristwright.stages.grist.materials import materials


def needed_lots(enquiry: SpiritEnquiry) -> set[str]:
    """The lots that are offered or stand in the present bill or in one that is asked about."""
    bills = (enquiry.present, *enquiry.asked)
    return {o.lot_id for o in enquiry.offered} | {share.lot_id for bill in bills for share in bill.shares}


def enquiry_problems(enquiry: SpiritEnquiry, lots: Sequence[Lot] | None) -> list[Problem]:
    """Lots named but not given, present bill without price, unknown categories, shares that do not add up.

    `lots` is None when they could not be read: then nothing is said of missing ones.
    """
    offered = {o.lot_id for o in enquiry.offered}
    given = needed_lots(enquiry) if lots is None else {lot.lot_id for lot in lots}
    problems = [
        Problem(at("enquiry", "offered", lot_id), "no certificate is given for it.", "Add the lot to the lots file.")
        for lot_id in sorted(offered - given)
    ]
    bills = [(enquiry.present, at("enquiry", "present"))]
    bills += [(bill, at("enquiry", "asked", number)) for number, bill in enumerate(enquiry.asked, 1)]
    for bill, where in bills:
        problems += bill_problems(bill, given, where) + _types(bill, lots, enquiry.plant, where)
        problems += [
            Problem(
                where.to("shares", share.lot_id), "is not offered, so it has no price.", "Add an [[offered]] for it."
            )
            for share in bill.shares
            if share.lot_id not in offered
        ]
    problems += _twice_asked(enquiry)
    problems += category_problems(enquiry.categories, at("enquiry", "categories"))
    problems += law.market_problems(enquiry.markets, at("enquiry", "markets"))
    return problems + dose_problems(enquiry)


def _twice_asked(enquiry: SpiritEnquiry) -> list[Problem]:
    """Bills asked about that go by one name, or that are the same: each is to be told from the others."""
    problems = []
    for number, bill in enumerate(enquiry.asked, 1):
        where = at("enquiry", "asked", number)
        for other in enquiry.asked[: number - 1]:
            if bill.same_grist(other):
                problems.append(Problem(where, f"has the shares of {other.name!r}.", "Take one of them out."))
            elif bill.name == other.name:
                problems.append(Problem(where, f"goes by the name {bill.name!r} as another does.", "Give it its own."))
    return problems


def dossier_problems(enquiry: SpiritEnquiry) -> list[Problem]:
    """What keeps an enquiry from being answered with a whole dossier."""
    if not enquiry.brews:
        return []
    what = "a dossier is of spirit: for beer there is the recommendation and the forecast of a bill."
    way_out = "Use gristwright advise without --dossier."
    return [Problem(at("enquiry", "purpose"), what, way_out)]


def brewing_problems(enquiry: SpiritEnquiry) -> list[Problem]:
    """What a brewer's enquiry may not ask, and what only a brewer's may."""
    claim = enquiry.claim if isinstance(enquiry, Enquiry) else None
    asked = {"record": enquiry.record, "release": enquiry.release, "claim": claim}
    what = "is asked of {} and not of {}."
    problems = [
        Problem(at(name), what.format("spirit", "beer"), "Take it out.")
        for name, said in asked.items()
        if said and enquiry.brews
    ]
    problems += law_of_beer_problems(enquiry.categories if enquiry.brews else (), at("categories"))
    problems += law_of_beer_problems(enquiry.markets if enquiry.brews else (), at("markets"))
    words = ("spirit", "beer") if enquiry.brews else ("beer", "spirit")
    return problems + [
        Problem(at("limits", name), what.format(*words), "Take it out.")
        for name in enquiry.limits.said_of(brews=not enquiry.brews)
    ]


def sheet_problems(sheet: BillSheet, lots: Sequence[Lot] | None) -> list[Problem]:
    """The same for a bill of its own."""
    in_bill = {share.lot_id for share in sheet.bill.shares}
    given = in_bill if lots is None else {lot.lot_id for lot in lots}
    problems = bill_problems(sheet.bill, given, at("bill")) + _types(sheet.bill, lots, sheet.plant, at("bill"))
    problems += category_problems(sheet.categories, at("bill", "categories"))
    problems += law.market_problems(sheet.markets, at("bill", "markets"))
    return problems


def law_of_beer_problems(said: Collection[str], where: Address) -> list[Problem]:
    """A fault where names or markets are asked of beer."""
    return [Problem(where, f"{', '.join(said)}: {law.NOT_OF_BEER}", "Take it out.")] if said else []


def _types(bill: Bill, lots: Sequence[Lot] | None, plant: Plant, where: Address) -> list[Problem]:
    """What a bill may not be, or must say, for what its lots are; lots of no known type have a fault of their own."""
    named = {lot.lot_id: type_named(lot.material) for lot in lots or ()}
    known = {lot_id: materials()[key] for lot_id, key in named.items() if key}
    said = plant.mash.mash_pH is not None
    return [*husk_problems(bill, known, where), *([] if said else sour_problems(bill, known, where))]


def category_problems(categories: Collection[str], where: Address) -> list[Problem]:
    """Categories that are not in the rule book."""
    titles = {key: title for key, title, _ in law.categories()}
    known = list(titles)
    problems = []
    for category in categories:
        if category not in known:
            way_out = one_of(category, known, titles=titles)
            problems.append(Problem(where, f"{category!r} is not a category we have.", way_out))
    return problems


def all_problems(asked: Enquiry | BillSheet | None, lots: Sequence[Lot] | None) -> list[Problem]:
    """Everything wrong with what was read, also when only part of it could be: for a refusal that names all at once."""
    problems: list[Problem] = []
    if isinstance(asked, Enquiry):
        problems += enquiry_problems(asked, lots)
    elif asked is not None:
        problems += sheet_problems(asked, lots)
    return problems + believe_lots(lots or ())[1]
