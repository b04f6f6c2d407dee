"""Open a TOML file of ours: it is there, it parses, it is of the right kind and not newer than we are."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from gristwright.basics import Address, Problem, Refused
from gristwright.files.kinds import no_toml, wrong_kind
from gristwright.files.reader import Table
from gristwright.files.texts import composed_tree, file_name_problems, named, tree_problems
from gristwright.files.toml_words import line_problem
from gristwright.files.upgrades import Names, upgraded
from gristwright.reference.spelling import nearest

# No text holds them.
CONTROL = {chr(code) for code in range(32)} - set("\t\n\r\f\x1b")
MOST_BYTES = 2_000_000
# The newest version of each kind of file that this release reads.
NEWEST = {"enquiry": 2, "plant": 2, "bill": 2, "lots": 2, "map": 1}


def read_bytes(path: Path, what: str) -> bytes:
    """The file's bytes. Raises Refused when it is missing, a folder, unreadable or far too large."""
    try:
        if path.stat().st_size > MOST_BYTES:
            raise Refused(
                [Problem(Address(str(path)), f"is larger than {MOST_BYTES // 1_000_000} MB.", f"Is this the {what}?")]
            )
        return path.read_bytes()
    except (FileNotFoundError, ValueError):  # no path holds a NUL
        raise Refused([Problem(Address(named(str(path))), "is not there.", _beside(path, what))]) from None
    except IsADirectoryError:
        raise Refused([Problem(Address(str(path)), "is a folder.", f"Give the {what} in it.")]) from None
    except OSError as error:
        why = f"cannot be read ({error.strerror})."
        raise Refused([Problem(Address(str(path)), why, f"Give the {what}.")]) from None


def _beside(path: Path, what: str) -> str:
    """The way out where no file is: one of a name like it, or the path."""
    try:
        near = nearest(path.name, [one.name for one in path.parent.iterdir() if one.is_file()], 1, 0.75)
    except (OSError, ValueError):
        near = []
    return f"Did you mean {path.with_name(near[0])}?" if near else f"Give the path of the {what}."


def open_table(path: Path, kind: str, problems: list[Problem]) -> Table:
    """The file's top table. Raises Refused when nothing further could be read from it."""
    data, _ = _opened(path, kind, problems)
    table = Table(data, Address(path.name), problems)
    table.asked.add("format")
    return table


def open_data(path: Path, kind: str, problems: list[Problem]) -> tuple[dict[str, Any], Names]:
    """The file's data as its newest version says them, and the names that the file itself uses.

    Raises Refused when nothing further could be read from it.
    """
    data, version = _opened(path, kind, problems)
    return upgraded(kind, version, data)


def _opened(path: Path, kind: str, problems: list[Problem]) -> tuple[dict[str, Any], int]:
    raw = read_bytes(path, f"{kind} file")
    table = no_toml(path.name, kind)
    if table is not None:
        raise Refused([table])
    if not raw.strip():
        raise Refused([Problem(Address(path.name), "is empty.", f"Write the {kind} into it.")])
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refused([_not_text(path.name, raw)]) from None
    if set(text[:1000]) & CONTROL:
        raise Refused([Problem(Address(path.name), "is not a text file.", "Give a TOML file, saved as UTF-8 text.")])
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise Refused([line_problem(path.name, text, str(error))]) from None
    version = _version(data, kind, path)
    # Of lots and of a map only some texts are printed; what reads them looks at those.
    if kind not in ("lots", "map"):
        problems += [*file_name_problems(path.name), *tree_problems(data, Address(path.name))]
    return composed_tree(data), version


def _not_text(name: str, raw: bytes) -> Problem:
    """A file that is no UTF-8: in another encoding, at the line where that shows, or no text at all."""
    where = Address(name)
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return Problem(where, "is text in UTF-16.", "Save it as UTF-8 text.")
    if b"\0" in raw[:1000]:
        return Problem(where, "is not a text file.", "Give a TOML file, saved as UTF-8 text.")
    bad = next(n for n, line in enumerate(raw.split(b"\n"), start=1) if not _is_utf8(line))
    return Problem(Address(name, row=bad), "holds a letter that is not in UTF-8.", "Save the file as UTF-8 text.")


def _is_utf8(line: bytes) -> bool:
    try:
        line.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True


def _version(data: dict[str, Any], kind: str, path: Path) -> int:
    stated = data.get("format")
    wanted = f"gristwright.{kind}/{NEWEST[kind]}"
    where = Address(path.name).to("format")
    name, _, version = stated.partition("/") if isinstance(stated, str) else ("", "", "")
    if name != f"gristwright.{kind}" or not version.isdigit() or int(version) < 1:
        other = wrong_kind(Address(path.name), str(stated), kind)
        if other is not None:
            raise Refused([other])
        what = f"{stated!r} is no format we know." if stated else "the line that says its format is missing."
        raise Refused([Problem(where, what, f'Write format = "{wanted}" in the first line.')])
    if int(version) > NEWEST[kind]:
        raise Refused(
            [
                Problem(
                    where,
                    f"version {version} is newer than this release reads ({NEWEST[kind]}).",
                    f'Use a newer release, or save it as "{wanted}".',
                )
            ]
        )
    return int(version)
