"""Open a TOML file of ours: it is there, it parses, it is of the right kind and not newer than we are."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from gristwright.basics import Address, Problem, Refused
from gristwright.files.kinds import no_toml, wrong_kind
from gristwright.files.opened import MOST_BYTES, read_bytes
from gristwright.files.reader import Table
from gristwright.files.texts import composed_tree, file_name_problems, tree_problems
from gristwright.files.toml_limits import refuse_too_much, refuse_unparsable, too_deep
from gristwright.files.toml_words import line_problem
from gristwright.files.upgrades import Names, upgraded

# No text holds them.
CONTROL = {chr(code) for code in range(32)} - set("\t\n\r\f\x1b")
# The newest version of each kind of file that this release reads.
NEWEST = {"enquiry": 2, "plant": 2, "bill": 2, "lots": 2, "map": 1}
# A map is read for every file of lots, and says a word of each heading.
MOST_BYTES_OF = {"map": 1_000_000}
VERSION = re.compile(r"[1-9][0-9]{0,3}")


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
    raw = read_bytes(path, f"{kind} file", MOST_BYTES_OF.get(kind, MOST_BYTES))
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
    data = parsed(path.name, text)
    version = _version(data, kind, path)
    # Of lots and of a map only some texts are printed; what reads them looks at those.
    if kind not in ("lots", "map"):
        problems += [*file_name_problems(path.name), *tree_problems(data, Address(path.name))]
    return composed_tree(data), version


def parsed(name: str, text: str) -> dict[str, Any]:
    """The data of a TOML text. Raises Refused where it is none, and where it is more than a person writes."""
    refuse_unparsable(text, name)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise Refused([line_problem(name, text, str(error))]) from None
    except RecursionError:
        raise too_deep(name) from None
    except ValueError as error:  # a day that is none with an hour behind it
        raise Refused([line_problem(name, text, str(error))]) from None
    refuse_too_much(data, name)
    return data


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
    if name != f"gristwright.{kind}" or not VERSION.fullmatch(version):
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
