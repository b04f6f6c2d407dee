"""Texts of a file as they are kept: accents joined to their letters, and nothing that a document cannot show.

See docs/files.md.
"""

from __future__ import annotations

import unicodedata
from pathlib import Path
from typing import Any

from gristwright.basics import Address, Problem, Where
from gristwright.reference.typeface import WAY_OUT, code, composed, fault_in

# Characters of a text: what a page of a document has room for, and far more than anybody writes.
LONGEST = 2000


def text_problems(text: str, where: Where) -> list[Problem]:
    """A text that a document could not show, at its place, or that is too long for one."""
    if len(text) > LONGEST:
        return [Problem(where, f"holds {len(text)} characters; there is room for {LONGEST}.", "Shorten it.")]
    what = fault_in(text)
    return [Problem(where, what, WAY_OUT)] if what else []


def file_name_problems(name: str) -> list[Problem]:
    """A file whose name could not be printed where an answer says what it was made from."""
    return [
        Problem(p.where, f"the name {p.what}", "Give the file another name.")
        for p in text_problems(name, Address(named(name)))
    ]


def named(text: str) -> str:
    """A name for a message: what cannot be seen in it stands as its code point."""
    return "".join(c if c.isprintable() else f"[{code(c)}]" for c in text)


def beside(folder: Path, name: str) -> Path:
    """A file that another one names; one whose name was kept with its accents apart is found too."""
    path, apart = folder / name, folder / unicodedata.normalize("NFD", name)
    return apart if not path.exists() and apart.exists() else path


def composed_tree(part: Any) -> Any:
    """Tables, lists and texts of a file with every text, names of fields too, as it is kept."""
    if isinstance(part, dict):
        return {composed(key): composed_tree(value) for key, value in part.items()}
    if isinstance(part, list):
        return [composed_tree(value) for value in part]
    return composed(part) if isinstance(part, str) else part


def tree_problems(part: Any, where: Address) -> list[Problem]:
    """Every text of a file, names of fields too, that a document could not show, each with its address."""
    if isinstance(part, dict):
        problems = [problem for key, value in part.items() for problem in _of_field(key, value, where.to(named(key)))]
        return problems + _doubled(part, where)
    if isinstance(part, list):
        numbered = ((where.to(n) if isinstance(value, dict) else where, value) for n, value in enumerate(part, 1))
        return [problem for place, value in numbered for problem in tree_problems(value, place)]
    return text_problems(part, where) if isinstance(part, str) else []


def _doubled(table: dict[str, Any], where: Address) -> list[Problem]:
    """Two fields that are one once their accents are joined; the parser took them for two."""
    keys = [composed(key) for key in table]
    twice = sorted({key for key in keys if keys.count(key) > 1}) if len(set(keys)) < len(keys) else []
    return [Problem(where.to(named(key)), "stands here twice.", "Keep one of the two.") for key in twice]


def _of_field(key: str, value: Any, where: Address) -> list[Problem]:
    return [*text_problems(key, where), *tree_problems(value, where)]
