"""Every regular expression of the package, read off its source, and texts made to be the worst for each."""

from __future__ import annotations

import ast
import importlib
import random
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path
from typing import Any

from house.places import PACKAGE, sources

# The standard library keeps its parser of patterns to itself, and has no other.
codes: Any = importlib.import_module("re._constants")
parser: Any = importlib.import_module("re._parser")

CALLS = ("compile", "match", "search", "fullmatch", "sub", "subn", "findall", "finditer", "split")
FLAGS = {"IGNORECASE": re.IGNORECASE, "DOTALL": re.DOTALL, "MULTILINE": re.MULTILINE}
OF_CATEGORY = {
    codes.CATEGORY_DIGIT: "1",
    codes.CATEGORY_NOT_DIGIT: "a",
    codes.CATEGORY_SPACE: " ",
    codes.CATEGORY_NOT_SPACE: "a",
    codes.CATEGORY_WORD: "a",
    codes.CATEGORY_NOT_WORD: "-",
}
# Ends that what went before cannot go on with.
ENDS = ("\0", "!\n", "")


@dataclass(frozen=True)
class Found:
    """A pattern where it stands and how it is used; None where the source makes it out of what it is given."""

    where: str
    pattern: re.Pattern[Any] | None
    source: str
    ways: tuple[str, ...]


def patterns() -> list[Found]:
    """Every call of `re` in the package; one that is kept under a name is used as that name is anywhere."""
    trees = {path: ast.parse(path.read_text(encoding="utf-8")) for path in sources()}
    nodes = [(path, node) for path, tree in trees.items() for node in ast.walk(tree)]
    used: dict[str, set[str]] = {}
    kept: dict[int, str] = {}
    for _, node in nodes:
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.attr in CALLS:
            used.setdefault(node.value.id, set()).add(node.attr)
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            kept[id(node.value)] = node.targets[0].id
    return [
        Found(*_of_call(path, node), _ways(node.func.attr, used.get(kept.get(id(node), ""), set())))
        for path, node in nodes
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in CALLS
        and isinstance(node.func.value, ast.Name) and node.func.value.id == "re"
    ]  # fmt: skip


def _of_call(path: Path, node: ast.Call) -> tuple[str, re.Pattern[Any] | None, str]:
    file, source = path.relative_to(PACKAGE), ast.unparse(node.args[0])
    module = ".".join(("gristwright", *file.with_suffix("").parts)).removesuffix(".__init__")
    return f"{file}: {source}", _compiled(module, node), source


def _ways(call: str, named: set[str]) -> tuple[str, ...]:
    """How a pattern is used; searched through where that cannot be seen."""
    return tuple(sorted(named) or ["search"]) if call == "compile" else (call,)


def _compiled(module: str, node: ast.Call) -> re.Pattern[Any] | None:
    """The pattern of a call: a text, or one made of names of its module; None where it is made of anything else."""
    said = node.args[0]
    if not isinstance(said, ast.Constant):
        try:
            made = eval(compile(ast.Expression(said), module, "eval"), dict(vars(importlib.import_module(module))))
        except NameError:
            return None
    else:
        made = said.value
    flags = [name for name in FLAGS if any(name in ast.unparse(one) for one in (*node.args[1:], *node.keywords))]
    return re.compile(made, sum(FLAGS[name] for name in flags))


def letters_of(pattern: re.Pattern[Any]) -> list[str]:
    """A character for each that the pattern looks for, kinds of them by one of the kind."""
    said = pattern.pattern
    tree = parser.parse(said, pattern.flags & ~re.UNICODE if isinstance(said, bytes) else pattern.flags)
    return list(dict.fromkeys(_letters(tree)))


def _letters(part: Any) -> Iterator[str]:
    for one in part:
        match one:
            case ((codes.LITERAL | codes.NOT_LITERAL), int(number)):
                yield chr(number)
            case codes.RANGE, (low, _):
                yield chr(low)
            case codes.CATEGORY, name:
                yield OF_CATEGORY[name]
            case codes.ANY, _:
                yield "x"
            case _, (list() | tuple() | parser.SubPattern()) as below:
                yield from _letters(list(_flat(below)))


def _flat(part: Any) -> Iterator[Any]:
    """The steps below a step, however deep they are packed."""
    if isinstance(part, parser.SubPattern):
        yield from part
    elif isinstance(part, tuple) and len(part) == 2 and isinstance(part[0], type(codes.LITERAL)):
        yield part
    elif isinstance(part, list | tuple):
        for one in part:
            yield from _flat(one)


def words_of(pattern: re.Pattern[Any]) -> list[str]:
    """Runs of plain letters in the pattern, such as the words that a heading may be."""
    said = pattern.pattern.decode() if isinstance(pattern.pattern, bytes) else pattern.pattern
    return list(dict.fromkeys(re.findall(r"[A-Za-z<][A-Za-z ]*", said)))[:6]


def attacks(pattern: re.Pattern[Any], size: int, seed: int = 1) -> Iterator[str]:
    """Texts of `size` characters that begin as the pattern does and go on with what it may be repeated by."""
    dice = random.Random(seed)
    letters = letters_of(pattern)[:14] or ["x"]
    begins = ["", *letters[:3], *(a + b for a, b in combinations(letters[:4], 2))]
    runs = [*letters, *words_of(pattern), "".join(letters)]
    runs += ["".join(dice.choices(letters, k=dice.randint(2, 4))) for _ in range(12)]
    runs += [f"{one} " for one in letters[:6]]
    for run in dict.fromkeys(runs):
        body = (run * (size // len(run) + 1))[:size]
        begin = dice.choice(begins)
        yield f"{begin}{body}{dice.choice(ENDS)}"
        yield f"{body}\0"
    for one, other in combinations(letters[:6], 2):
        yield f"{one * (size // 2)}{other * (size // 2)}\0"
        yield f"{letters[0]}{one}{other * (size // 2)}{one * (size // 2)}\0"
