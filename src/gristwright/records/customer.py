"""What the customer reads on two pages: an answer for each bill, one table, what to do next, what it rests on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, Literal, TypeAlias

from gristwright.records.said import Amount, Said, kept, said, unkept

# Whether a bill can be mashed as it is, with something to watch, but not under every name asked for, or not as it
# stands; or what it gives is not said.
Verdict: TypeAlias = Literal["good", "watch", "name", "no", "withheld"]
Cell: TypeAlias = "Amount | Said | str | None"


@dataclass(frozen=True)
class BillAnswer:
    """One bill in plain sentences: what it gives, how it mashes, what it may be called, what lifts what stops it."""

    letter: str  # as in the annex; empty for today's bill
    name: str
    verdict: Verdict
    lines: tuple[Said, ...]
    lifts: tuple[Said, ...] = ()


@dataclass(frozen=True)
class CustomerRow:
    """One row of the table: a cell for each bill."""

    label: Said
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class PictureBar:
    """One line of the picture: a way, its figure and the ends of its band."""

    label: Said | str
    amount: Amount
    today: bool = False


@dataclass(frozen=True)
class Picture:
    """The one picture: figures beside each other."""

    title: Said
    bars: tuple[PictureBar, ...]


@dataclass(frozen=True)
class CustomerPages:
    """The two pages."""

    language: str
    question: str
    headline: Said
    bills: tuple[BillAnswer, ...]
    columns: tuple[Said, ...]
    rows: tuple[CustomerRow, ...]
    picture: Picture | None
    dose: tuple[Said, ...]  # how much for how long, where that is asked
    monday: tuple[Said, ...]
    rests_on: tuple[Said, ...]
    cautions: tuple[Said, ...]


def called(letter: str) -> Said:
    """What a bill beside today's is called: by the letter of an offer, or by the number of what was asked about."""
    kind, _, number = letter.partition(" ")
    if kind == "Asked":
        return said("customer.asked", number=number)
    return said("customer.end", number=number) if number else said("customer.offer", letter=letter)


def kept_pages(pages: CustomerPages) -> dict[str, Any]:
    """The pages as JSON keeps them."""
    return {field.name: _kept(getattr(pages, field.name)) for field in fields(pages)}


def _kept(value: Any) -> Any:
    if isinstance(value, BillAnswer | CustomerRow | PictureBar | Picture):
        return {field.name: _kept(getattr(value, field.name)) for field in fields(value)}
    return [_kept(one) for one in value] if isinstance(value, tuple) else kept(value)


def pages_of(data: Mapping[str, Any]) -> CustomerPages:
    """What `kept_pages` wrote."""
    picture = data["picture"]
    said_parts = {key: unkept(data[key]) for key in ("headline", "columns", "dose", "monday", "rests_on", "cautions")}
    return CustomerPages(
        language=data["language"],
        question=data["question"],
        bills=tuple(BillAnswer(**{key: unkept(value) for key, value in bill.items()}) for bill in data["bills"]),
        rows=tuple(CustomerRow(unkept(row["label"]), unkept(row["cells"])) for row in data["rows"]),
        picture=None if picture is None else _picture_of(picture),
        **said_parts,
    )


def _picture_of(data: Mapping[str, Any]) -> Picture:
    bars = tuple(PictureBar(unkept(bar["label"]), unkept(bar["amount"]), bar["today"]) for bar in data["bars"])
    return Picture(unkept(data["title"]), bars)
