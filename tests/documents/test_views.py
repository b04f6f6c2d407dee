"""Every view is a frozen dataclass with named fields, and what is written of it is all of it, in its order."""

from __future__ import annotations

import ast
import dataclasses
import inspect
import pkgutil
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from importlib import import_module
from types import ModuleType
from typing import get_type_hints

import pytest

from documents.make_shapes import SHAPES, shapes
from documents.sample import recommendation
from gristwright import documents
from gristwright.documents.data import SPREAD, View, as_data
from gristwright.documents.entries import readable, unresolved
from gristwright.documents.view import recommendation_view

# What puts sentences in a language is no view.
SPEAKS = {"speech"}
MODULES = [
    import_module(f"gristwright.documents.{one.name}")
    for one in pkgutil.iter_modules(documents.__path__)
    if one.name not in SPEAKS
]
LOOSE = re.compile(
    r"\b(dict|Dict|Mapping|MutableMapping)(\[str, (Any|object)\])|(?<!\.)\bAny\b|^(dict|list|tuple|Mapping)$"
)
# Where views become data, where data is looked into, and what the engine is told in a message.
EDGES = {
    ("data", "as_data"), ("data", "View"), ("data", "Frozen"), ("entries", "unresolved"), ("entries", "_numbers"),
    ("customer", "printed"), ("setting", "made"),
}  # fmt: skip


def annotations(source: str) -> list[tuple[str, str]]:
    """Every argument, result and field of a module with what it is, and every other name of a type."""
    found: list[tuple[str, str]] = []
    for node in ast.parse(source).body:
        if isinstance(node, ast.AnnAssign) and ast.unparse(node.annotation) == "TypeAlias":
            found.append((ast.unparse(node.target), ast.unparse(node.value or node.target)))
        for one in ast.walk(node) if isinstance(node, ast.FunctionDef | ast.ClassDef) else ():
            found += [(node.name, ast.unparse(said)) for said in _said(one, node) if said is not None]
    return found


def _said(one: ast.AST, within: ast.stmt) -> list[ast.expr | None]:
    if isinstance(one, ast.FunctionDef):
        return [one.returns, *(arg.annotation for arg in (*one.args.args, *one.args.kwonlyargs))]
    return [one.annotation] if isinstance(one, ast.AnnAssign) and isinstance(within, ast.ClassDef) else []


def classes(module: ModuleType) -> list[type]:
    return [kind for _, kind in inspect.getmembers(module, inspect.isclass) if kind.__module__ == module.__name__]


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__.rpartition(".")[2])
def test_no_function_takes_or_gives_a_view_without_names(module: ModuleType) -> None:
    place = module.__name__.rpartition(".")[2]
    loose = [
        (name, said)
        for name, said in annotations(inspect.getsource(module))
        if LOOSE.search(said) and (place, name) not in EDGES
    ]
    assert loose == []


@pytest.mark.parametrize(
    "line",
    [
        "View: TypeAlias = dict[str, Any]",
        "def view() -> dict[str, Any]: ...",
        "def view(of: Mapping[str, object]) -> int: ...",
        "def view(*, of: list[dict[str, Any]]) -> int: ...",
        "class Told:\n    part: dict[str, Any]",
        "class Told:\n    def part(self) -> dict: ...",
    ],
)
def test_a_planted_one_is_caught(line: str) -> None:
    assert [said for _, said in annotations(line) if LOOSE.search(said)]


def test_every_view_is_a_frozen_dataclass() -> None:
    kinds = [kind for module in MODULES for kind in classes(module) if kind is not View]
    assert len(kinds) > 80
    assert [kind for kind in kinds if not dataclasses.is_dataclass(kind)] == []
    assert [kind for kind in kinds if not kind.__dataclass_params__.frozen] == []


def keys(kind: type) -> Iterator[str]:
    for one in dataclasses.fields(kind):
        if "spread" in one.metadata:
            yield from keys(get_type_hints(kind)[one.name])
        else:
            yield one.name.removesuffix("_")


def test_no_field_takes_the_place_of_another_in_the_data() -> None:
    kinds = [kind for module in MODULES for kind in classes(module) if kind is not View]
    assert [kind for kind in kinds if len(set(keys(kind))) < len(list(keys(kind)))] == []


@dataclass(frozen=True)
class Inner:
    name: str
    number: float | None


@dataclass(frozen=True)
class Outer:
    first: str
    inner: Inner = field(metadata=SPREAD)
    with_: tuple[Inner, ...]
    by_name: dict[str, Inner]
    last: None


def test_data_has_every_field_in_its_order_and_nothing_else() -> None:
    one = Inner("65 degC", None)
    data = as_data(Outer("a", one, (one,), {"x_degC": one}, None))
    said = {"name": "65 degC", "number": None}
    assert data == {"first": "a", **said, "with": [said], "by_name": {"x_degC": said}, "last": None}
    assert list(data) == ["first", "name", "number", "with", "by_name", "last"]


def test_a_view_is_written_readably_and_stays_what_it_is() -> None:
    one = Inner("65 degC", 1.5)
    view = readable(Outer("degC", one, (one,), {"x_degC": one}, None))
    other = Inner("65 °C", 1.5)
    assert view == Outer("°C", other, (other,), {"x_degC": other}, None)


def test_a_view_and_its_data_are_looked_through_alike() -> None:
    view = recommendation_view(recommendation(2))
    less = dataclasses.replace(view.advice.assumed, assumptions=())
    bare = dataclasses.replace(view, advice=dataclasses.replace(view.advice, assumed=less))
    assert unresolved(view) == unresolved(as_data(view)) == []
    assert unresolved(bare) == unresolved(as_data(bare)) != []


def test_every_document_keeps_its_keys_and_their_order() -> None:
    assert shapes() == SHAPES.read_text(encoding="utf-8")
