"""A lot of malt or grain as its certificate states it."""

from __future__ import annotations

from dataclasses import dataclass, field

from gristwright.basics import NOWHERE, Address, Standing


@dataclass(frozen=True)
class Analysis:
    """One value of a certificate in the unit it was printed in; unit, basis and method are kept."""

    field: str
    value: float
    unit: str
    basis: str = ""
    method: str = ""
    standing: Standing = Standing.MEASURED
    where: Address = NOWHERE


@dataclass(frozen=True)
class Lot:
    """A lot, known in the trade by supplier, lot number and crop; `lot_id` is the short name used in one enquiry."""

    lot_id: str
    material: str
    supplier: str = ""
    lot_number: str = ""
    crop: int | None = None
    analyses: tuple[Analysis, ...] = ()
    where: Address = NOWHERE

    def analysis(self, name: str) -> Analysis | None:
        """The certificate's value of one field, or None."""
        return next((a for a in self.analyses if a.field == name), None)


@dataclass(frozen=True)
class Material:
    """A type of malt or grain from the types table: what may be said of a lot before its certificate is seen."""

    key: str
    title: str
    species: str
    malted: bool
    form: str
    process: str
    specialty: bool
    dark: bool  # caramel or roasted: heat has opened its starch and left no enzyme
    typical: dict[str, TypicalValue] = field(default_factory=dict)
    smoke: str = ""  # what a smoked malt was smoked with: peat, beech, oak


@dataclass(frozen=True)
class TypicalValue:
    """What a type usually shows: range, unit, limits of the usual and of the possible."""

    low: float
    middle: float
    high: float
    unit: str
    least: float
    warn_low: float
    warn_high: float
    most: float
    standing: Standing
    source: str
