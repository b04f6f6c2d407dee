"""A fault carries its address: no edge reads one back out of a sentence."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from gristwright.basics import NOWHERE, Address, Problem, at
from house.places import PACKAGE

# The one place that takes words apart: those that rows kept before addresses had parts.
OLD_ROWS = PACKAGE / "store" / "migrations" / "0007_addresses.py"
CUTTING = {
    "search", "match", "fullmatch", "finditer", "findall", "sub", "split", "rsplit", "partition", "rpartition", "find",
    "removeprefix", "removesuffix", "startswith", "endswith", "rfind", "index", "splitlines",
}  # fmt: skip
PLACES = ("where", "address")


def sources() -> list[Path]:
    return [path for path in sorted(PACKAGE.rglob("*.py")) if path != OLD_ROWS]


def speaks_of_a_place(node: ast.AST) -> bool:
    """Whether the words of a problem's place, or of a whole problem, are in an expression."""
    for part in ast.walk(node):
        if isinstance(part, ast.Attribute) and part.attr in PLACES:
            return True
        if isinstance(part, ast.Call) and isinstance(part.func, ast.Attribute) and part.func.attr == "sentence":
            return True
        if isinstance(part, ast.Name) and part.id in PLACES:
            return True
    return False


def taken_apart(tree: ast.AST) -> list[int]:
    """Lines on which a text method or a regular expression is put to a place."""
    found = []
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute) or node.func.attr not in CUTTING:
            continue
        if any(speaks_of_a_place(part) for part in (node.func.value, *node.args)):
            found.append(node.lineno)
    return found


def test_no_place_is_read_out_of_a_sentence() -> None:
    found = {
        str(path.relative_to(PACKAGE)): lines
        for path in sources()
        if (lines := taken_apart(ast.parse(path.read_text())))
    }
    assert found == {}


@pytest.mark.parametrize(
    "line",
    [
        "PLACE.search(problem.where)",
        "re.sub(r', row', '', problem.sentence())",
        "problem.where.rsplit(', cell ', 1)",
        "str(where).partition(', ')",
        "address.words.split(', ')",
    ],
)
def test_the_check_does_catch_one(line: str) -> None:
    assert taken_apart(ast.parse(line)) == [1]


def test_no_place_is_put_together_from_another_one() -> None:
    """A text stands only where there is nothing to address: it never holds a place and a field."""
    found = []
    for path in sources():
        for node in ast.walk(ast.parse(path.read_text())):
            called = isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Problem"
            if called and node.args and isinstance(node.args[0], ast.JoinedStr):
                text = "".join(str(part.value) for part in node.args[0].values if isinstance(part, ast.Constant))
                if ", " in text or ". " in text:
                    found.append(f"{path.relative_to(PACKAGE)}:{node.lineno}")
    assert found == []


@pytest.mark.parametrize(
    ("address", "words"),
    [
        (NOWHERE, ""),
        (Address("lots.csv"), "lots.csv"),
        (Address("lots.csv", row=2), "lots.csv, row 2"),
        (Address("lots.csv", row=2, column=3), "lots.csv, row 2, column 3"),
        (Address("lots.csv", row=2, column=3, path=("moisture [%]",)), "lots.csv, row 2, moisture [%]"),
        (Address("lots.csv", column=3, path=("crop",)), "lots.csv, column 3, crop"),
        (Address("book.xlsx", "Lots"), "book.xlsx, sheet Lots"),
        (Address("book.xlsx", "Lots", 12, 28), "book.xlsx, sheet Lots, cell AB12"),
        (Address("book.xlsx", "Lots", 4, path=("crop",)), "book.xlsx, sheet Lots, row 4, crop"),
        (Address("book.xlsx", "Lots", column=3), "book.xlsx, sheet Lots, column C"),
        (Address("plant.toml").to("mash", "rests", 2, "minutes"), "plant.toml, mash.rests 2.minutes"),
        (Address("lots.toml").to("lot", 1), "lots.toml, lot 1"),
        (at("plant", "mash", "vessel_L"), "plant, mash, vessel_L"),
        (at("plant", "mash", "rests", 2, "settled_degC"), "plant, mash, rests 2.settled_degC"),
        (at("plant", "mash", "waters", "first", "L_per_kg"), "plant, mash, waters.first.L_per_kg"),
        (at("plant", "cask"), "plant, cask"),
        (at("grist", 2), "grist 2"),
    ],
)
def test_an_address_reads_as_a_person_finds_it(address: Address, words: str) -> None:
    assert address.words == str(address) == words
    assert Address.of(address.as_data()) == address
    assert bool(address) == bool(words)


def test_a_fault_says_its_address_as_an_object() -> None:
    problem = Problem(Address("lots.csv", row=2, column=3), "'24B' is not a number.", "Write digits.")
    assert problem.as_data() == {
        "address": {"file": "lots.csv", "row": 2, "column": 3},
        "where": "lots.csv, row 2, column 3",
        "what": "'24B' is not a number.",
        "way_out": "Write digits.",
        "warning": False,
        "sentence": "lots.csv, row 2, column 3: '24B' is not a number. Write digits.",
    }
    assert Problem("--over", "names nothing.").as_data()["address"] == {}
