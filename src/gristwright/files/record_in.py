"""Plain data of a file into a frozen record, by what the record says of its fields; every fault with its address.

pydantic reads the record; here numbers with a decimal comma, dates and per cents are made ready for it, and its faults
become our sentences. See docs/files.md.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import math
from collections.abc import Hashable, Mapping
from functools import cache
from typing import Any, TypeVar, get_args, get_origin

from pydantic import ConfigDict, TypeAdapter, ValidationError
from pydantic_core import ErrorDetails

from gristwright.basics import Address, FieldPath, Problem, Refused
from gristwright.files.reader import MOST_STRANGE, WRITE_A_NUMBER, as_toml, near_word, too_strange
from gristwright.files.toml_words import WITH_UNIT
from gristwright.quantities.bounds import day_outside
from gristwright.quantities.shown import outside
from gristwright.quantities.units import parse_number
from gristwright.records.fields import FieldOfRecord, Number, Percent, field_at, field_of_hint, fields_of
from gristwright.reference.spelling import nearest

R = TypeVar("R")
STRICT = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False)
NOT_READ = float("nan")
MISSING = "is missing."
UNKNOWN = "is not a field we know."
FINEST = "is finer than 0.01 %."


def read_record(kind: type[R], data: Mapping[str, Any], where: Address, problems: list[Problem]) -> R:
    """The record of a table; its faults go to `problems`, and what is faulty stands as NaN, empty or as usual in it."""
    faults = _Faults(where)
    ready = _finite(_made_ready(kind, data, (), faults), (), faults)
    try:
        record: R = _adapter(kind).validate_json(json.dumps([ready], default=str, allow_nan=False))[0]
        return record
    except ValidationError as error:
        for one in error.errors(include_url=False, include_context=False):
            path: FieldPath = tuple(one["loc"][1:])
            faults.of_pydantic(kind, path, one)
    finally:
        faults.misspelt(kind)
        problems += faults.by_path.values()
    pieced: R = _pieced(kind, ready, (), faults.by_path.keys())
    return pieced


def _adapter(kind: Any) -> TypeAdapter[Any]:
    """A reader that takes nothing for something else and refuses fields it does not know, at any depth."""
    return _adapters(kind)


@cache
def _adapters(kind: Hashable) -> TypeAdapter[Any]:
    # pydantic takes no settings beside a dataclass, but beside a tuple of it, and hands them down.
    return TypeAdapter(tuple[kind], config=STRICT)  # type: ignore[valid-type]


def written(field: FieldOfRecord) -> str:
    """What a field is called in a file: a share is held in hundredths and written in per cent."""
    shares = isinstance(field.said, Percent) and field.name.endswith("parts")
    return field.name.removesuffix("parts") + "pct" if shares else field.name


class _Faults:
    """The first fault of each path; paths are the record's, lists count from 0."""

    def __init__(self, where: Address) -> None:
        self.where = where
        self.by_path: dict[FieldPath, Problem] = {}

    def add(self, path: FieldPath, what: str, way_out: str, called: str = "") -> None:
        """A fault, unless its field or one above it has one."""
        if any(path[:length] in self.by_path for length in range(1, len(path) + 1)):
            return
        place = self.place((*path[:-1], called or path[-1]))
        self.by_path[path] = Problem(place, what, way_out)

    def place(self, path: FieldPath) -> Address:
        """The address of a path; people count from 1."""
        return self.where.to(*(part + 1 if isinstance(part, int) else part for part in path))

    def misspelt(self, kind: Any) -> None:
        """A field that is missing because its name is misspelt has one fault, that of the name."""
        missing = [path for path, one in self.by_path.items() if one.what == MISSING]
        for path in missing:
            beside = [other for other, one in self.by_path.items() if one.what == UNKNOWN and other[:-1] == path[:-1]]
            field = field_at(kind, path)
            name = written(field) if field else str(path[-1])
            if any(nearest(str(other[-1]), _names(kind, path[:-1]), 1) == [name] for other in beside):
                del self.by_path[path]

    def of_pydantic(self, kind: Any, path: FieldPath, one: ErrorDetails) -> None:
        """One of pydantic's faults in our words."""
        if one["type"] == "unexpected_keyword_argument":
            self.add(path, UNKNOWN, near_word(str(path[-1]), _names(kind, path[:-1]), "Fields here"))
            return
        field = field_at(kind, path)
        called = written(field) if field and isinstance(path[-1], str) else str(path[-1])
        called = called if isinstance(path[-1], str) else ""
        heading = ".".join(str(part) for part in (*self.where.path, *path) if not isinstance(part, int))
        if one["type"] == "missing":
            self.add(path, MISSING, _asked(field, called, heading), called)
        else:
            self.add(path, *_wrong(field, called, heading, one), called)


def _names(kind: Any, path: FieldPath) -> tuple[str, ...]:
    holder = _kind_at(kind, path)
    return tuple(written(field) for field in fields_of(holder).values()) if dataclasses.is_dataclass(holder) else ()


def _kind_at(kind: Any, path: FieldPath) -> Any:
    """The record that a path leads to."""
    for part in path:
        if isinstance(part, str) and dataclasses.is_dataclass(kind):
            field = fields_of(kind).get(part)
            kind = field.item or field.kind if field else None
    return kind


def _asked(field: FieldOfRecord | None, name: str, heading: str) -> str:
    """How a field that is missing is given."""
    match field:
        case FieldOfRecord(said=Number() as said):
            unit = f"in {said.unit}, " if said.unit else ""
            return f"Give it {unit}between {said.least:g} and {said.most:g}."
        case FieldOfRecord(several=True, item=None):
            return f'Write it as {name} = ["…", "…"].'
        case FieldOfRecord(item=None, kind=kind) if kind is dt.date:
            return f"Write it as {name} = 2026-11-25."
        case FieldOfRecord(kind=kind) if get_origin(kind) is dict:
            return f"Add a table [{heading}] with a line for each lot."
        case FieldOfRecord(item=None, options=()):
            return f'Add a line {name} = "…".'
        case FieldOfRecord(item=None, options=options):
            return f"Use one of: {', '.join(sorted(filter(None, options)))}."
    return f"Add a table [{heading}]."


def _wrong(field: FieldOfRecord | None, name: str, heading: str, one: ErrorDetails) -> tuple[str, str]:
    """What is wrong with a value that is there, and the way out."""
    value = one["input"]
    match one["type"], field:
        case (("greater_than_equal" | "less_than_equal"), FieldOfRecord(said=Number() as said)):
            return said.outside(value), _meant(said, value)
        case "int_type" | "int_from_float", FieldOfRecord(said=Number() as said) if isinstance(value, float):
            low = math.floor(value)
            of = f" of {said.unit}" if said.unit else ""
            return f"{value:g} is not a whole number{of}.", f"Give {low} or {low + 1}."
        case (("float_type" | "int_type" | "finite_number"), _):
            return f"{as_toml(value)} is not a number.", WRITE_A_NUMBER
        case "literal_error", FieldOfRecord(options=options):
            return f"{value!r} is not known here.", near_word(str(value), [word for word in options if word])
        case "bool_type", _:
            return f"{as_toml(value)} is neither true nor false.", f"Write {name} = true or {name} = false."
        case "string_type", _:
            return f"{as_toml(value)} is not text.", f'Write it as {name} = "…".'
        case "tuple_type", FieldOfRecord(item=None):
            return "is not a list.", f"Write it as {name} = […, …]."
        case "tuple_type", _:
            return "is not a list of tables.", f"Write each as [[{heading}]]."
        case (("dataclass_type" | "dict_type"), _):
            return "is not a table.", f"Write it as [{heading}] with one line a field."
    return f"{value!r} cannot be read.", str(one["msg"]) + "."


def _meant(said: Number, value: float) -> str:
    """The way out for a number outside its limits, where it is inside them in another unit."""
    if said.unit.startswith("%") and value <= 1.0 and said.holds(100.0 * value):
        return f"It is written in per cent: {100.0 * value:.4g} for {value:g}."
    celsius = (value - 32.0) / 1.8
    if said.unit == "%vol" and said.holds(value / 2.0):
        return f"Write it in %vol: {value:g} US proof is {value / 2.0:g} %vol."
    if said.unit == "degC" and said.holds(celsius):
        return f"Write it in degC: {value:g} degF is {celsius:.1f} degC."
    if said.unit == "SG" and said.holds(value / 1000.0):
        return f"Write it with its point: {value / 1000.0:.3f}."
    if said.unit.startswith("million ") and said.holds(value / 1e6):
        return f"Write it in millions: {value / 1e6:g}."
    if said.unit.endswith("/t") and said.holds(1000.0 * value):
        per_kg = said.unit.removesuffix("/t") + "/kg"
        return f"Write it a tonne: {value:g} {per_kg} is {1000.0 * value:g} {said.unit}."
    return "Correct it or check the unit."


# What pydantic shall find: numbers as numbers, shares in hundredths, dates as dates.


def _made_ready(kind: Any, data: Mapping[str, Any], path: FieldPath, faults: _Faults) -> dict[str, Any]:
    fields = {written(field): field for field in fields_of(kind).values()}
    strange = [key for key in data if key not in fields]
    if len(strange) > MOST_STRANGE:
        faults.by_path[*path, ""] = Problem(faults.place(path), *too_strange(len(strange)))
        data = {key: data[key] for key in (*(key for key in data if key in fields), *strange[:MOST_STRANGE])}
    ready = {}
    for key, value in data.items():
        field = fields.get(key)
        name = field.name if field else key
        ready[name] = _value(field, value, (*path, name), faults) if field else value
    return ready


def _finite(part: Any, path: FieldPath, faults: _Faults) -> Any:
    """The data without what JSON has no word for; `inf` and `nan` are no more a text than a number."""
    if isinstance(part, dict):
        return {key: _finite(value, (*path, key), faults) for key, value in part.items()}
    if isinstance(part, list):
        return [_finite(value, (*path, place), faults) for place, value in enumerate(part)]
    if isinstance(part, float) and not math.isfinite(part):
        faults.add(path, f"{part!r} is not a number.", WRITE_A_NUMBER)
        return repr(part)
    return part


def _value(field: FieldOfRecord, value: Any, path: FieldPath, faults: _Faults) -> Any:
    if field.item and field.several and isinstance(value, list):
        return [
            _made_ready(field.item, one, (*path, k), faults) if isinstance(one, dict) else one
            for k, one in enumerate(value)
        ]
    if field.item and isinstance(value, dict):
        return _made_ready(field.item, value, path, faults)
    if get_origin(field.kind) is dict and isinstance(value, dict):
        inner = get_args(field.kind)[1]
        return {key: _value(field_of_hint(key, inner), one, (*path, key), faults) for key, one in value.items()}
    if isinstance(field.said, Percent):
        return _hundredths(value, path, faults, written(field))
    if field.kind in (int, float):
        unit = field.said.unit if isinstance(field.said, Number) else ""
        return _number(field.kind, value, path, faults, unit=unit)
    if field.kind == tuple[float, ...] and isinstance(value, list):
        return [_number(float, one, (*path, k), faults) for k, one in enumerate(value)]
    if field.kind is dt.date and type(value) is not dt.date:
        faults.add(path, f"{as_toml(value)} is not a date.", f"Write it as {field.name} = 2026-11-25, without quotes.")
    elif field.kind is dt.date and (said := day_outside(value)):
        faults.add(path, said, "Correct the year.")
    return _text(field, value, path, faults) if field.kind is str else value


def _text(field: FieldOfRecord, value: Any, path: FieldPath, faults: _Faults) -> Any:
    if isinstance(value, str) and field.needed and not value.strip():
        faults.add(path, f"{value!r} is not text.", f'Write it as {field.name} = "…".')
    return value.strip() if isinstance(value, str) else value


def _no_number(value: str, unit: str, problem: Problem) -> tuple[str, str]:
    """What is wrong with a text that is no number, and the way out; one with a unit behind it is told so."""
    behind = WITH_UNIT.match(value.strip())
    if not behind:
        return problem.what, problem.way_out
    asked = f", in {unit}" if unit and not unit.startswith("money") else ""
    return f"{value!r} has {behind['unit'].strip()} behind its number.", f"Write the number alone{asked}."


def _number(kind: type, value: Any, path: FieldPath, faults: _Faults, called: str = "", unit: str = "") -> Any:
    """A number out of a text with a point or a comma; a whole one for a field of whole numbers."""
    if isinstance(value, str):
        try:
            value = parse_number(value)
        except Refused as refused:
            faults.add(path, *_no_number(value, unit, refused.problems[0]), called)
            return value
    if isinstance(value, float) and not math.isfinite(value):
        faults.add(path, f"{value!r} is not a number.", WRITE_A_NUMBER, called)
        return repr(value)
    return int(value) if kind is int and isinstance(value, float) and value.is_integer() else value


def _hundredths(value: Any, path: FieldPath, faults: _Faults, called: str) -> Any:
    """A percentage as whole hundredths; finer than 0.01 % is a fault, not rounded away."""
    pct = _number(float, value, path, faults, called)
    if isinstance(pct, bool) or not isinstance(pct, int | float):
        faults.add(path, f"{as_toml(pct)} is not a number.", WRITE_A_NUMBER, called)
        return pct
    if not 0.0 <= pct <= 100.0:
        faults.add(path, outside(pct, 0.0, 100.0, "%"), "Correct it or check the unit.", called)
        return 0
    if abs(round(pct * 100) - pct * 100) > 1e-6:
        faults.add(path, f"{pct!r} % {FINEST}", "Round it to two decimals.", called)
    return round(pct * 100)


# A record in which what is faulty is not read, so that the other fields can still be looked at together.


def _pieced(kind: Any, data: Any, path: FieldPath, faulty: Any) -> Any:
    given = data if isinstance(data, dict) else {}
    values = {}
    for name, field in fields_of(kind).items():
        here = (*path, name)
        if name in given and here not in faulty:
            values[name] = _piece(field, given[name], here, faulty)
        elif name in given or field.needed:
            values[name] = _unread(field, given.get(name), here, faulty)
    return kind(**values)


def _piece(field: FieldOfRecord, value: Any, path: FieldPath, faulty: Any) -> Any:
    if value is None and field.optional:
        return None
    if field.item and field.several:
        return tuple(_pieced(field.item, one, (*path, k), faulty) for k, one in enumerate(value))
    if field.item:
        return _pieced(field.item, value, path, faulty)
    if field.several:
        return tuple(one for k, one in enumerate(value) if (*path, k) not in faulty)
    if get_origin(field.kind) is dict:
        return {key: one for key, one in value.items() if (*path, key) not in faulty}
    if not field.options and isinstance(field.kind, type) and issubclass(field.kind, str) and field.kind is not str:
        return field.kind(value)
    return float(value) if field.kind is float else value


def _unread(field: FieldOfRecord, value: Any, path: FieldPath, faulty: Any) -> Any:
    """What stands for a value that is missing or faulty."""
    if field.item and not field.several:
        return _pieced(field.item, value, path, faulty)
    if field.several:
        return ()
    if field.kind is float:
        return NOT_READ
    if not field.needed:
        return field.default
    if get_origin(field.kind) is dict:
        return {}
    if field.options:
        return field.options[0]
    return {int: 0, bool: False, dt.date: dt.date(1900, 1, 1)}.get(field.kind, "")


# The way back.


def as_data(record: Any, whole: bool = False) -> dict[str, Any]:
    """A record as a file would hold it: without what is not there, and without what is as usual unless `whole`."""
    data = {}
    for name, field in fields_of(type(record)).items():
        value = getattr(record, name)
        if value is None or (not whole and not field.needed and value == field.default):
            continue
        data[written(field)] = _plain(field, value)
    return data


def _plain(field: FieldOfRecord, value: Any) -> Any:
    if field.item and field.several:
        return [as_data(one) for one in value]
    if field.item:
        return as_data(value)
    if isinstance(field.said, Percent):
        return value / 100.0
    if get_origin(field.kind) is dict:
        return {key: _plain(field_of_hint(key, get_args(field.kind)[1]), one) for key, one in value.items()}
    if isinstance(value, tuple):
        return list(value)
    return str(value) if isinstance(value, str) else value
