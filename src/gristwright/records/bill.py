"""A bill: which lots, and how much of each, in hundredths of one per cent of the grist as it is weighed."""

from __future__ import annotations

from dataclasses import dataclass

WHOLE = 10_000


@dataclass(frozen=True)
class Share:
    """A lot's part of the grist, as-is mass, in 0.01 %."""

    lot_id: str
    parts: int

    @property
    def pct(self) -> float:
        """The share in per cent."""
        return self.parts / 100.0


@dataclass(frozen=True)
class Bill:
    """A named bill; shares add to 10 000."""

    name: str
    shares: tuple[Share, ...]

    def parts_of(self, lot_id: str) -> int:
        """A lot's part in 0.01 %, zero when it is not in the bill."""
        return sum(share.parts for share in self.shares if share.lot_id == lot_id)
