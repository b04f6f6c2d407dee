"""No JSON that is written holds NaN or inf: JSON has no word for them, and what is no number is left out before."""

from __future__ import annotations

import ast

from house.places import PACKAGE, sources

# What two processes of ours tell each other is no file, and is made of texts and whole numbers.
BETWEEN_PROCESSES = ("guard/", "files/workbook")


def test_every_json_text_is_written_without_nan() -> None:
    loose = []
    for path in sources():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (
                isinstance(node, ast.Call) and ast.unparse(node.func) in ("json.dumps", "json.dump", "json.JSONEncoder")
            ):
                continue
            said = str(path.relative_to(PACKAGE))
            if said.startswith(BETWEEN_PROCESSES):
                continue
            if not any(one.arg == "allow_nan" and ast.unparse(one.value) == "False" for one in node.keywords):
                loose.append(f"{said}:{node.lineno}")
    assert loose == []
