"""What a field of a record says of itself, once: label, unit, bounds and help. See docs/files.md.

A field is written `kg_per_mash: Annotated[float, Number("Grist of one mash", "kg", 1.0, 100_000.0)]`. Files are read,
forms drawn, limits checked, settings varied and tables of fields printed from that and from nothing else.
"""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

from annotated_types import Ge, GroupedMetadata, Le

from gristwright.basics import Address, FieldPath, Problem
from gristwright.quantities.shown import outside

# Marks a field that came in later: while nothing is said in it, a record has the fingerprint it had without it.
LATER = {"later": True}


@dataclass(frozen=True)
class Described:
    """Label and help of a field, for people and for the editors that read a schema."""

    label: str
    help: str = ""

    def __get_pydantic_json_schema__(self, core: Any, handler: Any) -> Any:
        """The schema of the field with its label as title and its help as description."""
        shown = {"title": self.label, "description": self.help}
        return {**handler(core), **{key: text for key, text in shown.items() if text}}


@dataclass(frozen=True)
class Percent(Described):
    """A share held in whole hundredths of one per cent; people write and read it in per cent, under a name in _pct."""

    def __get_pydantic_json_schema__(self, core: Any, handler: Any) -> Any:
        """The schema of the field with the unit it is written in."""
        return {**super().__get_pydantic_json_schema__(core, handler), "unit": "%"}


@dataclass(frozen=True)
class InUnit:
    """The unit of a number."""

    name: str

    def __get_pydantic_json_schema__(self, core: Any, handler: Any) -> Any:
        """The schema of the field with its unit."""
        return {**handler(core), "unit": self.name}


@dataclass(frozen=True)
class Number(GroupedMetadata):
    """A number: label, unit, least, most, help; `varied` is what it is called where it may be varied in a plan."""

    label: str
    unit: str
    least: float
    most: float
    help: str = ""
    varied: str = ""

    def __iter__(self) -> Iterator[object]:
        """The parts that a reader of annotations knows."""
        yield Ge(self.least)
        yield Le(self.most)
        yield Described(self.label, self.help)
        yield InUnit(self.unit)

    @property
    def bounds(self) -> tuple[float, float]:
        """Least and most."""
        return self.least, self.most

    def holds(self, value: float) -> bool:
        """Whether a number is inside; not a number is not."""
        return self.least <= value <= self.most

    def outside(self, value: float) -> str:
        """The sentence for a number that is not inside."""
        if self.unit == "min" and value < 0.0:
            return f"{value:g} min: time goes backwards."
        return outside(value, self.least, self.most, self.unit)


Said = Number | Described


@dataclass(frozen=True)
class FieldOfRecord:
    """A field as its record declares it: the plain type without None, what it says of itself, and its default."""

    name: str
    kind: Any
    said: Said
    optional: bool  # None is allowed
    default: Any  # dataclasses.MISSING: it must be given

    @property
    def needed(self) -> bool:
        """Whether it must be given."""
        return self.default is dataclasses.MISSING

    @property
    def options(self) -> tuple[str, ...]:
        """The words to choose among; none for anything but a choice."""
        return get_args(self.kind) if get_origin(self.kind) is Literal else ()

    @property
    def item(self) -> Any:
        """The record of a field that holds one or several of them; None where it holds none."""
        kind = get_args(self.kind)[0] if get_origin(self.kind) is tuple else self.kind
        return kind if dataclasses.is_dataclass(kind) else None

    @property
    def several(self) -> bool:
        """Whether it is a list."""
        return get_origin(self.kind) is tuple


def fields_of(kind: Any) -> Mapping[str, FieldOfRecord]:
    """The fields of a record by name, in their order. Raises TypeError for what is no dataclass."""
    return _declared(kind)


@cache
def _declared(kind: Hashable) -> Mapping[str, FieldOfRecord]:
    hints = get_type_hints(kind, include_extras=True)
    return {f.name: _field(f, hints[f.name]) for f in dataclasses.fields(kind)}  # type: ignore[arg-type]


def _field(field: dataclasses.Field[Any], hint: Any) -> FieldOfRecord:
    default = field.default
    if field.default_factory is not dataclasses.MISSING:
        default = field.default_factory()
    return field_of_hint(field.name, hint, default)


def field_of_hint(name: str, hint: Any, default: Any = dataclasses.MISSING) -> FieldOfRecord:
    """A field by its annotation alone, such as that of a value in a table."""
    kind, said, optional = _taken_apart(hint)
    return FieldOfRecord(name, kind, said or Described(name.replace("_", " ")), optional, default)


def _taken_apart(hint: Any) -> tuple[Any, Said | None, bool]:
    """A hint as its plain type, what it says, and whether it may be None."""
    if get_origin(hint) is Annotated:
        kind, *more = get_args(hint)
        inner, said, optional = _taken_apart(kind)
        return inner, next((m for m in more if isinstance(m, Number | Described)), said), optional
    if get_origin(hint) in (Union, types.UnionType) and type(None) in get_args(hint):
        inner, said, _ = _taken_apart(next(one for one in get_args(hint) if one is not type(None)))
        return inner, said, True
    return hint, None, False


def field_at(kind: Any, path: FieldPath) -> FieldOfRecord | None:
    """What is said of the value at a path of a record; of a value in a list or a table what is said of those in it."""
    names = [part for part in path if isinstance(part, str)]
    holder, field = kind, None
    for part in names:
        if get_origin(holder) is dict:
            return field_of_hint(part, get_args(holder)[1])
        field = fields_of(holder).get(part) if dataclasses.is_dataclass(holder) else None
        if field is None:
            return None
        holder = field.item or field.kind
    return field


def number_of(kind: type, name: str) -> Number:
    """What a number of a record says of itself. Raises TypeError for a field that is none."""
    said = fields_of(kind)[name].said
    if not isinstance(said, Number):
        raise TypeError(f"{kind.__name__}.{name} is no number with a unit")
    return said


def faults(record: Any, where: Address, way_out: str = "Correct it or check the unit.") -> list[Problem]:
    """Every number outside its bounds and every word that is no choice, of a record and of the records in it.

    Items of a list count from 1 in the addresses.
    """
    problems = []
    for path, value, field in values(record):
        if isinstance(field.said, Number) and not field.said.holds(value):
            problems.append(Problem(where.to(*path), field.said.outside(value), way_out))
        elif field.options and value not in field.options:
            words = ", ".join(option for option in field.options if option)
            problems.append(Problem(where.to(*path), f"{value!r} is not known here.", f"Use one of: {words}."))
    return problems


def values(record: Any, path: FieldPath = ()) -> Iterator[tuple[FieldPath, Any, FieldOfRecord]]:
    """What stands in a record and in those in it, but for what is None: path, value, what is said of the field."""
    for name, field in fields_of(type(record)).items():
        value = getattr(record, name)
        if value is None:
            continue
        if field.item and field.several:
            for number, item in enumerate(value, start=1):
                yield from values(item, (*path, name, number))
        elif field.item:
            yield from values(value, (*path, name))
        else:
            yield (*path, name), value, field
