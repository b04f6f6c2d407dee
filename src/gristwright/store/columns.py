"""Columns as the records need them: a number with its unit and limits, a share, a list of words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, TypeAlias, TypeVar

from django.core.exceptions import ValidationError
from django.db import models

from gristwright.basics import Address
from gristwright.quantities.shown import plain
from gristwright.records.fields import fields_of, number_of
from gristwright.reference.typeface import WAY_OUT, composed, fault_in
from gristwright.store import typed  # noqa: F401

# What a column takes, and what it gives.
S = TypeVar("S", contravariant=True)
G = TypeVar("G", covariant=True)


class Within:
    """A number between two limits; the refusal names value, limits and the way out."""

    def __init__(self, least: float, most: float, unit: str) -> None:
        self.least, self.most, self.unit = float(least), float(most), unit

    def __call__(self, value: float) -> None:
        """Raise ValidationError outside the limits."""
        if not self.least <= value <= self.most:
            what = f"{value:g} {self.unit}".strip()
            ends = f"{self.least:g} to {self.most:g} {self.unit}".strip()
            raise ValidationError(f"{what} is outside {ends}. Correct it or check the unit.")


def printable(text: str) -> None:
    """Raise ValidationError for a text that a document could not show."""
    what = fault_in(str(text))
    if what:
        raise ValidationError(f"It {what} {WAY_OUT}")


class Slim(models.Field[S, G]):
    """A column whose label, help, limits and choices are no part of a migration: the database knows none of them."""

    WORDS = ("verbose_name", "help_text", "validators", "choices", "blank", "editable")

    def deconstruct(self) -> tuple[str, str, Sequence[Any], dict[str, Any]]:
        """As Django's own column of this kind, without its words."""
        name, _, given, named = super().deconstruct()
        own = next(kind for kind in type(self).__mro__ if kind.__module__.startswith("django.db.models"))
        kept = {key: value for key, value in named.items() if key not in self.WORDS}
        return name, f"django.db.models.{own.__name__}", given, kept


class Float(Slim[S, G], models.FloatField[S, G]):
    """A number."""


class Integer(Slim[S, G], models.IntegerField[S, G]):
    """A whole number."""


class Written(Slim[S, G]):
    """A text as documents can show it: accents joined to their letters, anything else refused."""

    default_validators = [printable]  # noqa: RUF012

    def to_python(self, value: Any) -> Any:
        """The text as it is kept."""
        text = super().to_python(value)
        return composed(text) if isinstance(text, str) else text


class Char(Written[S, G], models.CharField[S, G]):
    """A line of text."""

    def to_python(self, value: Any) -> Any:
        """The text as it is kept, its breaks plain spaces."""
        text = super().to_python(value)
        return " ".join(re.split(r"[\t\n\r]+", text)) if isinstance(text, str) else text


class Text(Written[S, G], models.TextField[S, G]):
    """Some lines of text."""


class Json(Slim[S, G], models.JSONField[S, G]):
    """A list or a dict of plain values."""


class Placed(Slim[Address, Address], models.JSONField[Address, Address]):
    """The address of a cell or a field, kept as what it says."""

    def from_db_value(self, value: Any, expression: Any, connection: Any) -> Any:
        """The address of a row."""
        return Address.of(super().from_db_value(value, expression, connection) or {})

    def get_prep_value(self, value: Any) -> Any:
        """The address as plain values."""
        return super().get_prep_value(value.as_data() if isinstance(value, Address) else value)


class Flag(Slim[S, G], models.BooleanField[S, G]):
    """Yes or no."""


class Date(Slim[S, G], models.DateField[S, G]):
    """A calendar date."""


MaybeFloat: TypeAlias = Float[float | None, float | None]
MaybeInteger: TypeAlias = Integer[int | None, int | None]


def hint(least: float, most: float, unit: str) -> str:
    return f"{_short(least)} to {_short(most)} {unit}".strip()


def _help(ends: str, says: str) -> str:
    return f"{ends}. {says}" if says else ends


def _short(value: float) -> str:
    return plain(value, 0) if float(value).is_integer() else f"{value:g}"


def of(record: type, name: str, **more: Any) -> MaybeFloat | MaybeInteger:
    """The column of a number as its record declares it; one without a default stays empty until it is given."""
    field = fields_of(record)[name]
    said = number_of(record, name)
    kind = whole if field.kind is int else number
    usual: dict[str, Any] = {} if field.needed or more.get("null") else {"default": field.default}
    if field.optional:
        usual = {"null": True, "blank": True}
    return kind(said.label, said.unit, *said.bounds, said.help, **(usual | more))


def labelled(record: type, name: str) -> str:
    """The label of a field of a record."""
    return fields_of(record)[name].said.label


def number(label: str, unit: str, least: float, most: float, says: str = "", **more: Any) -> MaybeFloat:
    """A number that must be given sooner or later; empty until then unless it has a default. `says` is its hint."""
    more.setdefault("null", "default" not in more)
    check = [Within(least, most, unit)]
    return Float(label, validators=check, help_text=_help(hint(least, most, unit), says), **more)


def whole(label: str, unit: str, least: float, most: float, says: str = "", **more: Any) -> MaybeInteger:
    """A whole number."""
    more.setdefault("null", "default" not in more)
    check = [Within(least, most, unit)]
    return Integer(label, validators=check, help_text=_help(hint(least, most, unit), says), **more)


def parts(label: str, default: int) -> Integer[int, int]:
    """A share in 0.01 %, as the records hold it; forms show it in per cent."""
    return Integer(label, default=default, validators=[Within(0, 10_000, "hundredths of a per cent")])


def text(label: str, length: int = 200, *, needed: bool = True, **more: Any) -> Char[str, str]:
    """A line of text."""
    return Char(label, max_length=length, blank=not needed, default=more.pop("default", ""), **more)


def words(label: str, **more: Any) -> Json[list[Any], list[Any]]:
    """A list of words or numbers."""
    return Json(label, default=list, **more)


def choice(label: str, options: tuple[str, ...], default: str, says: str = "", unsaid: str = "") -> Char[str, str]:
    """One word out of several; with `unsaid`, how it is shown that none was chosen, it may stay empty."""
    words = [*([("", unsaid)] if unsaid else []), *((word, word) for word in options)]
    return Char(label, max_length=40, choices=words, default=default, help_text=says, blank=bool(unsaid))
