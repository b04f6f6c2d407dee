"""A recommendation as two files in a folder: the printed page and the JSON it was printed from."""

from __future__ import annotations

import datetime as dt
import json
import os
import re
import tempfile
from collections.abc import Mapping
from importlib import resources
from pathlib import Path
from typing import Final

import typst

from gristwright.basics import Address, Problem, Refused
from gristwright.charts import render as charts
from gristwright.charts.fonts import font_folder
from gristwright.charts.ledger import ledger_chart
from gristwright.documents.entries import LITRES, View
from gristwright.documents.view import recommendation_view
from gristwright.records.results import Ledger, Recommendation

PDF, JSON = "recommendation.pdf", "recommendation.json"
TEMPLATE, LOOK = "recommendation.typ", "house.typ"
STANDARD: Final = "ua-1"  # PDF/UA-1: tagged, titled, every picture with its text

PIXELS_PER_POINT = 1.3
ONE_LINE, TWO_LINES = 16, 24  # height of a ledger row in pixels
LONG_LABEL = 52  # characters that fit on one line of the ledger's table; a loss is set in by about three
LEDGER_WIDTH, PADDING = 240, 2


def write_recommendation(rec: Recommendation, folder: Path) -> tuple[Path, Path]:
    """Write recommendation.pdf and recommendation.json, both or neither; the same recommendation gives the same bytes.

    Raises Refused when the folder cannot be made or written to.
    """
    view = recommendation_view(rec)
    contents = {PDF: recommendation_pdf(view, rec.present.ledger), JSON: recommendation_json(view)}
    try:
        folder.mkdir(parents=True, exist_ok=True)
        replace_together(folder, contents)
    except OSError as error:
        raise Refused([_cannot_write(folder, error)]) from error
    return folder / PDF, folder / JSON


def _cannot_write(folder: Path, error: OSError) -> Problem:
    reason = error.strerror or str(error)
    return Problem(
        Address(str(folder)), f"the recommendation cannot be written there ({reason}).", "Name another folder."
    )


def recommendation_json(view: View) -> bytes:
    """The view as UTF-8 JSON, keys in the order of the document."""
    return (json.dumps(view, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()


def recommendation_pdf(view: View, ledger: Ledger | None) -> bytes:
    """The view printed: A4, tagged, dated by its day of issue and by nothing else."""
    return compile_pages(view, ledger)[0]


def compile_pages(view: View, ledger: Ledger | None, ppi: float | None = None) -> list[bytes]:
    """The document as one PDF, or as one PNG a page when `ppi` [dots per inch] is given."""
    with tempfile.TemporaryDirectory(prefix="gristwright-page-") as name:
        root = Path(name)
        for file, text in sources(view, ledger).items():
            (root / file).write_text(text, encoding="utf-8")
        made = _compile(root, view, ppi)
    return made if isinstance(made, list) else [made or b""]


def _compile(root: Path, view: View, ppi: float | None) -> bytes | list[bytes] | None:
    compiler = typst.Compiler(
        root=str(root), input=str(root / TEMPLATE), font_paths=[str(font_folder())], ignore_system_fonts=True
    )
    if ppi is not None:
        return compiler.compile(format="png", ppi=ppi)
    noon = dt.datetime.combine(dt.date.fromisoformat(view["issued"]["iso"]), dt.time(12), dt.UTC)
    return compiler.compile(format="pdf", pdf_standards=[STANDARD], timestamp=int(noon.timestamp()))


def sources(view: View, ledger: Ledger | None) -> dict[str, str]:
    """Everything the recommendation's template reads, by file name."""
    pictures, drawn = _pictures(view, ledger)
    return {
        **templates(TEMPLATE, LOOK),
        "view.json": json.dumps(view, ensure_ascii=False),
        "drawn.json": json.dumps(drawn),
        **pictures,
    }


def templates(*names: str) -> dict[str, str]:
    """Templates of this folder by name."""
    folder = resources.files("gristwright.documents")
    return {name: (folder / name).read_text(encoding="utf-8") for name in names}


def _pictures(view: View, ledger: Ledger | None) -> tuple[dict[str, str], View]:
    """The charts as SVG, and their sizes; no ledger where its litres are withheld."""
    pictures, drawn = _ledger_picture(view, ledger) if ledger else ({}, {})
    drawn["changes"] = None
    changes = view["charts"]["changes"]
    if changes is not None:
        pictures["changes.svg"] = charts.svg(changes)
        drawn["changes"] = changes["description"]
    return pictures, drawn


def _ledger_picture(view: View, ledger: Ledger) -> tuple[dict[str, str], View]:
    """The ledger's picture has its rows beside the rows of the table."""
    longest = max(len(row.label) + 3 * (row.kind == "loss") for row in ledger.rows)
    height = ONE_LINE if longest <= LONG_LABEL else TWO_LINES
    picture = charts.svg(
        ledger_chart(ledger, row_labels=False, row_height=height, width=LEDGER_WIDTH, axis_title=LITRES)
    )
    drawn: View = {
        "row_pt": height / PIXELS_PER_POINT,
        "top_pt": PADDING / PIXELS_PER_POINT,
        "width_pt": _svg_width(picture) / PIXELS_PER_POINT,
        "ledger": view["charts"]["ledger"]["description"],
    }
    return {"ledger.svg": picture}, drawn


def _svg_width(picture: str) -> float:
    found = re.search(r'<svg[^>]*? width="([0-9.]+)"', picture)
    return float(found.group(1)) if found else float(LEDGER_WIDTH)


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
