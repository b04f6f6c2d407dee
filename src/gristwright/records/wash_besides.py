"""What a wash makes besides alcohol: what it is read from, and the answer. Page: docs/wash.md."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gristwright.basics import Band, FloatArray
from gristwright.records.washbacks import Yeast


@dataclass(frozen=True)
class WashConditions:
    """A finished wash as it fermented; arrays (members,). None: not known."""

    abv_pct: FloatArray
    original_gravity_degP: FloatArray
    main_degC: FloatArray  # mean of the hours in which most of the sugar went
    peak_degC: FloatArray
    hours: float
    yeast: Yeast = ""  # its kind; empty: a distiller's. Of a brewery that says none give ale
    boiled: bool = False  # the wort
    barley_wheat_rye: float = 1.0  # share of the grist, 0 to 1: what can bring a note of clove
    wheat_rye: float = 0.0  # share of the grist, 0 to 1
    fan_mg_per_L: FloatArray | None = None  # of the wort
    fan_left_mg_per_L: FloatArray | None = None
    pitch_million_per_mL: FloatArray | None = None
    lactic_g_per_L: FloatArray | None = None
    pH: FloatArray | None = None
    glycerol_g_per_L: FloatArray | None = None
    furfural_mg_per_L: FloatArray | None = None  # left when the wash is charged


@dataclass(frozen=True)
class MadeBesides:
    """One thing that a wash holds besides alcohol; `values` (members,), None where it is not known, and why.

    A `marker` is one that is followed through the still under that name.
    """

    key: str
    words: str
    unit: str
    values: FloatArray | None
    standing: str
    source: str
    moved: tuple[str, ...]  # what moved it or widened it, in words
    follows_alcohol: bool
    marker: str = ""
    why_none: str = ""


@dataclass(frozen=True)
class WashAmount:
    """What the wash holds of a marker, mg to a litre of pure alcohol, in place of the shares of wort and yeast."""

    mg_per_lpa: Band
    standing: str
    source: str


def mg_per_lpa(mg_per_L: FloatArray, abv_pct: FloatArray) -> FloatArray:
    """mg to a litre of pure alcohol, of mg/L in a wash of that strength [%vol]; not a number without alcohol."""
    return np.asarray(100.0 * mg_per_L / np.where(abv_pct > 0.0, abv_pct, np.nan))


def wash_amounts(made: tuple[MadeBesides, ...], abv_pct: FloatArray) -> dict[str, WashAmount]:
    """What the still's markers are told of a wash of that strength [%vol], by marker; the unknown is left out."""
    found = {}
    for one in made:
        if one.marker and one.values is not None:
            low, middle, high = np.nanquantile(mg_per_lpa(one.values, abv_pct), [0.05, 0.5, 0.95])
            band = Band(float(low), float(middle), float(high))
            found[one.marker] = WashAmount(band, one.standing, one.source)
    return found
