"""Columns as the records need them: a number with its unit and limits, a share, a list of words."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.utils.deconstruct import deconstructible

from gristwright.quantities.shown import plain


@deconstructible
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

    def __eq__(self, other: object) -> bool:
        """Equal limits, so that a migration is made only when one changed."""
        return isinstance(other, Within) and vars(self) == vars(other)

    def __hash__(self) -> int:
        return hash((self.least, self.most, self.unit))


def _hint(least: float, most: float, unit: str) -> str:
    return f"{_short(least)} to {_short(most)} {unit}".strip()


def _short(value: float) -> str:
    return plain(value, 0) if float(value).is_integer() else f"{value:g}"


def number(label: str, unit: str, least: float, most: float, **more: Any) -> models.Field:
    """A number that must be given sooner or later; empty until then unless it has a default."""
    more.setdefault("null", "default" not in more)
    check = [Within(least, most, unit)]
    return models.FloatField(label, validators=check, help_text=_hint(least, most, unit), **more)


def maybe(label: str, unit: str, least: float, most: float) -> models.Field:
    """A number that may stay empty."""
    return number(label, unit, least, most, null=True, blank=True)


def whole(label: str, unit: str, least: int, most: int, **more: Any) -> models.Field:
    """A whole number."""
    more.setdefault("null", "default" not in more)
    check = [Within(least, most, unit)]
    return models.IntegerField(label, validators=check, help_text=_hint(least, most, unit), **more)


def parts(label: str, default: int) -> models.Field:
    """A share in 0.01 %, as the records hold it; forms show it in per cent."""
    return models.IntegerField(label, default=default, validators=[Within(0, 10_000, "hundredths of a per cent")])


def text(label: str, length: int = 200, *, needed: bool = True, **more: Any) -> models.Field:
    """A line of text."""
    return models.CharField(label, max_length=length, blank=not needed, default=more.pop("default", ""), **more)


def words(label: str, **more: Any) -> models.Field:
    """A list of words or numbers."""
    return models.JSONField(label, default=list, **more)


def choice(label: str, options: tuple[str, ...], default: str) -> models.Field:
    """One word out of several."""
    return models.CharField(label, max_length=40, choices=[(word, word) for word in options], default=default)
