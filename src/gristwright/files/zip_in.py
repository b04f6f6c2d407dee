"""The files of a ZIP from outside, within limits of number and size; nothing is unpacked onto the disk here."""

from __future__ import annotations

import io
import zipfile
import zlib

from gristwright.basics import Address, Problem, Refused
from gristwright.files.opened import MOST_BYTES
from gristwright.files.texts import named
from gristwright.files.workbook_child import MOST_UNPACKED

MOST_FILES = 50
LONGEST_NAME = 200
PACKED = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
# What some systems put beside the files when they pack a folder.
STRAY = ("__MACOSX", ".DS_Store", "Thumbs.db", "desktop.ini")
BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, OSError, RuntimeError, ValueError)
AGAIN = "Pack the files again, or send them one by one."


def unpacked(name: str, raw: bytes) -> dict[str, bytes]:
    """The files of a ZIP by bare name, folders left aside. Raises Refused for what is damaged, locked or too large."""
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            return _files(name, archive)
    except BROKEN:
        raise _refused(name, "is damaged or not a ZIP.") from None


def _files(name: str, archive: zipfile.ZipFile) -> dict[str, bytes]:
    entries = [entry for entry in archive.infolist() if not entry.is_dir() and not _stray(entry.filename)]
    if len(entries) > MOST_FILES:
        raise _refused(name, f"holds {len(entries)} files; an enquiry has fewer than {MOST_FILES}.")
    files: dict[str, bytes] = {}
    for entry in entries:
        bare = _bare(name, entry.filename)
        if bare in files:
            raise _refused(name, f"holds two files called {bare!r}.")
        files[bare] = _content(name, bare, archive, entry)
        if sum(map(len, files.values())) > MOST_UNPACKED:
            raise _refused(name, f"unpacks to more than {MOST_UNPACKED // 1_000_000} MB.")
    if not files:
        raise _refused(name, "holds no file.")
    return files


def _bare(name: str, path: str) -> str:
    """The last part of a path; what is no name of a file is refused."""
    bare = path.replace("\\", "/").rpartition("/")[2]
    if bare in (".", "..") or len(bare) > LONGEST_NAME or not bare.isprintable():
        raise _refused(name, f"holds a file by the name {named(bare[:LONGEST_NAME])!r}.")
    if bare.lower().endswith(".zip"):
        raise _refused(name, f"holds another ZIP, {bare!r}.")
    return bare


def _content(name: str, bare: str, archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes:
    """What a file holds, read no further than the limit whatever the ZIP says of its size."""
    if entry.flag_bits & 0x1:
        raise _refused(name, "is protected by a password.")
    if entry.compress_type not in PACKED:
        raise _refused(name, f"packs {bare!r} in a way that is not read here.")
    with archive.open(entry) as packed:
        content = packed.read(MOST_BYTES + 1)
    if len(content) > MOST_BYTES:
        raise _refused(name, f"holds {bare!r}, which is larger than {MOST_BYTES // 1_000_000} MB.")
    return content


def _stray(path: str) -> bool:
    parts = path.replace("\\", "/").split("/")
    return any(part in STRAY or part.startswith("._") for part in parts)


def _refused(name: str, what: str) -> Refused:
    return Refused([Problem(Address(named(name)), what, AGAIN)])
