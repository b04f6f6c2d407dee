"""Bills asked about, answered whether or not a search would offer them: listed, named, taken out. See docs/desk.md."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from gristwright.basics import Problem, Refused, at
from gristwright.files.texts import text_problems
from gristwright.records.bill import Bill
from gristwright.reference.typeface import composed
from gristwright.store.asked import asked_problems, called, lots_of_asked
from gristwright.store.frozen import sha256_of
from gristwright.store.mapping import asked_records, keep_asked
from gristwright.store.models import EnquiryRow
from gristwright.workbench import room
from gristwright.workbench.faults import what_of

LONGEST_NAME = 60
NAME = at("enquiry", "asked")


@dataclass(frozen=True)
class AskedBill:
    """A bill asked about as a page lists it; `mark` tells it from any other, and from itself before a change."""

    number: int
    mark: str
    name: str  # as the user wrote it, empty where nothing was
    lots: tuple[tuple[str, str], ...]  # largest first, each with its per cent
    faults: tuple[str, ...]

    @property
    def called(self) -> str:
        """Its name, or else its shares."""
        return self.name or self.shares

    @property
    def shares(self) -> str:
        """The shares in words."""
        return " + ".join(f"{pct} % {lot}" for lot, pct in self.lots)


def asked_bills(enquiry: EnquiryRow) -> list[AskedBill]:
    """The bills asked about in the order in which they were named, each with what stands against it."""
    names, faults = lots_of_asked(enquiry), asked_problems(enquiry)
    return [
        AskedBill(
            number,
            mark_of(one),
            one["name"],
            _lots(one["parts"], names),
            tuple(what_of(problem) for problem in faults if problem.address.path[-1] == number),
        )
        for number, one in enumerate(enquiry.asked, 1)
    ]


def _lots(parts: dict[str, int], names: dict[str, str]) -> tuple[tuple[str, str], ...]:
    ordered = sorted(parts.items(), key=lambda one: (-one[1], names[one[0]]))
    return tuple((names[key], f"{count / 100:g}") for key, count in ordered if count)


def mark_of(one: dict[str, Any]) -> str:
    """What a bill as it is kept is known by to a form."""
    return sha256_of(one)[:16]


def ask(enquiry: EnquiryRow, bill: Bill, name: str) -> str:
    """Have a bill answered, under a name or by its shares; what it is called. Raises Refused."""
    named = composed(name).strip()
    said = Bill(named or bill.name, bill.shares)
    before = asked_records(enquiry)
    problems = [*text_problems(named, NAME), *_as_before(said, before)]
    if len(named) > LONGEST_NAME:
        what = f"has {len(named)} characters; a table has room for {LONGEST_NAME}."
        problems.append(Problem(NAME, what, "Shorten it."))
    if len(before) >= room.MOST_ASKED:
        what = f"{room.MOST_ASKED} are asked about already, and there is room for no more."
        problems.append(Problem(NAME, what, "Take one out first."))
    if problems:
        raise Refused(problems)
    keep_asked(enquiry, (*before, said))
    return said.name


def _as_before(bill: Bill, before: tuple[Bill, ...]) -> list[Problem]:
    """Whether the same shares are asked about, or another bill goes by the name."""
    for other in before:
        if other.same_grist(bill):
            what = f"these shares are asked about already, as “{other.name}”."
            return [Problem(NAME, what, "Change a share, or take that bill out first.")]
    if any(other.name.casefold() == bill.name.casefold() for other in before):
        what = f"“{bill.name}” is the name of another bill asked about."
        return [Problem(NAME, what, "Give this one a name of its own.")]
    return []


def take_out(enquiry: EnquiryRow, mark: str) -> str:
    """Ask about a bill no longer; what it was called, nothing where none of this mark is asked about any more."""
    gone = [one for one in called(enquiry) if mark_of(_kept(one)) == mark]
    if gone:
        enquiry.asked = [one for one in enquiry.asked if mark_of(one) != mark]
        enquiry.save(update_fields=["asked"])
    return gone[0]["called"] if gone else ""


def _kept(one: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in one.items() if key != "called"}
