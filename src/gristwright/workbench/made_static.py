"""Files the pages load that no one wrote here: the chart engine and the typeface, laid into the data folder."""

from __future__ import annotations

import gzip
from importlib.metadata import version
from pathlib import Path

from gristwright.charts.fonts import FACES, font_folder
from gristwright.charts.render import script
from gristwright.documents.dossier_html import parts_css
from gristwright.files.writing import write_file

ENGINE = "made/vega.js"
NEEDED = "window.vegaEmbed = vegaEmbed;"


def lay_out(folder: Path) -> None:
    """Write what is missing or of another release below `folder`/made. Raises Refused or OSError when it cannot."""
    made = folder / "made"
    made.mkdir(parents=True, exist_ok=True)
    for left in made.glob("*.aside"):  # of an earlier release that was killed
        left.unlink()
    # The newest grammar of the bundle: the bundle holds one runtime, and an older grammar is compiled for another.
    release = version("vl-convert-python")
    stamp = made / "release.txt"
    if not stamp.exists() or stamp.read_bytes() != release.encode():
        write_file(folder / ENGINE, script(NEEDED).encode())
        _packed(folder / ENGINE).unlink(missing_ok=True)
        write_file(stamp, release.encode())
    if not _packed(folder / ENGINE).exists():
        _pack(folder / ENGINE)
    # Nested, so that the style of a dossier's parts reaches nothing else on the page.
    style = f".dossier {{\n{parts_css()}}}\n".encode()
    if not (made / "dossier.css").exists() or (made / "dossier.css").read_bytes() != style:
        write_file(made / "dossier.css", style)
    for face in FACES:
        name = f"SourceSansPro-{face}.ttf"
        if not (made / name).exists():
            write_file(made / name, (font_folder() / name).read_bytes())
        if not _packed(made / name).exists():
            _pack(made / name)


def _packed(path: Path) -> Path:
    """The same file compressed, which WhiteNoise gives to a browser that takes it."""
    return path.with_name(f"{path.name}.gz")


def _pack(path: Path) -> None:
    write_file(_packed(path), gzip.compress(path.read_bytes(), mtime=0))
