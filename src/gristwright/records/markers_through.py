"""A marker followed from malt to cask, and what of it a bill brings into the spirit. See docs/give_and_gain.md."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from gristwright.basics import Band

# Whether a marker is felt: only a threshold measured in spirit can say so, and none can say that it is not.
FeltVerdict: TypeAlias = Literal["likely_felt", "unknown", "does_not_pass"]
VERDICT_WORDS: dict[str, str] = {
    "likely_felt": "likely felt",
    "unknown": "unknown: your own trial decides",
    "does_not_pass": "does not pass",
}
# Ethanol in which a threshold says something of spirit [%vol]: strengths at which it is nosed.
LEAST_SPIRIT_PCT, MOST_SPIRIT_PCT = 20.0, 40.0


@dataclass(frozen=True)
class MarkerLab:
    """One laboratory pair of the house: a marker in its malt and in its new spirit, with what the mash gave."""

    malt_mg_per_kg: float
    spirit_mg_per_L: float
    lpa_per_t: float
    spirit_abv_pct: float
    hearts_end_abv_pct: float = 60.0
    share_of_grist: float = 1.0


@dataclass(frozen=True)
class MarkerStep:
    """Where the marker stands after one step, with what that step rests on, and the share of it that the step left.

    `left_pct` is None where the step takes nothing: what the malt holds.
    """

    step: str
    title: str
    amount: Band
    unit: str
    standing: str
    source: str
    left_pct: Band | None = None


@dataclass(frozen=True)
class MarkerChain:
    """A marker from malt to cask. `ppm_to_ppm_pct` and `by_mass_pct` are two readings of one transfer.

    A marker with `part_of` is already counted in that one.
    """

    marker: str
    title: str
    passes: str
    sentence: str
    steps: tuple[MarkerStep, ...]
    ppm_to_ppm_pct: Band  # mg/L of spirit over mg/kg of grist
    by_mass_pct: Band  # of what the grist held
    plant_factor: Band  # against the table's chain
    measured: bool
    part_of: str = ""  # the marker that it adds up to with its fellows


@dataclass(frozen=True)
class OdourThreshold:
    """Where a compound begins to be smelled, in which liquid; `part` is the least share of its marker that it is."""

    compound: str
    ug_per_L: float
    matrix: str
    ethanol_pct: float
    part: float
    standing: str
    source: str

    @property
    def in_spirit(self) -> bool:
        """Whether it was measured in a liquid that says something of spirit."""
        return LEAST_SPIRIT_PCT <= self.ethanol_pct <= MOST_SPIRIT_PCT


@dataclass(frozen=True)
class MarkerTrade:
    """What the trade says of a way of making malt, what the numbers say, and the trial that would settle it."""

    key: str
    says: str
    numbers: str
    trial: str
    standing: str
    source: str


@dataclass(frozen=True)
class MarkerAmount:
    """What a bill brings of one marker into its spirit, and whether that is likely felt.

    Amounts are None where none is worked out; `why_none` says why.
    """

    marker: str
    title: str
    note: str  # what it smells of
    brought_by: str
    lots: tuple[str, ...]
    passes: str
    sentence: str
    verdict: FeltVerdict
    why: str  # of the verdict
    spirit_ug_per_L: Band | None  # in the new spirit as filled
    spirit_abv_pct: float | None
    cask_ug_per_L: Band | None  # after the years in the cask, by the litre filled
    cask_years: float
    read_ug_per_L: Band | None  # of the threshold's compound at the threshold's strength
    threshold: OdourThreshold | None
    against_today: Band | None  # times what the present bill brings; None for that bill and where it brings none
    steps: tuple[MarkerStep, ...]
    by_mass_pct: Band | None
    standing: str  # the weakest that the amount rests on
    source: str
    part_of: str = ""
    why_none: str = ""

    @property
    def words(self) -> str:
        """The verdict as a person reads it."""
        return VERDICT_WORDS[self.verdict]
