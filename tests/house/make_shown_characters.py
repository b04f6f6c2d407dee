"""Makes reference/tables/shown_characters.csv anew: `python tests/house/make_shown_characters.py`.

Run it when the typeface's package changes; tests/house/test_shown_characters.py says when that is due.
"""

from __future__ import annotations

import csv
import struct
from collections.abc import Iterable, Iterator
from importlib import resources
from pathlib import Path

TABLE = Path(__file__).resolve().parents[2] / "src/gristwright/reference/tables/shown_characters.csv"
# The faces that paper and charts are set in; italics stand on the desk alone, where a browser falls back.
FACES = ("Regular", "Semibold", "Bold")
# One has an empty glyph in the typeface and no place in a tagged PDF, the other is seen at the end of a line alone.
NEVER = {0xFEFF, 0xAD}


def face_characters(face: str) -> set[int]:
    """The code points for which a face has a glyph of its own."""
    data = (resources.files("font_source_sans_pro") / "files" / f"SourceSansPro-{face}.ttf").read_bytes()
    (count,) = struct.unpack_from(">H", data, 4)
    tables = {tag: at for tag, _, at, _ in (struct.unpack_from(">4sIII", data, 12 + 16 * n) for n in range(count))}
    start = tables[b"cmap"]
    (maps,) = struct.unpack_from(">H", data, start + 2)
    offsets = {struct.unpack_from(">HHI", data, start + 4 + 8 * n)[2] for n in range(maps)}
    return {code for offset in offsets for code, glyph in _glyphs(data, start + offset) if glyph}


def _glyphs(data: bytes, at: int) -> Iterator[tuple[int, int]]:
    """Code point and glyph of one map, of the two kinds that hold Unicode: 4 and 12 as the OpenType text has them."""
    (kind,) = struct.unpack_from(">H", data, at)
    if kind == 12:
        (groups,) = struct.unpack_from(">I", data, at + 12)
        for n in range(groups):
            first, last, glyph = struct.unpack_from(">III", data, at + 16 + 12 * n)
            yield from ((code, glyph + code - first) for code in range(first, last + 1))
    elif kind == 4:
        yield from _segments(data, at)


def _segments(data: bytes, at: int) -> Iterator[tuple[int, int]]:
    (size,) = struct.unpack_from(">H", data, at + 6)
    for n in range(0, size, 2):
        last, first = (struct.unpack_from(">H", data, at + part + n)[0] for part in (14, 16 + size))
        delta, offset = (struct.unpack_from(">H", data, at + part + n)[0] for part in (16 + 2 * size, 16 + 3 * size))
        for code in range(first, min(last, 0xFFFE) + 1):
            if not offset:
                yield code, (code + delta) % 0x10000
                continue
            (glyph,) = struct.unpack_from(">H", data, at + 16 + 3 * size + n + offset + 2 * (code - first))
            yield code, (glyph + delta) % 0x10000 if glyph else 0


def shown_characters() -> set[int]:
    """What every face of paper and charts can show."""
    return set.intersection(*(face_characters(face) for face in FACES)) - NEVER


def ranges(codes: Iterable[int]) -> list[tuple[int, int]]:
    """Runs of code points, first and last of each."""
    found: list[tuple[int, int]] = []
    for code in sorted(codes):
        if found and code == found[-1][1] + 1:
            found[-1] = (found[-1][0], code)
        else:
            found.append((code, code))
    return found


def main() -> None:
    """Write the table."""
    with TABLE.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(("first", "last"))
        writer.writerows((f"{first:04X}", f"{last:04X}") for first, last in ranges(shown_characters()))


if __name__ == "__main__":
    main()
