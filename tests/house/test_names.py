"""A name says one thing: no two classes of the package are called alike."""

from __future__ import annotations

import ast
from collections import defaultdict

from house.places import PACKAGE, sources

# Django looks for classes by these names.
GIVEN = {"Meta", "Migration"}


def test_no_two_classes_are_called_alike() -> None:
    found = defaultdict(list)
    for path in sources():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ClassDef) and node.name not in GIVEN:
                found[node.name].append(str(path.relative_to(PACKAGE)))
    assert {name: places for name, places in found.items() if len(places) > 1} == {}
