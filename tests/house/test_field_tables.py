"""The tables of fields in docs/files.md are what the records say; make tables writes them anew."""

from __future__ import annotations

import importlib.util

from house.places import ROOT


def test_the_page_is_up_to_date() -> None:
    spec = importlib.util.spec_from_file_location("fields", ROOT / "docs" / "fields.py")
    assert spec is not None and spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    text = made.PAGE.read_text(encoding="utf-8")
    assert text == made.page(text)
    assert text.count("<!-- fields of ") == 3
