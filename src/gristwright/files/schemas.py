"""The shapes of the files: JSON schemas for editors, and the tables of fields in docs/files.md."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Iterator
from typing import Any, get_origin

from pydantic import TypeAdapter
from pydantic.json_schema import GenerateJsonSchema

from gristwright.basics import Address, FieldPath, Problem, Refused
from gristwright.files.certificates import lots_schema
from gristwright.files.jobs_in import BillFile, EnquiryFile, PlantFile
from gristwright.files.reader import near_word
from gristwright.files.record_in import written
from gristwright.files.toml_in import NEWEST
from gristwright.quantities.shown import plain
from gristwright.records.dose import DoseAsked
from gristwright.records.enquiry import EnquiryTerms, Group, Offered
from gristwright.records.fields import FieldOfRecord, Number, Percent, fields_of
from gristwright.stages.cask import stores

FILES: dict[str, type] = {"plant": PlantFile, "bill": BillFile, "enquiry": EnquiryFile}
DIALECT = GenerateJsonSchema.schema_dialect
# Names of the fields that hold hundredths of a per cent.
SHARES = frozenset(
    name
    for kind in (Offered, Group, EnquiryTerms, DoseAsked)
    for name, field in fields_of(kind).items()
    if isinstance(field.said, Percent)
)
KINDS = (*FILES, "lots")
HEADS = ("field", "meaning", "unit", "limits", "default")


def schema(kind: str) -> dict[str, Any]:
    """The JSON schema (draft 2020-12) of a kind of file. Raises Refused for a kind that has none."""
    if kind not in KINDS:
        raise Refused([Problem(Address(), f"{kind!r} is no kind of file we have a schema of.", near_word(kind, KINDS))])
    made: dict[str, Any] = _of_lots() if kind == "lots" else _as_written(TypeAdapter(FILES[kind]).json_schema())
    made["properties"] = {"format": {"const": f"gristwright.{kind}/{NEWEST[kind]}"}, **made["properties"]}
    made["required"] = ["format", *made.get("required", [])]
    made["title"] = f"Gristwright {kind} file"
    parts = made.get("$defs", {})
    for one in (made, *parts.values()):
        if one.get("type") == "object":
            one["additionalProperties"] = False
    if kind == "plant":
        _left_open(parts)
    return {"$schema": DIALECT, **made}


def _of_lots() -> dict[str, Any]:
    """Lots are no record of fields: their figures are the fields of a certificate, each in the units it comes in."""
    return {"type": "object", "properties": {"lots": {"type": "array", "items": lots_schema()}}, "required": ["lots"]}


def _left_open(parts: dict[str, Any]) -> None:
    """What the reader fills in: a kind or a store by its name, a first water that its liquor settles."""
    for name, names in (("kind", stores.kind_names()), ("climate", stores.climate_names())):
        own = parts["CaskPlan"]["properties"][name]
        said = {key: own.pop(key) for key in ("title", "description") if key in own}
        parts["CaskPlan"]["properties"][name] = {"anyOf": [{"enum": list(names)}, own], **said}
    parts["CaskKind"]["required"] = ["name"]
    parts["Water"]["required"].remove("settled_degC")


def _as_written(part: Any) -> Any:
    """Shares under the names and in the unit in which people write them, and no null, which these files do not have."""
    if isinstance(part, list):
        return [_as_written(one) for one in part]
    if not isinstance(part, dict):
        return part
    choices = [one for one in part.get("anyOf", ()) if one != {"type": "null"}]
    if len(choices) == 1:
        return _as_written(choices[0])
    if part.get("type") == "integer" and part.get("unit") == "%":
        share = {**part, "type": "number", "minimum": 0, "maximum": 100}
        return share | ({"default": part["default"] / 100.0} if "default" in part else {})
    return {key.removesuffix("parts") + "pct" if key in SHARES else key: _as_written(one) for key, one in part.items()}


def field_table(kind: str) -> str:
    """The fields of a kind of file as a table of a page."""
    lines = [HEADS, ("---",) * len(HEADS), *(_row(path, field) for path, field in _fields(FILES[kind]))]
    return "\n".join(f"| {' | '.join(cells)} |" for cells in lines)


def _fields(kind: type, above: FieldPath = ()) -> Iterator[tuple[FieldPath, FieldOfRecord]]:
    for name, field in fields_of(kind).items():
        path = (*above, written(field))
        yield path, field
        if field.item and name not in ("release",):
            yield from _fields(field.item, path)


def _row(path: FieldPath, field: FieldOfRecord) -> tuple[str, ...]:
    said = field.said
    meaning = f"{said.label}. {said.help}".rstrip() if said.help else said.label
    return f"`{'.'.join(map(str, path))}`", meaning, _unit(field), _limits(field), _default(field)


def _unit(field: FieldOfRecord) -> str:
    match field:
        case FieldOfRecord(said=Number() as said):
            return said.unit
        case FieldOfRecord(said=Percent()):
            return "%"
        case FieldOfRecord(item=item, several=several) if item:
            return "list of tables" if several else "table"
        case FieldOfRecord(kind=kind) if get_origin(kind) is dict:
            return "table"
        case FieldOfRecord(several=True):
            return "list"
    return {bool: "true, false", dt.date: "date"}.get(field.kind, "text")


def _limits(field: FieldOfRecord) -> str:
    if isinstance(field.said, Number):
        return f"{_short(field.said.least)} to {_short(field.said.most)}"
    if isinstance(field.said, Percent):
        return "0 to 100"
    return ", ".join(f"`{word}`" for word in field.options if word)


def _default(field: FieldOfRecord) -> str:
    if field.needed:
        return "needed"
    if isinstance(field.said, Percent):
        return _short(field.default / 100.0)
    if field.default in (None, "", ()) or field.default == {} or dataclasses.is_dataclass(field.default):
        return ""
    if isinstance(field.default, bool):
        return str(field.default).lower()
    if isinstance(field.default, tuple):
        return ", ".join(one if isinstance(one, str) else _short(one) for one in field.default)
    return _short(field.default) if isinstance(field.default, int | float) else f"`{field.default}`"


def _short(value: float) -> str:
    return plain(value, 0) if float(value).is_integer() else f"{value:g}"
