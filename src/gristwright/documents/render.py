"""How a document becomes files: templates and a view into pages, all files of a document in place together."""

from __future__ import annotations

import datetime as dt
import json
import tempfile
from collections.abc import Mapping
from importlib import resources
from pathlib import Path
from typing import Final

from gristwright.charts.fonts import font_folder
from gristwright.documents.data import Frozen, View, as_data
from gristwright.guard.engine import Engine

LOOK: Final = "house.typ"
MOST_SECONDS: Final = 90.0
ENGINE: Final = Engine("gristwright.documents.setting", "The document", "Ask for it again.", MOST_SECONDS)
STANDARD: Final = "ua-1"  # PDF/UA-1: tagged, titled, every picture with its text


def view_json(view: View) -> bytes:
    """The view as UTF-8 JSON, keys in the order of the document."""
    return data_json(as_data(view))


def data_json(data: Frozen) -> bytes:
    """The same of a view as plain data."""
    return (json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()


def pages(
    template: str,
    view: View,
    files: Mapping[str, str],
    ppi: float | None = None,
    words: Mapping[str, str] | None = None,
) -> list[bytes]:
    """A view printed by a template: one tagged PDF, or one PNG a page when `ppi` [dots per inch] is given."""
    return pages_of(template, as_data(view), files, ppi, words)


def pages_of(
    template: str,
    data: Frozen,
    files: Mapping[str, str],
    ppi: float | None = None,
    words: Mapping[str, str] | None = None,
) -> list[bytes]:
    """The same of a view as plain data.

    The template reads view.json, the look of the house and `files` by name, and `words` (paper, kind of document). The
    PDF is dated by its day of issue and by nothing else. Raises Refused when the engine of documents broke.
    """
    read = {**templates(template, LOOK), "view.json": json.dumps(data, ensure_ascii=False, allow_nan=False), **files}
    noon = dt.datetime.combine(dt.date.fromisoformat(data["issued"]["iso"]), dt.time(12), dt.UTC)
    with tempfile.TemporaryDirectory(prefix="gristwright-page-") as name:
        root = Path(name)
        for file, text in read.items():
            (root / file).write_text(text, encoding="utf-8")
        where = {"root": str(root), "input": str(root / template), "fonts": str(font_folder())}
        how = {"words": dict(words or {}), "ppi": ppi, "standard": STANDARD, "timestamp": int(noon.timestamp())}
        return ENGINE.ask({**where, **how})


def templates(*names: str) -> dict[str, str]:
    """Templates of this folder by name."""
    folder = resources.files("gristwright.documents")
    return {name: (folder / name).read_text(encoding="utf-8") for name in names}
