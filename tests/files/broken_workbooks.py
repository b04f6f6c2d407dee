"""Workbooks broken in every way a mail, a program or a malicious hand breaks them, the same ones for one seed."""

from __future__ import annotations

import io
import random
import re
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

from files.certificates.old_formats import old_workbook

EXAMPLES = Path(__file__).parents[2] / "examples"
SHEET = "xl/worksheets/sheet1.xml"
Parts = list[tuple[str, bytes]]


def sources() -> list[bytes]:
    """The workbooks of the examples, and an old one with the same kind of lots."""
    old = [["lot", "material", "moisture [%]"], *([f"PD-{n}", "pale_distilling_malt", 4.0 + n / 10] for n in range(9))]
    return [*(path.read_bytes() for path in sorted(EXAMPLES.glob("*/*.xlsx"))), old_workbook(old)]


def broken(seed: int) -> tuple[str, bytes]:
    """The workbook of a seed: how it was broken, with the ending of its kind, and its bytes."""
    dice = random.Random(seed)
    raw = dice.choice(sources())
    ways = ZIPPED if raw.startswith(b"PK") else OLD
    way = ways[seed % len(ways)]
    return f"{way.__name__}{'.xlsx' if ways is ZIPPED else '.xls'}", way(raw, dice)


# Bytes of any file


def flipped(raw: bytes, dice: random.Random) -> bytes:
    """Some bytes changed."""
    made = bytearray(raw)
    for _ in range(dice.choice((1, 3, 30, 300))):
        made[dice.randrange(len(made))] = dice.randrange(256)
    return bytes(made)


def cut_short(raw: bytes, dice: random.Random) -> bytes:
    """The end is missing."""
    return raw[: dice.randrange(8, len(raw))]


def shuffled(raw: bytes, dice: random.Random) -> bytes:
    """Blocks of a disk in another order."""
    size = dice.choice((64, 512))
    blocks = [raw[at : at + size] for at in range(0, len(raw), size)]
    tail = blocks[1:]
    dice.shuffle(tail)
    return b"".join([blocks[0], *tail])


def sectors(raw: bytes, dice: random.Random) -> bytes:
    """An old workbook whose numbers of sectors, sizes or records are others."""
    made = bytearray(raw)
    for _ in range(dice.choice((1, 4, 16))):
        at = 4 * dice.randrange(6, len(made) // 4)
        made[at : at + 4] = struct.pack(
            "<I", dice.choice((0, 1, 0x7FFFFFFF, 0xFFFFFFFE, 0xFFFFFFFF, dice.getrandbits(32)))
        )
    return bytes(made)


def records(raw: bytes, dice: random.Random) -> bytes:
    """An old workbook whose cells stand far away or whose records say another length."""
    at = raw.find(b"\x09\x08")
    made = bytearray(raw)
    for _ in range(dice.choice((1, 3, 9))):
        where = at + 2 * dice.randrange(1, 200)
        made[where : where + 2] = struct.pack("<H", dice.choice((0, 1, 0x7FFF, 0xFFFE, 0xFFFF)))
    return bytes(made)


# The package


def parts_of(raw: bytes) -> Parts:
    """The parts by name."""
    with zipfile.ZipFile(io.BytesIO(raw)) as package:
        return [(name, package.read(name)) for name in package.namelist()]


def packed(parts: Parts) -> bytes:
    """The parts as a package, names twice or not."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as package:
        for name, data in parts:
            info = zipfile.ZipInfo(name, (2026, 1, 1, 0, 0, 0))
            package.writestr(info, data, zipfile.ZIP_DEFLATED)
    return made.getvalue()


def dropped(raw: bytes, dice: random.Random) -> bytes:
    """Parts are missing."""
    parts = parts_of(raw)
    for _ in range(dice.choice((1, 1, 2))):
        parts.pop(dice.randrange(len(parts)))
    return packed(parts)


def doubled(raw: bytes, dice: random.Random) -> bytes:
    """A part is there twice, or under the same name in capitals."""
    parts = parts_of(raw)
    name, _ = dice.choice(parts)
    return packed([*parts, (name.upper(), dice.choice(parts)[1])])


def swapped(raw: bytes, dice: random.Random) -> bytes:
    """Two parts in each other's place."""
    parts = parts_of(raw)
    one, other = dice.sample(range(len(parts)), 2)
    parts[one], parts[other] = (parts[one][0], parts[other][1]), (parts[other][0], parts[one][1])
    return packed(parts)


def nested(raw: bytes, dice: random.Random) -> bytes:
    """A package within a package, or hundreds of parts, or one that unpacks to much."""
    count = dice.choice((1, 600))
    filler = dice.choice((raw, packed([("a", raw)]), b" " * (30_000_000 // count), b"<a/>"))
    return packed([*parts_of(raw), *((f"xl/own{n}.xml", filler) for n in range(count))])


def wrong_sum(raw: bytes, dice: random.Random) -> bytes:
    """The check sum, the method or a size of a part is another."""
    made, at = bytearray(raw), [m.start() for m in re.finditer(b"PK\x01\x02", raw)]
    field = dice.choice((8, 10, 16, 20, 24, 28, 42))
    where = dice.choice(at) + field
    made[where : where + 2] = struct.pack("<H", dice.getrandbits(16))
    return bytes(made)


# Its XML


def edited(raw: bytes, name: str, change: Callable[[str], str]) -> bytes:
    """One part written otherwise."""
    return packed([(own, change(data.decode()).encode() if own == name else data) for own, data in parts_of(raw)])


def bytes_of_part(raw: bytes, dice: random.Random) -> bytes:
    """Bytes of one part changed, its check sum right."""
    parts = parts_of(raw)
    at = dice.randrange(len(parts))
    return packed([(name, flipped(data, dice) if n == at else data) for n, (name, data) in enumerate(parts)])


def attributes(raw: bytes, dice: random.Random) -> bytes:
    """Values of attributes exchanged for what nobody expects."""
    odd = ("", "-1", "0", "99999999999", "1e400", "A1", "XFE1048577", "é", "&#x10FFFF;", "x" * 5000, "1:1", "s")
    parts = parts_of(raw)
    names = [n for n, (name, _) in enumerate(parts) if name.startswith("xl/")]
    at = dice.choice(names)
    text = parts[at][1].decode()
    spots = [m.span(1) for m in re.finditer(r'="([^"]*)"', text)]
    for start, end in sorted(dice.sample(spots, min(len(spots), dice.choice((1, 2, 8)))), reverse=True):
        text = text[:start] + dice.choice(odd) + text[end:]
    parts[at] = (parts[at][0], text.encode())
    return packed(parts)


def pieces(raw: bytes, dice: random.Random) -> bytes:
    """Elements of the sheet dropped, doubled or put elsewhere."""

    def change(text: str) -> str:
        found = re.findall(r"<[^>]*>|[^<]+", text)
        for _ in range(dice.choice((1, 3, 20))):
            at = dice.randrange(len(found))
            piece = found.pop(at) if dice.random() < 0.6 else found[at]
            if dice.random() < 0.6:
                found.insert(dice.randrange(len(found)), piece)
        return "".join(found)

    return edited(raw, dice.choice((SHEET, "xl/workbook.xml", "xl/styles.xml", "xl/sharedStrings.xml")), change)


def far(raw: bytes, dice: random.Random) -> bytes:
    """Cells far away."""
    where = dice.choice(("A1048576", "XFD1", "XFD1048576", "ZZZ9999999", "A9999999999"))
    cell = dice.choice((f'<c r="{where}"><v>1</v></c>', f"<c r='{where}'/>", f'<row r="{where}"><c/></row>'))
    return edited(raw, SHEET, lambda text: text.replace("</row>", f"{cell}</row>", 1))


def merged(raw: bytes, dice: random.Random) -> bytes:
    """Ranges merged: huge, back to front, over each other, without end."""
    area = dice.choice(("A1:XFD1048576", "C9:A1", "A1:B2", "A1", "A0:B0", ":", "A1:ZZZ9999999"))
    many = f"<mergeCells>{f'<mergeCell ref={chr(34)}{area}{chr(34)}/>' * dice.choice((1, 3, 5000))}</mergeCells>"
    return edited(raw, SHEET, lambda text: text.replace("</sheetData>", f"</sheetData>{many}", 1))


def strings(raw: bytes, dice: random.Random) -> bytes:
    """Shared strings: very many, very long, in runs, none, and cells that point beyond them."""
    said = dice.choice((f"<si><t>{'x' * 300_000}</t></si>", "<si><r><t>a</t></r></si>" * 50_000, "<si/>", ""))
    raw = edited(raw, "xl/sharedStrings.xml", lambda text: re.sub(r"(<sst[^>]*>)", rf"\g<1>{said}", text, count=1))
    return edited(raw, SHEET, lambda text: text.replace("<v>1</v>", f"<v>{dice.choice((-1, 10**12))}</v>", 3))


def styles(raw: bytes, dice: random.Random) -> bytes:
    """Tables of styles that are huge, deep or senseless."""
    said = dice.choice(
        ('<xf numFmtId="9"/>' * 60_000, "<xf>" * 3000, '<numFmt numFmtId="x" formatCode="%"/>', "<a:b/>")
    )
    return edited(raw, "xl/styles.xml", lambda text: re.sub(r"(<cellXfs[^>]*>)", rf"\g<1>{said}", text, count=1))


def figures(raw: bytes, dice: random.Random) -> bytes:
    """Values that are no figures."""
    value = dice.choice(("inf", "nan", "1e999", "-0", "9" * 4000, "0x1", "", "2958466", "-1e-400", "&#9;"))
    kind = dice.choice(("", ' t="d"', ' t="e"', ' t="b"', ' t="str"', ' t="zz"'))
    cell = f'<c r="C3"{kind}><v>{value}</v></c>'
    return edited(raw, SHEET, lambda text: re.sub(r'<c r="C3"[^>]*>.*?</c>', cell, text, count=1))


def entities(raw: bytes, dice: random.Random) -> bytes:
    """A document type, entities, another encoding, a deep nest, a comment without end."""
    head = dice.choice(
        (
            '<!DOCTYPE a [<!ENTITY b "bbbb">]>',
            '<!DOCTYPE a SYSTEM "file:///etc/hostname">',
            '<?xml version="1.0" encoding="utf-7"?>',
            "<a>" * 100_000,
            "<!--",
        )
    )
    return edited(raw, SHEET, lambda text: head + re.sub(r"<\?xml[^>]*\?>", "", text))


ZIPPED: tuple[Callable[[bytes, random.Random], bytes], ...] = (
    flipped,
    cut_short,
    shuffled,
    dropped,
    doubled,
    swapped,
    nested,
    wrong_sum,
    bytes_of_part,
    attributes,
    pieces,
    far,
    merged,
    strings,
    styles,
    figures,
    entities,
)
OLD: tuple[Callable[[bytes, random.Random], bytes], ...] = (flipped, cut_short, shuffled, sectors, records)
