"""A bill: which lots, and how much of each, in hundredths of one per cent of the grist as it is weighed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from gristwright.records.fields import Described, Percent

WHOLE = 10_000


@dataclass(frozen=True)
class Share:
    """A lot's part of the grist, as-is mass, in 0.01 %."""

    lot_id: Annotated[str, Described("Lot")]
    parts: Annotated[int, Percent("Share")]

    @property
    def pct(self) -> float:
        """The share in per cent."""
        return self.parts / 100.0


def shares_named(shares: Sequence[Share]) -> str:
    """A bill's name out of its shares: largest first."""
    said = sorted((share for share in shares if share.parts), key=lambda share: (-share.parts, share.lot_id))
    return " + ".join(f"{share.pct:g} % {share.lot_id}" for share in said)


@dataclass(frozen=True)
class Bill:
    """A named bill; shares add to 10 000."""

    name: Annotated[str, Described("Name")]
    shares: Annotated[tuple[Share, ...], Described("Shares", "Per cent of the grist as weighed; they add to 100.")]

    def parts_of(self, lot_id: str) -> int:
        """A lot's part in 0.01 %, zero when it is not in the bill."""
        return sum(share.parts for share in self.shares if share.lot_id == lot_id)

    def same_grist(self, other: Bill) -> bool:
        """Whether both have the same lots in the same shares."""
        return set(self.shares) == set(other.shares)
