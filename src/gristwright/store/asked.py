"""What stands against the bills asked about, whose lots may have gone since. See docs/desk.md."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from gristwright.basics import Problem, at
from gristwright.records.bill import Share, shares_named
from gristwright.store.models import EnquiryRow, NamedLot


def lots_of_asked(row: EnquiryRow) -> dict[str, str]:
    """What every lot of the bills asked about is called, by its key; one that is gone as it was called last."""
    if not row.asked:
        return {}
    names = {str(named.pk): named.name for named in row.named.all()}
    wanted = [key for one in row.asked for key in one["parts"]]
    return {key: names.get(key) or _called_last(key) for key in wanted}


def called(row: EnquiryRow) -> list[dict[str, Any]]:
    """The bills asked about as they are kept, each with what it is `called`: by its name, or else by its shares."""
    names = lots_of_asked(row)
    return [{**one, "called": one["name"] or _shares(one["parts"], names)} for one in row.asked]


def _shares(parts: Mapping[str, int], names: Mapping[str, str]) -> str:
    return shares_named([Share(names[key], count) for key, count in parts.items()])


def _called_last(key: str) -> str:
    last = NamedLot.history.filter(id=key).order_by("-history_date", "-history_id").first()
    return last.name if last else "a lot"


def asked_problems(row: EnquiryRow) -> list[Problem]:
    """Lots of bills asked about that were deleted, or are no longer on offer; each bill is named."""
    if not row.asked:
        return []
    here = {str(named.pk) for named in row.named.all()}
    offered = {str(offer.named_id) for offer in row.offered.all()}
    names, problems = lots_of_asked(row), []
    for number, one in enumerate(called(row), 1):
        for key, parts in one["parts"].items():
            if key in offered:
                continue
            holds = f"“{one['called']}” holds {parts / 100:g} % of {names[key]}, which "
            gone = key not in here
            what = holds + ("was deleted." if gone else "is not on offer.")
            way_out = "Undo that under Lots, or take this bill out." if gone else "Take this bill out."
            problems.append(Problem(at("enquiry", "asked", number), what, way_out))
    return problems
