"""Markers that wood gives and spirit makes, in mass per cask: direction and order, never an age. See docs/stock.md."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gristwright.basics import Draws, FloatArray, Problem, Refused, Standing, at
from gristwright.records.cask import CaskKind
from gristwright.reference.load import csv_rows
from gristwright.reference.woods import wood_of
from gristwright.stages.cask.content import inside_area_m2, is_new_wood
from gristwright.stages.cask.limits import SMALL_CAPACITY_L

RESTS_ON: tuple[str, ...] = (
    "cask.marker_level",
    "cask.refill_share_bourbon",
    "cask.refill_share_sherry",
    "cask.entry_slope",
    "cask.marker_q10",
)

# What the table stands for: charred new oak, 52 %vol at entry, a store at 15 degC on average.
TABLE_ABV_PCT, TABLE_DEGC = 52.0, 15.0
WINES = ("sherry", "wine", "port", "madeira", "marsala", "muscat")


@dataclass(frozen=True)
class Marker:
    """One marker: grams a square metre of charred new oak gives, fast pool and slow term, and what makes it."""

    name: str
    title: str
    origin: str
    fast_per_m2: float
    fast_per_year: float
    slow_per_m2_year: float
    standing: Standing
    note: str

    @property
    def of_wood(self) -> bool:
        """Whether it comes out of the wood, so that a refill gives less of it."""
        return "wood" in self.origin


def markers() -> tuple[Marker, ...]:
    """Every marker of the table."""
    return tuple(
        Marker(
            row["marker"],
            row["title"],
            row["origin"],
            float(row["fast_per_m2"]),
            float(row["fast_per_year"]),
            float(row["slow_per_m2_year"]),
            Standing(row["standing"]),
            row["note"],
        )
        for row in csv_rows("tables/cask_markers.csv")
    )


def refill_share(kind: CaskKind, draws: Draws, rejuvenated: bool = False) -> FloatArray:
    """What the wood of this fill gives over new charred wood [0..1], (members,).

    One share for each fill after the first, and one for what it held before it came to the house. Wood shaved and
    charred anew counts as between its last fill and a first one: the geometric mean, for want of any figure.
    """
    wine = any(word in kind.prior_contents.lower() for word in WINES)
    share = draws["cask.refill_share_sherry" if wine else "cask.refill_share_bourbon"]
    given = share ** (kind.fill_number - 1 + bool(kind.prior_contents))
    return np.asarray(np.sqrt(given) if rejuvenated else given)


def added_g(
    marker: Marker,
    kind: CaskKind,
    entry_abv_pct: float,
    mean_degC: float,
    years: FloatArray,
    draws: Draws,
    rejuvenated: bool = False,
) -> FloatArray:
    """Mass of a marker [g per cask] that time in wood has added, shape (years, members).

    C(t) = A (1 - exp(-k t)) + b t by area, paced by temperature, less by every fill and by entry strength. For
    full-size casks: see `comparable`.
    """
    pace = draws["cask.marker_q10"] ** ((mean_degC - TABLE_DEGC) / 10.0)
    time = np.asarray(years)[:, None] * pace[None, :]
    per_m2 = marker.fast_per_m2 * -np.expm1(-marker.fast_per_year * time) + marker.slow_per_m2_year * time
    level = draws["cask.marker_level"] * (1.0 - draws["cask.entry_slope"]) ** ((entry_abv_pct - TABLE_ABV_PCT) / 10.0)
    given = refill_share(kind, draws, rejuvenated) if marker.of_wood else 1.0
    return np.asarray(per_m2 * level * given * inside_area_m2(kind.capacity_L))


def comparable(kind: CaskKind) -> list[Problem]:
    """Why a cask is too small for its markers to be read beside those of full-size casks; nothing where it is not."""
    if kind.capacity_L >= SMALL_CAPACITY_L:
        return []
    what = f"{kind.capacity_L:g} L is below {SMALL_CAPACITY_L:g} L; its loss is forecast, its wood is not."
    return [Problem(at("cask", kind.name), what, NOT_FASTER, warning=True)]


def known(kind: CaskKind) -> list[Problem]:
    """Why the table of markers says nothing of a wood, for it stands for charred oak and its refills; else nothing."""
    where, way_out = at("cask", kind.name), "Analyse your own samples year by year."
    if wood_of(kind.wood) != "oak":
        return [Problem(where, f"no figure of markers is known here for {kind.wood}.", way_out, warning=True)]
    if is_new_wood(kind) and not kind.charred:
        what = "markers are known here of charred new oak; new oak that is not charred gives other ones."
        return [Problem(where, what, way_out, warning=True)]
    return []


NOT_FASTER = (
    "Spirit kept 21 months in 6 L casks was not comparable with whisky of full-size casks: the extracts stood in other "
    "ratios and one sweet note led (Withers, Piggott, Conner & Paterson 1995, J. Inst. Brew. 101, 359-364). Area a "
    "litre speeds extraction, but not oxidation nor the loss of immature notes. Wait, or compare by your own panel."
)


def equivalent_age(kind: CaskKind) -> Refused:
    """The refusal of an age equivalent to years in another cask: there is none for any kind, small ones least of all.

    Raised by whoever is asked for one.
    """
    what = f"an equivalent age of {kind.capacity_L:g} L casks is not given."
    way_out = NOT_FASTER if kind.capacity_L < SMALL_CAPACITY_L else "Age is true time in wood; markers are no clock."
    return Refused([Problem(at("cask", kind.name), what, way_out)])
