"""The one typeface of charts and documents, from its package, laid where both engines can load it."""

from __future__ import annotations

import shutil
import tempfile
from functools import cache
from importlib import resources
from pathlib import Path

FAMILY = "Source Sans Pro"
FACES = ("Regular", "It", "Semibold", "Bold")

_kept: list[tempfile.TemporaryDirectory[str]] = []


@cache
def font_folder() -> Path:
    """A folder with the four faces in use and nothing else; gone when the program ends.

    The package holds each face twice, in two outline formats. Offered both, an engine takes whichever the folder
    lists first, so only one format is laid out here: the same pages then come out on every machine.
    """
    kept = tempfile.TemporaryDirectory(prefix="gristwright-font-")
    _kept.append(kept)
    files = resources.files("font_source_sans_pro") / "files"
    for face in FACES:
        name = f"SourceSansPro-{face}.ttf"
        with resources.as_file(files / name) as path:
            shutil.copyfile(path, Path(kept.name) / name)
    return Path(kept.name)
