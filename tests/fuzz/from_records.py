"""Houses, bills and enquiries with fields set to what their records say of them: their limits, and just beyond."""

from __future__ import annotations

import datetime as dt
import math
import shutil
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, get_args, get_origin

from hypothesis import strategies as st

from fuzz.hostile import VALUES, written
from fuzz.readers import BY_NAME, EXAMPLES, HOUSES, look_at_sentence
from fuzz.watch import strict_json
from gristwright import casework
from gristwright.basics import Refused
from gristwright.cli.tables import as_json
from gristwright.documents.forecast import forecast_view
from gristwright.files import record_in
from gristwright.files.certificates import read_lots
from gristwright.files.jobs_in import BillFile, EnquiryFile, PlantFile, read_bill
from gristwright.files.toml_out import toml_text
from gristwright.records.fields import FieldOfRecord, Number, Percent, field_of_hint, fields_of

KINDS: dict[str, type] = {"plant": PlantFile, "bill": BillFile, "enquiry": EnquiryFile}
MEMBERS = 64
# What is done to a list: an item left out, one doubled, none at all.
LISTS = ("out", "doubled", "none")


def places(kind: Any, data: Mapping[str, Any], path: tuple[str | int, ...] = ()) -> Iterator[tuple[Any, FieldOfRecord]]:
    """Every field that a table may have, those of the tables in it too, whether it is said or not."""
    for field in fields_of(kind).values():
        name = record_in.written(field)
        inner = data.get(name)
        yield (*path, name), field
        if field.item and field.several:
            for number, one in enumerate(inner if isinstance(inner, list) else []):
                if isinstance(one, dict):
                    yield from places(field.item, one, (*path, name, number))
        elif field.item and isinstance(inner, dict):
            yield from places(field.item, inner, (*path, name))
        elif get_origin(field.kind) is dict and isinstance(inner, dict):
            for key in inner:
                yield (*path, name, key), field_of_hint(key, get_args(field.kind)[1])


def values_of(field: FieldOfRecord) -> list[Any]:
    """What a field is given: inside its limits first, then at them, then beyond; and what is no value of its kind."""
    said, kind = field.said, field.kind
    if isinstance(said, Number):
        low, high = said.least, said.most
        inside = [low + part * (high - low) for part in (0.5, 0.1, 0.9, 0.01, 0.99)]
        numbers = [*inside, low, high, math.nextafter(low, -math.inf), math.nextafter(high, math.inf), -low - 1.0]
        return [round(x) if kind is int else x for x in numbers] + [low + 1e-12, 1e308, -1e308, 5e-324, "n/a"]
    if isinstance(said, Percent):
        return [50.0, 0.01, 100.0, 0.0, 33.33, 0.005, -1.0, 100.01, 1e300, "50 %"]
    if field.options:
        return [*field.options, "", "none of them"]
    if kind is bool:
        return [True, False, 1, "yes"]
    if kind is dt.date:
        return [dt.date(2026, 11, 25), dt.date(1, 1, 1), dt.date(9999, 12, 31), "2026-11-25"]
    texts = [written(value) for value in VALUES if len(written(value)) < 1000]
    if get_origin(kind) is tuple:
        return [[], *([text] for text in texts), texts, "no list"]
    return [{}, {"PD-1": 100}, "no table"] if get_origin(kind) is dict else texts


def whole(field: FieldOfRecord) -> Any:
    """A table of a record, or a list of one, with what it must say, each in the middle of its limits."""
    made = {
        record_in.written(one): whole(one) if one.item else values_of(one)[0]
        for one in fields_of(field.item).values()
        if one.needed
    }
    return [made] if field.several else made


def cases() -> st.SearchStrategy[dict[str, Any]]:
    """A house, a file of it, and settings of its fields."""
    number, inside = st.integers(0, 600), st.integers(0, 4)
    return st.fixed_dictionaries(
        {
            "house": st.sampled_from(HOUSES[:4]),
            "kind": st.sampled_from(sorted(KINDS)),
            # Most of the values are inside the limits: what is refused computes nothing.
            "set": st.lists(st.tuples(number, st.one_of(inside, inside, inside, number)), min_size=1, max_size=4),
            "lists": st.one_of(st.just([]), st.lists(st.tuples(number, st.sampled_from(LISTS)), max_size=1)),
        }
    )


def run(case: dict[str, Any], folder: Path) -> str:
    """Write the file, read the house, follow its bill, write its enquiry and read that again."""
    for path in (EXAMPLES / case["house"]).iterdir():
        shutil.copy(path, folder / path.name)
    path = folder / f"{case['kind']}.toml"
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    change(case, data)
    path.write_text(toml_text(data), encoding="utf-8")
    try:
        follow(folder)
        enquiry = BY_NAME["enquiry"]
        assert enquiry.again is not None
        enquiry.again(enquiry.read(folder / "enquiry.toml"), folder)
    except Refused as refused:
        for problem in refused.problems:
            look_at_sentence(problem.sentence())
        return "refused"
    return "accepted"


def change(case: dict[str, Any], data: dict[str, Any]) -> None:
    """The settings, and what is done to lists, in the data of a file."""
    for here, there in case["set"]:
        found = list(places(KINDS[case["kind"]], data))
        path, field = found[here % len(found)]
        if field.item is None:
            values = values_of(field)
            _put(data, path, values[there % len(values)])
        else:
            _put(data, path, whole(field) if here % 4 else None)
    for here, what in case["lists"]:
        lists = [inner for inner in _lists(data) if inner]
        if lists:
            one = lists[here % len(lists)]
            one[:] = {"out": one[1:], "doubled": [*one, one[-1]], "none": []}[what]


def _lists(part: Any) -> Iterator[list[Any]]:
    inner = part.values() if isinstance(part, dict) else part if isinstance(part, list) else []
    if isinstance(part, list):
        yield part
    for one in inner:
        yield from _lists(one)


def _put(data: Any, path: tuple[str | int, ...], value: Any) -> None:
    """A value at a path, the tables on the way made; None takes it out."""
    *way, last = path
    for part in way:
        data = data[part] if isinstance(part, int) else data.setdefault(part, {})
        if not isinstance(data, dict | list):
            return
    if value is None:
        data.pop(last, None)
    else:
        data[last] = value


def follow(folder: Path) -> None:
    """The house's bill followed as far as it goes, and what is told of it as JSON. Raises Refused."""
    sheet, lots = read_bill(folder / "bill.toml").accepted(), read_lots(folder / "lots.csv").accepted()
    made = (casework.brew if sheet.purpose == "beer" else casework.forecast)(sheet, lots, members=MEMBERS)
    strict_json(as_json(forecast_view(made, ())))
