"""How to contribute: every command is one of the Makefile, every file and folder that is named is there."""

from __future__ import annotations

import re

from house.places import PACKAGE, ROOT

PAGE = (ROOT / "CONTRIBUTING.md").read_text(encoding="utf-8")
PLACES = (ROOT, ROOT / "tests" / "house", PACKAGE, PACKAGE / "reference", PACKAGE / "reference" / "tables")


def test_every_command_is_named_and_every_named_one_is_there() -> None:
    phony = re.search(r"^\.PHONY: (.*)$", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE)
    assert phony is not None
    assert set(re.findall(r"\bmake (\w+)", PAGE)) == set(phony[1].split())


def test_every_file_that_is_named_is_there() -> None:
    named = re.findall(r"`((?:src|tests|docs|[\w/]*\.(?:csv|toml|py|md))[\w./]*)`", PAGE)
    assert len(named) > 20
    assert [name for name in named if not any((place / name).exists() for place in PLACES)] == []
