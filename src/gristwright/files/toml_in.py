"""Open a TOML file of ours: it is there, it parses, it is of the right kind and not newer than we are."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from gristwright.basics import Address, Problem, Refused
from gristwright.files.reader import Table
from gristwright.files.texts import composed_tree, file_name_problems, named, tree_problems
from gristwright.files.upgrades import Names, upgraded

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
        raise Refused([Problem(Address(named(str(path))), "is not there.", f"Give the path of the {what}.")]) from None
    except OSError as error:
        why = f"cannot be read ({error.strerror})."
        raise Refused([Problem(Address(str(path)), why, f"Give the {what}.")]) from None


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
    try:
        data = tomllib.loads(raw.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise Refused([Problem(Address(path.name), "is not a text file in UTF-8.", "Save it as UTF-8 text.")]) from None
    except tomllib.TOMLDecodeError as error:
        raise Refused(
            [Problem(Address(path.name), f"is not valid TOML: {error}.", "Mend that line; quotes are usual.")]
        ) from None
    version = _version(data, kind, path)
    # Of lots and of a map only some texts are printed; what reads them looks at those.
    if kind not in ("lots", "map"):
        problems += [*file_name_problems(path.name), *tree_problems(data, Address(path.name))]
    return composed_tree(data), version


def _version(data: dict[str, Any], kind: str, path: Path) -> int:
    stated = data.get("format")
    wanted = f"gristwright.{kind}/{NEWEST[kind]}"
    where = Address(path.name).to("format")
    name, _, version = stated.partition("/") if isinstance(stated, str) else ("", "", "")
    if name != f"gristwright.{kind}" or not version.isdigit() or int(version) < 1:
        what = f"format {stated!r} is not a {kind} file." if stated else "the line that says its format is missing."
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
