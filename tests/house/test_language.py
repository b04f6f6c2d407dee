"""The repository speaks of the product alone: no path of a machine, no word of how it was written, no host."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from house.places import DOCS, ROOT, files, pages, text_of

# Put together from pieces, so that this file does not trip over itself.
FOLDERS = ("work", "root", "home", "Users")
MACHINE = re.compile("|".join(rf"(?<![\w.]){re.escape('/' + name)}(?=/)" for name in FOLDERS))
TEMPORARY = re.compile(re.escape("/" + "tmp") + r"\b")
MAKING = re.compile(r"\b(sessions?|helper agents?|AI|LLM|chatbots?|prompts?)\b")
LOCKS = sorted((ROOT / "requirements").glob("*.lock"))


def hits(pattern: re.Pattern[str], paths: list[Path]) -> list[str]:
    """File and match of every hit."""
    return [
        f"{path.relative_to(ROOT)}: {found.group(0)}"
        for path in paths
        if (text := text_of(path)) is not None
        for found in pattern.finditer(text)
    ]


def test_no_file_names_a_path_of_a_machine() -> None:
    assert hits(MACHINE, list(files())) == []


def test_no_page_names_a_temporary_folder() -> None:
    assert hits(TEMPORARY, [*pages(), *files(DOCS)]) == []


def test_no_page_speaks_of_how_it_was_made() -> None:
    assert hits(MAKING, pages()) == []


@pytest.mark.parametrize("path", LOCKS, ids=lambda p: p.name)
def test_a_lock_file_names_no_host(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"://|index-url|find-links|file:", text)
    assert "--hash=sha256:" in text


def test_there_are_lock_files() -> None:
    assert [path.name for path in LOCKS] == ["audit.lock", "run.lock", "test.lock"]
