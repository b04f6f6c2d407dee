"""The schemas hold what the reader takes and refuse what it refuses, by a library that knows JSON Schema."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from gristwright.basics import Refused
from gristwright.cli.main import cli
from gristwright.files.schemas import FILES, schema
from house.places import EXAMPLES

FOUND = sorted(EXAMPLES.rglob("*.toml"))


def data_of(path: Path) -> tuple[str, Any]:
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    return str(data["format"]).removeprefix("gristwright.").partition("/")[0], json.loads(json.dumps(data, default=str))


@pytest.mark.parametrize("path", FOUND, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_every_example_is_valid(path: Path) -> None:
    kind, data = data_of(path)
    jsonschema.validate(data, schema(kind), cls=jsonschema.Draft202012Validator)


@pytest.mark.parametrize("kind", FILES)
def test_a_schema_is_a_schema(kind: str) -> None:
    jsonschema.Draft202012Validator.check_schema(schema(kind))


@pytest.mark.parametrize(
    ("name", "path", "value"),
    [
        ("plant.toml", ("mash", "kg_per_mash"), 0.5),
        ("plant.toml", ("mash", "vessel"), "ton"),
        ("plant.toml", ("mash", "stirrer"), 1),
        ("plant.toml", ("cask", "kind", "wall_mm"), 2),
        ("bill.toml", ("shares", "PD-1"), 101),
        ("enquiry.toml", ("offered", 0, "least_pct"), -1),
        ("enquiry.toml", ("title",), 3),
    ],
)
def test_what_the_reader_refuses_is_not_valid(name: str, path: tuple[Any, ...], value: Any) -> None:
    kind, data = data_of(EXAMPLES / "all-malt-pot" / name)
    holder = data
    for part in path[:-1]:
        holder = holder[part]
    holder[path[-1]] = value
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, schema(kind))


def test_the_command_prints_it() -> None:
    answer = CliRunner().invoke(cli, ["schema", "bill"])
    assert answer.exit_code == 0
    made = json.loads(answer.stdout)
    assert made["properties"]["shares"]["additionalProperties"]["unit"] == "%"
    with pytest.raises(Refused, match="'bil' is no kind of file we have a schema of"):
        schema("bil")
