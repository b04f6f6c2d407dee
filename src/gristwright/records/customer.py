"""What the customer reads on two pages: an answer for each bill, one table, what to do next, what it rests on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from gristwright.records.said import Amount, Said

# Whether a bill can be mashed as it is, with something to watch, not as it stands, or what it gives is not said.
Verdict: TypeAlias = Literal["good", "watch", "no", "withheld"]
Cell: TypeAlias = "Amount | Said | str | None"


@dataclass(frozen=True)
class BillAnswer:
    """One bill in plain sentences: what it gives, how it mashes, what it may be called, what would lift what stops it."""

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
class Bar:
    """One line of the picture: a way, its figure and the ends of its band."""

    label: Said | str
    amount: Amount
    today: bool = False


@dataclass(frozen=True)
class Picture:
    """The one picture: figures beside each other, and the line over which a board is out of order where there is one."""

    title: Said
    bars: tuple[Bar, ...]
    limit: Amount | None = None


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
    monday: tuple[Said, ...]
    rests_on: tuple[Said, ...]
    cautions: tuple[Said, ...]
