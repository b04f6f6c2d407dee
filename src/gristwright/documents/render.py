"""How a document becomes files: templates and a view into pages, all files of a document in place together."""

from __future__ import annotations

import datetime as dt
import json
import os
import tempfile
from collections.abc import Mapping
from importlib import resources
from pathlib import Path
from typing import Final

import typst

from gristwright.basics import Address, Problem, Refused
from gristwright.charts.fonts import font_folder
from gristwright.documents.data import Frozen, View, as_data

LOOK: Final = "house.typ"
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
    PDF is dated by its day of issue and by nothing else.
    """
    read = {**templates(template, LOOK), "view.json": json.dumps(data, ensure_ascii=False, allow_nan=False), **files}
    with tempfile.TemporaryDirectory(prefix="gristwright-page-") as name:
        root = Path(name)
        for file, text in read.items():
            (root / file).write_text(text, encoding="utf-8")
        compiler = typst.Compiler(
            root=str(root),
            input=str(root / template),
            font_paths=[str(font_folder())],
            ignore_system_fonts=True,
            sys_inputs=dict(words or {}),
        )
        made = _compiled(compiler, data["issued"]["iso"], ppi)
    return made if isinstance(made, list) else [made or b""]


def _compiled(compiler: typst.Compiler, issued: str, ppi: float | None) -> bytes | list[bytes] | None:
    if ppi is not None:
        return compiler.compile(format="png", ppi=ppi)
    noon = dt.datetime.combine(dt.date.fromisoformat(issued), dt.time(12), dt.UTC)
    return compiler.compile(format="pdf", pdf_standards=[STANDARD], timestamp=int(noon.timestamp()))


def templates(*names: str) -> dict[str, str]:
    """Templates of this folder by name."""
    folder = resources.files("gristwright.documents")
    return {name: (folder / name).read_text(encoding="utf-8") for name in names}


def write_together(folder: Path, contents: Mapping[str, bytes], document: str) -> tuple[Path, ...]:
    """Write the files of a document into a folder, all or none.

    Raises Refused, naming the document, when the folder cannot be made or written to.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        replace_together(folder, contents)
    except OSError as error:
        what = f"the {document} cannot be written there ({error.strerror or error})."
        raise Refused([Problem(Address(str(folder)), what, "Name another folder.")]) from error
    return tuple(folder / name for name in contents)


def replace_together(folder: Path, contents: Mapping[str, bytes]) -> None:
    """Put all files in place or leave the folder as it was; each is written aside first, then renamed."""
    before = {name: (folder / name).read_bytes() if (folder / name).exists() else None for name in contents}
    aside = {name: folder / f".{name}.{os.getpid()}.aside" for name in contents}
    try:
        for name, content in contents.items():
            aside[name].write_bytes(content)
        for name in contents:
            os.replace(aside[name], folder / name)
    except OSError:
        _restore(folder, before)
        raise
    finally:
        for path in aside.values():
            path.unlink(missing_ok=True)


def _restore(folder: Path, before: Mapping[str, bytes | None]) -> None:
    for name, content in before.items():
        path = folder / name
        if content is None:
            path.unlink(missing_ok=True)
        elif path.read_bytes() != content:
            path.write_bytes(content)
