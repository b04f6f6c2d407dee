"""Maps kept in a folder, and which of them reads a file: those of the supplier it names, or of its headings.

See docs/certificates.md.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from gristwright.basics import Address, Problem
from gristwright.files.cells import Sheet
from gristwright.files.certificates.mapping import Mapping, read_mapping
from gristwright.files.certificates.whose import HEADINGS, fingerprint, headings_of, names, texts_of
from gristwright.files.data_folder import data_folder
from gristwright.files.texts import named
from gristwright.reference.spelling import folded

FOLDER = "maps"
# Below it lies what the desk remembers, written anew whenever that changes.
OF_THE_DESK = "desk"
# A house has fewer suppliers, and each map is read for each file of lots.
MOST_MAPS = 200
# What one supplier says of every lot of a sheet is not said of a sheet of several.
OF_A_SHEET = ("sheet", "lots_are", "lot", "constants")


@dataclass(frozen=True)
class MapFound:
    """A map with its file."""

    path: Path
    mapping: Mapping

    @property
    def shown(self) -> str:
        """The file as it is named on paper: with its folder alone."""
        return f"{self.path.parent.name}/{self.path.name}"

    @property
    def of(self) -> str:
        """Whose words it holds; nothing for a map that goes by headings."""
        return self.mapping.supplier or ("" if self.mapping.headings_sha256 else self.path.stem)


def map_folders(lots: Path) -> tuple[Path, ...]:
    """Where maps for a file are looked for, the first before the next: beside it, in the data folder, of the desk."""
    kept = data_folder() / FOLDER
    return lots.parent / FOLDER, kept, kept / OF_THE_DESK


def maps_in(folders: Iterable[Path], problems: list[Problem]) -> Iterator[MapFound]:
    """Every map of some folders; one that cannot be read is left out, and that is said."""
    for folder in dict.fromkeys(folders):
        for path in _kept_in(folder, problems):
            reading = read_mapping(path)
            if reading.value is not None and not reading.faulty:
                yield MapFound(path, reading.value)
                continue
            why = next(problem for problem in reading.problems if not problem.warning)
            where = Address(f"{folder.name}/{path.name}")
            problems.append(Problem(where, f"is left out, for it is no map: {_what(why)}", why.way_out, warning=True))


def _kept_in(folder: Path, problems: list[Problem]) -> list[Path]:
    """The files of a folder that may be maps, by name; that there are too many to look into is said."""
    try:
        paths = sorted(folder.glob("*.toml")) if folder.is_dir() else []
    except OSError as error:
        problems.append(Problem(Address(named(str(folder))), f"cannot be looked into ({error.strerror}).", "", True))
        return []
    if len(paths) > MOST_MAPS:
        what = f"holds {len(paths)} maps; the first {MOST_MAPS} by name are looked into."
        problems.append(Problem(Address(named(str(folder))), what, "Keep those of your suppliers there.", True))
    return paths[:MOST_MAPS]


def _what(problem: Problem) -> str:
    fields = ".".join(map(str, problem.address.path))
    return f"{fields}: {problem.what}" if fields else problem.what


def fitting(maps: Iterable[MapFound], sheets: Sequence[Sheet]) -> list[MapFound]:
    """Those maps whose supplier is named on the sheets, or whose headings are theirs."""
    texts, own = texts_of(sheets), fingerprint(headings_of(sheets))
    return [one for one in maps if own == one.mapping.headings_sha256 or (one.of and names(texts, folded(one.of)))]


def merged(found: Sequence[MapFound]) -> Mapping:
    """Several maps as one, the first before the next; of several suppliers what is said of words alone."""
    several = len({folded(one.of) for one in found}) > 1
    whole = Mapping()
    for one in reversed(found):
        whole = _over(whole, one.mapping)
    return replace(whole, **{name: getattr(Mapping(), name) for name in OF_A_SHEET}) if several else whole


def _over(below: Mapping, above: Mapping) -> Mapping:
    """What two maps say together; what the upper one says of a word stands."""
    said = {" ".join(c.heading.split()).casefold() for c in above.columns}
    said |= {" ".join(text.split()).casefold() for text in (*above.ignore, *above.identity)}
    free = [c for c in below.columns if " ".join(c.heading.split()).casefold() not in said]
    return replace(
        above,
        sheet=above.sheet or below.sheet,
        lots_are=above.lots_are or below.lots_are,
        lot=above.lot or below.lot,
        ignore=(*above.ignore, *(text for text in below.ignore if " ".join(text.split()).casefold() not in said)),
        constants={**below.constants, **above.constants},
        materials={**below.materials, **above.materials},
        identity={**below.identity, **above.identity},
        units={**below.units, **above.units},
        methods={**below.methods, **above.methods},
        columns=(*above.columns, *free),
    )


def told(found: Sequence[MapFound], file: str) -> list[Problem]:
    """That a file was read by maps, as remarks."""
    return [
        Problem(Address(one.shown), f"{file} is read by this map{f' of {one.of}' if one.of else ''}.", warning=True)
        for one in found
    ]


def file_name_of(supplier: str) -> str:
    """The name of the map of a supplier: letters and digits of any script, joined by hyphens."""
    plain = "-".join(re.findall(r"\w+", supplier.replace("_", " ").casefold()))
    return f"{plain[:80] or 'supplier'}.toml"


def kept_under(mapping: Mapping) -> str:
    """What the desk would remember the words of a map under."""
    return folded(mapping.supplier)[:200] if mapping.supplier else HEADINGS + mapping.headings_sha256
