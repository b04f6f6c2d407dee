"""A form made from what a record says of its fields, over a document that may be half filled in. See docs/desk.md."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any, ClassVar, NamedTuple, TypeAlias

from django import forms

from gristwright.basics import FieldPath
from gristwright.quantities.shown import counted
from gristwright.records.fields import FieldOfRecord, Number, field_at, fields_of
from gristwright.records.plant import WATERS
from gristwright.store.columns import Within, hint
from gristwright.workbench.fields import NumberField, Renderer, Whole, WordsField, WrittenField, YesNo, count_in
from gristwright.workbench.templatetags.desk import degrees

UNSAID = "not stated"
LONGEST = 200
# More items than any list of a document has.
MOST_ITEMS = 999
# How one of a list of records is called.
ITEMS = {
    "waters": lambda n: f"{WATERS[n - 1].capitalize()} water",
    "rests": lambda n: f"Rest {n}",
    "sparges": lambda n: f"Sparge {n}",
    "decoctions": lambda n: f"Decoction {n}",
    "stays": lambda n: f"Stay {n + 1}",
    "course": lambda n: f"Reading {n}",
    "months": lambda n: f"Row {n} of the months",
}


def name_of(path: FieldPath) -> str:
    """The name of the form field for a field of a record; its id is that behind id_."""
    return "-".join(map(str, path))


def path_of(name: str) -> FieldPath:
    """The field of a record that a form field stands for."""
    return tuple(count_in(part, MOST_ITEMS) if part.isdigit() else part for part in name.split("-"))


def label_of(kind: type, path: FieldPath) -> str:
    """The label of a field of a record, of one in a list with the name of the item before it."""
    field = field_at(kind, path)
    label = field.said.label if field else str(path[-1]).replace("_", " ")
    numbered = next((k for k, part in enumerate(path) if isinstance(part, int)), None)
    if numbered is None:
        return label
    item = ITEMS[str(path[numbered - 1])](int(path[numbered]))
    return item if numbered == len(path) - 1 else f"{item}, {label[:1].lower()}{label[1:]}"


def as_form_field(kind: type, path: FieldPath) -> forms.Field:
    """The form field for a field of a record; what must be given may stay empty while the rest is filled in."""
    field = field_at(kind, path)
    assert field is not None
    said: dict[str, Any] = {
        "label": label_of(kind, path),
        "help_text": degrees(_help(kind, path, field)),
        "required": False,
    }
    match field:
        case FieldOfRecord(said=Number() as quantity):
            number = Whole if field.kind is int else NumberField
            check = Within(*quantity.bounds, degrees(quantity.unit))
            return number(within=quantity.bounds, validators=[check], **said)
        case FieldOfRecord(options=options) if options:
            words = [(word, word or UNSAID) for word in options]
            return forms.ChoiceField(choices=words, initial=None if field.needed else field.default, **said)
        case FieldOfRecord(kind=of) if of is bool and field.optional:
            return forms.NullBooleanField(widget=YesNo(), **said)
        case FieldOfRecord(kind=of) if of is bool:
            return forms.BooleanField(initial=field.default, **said)
        case FieldOfRecord(several=True):
            return WordsField(**said)
    return WrittenField(max_length=LONGEST, **said)


def _help(kind: type, path: FieldPath, field: FieldOfRecord) -> str:
    """Bounds and help; of a part that need not be there, what an empty field stands for."""
    if not isinstance(field.said, Number):
        return field.said.help
    kept = not field.needed and field.default is not None and _optional_part(kind, path)
    usual = f"Empty: {field.default:g}." if kept else ""
    return ". ".join(filter(None, (hint(*field.said.bounds, field.said.unit), f"{field.said.help} {usual}".strip())))


def value_at(document: Any, path: FieldPath) -> Any:
    """What stands in a document at a path; None where nothing does."""
    for part in path:
        if isinstance(part, int):
            document = document[part - 1] if isinstance(document, list) and part <= len(document) else None
        else:
            document = document.get(part) if isinstance(document, dict) else None
    return document


# Legend, a line of help, names of fields.
Section: TypeAlias = tuple[str, str, Sequence[str]]


class Fold(NamedTuple):
    """How a section that folds stands: open where something is said or wrong in it, and how much is said."""

    open: bool
    said: str


class RecordForm(forms.Form):
    """A form in sections over a document: legend, a line of help, names of fields."""

    record: ClassVar[type]
    sections: ClassVar[Sequence[Section]] = ()
    pairs: ClassVar[Sequence[str]] = ()  # legends of sections whose fields belong together two by two
    threes: ClassVar[Sequence[str]] = ()  # and three by three
    rows: ClassVar[Sequence[str]] = ()  # and three in a row on the narrowest screen, too
    folded: ClassVar[Sequence[str]] = ()  # legends of sections that fold
    default_renderer = Renderer
    fields: dict[str, forms.Field]

    def __init__(self, data: Any = None, *, document: Mapping[str, Any]) -> None:
        self.before = dict(document)
        self.laid_out = self.sections_for(self.before)
        super().__init__(data, initial=self.shown(self.before))
        own = dict(self.fields)
        names = [name for _, _, names in self.laid_out for name in names]
        self.fields = {name: own.get(name) or as_form_field(self.record, path_of(name)) for name in names}
        self.remarks: list[str] = []

    @classmethod
    def sections_for(cls, document: Mapping[str, Any]) -> Sequence[Section]:
        """The sections that a document needs."""
        return cls.sections

    @classmethod
    def shown(cls, document: Mapping[str, Any]) -> dict[str, Any]:
        """What the fields show of a document, what is as usual too."""
        paths = {name: path_of(name) for _, _, names in cls.sections_for(document) for name in names}
        return {name: _shown(cls.record, document, path) for name, path in paths.items()}

    def parts(self) -> Iterator[tuple[str, str, list[Any]]]:
        """Every section with its bound fields."""
        for legend, note, names in self.laid_out:
            yield legend, note, [self[name] for name in names]

    @property
    def folds(self) -> dict[str, Fold]:
        """How the sections that fold stand, by legend."""
        return {legend: self._fold(names) for legend, _, names in self.laid_out if legend in self.folded}

    def _fold(self, names: Sequence[str]) -> Fold:
        said = sum(self[name].value() not in (None, "", [], False) for name in names)
        wrong = any(self[name].errors for name in names)
        return Fold(wrong or said > 0, f"{counted(said, 'field')} filled in" if said else "nothing filled in")

    @classmethod
    def label_for(cls, name: str) -> str:
        """The label of a field, of one that the page has no more too."""
        return label_of(cls.record, path_of(name))

    @property
    def document(self) -> dict[str, Any]:
        """What was sent, as a document; what is as usual is not stated in it."""
        tree: dict[str, Any] = {}
        for name in self.fields:
            path = path_of(name)
            field = field_at(self.record, path)
            value = self.cleaned_data.get(name)
            if field is not None and not _unsaid(field, value):
                _set(tree, path, value)
        return tree


def _shown(kind: type, document: Mapping[str, Any], path: FieldPath) -> Any:
    """What stands there, or what is as usual; of a part that is not there, nothing."""
    field, value = field_at(kind, path), value_at(document, path)
    if value is not None or field is None or field.needed or _absent(kind, document, path):
        return value
    return list(field.default) if isinstance(field.default, tuple) else field.default


def _optional_part(kind: type, path: FieldPath) -> FieldPath | None:
    """The part of a record that a path lies in and that need not be there; None where there is none."""
    for length in range(len(path) - 1, 0, -1):
        field = field_at(kind, path[:length])
        if field is not None and field.optional:
            return path[:length]
    return None


def _absent(kind: type, document: Mapping[str, Any], path: FieldPath) -> bool:
    part = _optional_part(kind, path)
    return part is not None and value_at(document, part) is None


def _unsaid(field: FieldOfRecord, value: Any) -> bool:
    if value is None or (value in ("", []) and not isinstance(field.default, tuple)):
        return True
    return not field.needed and value == (list(field.default) if isinstance(field.default, tuple) else field.default)


def _set(tree: dict[str, Any], path: FieldPath, value: Any) -> None:
    """Put a value at its place; lists grow to hold it, and an item in between says nothing."""
    holder: Any = tree
    for part, after in pairwise(path):
        if isinstance(part, int):
            holder += [{} for _ in range(part - len(holder))]
            holder = holder[part - 1]
        else:
            holder = holder.setdefault(part, [] if isinstance(after, int) else {})
    holder[path[-1]] = value


def record_fields(kind: type) -> tuple[str, ...]:
    """The names of the plain fields of a record, for a section."""
    return tuple(name for name, field in fields_of(kind).items() if not field.item)
