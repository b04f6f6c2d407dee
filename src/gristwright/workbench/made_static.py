"""Files the pages load that no one wrote here: the chart engine and the typeface, laid into the data folder."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import vl_convert

from gristwright.charts.fonts import FACES, font_folder
from gristwright.charts.render import VEGA_LITE

ENGINE = "made/vega.js"


def lay_out(folder: Path) -> None:
    """Write what is missing or of another release below `folder`/made."""
    made = folder / "made"
    made.mkdir(parents=True, exist_ok=True)
    release = f"{vl_convert.__version__} {VEGA_LITE}"
    stamp = made / "release.txt"
    if not stamp.exists() or stamp.read_text(encoding="ascii") != release:
        _replace(folder / ENGINE, vl_convert.javascript_bundle(vl_version=VEGA_LITE))
        _replace(stamp, release)
    for face in FACES:
        name = f"SourceSansPro-{face}.ttf"
        if not (made / name).exists():
            shutil.copyfile(font_folder() / name, made / name)


def _replace(path: Path, text: str) -> None:
    aside = path.with_suffix(".aside")
    aside.write_text(text, encoding="utf-8")
    os.replace(aside, path)
