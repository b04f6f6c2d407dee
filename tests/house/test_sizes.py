"""Files and functions stay small, every page that code points to is there, and every room names its page."""

from __future__ import annotations

import ast
import re
from pathlib import Path
from statistics import median

import pytest

from house.places import PACKAGE, ROOT, files, pages, sources, text_of

MOST_LINES, MOST_BODY, MEDIAN_BODY = 400, 60, 10
POINTER = re.compile(r"docs/[A-Za-z0-9_./-]+\.md")
LINK = re.compile(r"\]\(([^)#\s]+)(?:#[^)]*)?\)")
ROOMS = sorted(
    path
    for folder in ("stages", "evidence", "rules", "economics")
    for path in (PACKAGE / folder).rglob("__init__.py")
    if path.parent.name not in ("stages", "evidence", "rules")
)


def bodies() -> list[tuple[str, int]]:
    """Name and lines of the body of every function of the package, its docstring not counted."""
    found = []
    for path in sources():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                body = node.body[1:] if ast.get_docstring(node) and len(node.body) > 1 else node.body
                lines = (body[-1].end_lineno or 0) - body[0].lineno + 1
                found.append((f"{path.relative_to(ROOT)}:{node.lineno} {node.name}", lines))
    return found


def test_no_file_is_too_long() -> None:
    python = [path for path in files() if path.suffix == ".py"]
    long = {str(path.relative_to(ROOT)): n for path in python if (n := len(path.read_text().splitlines())) > MOST_LINES}
    assert long == {}


def test_no_function_is_too_long() -> None:
    assert [item for item in bodies() if item[1] > MOST_BODY] == []


def test_most_functions_are_short() -> None:
    assert median(lines for _, lines in bodies()) <= MEDIAN_BODY


@pytest.mark.parametrize("path", ROOMS, ids=lambda p: p.parent.name)
def test_a_room_names_its_page(path: Path) -> None:
    docstring = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
    assert POINTER.search(docstring), f"{path.relative_to(ROOT)} names no page in docs/"


def test_every_page_that_a_file_names_is_there() -> None:
    missing = {
        f"{path.relative_to(ROOT)}: {page}"
        for folder in (PACKAGE, ROOT / "examples")
        for path in files(folder)
        for page in POINTER.findall(text_of(path) or "")
        if not (ROOT / page).exists()
    }
    assert sorted(missing) == []


def test_every_link_of_a_page_leads_somewhere() -> None:
    dead = [
        f"{path.relative_to(ROOT)}: {target}"
        for path in pages()
        for target in LINK.findall(path.read_text(encoding="utf-8"))
        if "://" not in target and not (path.parent / target).exists()
    ]
    assert dead == []
