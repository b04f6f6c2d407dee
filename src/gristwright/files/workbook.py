"""Workbooks: values as stored, with formulas never computed, merged cells and hidden sheets noticed.

A file from outside is opened by a process of its own, `workbook_child`, under limits of memory, time and output:
whatever it does to that process becomes a sentence here. See docs/certificates.md.
"""

from __future__ import annotations

import json
import math
import os
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

from gristwright.basics import Address, Problem, Refused
from gristwright.files import workbook_child as child
from gristwright.files.cells import Cell, Sheet, rectangle, spread
from gristwright.guard.limits import LIMITED

MOST_SECONDS = 20.0
MOST_ANSWER_BYTES = 32_000_000
MOST_CELLS_OF_BOOK = 500_000
PROGRAM = ["-I", child.__file__]
MENDER = [
    "-I",
    "-c",
    "import json, sys; asked = json.loads(sys.argv[1]); sys.path[:] = asked['path'];"
    " from gristwright.files.workbook_mend import main; main(asked)",
]
BY_HAND = "Mend it in a spreadsheet program and send the file again."
AGAIN = "Send it again in a minute."
# So many at a time, for each may take its whole memory.
_TURNS = threading.BoundedSemaphore(2)
MOST_WAIT_S = 45.0


def read_workbook(name: str, raw: bytes, zipped: bool, problems: list[Problem]) -> list[Sheet]:
    """The visible sheets of a workbook. Raises Refused when it is locked, damaged, too large or has no cells."""
    if len(raw) > child.MOST_UNPACKED:
        raise _refused(name, f"is larger than {child.MOST_UNPACKED // 1_000_000} MB.", child.SEND_ALONE)
    if not zipped:
        _refuse_other_office_files(name, raw)
    answer = _understood(name, _said(name, PROGRAM, asked(zipped), raw))
    if "fault" in answer:
        raise _refused(name, *answer["fault"])
    problems += _remarks(name, answer)
    if sum(told["height"] * told["width"] for told in answer["sheets"]) > MOST_CELLS_OF_BOOK:
        raise _refused(name, f"has more than {MOST_CELLS_OF_BOOK} cells in all its sheets.", child.SEND_ALONE)
    sheets = [_sheet(name, told) for told in answer["sheets"]]
    if not any(told["cells"] for told in answer["sheets"]):
        raise _refused(name, "has no filled cell in a visible sheet; it holds no lot.", "Add the lots.")
    return sheets


def _refused(name: str, what: str, way_out: str) -> Refused:
    return Refused([Problem(Address(name), what, way_out)])


def _refuse_other_office_files(name: str, raw: bytes) -> None:
    if "EncryptedPackage".encode("utf-16-le") in raw:
        raise _refused(name, *child.LOCKED)
    if not any(word.encode("utf-16-le") in raw for word in ("Workbook", "Book")):
        raise _refused(name, "is an old office file, but no workbook.", child.SAVE_AGAIN)


def _remarks(name: str, answer: Mapping[str, Any]) -> list[Problem]:
    """Sheets that are not read."""
    problems = [Problem(Address(name, hidden), "is hidden and was not read.", "", True) for hidden in answer["hidden"]]
    if answer["count"] > child.MOST_SHEETS:
        what = f"has {answer['count']} sheets; only the first {child.MOST_SHEETS} are read."
        problems.append(Problem(Address(name), what, "Send those with lots alone.", True))
    return problems


def _sheet(name: str, told: Mapping[str, Any]) -> Sheet:
    height, width = told["height"], told["width"]
    rows = [[Cell(row, column) for column in range(1, width + 1)] for row in range(1, height + 1)]
    for row, column, *rest in told["cells"]:
        rows[row - 1][column - 1] = Cell(row, column, *rest)
    spread(rows, told["merged"])
    return Sheet(name, told["name"], rectangle(rows))


def mended_workbook(name: str, raw: bytes, texts: Sequence[tuple[Address, str]]) -> bytes:
    """The workbook with texts in place of cells, all else as it was. Raises Refused where it cannot be mended here."""
    cells = [(address.sheet, address.row, address.column, text) for address, text in texts]
    said = _said(name, MENDER, asked(True), json.dumps(cells).encode("ascii") + b"\n" + raw)
    if said.startswith(b"PK"):
        return said
    answer = _understood(name, said)
    if "fault" in answer:
        raise _refused(name, *answer["fault"])
    faults = answer.get("faults", ())
    raise Refused([Problem(Address(name, sheet, row, column), *said) for sheet, row, column, *said in faults])


# The process


def asked(zipped: bool) -> str:
    """What the process is told: where the libraries are, how the file begins, its limits."""
    seconds = max(1, math.ceil(MOST_SECONDS))
    limits = {"memory": child.MOST_MEMORY_BYTES, "seconds": seconds, "output": MOST_ANSWER_BYTES}
    return json.dumps({"path": sys.path, "zipped": zipped, **limits})


def _said(name: str, program: Sequence[str], argument: str, raw: bytes) -> bytes:
    """What the process said of the file. Raises Refused when it died, took too long or got no turn."""
    if not LIMITED:
        raise _refused(name, *child.UNLIMITED)
    quiet = os.environ | {"RUST_BACKTRACE": "0"}
    with _turn(name), tempfile.TemporaryFile() as said:
        try:
            done = subprocess.run(
                [sys.executable, *program, argument],
                input=raw,
                stdout=said,
                stderr=subprocess.DEVNULL,
                timeout=MOST_SECONDS,
                env=quiet,
            )
        except subprocess.TimeoutExpired:
            raise _too_slow(name) from None
        except OSError as error:
            what = f"could not be read: no process could be started for it ({error.strerror})."
            raise _refused(name, what, child.AS_CSV) from None
        if done.returncode == -signal.SIGXCPU:
            raise _too_slow(name)
        said.seek(0)
        return said.read(MOST_ANSWER_BYTES) if done.returncode == 0 else b""


@contextmanager
def _turn(name: str) -> Iterator[None]:
    """One of the turns. Raises Refused when none comes in time."""
    if not _TURNS.acquire(timeout=MOST_WAIT_S):
        raise _refused(name, f"was not opened: others took more than {MOST_WAIT_S:g} seconds.", AGAIN)
    try:
        yield
    finally:
        _TURNS.release()


def _too_slow(name: str) -> Refused:
    return _refused(name, f"takes more than {MOST_SECONDS:g} seconds to read.", child.COPY_OUT)


def _understood(name: str, said: bytes) -> dict[str, Any]:
    try:
        answer = json.loads(said)
    except ValueError:
        answer = None
    if not isinstance(answer, dict):
        raise _refused(name, *child.BROKE)
    return answer
