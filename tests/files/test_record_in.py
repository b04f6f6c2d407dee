"""A record goes into plain data and comes back whole, and every fault of the data is one sentence with its address."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import math
from typing import Any

import pytest

from gristwright.basics import Address, Standing
from gristwright.files.jobs_in import BillFile, EnquiryFile, PlantFile
from gristwright.files.record_in import as_data, read_record
from gristwright.quantities.shown import digits_of
from gristwright.records.fields import FieldOfRecord, Number, Percent, faults, fields_of

HERE = Address("file.toml")
KINDS = (PlantFile, BillFile, EnquiryFile)


def said(kind: type) -> Any:
    """A record in which everything is said and nothing is as usual."""
    return kind(**{name: value(field) for name, field in fields_of(kind).items()})


OF_KIND: dict[Any, Any] = {
    tuple[float, ...]: tuple(0.5 + k for k in range(12)), tuple[str, ...]: ("a", "b"), str: "some words",
    dt.date: dt.date(2026, 11, 25), Standing: Standing.ESTIMATE,
}  # fmt: skip
OF_NAME = {"shares": {"A-1": 2500}, "prices": {"A-1": 25.0}, "claim": {"model": "line"}, "ladder_years": (3.0, 5.0)}


def value(field: FieldOfRecord) -> Any:
    if field.item:
        return (said(field.item), said(field.item)) if field.several else said(field.item)
    if isinstance(field.said, Number):
        middle = field.said.least + 0.375 * (field.said.most - field.said.least)
        return math.ceil(middle) if field.kind is int else middle
    if isinstance(field.said, Percent):
        return 3350
    if field.options:
        return field.options[-1]
    return not field.default if field.kind is bool else OF_NAME.get(field.name) or OF_KIND[field.kind]


def through_json(record: Any) -> Any:
    """As data that a database or a file would give back; dates stay dates, as in TOML."""
    text = json.dumps(as_data(record), default=lambda day: {"date": day.isoformat()})
    return json.loads(text, object_hook=lambda one: dt.date.fromisoformat(one["date"]) if set(one) == {"date"} else one)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_every_field_comes_back(kind: type) -> None:
    record, problems = said(kind), []
    assert faults(record, HERE) == []
    assert read_record(kind, through_json(record), HERE, problems) == record
    assert problems == []
    unsaid = [f.name for f in dataclasses.fields(record) if getattr(record, f.name) == fields_of(kind)[f.name].default]
    assert unsaid == []


def numbers(kind: type, path: tuple[str, ...] = ()) -> list[tuple[tuple[str, ...], Number]]:
    found = []
    for name, field in fields_of(kind).items():
        if isinstance(field.said, Number):
            found.append(((*path, name), field.said))
        elif field.item and not field.several:
            found += numbers(field.item, (*path, name))
    return found


def with_value(tree: dict[str, Any], path: tuple[str, ...], new: Any) -> dict[str, Any]:
    changed = dict(tree)
    changed[path[0]] = new if len(path) == 1 else with_value(tree[path[0]], path[1:], new)
    return changed


@pytest.mark.parametrize(
    ("path", "quantity"), numbers(PlantFile), ids=lambda part: ".".join(part) if isinstance(part, tuple) else ""
)
def test_every_number_of_a_plant_is_refused_on_either_side_and_taken_at_its_ends(
    path: tuple[str, ...], quantity: Number
) -> None:
    whole = through_json(said(PlantFile))
    for wrong in (quantity.least - 1, quantity.most + 1):
        problems: list[Any] = []
        read_record(PlantFile, with_value(whole, path, wrong), HERE, problems)
        assert [problem.address.path for problem in problems] == [path]
        assert digits_of(wrong) in problems[0].what
    for right in quantity.bounds:
        problems = []
        read_record(PlantFile, with_value(whole, path, right), HERE, problems)
        assert problems == []


@pytest.mark.parametrize(
    ("path", "new", "sentence"),
    [
        (("name",), 3, "3 is not text"),
        (("name",), " ", "is not text"),
        (("mash", "kg_per_mash"), True, "true is not a number"),
        (("mash", "kg_per_mash"), "2.000,5", "kg_per_mash"),
        (("mash", "kg_per_mash"), float("inf"), "inf is not a number"),
        (("washbacks", "count"), 2.5, "2.5 is not a whole number of washbacks. Give 2 or 3."),
        (("one_distillery",), "yes", "neither true nor false. Write one_distillery = true"),
        (("mash",), [1], "is not a table"),
        (("mash", "rests"), 64, "is not a list of tables"),
        (("mash", "rests"), [64], "rests 1: is not a table"),
        (("mash", "cooker", "second_species"), "rye", "is not a list"),
        (("enzymes",), "malt", "Did you mean 'malt only'?"),
    ],
)
def test_a_value_of_another_kind_is_one_sentence(path: tuple[str, ...], new: Any, sentence: str) -> None:
    problems: list[Any] = []
    read_record(PlantFile, with_value(through_json(said(PlantFile)), path, new), HERE, problems)
    (problem,) = problems
    assert sentence in problem.sentence()
    assert problem.way_out
    assert problem.address.path[: len(path)] == path


def test_every_fault_is_told_at_once_and_the_rest_is_read() -> None:
    data = through_json(said(PlantFile))
    del data["country"], data["washbacks"]
    data["mash"] |= {"kg_per_mash": -1, "stirrer": 1}
    problems: list[Any] = []
    plant = read_record(PlantFile, data, HERE, problems)
    assert sorted(".".join(map(str, one.address.path)) for one in problems) == [
        "country", "mash.kg_per_mash", "mash.stirrer", "washbacks",
    ]  # fmt: skip
    assert math.isnan(plant.mash.kg_per_mash)
    assert plant.mash.wort_L_per_t == said(PlantFile).mash.wort_L_per_t


def test_shares_are_written_in_per_cent_to_the_hundredth() -> None:
    problems: list[Any] = []
    bill = read_record(BillFile, {"name": "b", "shares": {"A": "33,34", "B-1": 66.66}}, HERE, problems)
    assert problems == []
    assert bill.shares == {"A": 3334, "B-1": 6666}
    read_record(BillFile, {"name": "b", "shares": {"A": 33.333, "B-1": 101}}, HERE, problems)
    assert [problem.address.path for problem in problems] == [("shares", "A"), ("shares", "B-1")]
