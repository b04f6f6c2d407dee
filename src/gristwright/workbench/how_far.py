"""How far a bill can be worked out: a brewer's to beer, a distiller's to the bottle, or to new spirit while cask or
names of the law stand against more.

See docs/desk.md.
"""

from __future__ import annotations

from dataclasses import replace

from gristwright.basics import Problem, Refused
from gristwright.records.lot import Lot
from gristwright.rules import law
from gristwright.store.mapping import spirit_record, tried_record
from gristwright.store.models import EnquiryRow
from gristwright.workbench.brewing import BrewedView, brewed_view, kettle
from gristwright.workbench.trying import Tried, TriedView, ready, tried_view


def worked_out(
    enquiry: EnquiryRow, given: tuple[Lot, ...], tried: Tried, members: int
) -> tuple[TriedView | BrewedView, list[Problem]]:
    """The bill worked out, and what keeps it from going further than new spirit. Raises Refused."""
    if enquiry.brews:
        return brewed_view(kettle(tried_record(enquiry), given, members), tried.bill), []
    try:
        return tried_view(ready(tried_record(enquiry), given, members), tried.bill), []
    except Refused as refused:
        if not all(map(beyond_spirit, refused.problems)):
            raise
        beyond = list(refused.problems)
    known = {key for key, _, _ in law.categories()}
    asked = spirit_record(enquiry)
    sold = {code for code, _ in law.markets_known()}
    asked = replace(
        asked,
        categories=tuple(key for key in asked.categories if key in known),
        markets=tuple(code for code in asked.markets if code in sold),
    )
    return tried_view(ready(asked, given, members), tried.bill), beyond


def beyond_spirit(problem: Problem) -> bool:
    """Whether a problem is one of the cask or of the names asked for, which new spirit does not wait for."""
    path = problem.address.path
    names = (("enquiry", "categories"), ("enquiry", "markets"))
    return path[:1] in (("cask",), ("climate",), ("release",)) or path in names
