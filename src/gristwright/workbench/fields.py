"""Form fields for numbers as people write them, shares in per cent, and lists of words."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Any, TypeVar

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import ProhibitNullCharactersValidator
from django.db import models
from django.forms.renderers import DjangoTemplates

from gristwright.basics import Refused
from gristwright.quantities.units import begun, parse_number
from gristwright.reference.typeface import composed, spelled
from gristwright.store import typed  # noqa: F401
from gristwright.store.columns import Within, printable

M = TypeVar("M", bound=models.Model)


class Renderer(DjangoTemplates):
    """Fields are drawn by our own template."""

    field_template_name = "desk/field.html"


LONGEST_COUNT = 9
EVERY = (float("-inf"), float("inf"))
# One mark with three digits behind it: decimals, or thousands.
THREE_BEHIND = re.compile(r"[+\-−]?[1-9][0-9]{0,2}[.,][0-9]{3}")
BOTH = "“{text}” has both a point and a comma. Write one of them, before the decimals alone: 1234.5 or 1234,5."


def thousand_in(text: str, within: tuple[float, float]) -> float | None:
    """What a text with three digits behind its mark is as thousands, where the limits let that be; else None."""
    if not THREE_BEHIND.fullmatch(text):
        return None
    number = parse_number(re.sub("[.,]", "", text))
    return number if within[0] <= number <= within[1] else None


def shown(number: float, within: tuple[float, float] = EVERY) -> str:
    """A number as short as it can be written without being taken for a thousand."""
    text = f"{number:.12g}"
    return text if thousand_in(text, within) is None else f"{text}0"


def number_in(text: str, within: tuple[float, float] = EVERY) -> float:
    """A number with a decimal point or comma; limits that no thousand fits tell that 1.050 has decimals.

    Raises ValidationError with the sentence that says what is wrong.
    """
    if "." in text and "," in text:
        raise ValidationError(BOTH.format(text=spelled(begun(text))))
    thousand = thousand_in(text, within)
    try:
        number = parse_number(f"{text}0" if THREE_BEHIND.fullmatch(text) else text)
    except Refused as refused:
        raise ValidationError([spelled(f"{p.what} {p.way_out}".strip()) for p in refused.problems]) from None
    if thousand is not None:
        way_out = f"Write {shown(number, within)} or {shown(thousand)}."
        raise ValidationError(f"“{text}” may be {number:g} or {shown(thousand)}. {way_out}")
    return number


def count_in(text: str, most: int) -> int:
    """A count that a form carries along, `most` where it is more; 0 for what is none."""
    if not (text.isascii() and text.isdecimal()):
        return 0
    return min(int(text), most) if len(text) <= LONGEST_COUNT else most


class NumberField(forms.FloatField):
    """A number with a decimal point or comma. `within` are the limits that tell 1.050 from a thousand and fifty."""

    def __init__(self, *, within: tuple[float, float] = EVERY, **more: Any) -> None:
        more["widget"] = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "class": "number"})
        self.within = within
        super().__init__(**more)

    def to_python(self, value: Any) -> Any:
        """The number, None when nothing is written."""
        if isinstance(value, str):
            return number_in(value.strip(), self.within) if value.strip() else None
        return value

    def prepare_value(self, value: Any) -> Any:
        """As short as it can be written without being taken for a thousand."""
        return shown(value, self.within) if isinstance(value, int | float) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Whether another number was written than the one shown."""
        try:
            return bool(self.prepare_value(initial) != self.prepare_value(self.to_python(data)))
        except ValidationError:
            return True


class WrittenField(forms.CharField):
    """A text that a document can show, accents joined to their letters."""

    def __init__(self, **more: Any) -> None:
        super().__init__(**more)
        self.validators = written(self)

    def to_python(self, value: Any) -> str:
        """The text as it is kept; a field of one line has no breaks."""
        text = composed(super().to_python(value) or "")
        return text if isinstance(self.widget, forms.Textarea) else " ".join(re.split(r"[\t\n\r]+", text))


def written(field: forms.CharField) -> list[Any]:
    """The field's validators with ours in place of the one that tells of a single character alone."""
    return [*(v for v in field.validators if not isinstance(v, ProhibitNullCharactersValidator)), printable]


class Whole(NumberField):
    """A whole number."""

    def to_python(self, value: Any) -> Any:
        """The number, None when nothing is written; one with decimals is refused, not rounded."""
        number = super().to_python(value)
        if isinstance(number, float) and not number.is_integer():
            low = math.floor(number)
            raise ValidationError(f"{number:g} is no whole number. Write {low} or {low + 1}.")
        return None if number is None else int(number)


class Pct(NumberField):
    """A share shown in per cent and kept in 0.01 %."""

    def __init__(self, **more: Any) -> None:
        super().__init__(within=(0.0, 100.0), **more)

    def to_python(self, value: Any) -> Any:
        """Whole hundredths of a per cent; finer shares are refused, not rounded away."""
        pct = super().to_python(value)
        if pct is None or isinstance(value, int):
            return pct
        if not 0.0 <= pct <= 100.0:
            raise ValidationError(f"{pct:g} % is outside 0 to 100 %. Correct it.")
        if abs(round(pct * 100) - pct * 100) > 1e-6:
            raise ValidationError(f"{pct:g} % is finer than 0.01 %. Round it to two decimals.")
        return round(pct * 100)

    def prepare_value(self, value: Any) -> Any:
        """Hundredths as per cent."""
        return f"{value / 100:g}" if isinstance(value, int) else value


class WordsField(forms.MultipleChoiceField):
    """Some of the words offered, in the order offered; what was chosen before stays on offer."""

    widget = forms.CheckboxSelectMultiple

    def clean(self, value: Any) -> list[str]:
        """A list, as the column holds it."""
        return list(super().clean(value))


class YesNo(forms.NullBooleanSelect):
    """Yes, no, or what stands for neither."""

    def __init__(self, unsaid: str = "not said", attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs)
        self.choices = [("unknown", unsaid), ("true", "yes"), ("false", "no")]


def as_field(column: models.Field[Any, Any], **more: Any) -> forms.Field | None:
    """The form field of a column; a number that must be given may stay empty while an enquiry is being filled in."""
    if isinstance(column, models.FloatField | models.IntegerField) and not column.choices:
        more.pop("localize", None)
        kind = Whole if isinstance(column, models.IntegerField) else NumberField
        return column.formfield(form_class=kind, required=not column.null, within=limits_of(column), **more)
    if isinstance(column, models.BooleanField) and column.null:
        return forms.NullBooleanField(label=column.verbose_name, widget=YesNo(), required=False)
    if isinstance(column, models.DateField):
        return column.formfield(widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), **more)
    form_field = column.formfield(**more)
    if isinstance(form_field, forms.CharField):
        form_field.validators = written(form_field)
    return form_field


def limits_of(column: models.Field[Any, Any]) -> tuple[float, float]:
    """The limits a column is checked against."""
    return next(((check.least, check.most) for check in column.validators if isinstance(check, Within)), EVERY)


class Sectioned(forms.ModelForm[M]):
    """A form in sections: legend, a line of help, names of fields."""

    sections: Sequence[tuple[str, str, Sequence[str]]] = ()
    pairs: Sequence[str] = ()  # legends of sections whose fields belong together two by two
    threes: Sequence[str] = ()  # and three by three
    folds: Mapping[str, Any] = MappingProxyType({})  # none of them folds

    def parts(self) -> Iterator[tuple[str, str, list[Any]]]:
        """Every section with its bound fields."""
        for legend, note, names in self.sections:
            yield legend, note, [self[name] for name in names]
