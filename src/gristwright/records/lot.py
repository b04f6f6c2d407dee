"""A lot of malt or grain as its certificate states it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from gristwright.basics import NOWHERE, Address, Standing
from gristwright.records.fields import LATER

# The form of a type that is no grain but what was taken off it.
HUSK = "husk"


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


class LotIdentity(NamedTuple):
    """What a lot is known by: supplier, its number there, crop, type, and SHA-256 of the file its figures came in."""

    supplier: str = ""
    lot_number: str = ""
    crop: int | None = None
    material: str = ""
    certificate: str = ""

    @property
    def delivery(self) -> tuple[str, str, int | None]:
        """What the trade knows it by; without a lot number two deliveries cannot be told apart."""
        return self.supplier, self.lot_number, self.crop

    @property
    def short(self) -> str:
        """The first twelve hexadecimal digits of the certificate, as a table prints them."""
        return self.certificate[:12]


@dataclass(frozen=True)
class Lot:
    """A lot as its certificate states it; `lot_id` is the short name used in one enquiry."""

    lot_id: str
    material: str
    supplier: str = ""
    lot_number: str = ""
    crop: int | None = None
    analyses: tuple[Analysis, ...] = ()
    where: Address = NOWHERE
    certificate: str = field(default="", metadata=LATER)  # SHA-256 of the file, in hexadecimal

    @property
    def identity(self) -> LotIdentity:
        """What it is known by, in one tuple."""
        return LotIdentity(self.supplier, self.lot_number, self.crop, self.material, self.certificate)

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
    opened: bool = False  # heat has opened its starch and left it pale: flaked grain

    @property
    def husk(self) -> bool:
        """Whether it is husks alone, which hold a bed open and bring neither starch nor extract nor enzyme."""
        return self.form == HUSK

    @property
    def raw(self) -> bool:
        """Whether it is raw grain, whose starch has to be opened and converted by the enzymes of malt."""
        return not self.malted and not self.husk


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
