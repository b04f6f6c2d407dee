"""What a kinetic model must do for the tun that stands around it. See docs/mash_simulation.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from gristwright.basics import FloatArray
from gristwright.records.mash import MashGrain

# Enzyme counts per starch: a dose of one is that of an all-malt mash of the malt that the published constants were
# fitted to, with so much starch (65 % of the dry matter, Beverages 2020, 6:60, at 4.5 % moisture) and these units.
STARCH_OF_MALT = 0.62
USUAL_DEXTRINASE = 400.0  # [U/kg], middle of 268-603 U/kg, Evans et al. 2009, J. Am. Soc. Brew. Chem. 67:14
# Mass of sugar from one of starch; molar masses. Glucose, maltose, maltotriose.
SUGAR_PER_STARCH = (180.156 / 162.141, 342.297 / 324.282, 504.438 / 486.423)


@dataclass(frozen=True)
class Rows:
    """Where each quantity stands in the state (rows, members), kg per kg of grist.

    Unopened starch comes first; then what is dissolved: open starch, `dextrins` sorts of dextrin, glucose, maltose,
    maltotriose, the water that these took up; last the exponent of beta-amylase's loss.
    """

    unopened: int
    dextrins: int = 1

    @property
    def open(self) -> int:
        """Row of open starch."""
        return self.unopened

    @property
    def dextrin(self) -> slice:
        """Rows of dextrin: limit dextrin first where the model tells it apart."""
        return slice(self.unopened + 1, self.unopened + 1 + self.dextrins)

    @property
    def sugars(self) -> slice:
        """Rows of glucose, maltose and maltotriose."""
        return slice(self.taken_up - 3, self.taken_up)

    @property
    def products(self) -> slice:
        """Rows of dextrin and of sugar."""
        return slice(self.dextrin.start, self.sugars.stop)

    @property
    def taken_up(self) -> int:
        """Row of the water that became part of sugar."""
        return self.unopened + 1 + self.dextrins + 3

    @property
    def dissolved(self) -> slice:
        """Rows of all that leaves with the wort."""
        return slice(self.open, self.taken_up + 1)

    @property
    def beta_loss(self) -> int:
        """Row of the exponent of beta-amylase's loss."""
        return self.taken_up + 1

    @property
    def count(self) -> int:
        """How many rows the state has."""
        return self.beta_loss + 1


@dataclass
class Contents:
    """What stands in the tun beside the state: arrays (members,), kg per kg of grist, or as said."""

    put_in: FloatArray  # (grains, members) starch put in so far that was not open
    enzymes: FloatArray  # (3, members) alive: alpha, beta [U/g of grist], limit dextrinase [U/kg of grist]
    lasting_beta: FloatArray  # of that beta-amylase the part that is lost slowly [U/g of grist]
    dextrinase_in: FloatArray  # limit dextrinase put in so far [U/kg of grist]
    inert: FloatArray  # dissolved beside starch's products
    water: FloatArray


class Kinetics(Protocol):
    """One model for one grist: how unopened starch is kept, and how a stretch of time changes the state."""

    rows: Rows
    lasting_part: float  # share of a malt's beta-amylase that is lost slowly
    has_limit_dextrinase: bool  # whether it is followed; where not, its course is None

    def put_in(self, y: FloatArray, grain: int, starch: FloatArray) -> None:
        """Add unopened starch (members,) of one grain to the state."""

    def advance(self, y: FloatArray, contents: Contents, mash_degC: FloatArray, step_s: float) -> FloatArray:
        """The state after all steps of a stretch; the enzymes of the contents are then those that lived through it.

        `mash_degC` (points, members) stands at every half step.
        """


def total(rows: FloatArray) -> FloatArray:
    """Sum over the first axis, one after the other: NumPy's own sum takes another order where members are few."""
    return np.asarray(sum(rows, start=np.zeros(rows.shape[1:])))


class Liquor(Protocol):
    """What is needed of the contents to tell the strength of the wort; (members,)."""

    @property
    def inert(self) -> FloatArray: ...
    @property
    def water(self) -> FloatArray: ...


def strength(y: FloatArray, contents: Liquor, rows: Rows) -> FloatArray:
    """Strength of the wort in the tun [g/100 g], (members,)."""
    solids = total(y[rows.products]) + contents.inert
    return np.asarray(100.0 * solids / (solids + contents.water - y[rows.taken_up]))


def starch_of(grains: Sequence[MashGrain]) -> FloatArray:
    """Starch of the grist [kg/kg], (members,)."""
    return np.asarray(np.sum([grain.share * grain.starch_kg_per_kg for grain in grains], axis=0))


def per_starch(grains: Sequence[MashGrain]) -> FloatArray:
    """Dose of one unit for each kilogram of grist relative to the fitted malt's, (members,)."""
    return np.asarray(STARCH_OF_MALT / np.maximum(starch_of(grains), 1e-9))


def lasting(loss_per_s: FloatArray, step_s: float) -> FloatArray:
    """Share alive at every half step after a first-order loss known there, (points, members); Simpson's rule."""
    start, half, end = loss_per_s[:-2:2], loss_per_s[1:-1:2], loss_per_s[2::2]
    to_half = np.maximum(5.0 * start + 8.0 * half - end, 0.0) * (step_s / 24.0)
    whole = (start + 4.0 * half + end) * (step_s / 6.0)
    before = np.cumsum(whole, axis=0) - whole
    exponent = np.zeros_like(loss_per_s)
    exponent[1::2] = before + to_half
    exponent[2::2] = before + whole
    return np.asarray(np.exp(-exponent))
