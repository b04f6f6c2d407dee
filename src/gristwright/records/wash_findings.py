"""What a simulated wash is cautioned of. Page: docs/wash.md."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.basics import FloatArray


@dataclass(frozen=True)
class WashFinding:
    """One thing to know of a wash: what happens, with its figures, and the way out; empty where none is wanted.

    `caution` says whether it asks for something to be done; the rest is told as it is.
    """

    key: str
    what: str
    way_out: str = ""
    caution: bool = True

    @property
    def sentence(self) -> str:
        """Both, as page, terminal and paper print them."""
        return f"{self.what} {self.way_out}".strip()


@dataclass(frozen=True)
class GristInWash:
    """What of a grist counts in the washback beside its sugar; shares 0 to 1."""

    head_of_sticky: FloatArray  # head of this grist over that of barley malt, for its rye; (members,)
    sticky_share: float
    wheat_share: float
    raw_share: float
    dark_share: float
    whole_mash: bool
    boiled: bool
