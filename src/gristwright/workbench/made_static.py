"""Files the pages load that no one wrote here: the chart engine and the typeface, laid into the data folder."""

from __future__ import annotations

import gzip
import os
import shutil
from importlib.metadata import version
from pathlib import Path

from gristwright.charts.fonts import FACES, font_folder
from gristwright.charts.render import script
from gristwright.documents.dossier_html import parts_css

ENGINE = "made/vega.js"
NEEDED = "window.vegaEmbed = vegaEmbed;"


def lay_out(folder: Path) -> None:
    """Write what is missing or of another release below `folder`/made."""
    made = folder / "made"
    made.mkdir(parents=True, exist_ok=True)
    # The newest grammar of the bundle: the bundle holds one runtime, and an older grammar is compiled for another.
    release = version("vl-convert-python")
    stamp = made / "release.txt"
    if not stamp.exists() or stamp.read_text(encoding="ascii") != release:
        _replace(folder / ENGINE, script(NEEDED))
        _packed(folder / ENGINE).unlink(missing_ok=True)
        _replace(stamp, release)
    if not _packed(folder / ENGINE).exists():
        _pack(folder / ENGINE)
    # Nested, so that the style of a dossier's parts reaches nothing else on the page.
    _replace(made / "dossier.css", f".dossier {{\n{parts_css()}}}\n")
    for face in FACES:
        name = f"SourceSansPro-{face}.ttf"
        if not (made / name).exists():
            shutil.copyfile(font_folder() / name, made / name)
        if not _packed(made / name).exists():
            _pack(made / name)


def _packed(path: Path) -> Path:
    """The same file compressed, which WhiteNoise gives to a browser that takes it."""
    return path.with_name(f"{path.name}.gz")


def _pack(path: Path) -> None:
    aside = path.with_suffix(".aside")
    aside.write_bytes(gzip.compress(path.read_bytes(), mtime=0))
    os.replace(aside, _packed(path))


def _replace(path: Path, text: str) -> None:
    aside = path.with_suffix(".aside")
    aside.write_text(text, encoding="utf-8")
    os.replace(aside, path)
