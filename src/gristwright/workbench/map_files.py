"""What is remembered as maps in the data folder, for the terminal; and maps that lie there, for the desk.

See docs/certificates.md.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from pathlib import Path

from gristwright.basics import Problem
from gristwright.files.cells import Sheet
from gristwright.files.certificates import (
    HEADINGS,
    OF_THE_DESK,
    Found,
    Mapping,
    file_name_of,
    fitting,
    maps_in,
    write_mapping,
)
from gristwright.files.certificates.maps import FOLDER
from gristwright.store.models import Remembered
from gristwright.workbench import home
from gristwright.workbench.explaining import (
    CONSTANT,
    HEADING,
    IGNORED,
    MATERIAL,
    METHOD,
    ROLE,
    UNIT,
    Explained,
    mapping_of,
)


def folder() -> Path:
    """Where maps lie that the desk puts to files, too."""
    return home.folder() / FOLDER


def write() -> None:
    """One map a supplier of what is remembered, and no other, in the folder of the desk's own."""
    own = folder() / OF_THE_DESK
    own.mkdir(parents=True, exist_ok=True)
    written = set()
    for key, rows in groupby(Remembered.objects.order_by("key", "what", "word"), key=lambda row: row.key):
        kept = list(rows)
        by_headings = key.startswith(HEADINGS)
        name = f"headings-{key.removeprefix(HEADINGS)[:16]}.toml" if by_headings else file_name_of(kept[0].supplier)
        mapping = mapping_of([Explained(row.what, row.word, row.means) for row in kept])
        whose = {"headings_sha256": key.removeprefix(HEADINGS)} if by_headings else {"supplier": kept[0].supplier}
        write_mapping(own / name, replace(mapping, **whose))
        written.add(name)
    for path in own.glob("*.toml"):
        if path.name not in written:
            path.unlink()


def said(sheets: Sequence[Sheet]) -> list[Explained]:
    """What the maps of the data folder say of the words in a file; those the desk wrote itself are not asked."""
    problems: list[Problem] = []
    return [one for found in fitting(maps_in([folder()], problems), sheets) for one in _explained(found)]


def _explained(found: Found) -> Iterator[Explained]:
    mapping: Mapping = found.mapping
    since = dt.datetime.fromtimestamp(found.path.stat().st_mtime, dt.UTC).isoformat()
    told = [(HEADING, text, IGNORED) for text in mapping.ignore]
    told += [(HEADING, text, f"{ROLE}{role}") for text, role in mapping.identity.items()]
    told += [(HEADING, mapping.lot, f"{ROLE}lot")] if mapping.lot and mapping.lot not in mapping.identity else []
    told += [(HEADING, c.heading, f"{c.field} {c.unit} {c.basis}".strip()) for c in mapping.columns]
    told += [(METHOD, c.heading, c.method) for c in mapping.columns if c.method]
    words = {MATERIAL: mapping.materials, UNIT: mapping.units, METHOD: mapping.methods, CONSTANT: mapping.constants}
    told += [(what, word, means) for what, said in words.items() for word, means in said.items()]
    return (Explained(what, word, means, since, found.shown) for what, word, means in told)
