"""Just enough of the compound file ([MS-CFB]) and of BIFF8 ([MS-XLS]) for an old workbook and a locked one."""

from __future__ import annotations

import struct

SECTOR = 512
END, FAT, FREE = 0xFFFFFFFE, 0xFFFFFFFD, 0xFFFFFFFF


def compound(streams: dict[str, bytes]) -> bytes:
    """A compound file of one FAT sector, one directory sector and the streams, each filled up to 4096 bytes."""
    fat, body, entries = [FAT, END], b"", []
    for data in streams.values():
        data = data.ljust(max(4096, -(-len(data) // SECTOR) * SECTOR), b"\0")
        first, count = len(fat), len(data) // SECTOR
        fat += [*range(first + 1, first + count), END]
        body += data
        entries.append((first, len(data)))
    directory = _entry("Root Entry", 5, FREE, 1, END, 0)
    for k, (name, (first, size)) in enumerate(zip(streams, entries, strict=True), start=1):
        directory += _entry(name, 2, k + 1 if k < len(streams) else FREE, FREE, first, size)
    head = bytes.fromhex("d0cf11e0a1b11ae1") + b"\0" * 16 + struct.pack("<HHHHH", 0x3E, 3, 0xFFFE, 9, 6) + b"\0" * 6
    head += struct.pack("<IIIIIIIII", 0, 1, 1, 0, 4096, END, 0, END, 0) + struct.pack("<I", 0) + b"\xff" * 432
    table = struct.pack(f"<{len(fat)}I", *fat).ljust(SECTOR, b"\xff")
    return head + table + directory.ljust(SECTOR, b"\0") + body


def _entry(name: str, kind: int, sibling: int, child: int, first: int, size: int) -> bytes:
    text = (name + "\0").encode("utf-16-le")
    return (
        text.ljust(64, b"\0")
        + struct.pack("<HBBIII", len(text), kind, 1, FREE, sibling, child)
        + b"\0" * 36
        + struct.pack("<IQ", first, size)
    )


def old_workbook(rows: list[list[str | float]]) -> bytes:
    """An XLS of one sheet, Sheet1."""
    start = _record(0x0809, struct.pack("<HHHHII", 0x0600, 5, 0, 1996, 0, 6)) + _record(0x42, struct.pack("<H", 1200))
    bound = struct.pack("<IBBBB", 0, 0, 0, 6, 0) + b"Sheet1"
    offset = len(start) + len(bound) + 8
    globals_ = start + _record(0x85, struct.pack("<I", offset) + bound[4:]) + _record(0x0A, b"")
    sheet = _record(0x0809, struct.pack("<HHHHII", 0x0600, 0x10, 0, 1996, 0, 6))
    for r, row in enumerate(rows):
        for c, value in enumerate(row):
            place = struct.pack("<HHH", r, c, 0)
            if isinstance(value, str):
                text = struct.pack("<HB", len(value), 1) + value.encode("utf-16-le")
                sheet += _record(0x0204, place + text)
            else:
                sheet += _record(0x0203, place + struct.pack("<d", value))
    return compound({"Workbook": globals_ + sheet + _record(0x0A, b"")})


def locked_workbook() -> bytes:
    """What an encrypted XLSX looks like from outside: a compound file with its two streams."""
    return compound({"EncryptionInfo": b"\4\0\4\0\x40\0\0\0", "EncryptedPackage": b"\0" * 64})


def _record(kind: int, data: bytes) -> bytes:
    return struct.pack("<HH", kind, len(data)) + data
