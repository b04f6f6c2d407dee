"""The tables of fields in the pages are what records and tables say; make tables writes them anew."""

from __future__ import annotations

import importlib.util
from typing import Any

import pytest

from house.places import DOCS


def made() -> Any:
    spec = importlib.util.spec_from_file_location("fields", DOCS / "fields.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(("name", "tables"), [("files.md", 3), ("vary.md", 2), ("certificates.md", 1), ("cask.md", 1)])
def test_the_page_is_up_to_date(name: str, tables: int) -> None:
    text = (DOCS / name).read_text(encoding="utf-8")
    assert text == made().page(name, text), "run make tables"
    assert len(made().PAGES[name]) == text.count("<!-- end -->") == tables


def test_every_page_with_tables_is_looked_at() -> None:
    assert set(made().PAGES) == {path.name for path in DOCS.glob("*.md") if "<!-- end -->" in path.read_text("utf-8")}
