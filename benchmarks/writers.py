"""Whether anything is lost when many save at once. Run: .venv/bin/python benchmarks/writers.py [HOW_MANY].

A desk on a folder of its own, as a person starts it, and so many people (50 unless another number is given) who save at
the same moment: each another cell of one certificate file, each another lot, each another price on one page; then all
the same field, of whom one is to be kept and the others told the difference; and all press Find bills, for one search.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from browser import writers
from browser.conftest import Desk
from browser.person import Person

HANDS = 50


def main(count: int) -> bool:
    """Print what was kept of what was saved; whether all of it was."""
    with tempfile.TemporaryDirectory(prefix="gristwright-benchmark-") as folder:
        desk = Desk(Path(folder)).open()
        try:
            person = Person(desk.address)
            here = person.begin()
            held = [
                line(f"{what}: kept", one(person, here, count), count, start)
                for what, one in (
                    ("cells of one file", writers.menders),
                    ("lots of one enquiry", writers.lots),
                    ("prices on one page", writers.prices),
                )
                for start in [time.perf_counter()]
            ]
            start = time.perf_counter()
            kept, told = writers.one_field(person, here, count)
            held += [line("one field: kept", kept, 1, start), line("one field: told", told, count - 1, start)]
            start = time.perf_counter()
            held.append(line("Find bills: searches", writers.searches(person, count), 1, start))
        finally:
            desk.close()
    return all(held)


def line(what: str, found: int, wanted: int, start: float) -> bool:
    """Print one figure; whether it is the one wanted."""
    seconds = time.perf_counter() - start
    print(
        f"{what:30} {found:4} of {wanted:4} {seconds:8.1f} s   {'held' if found == wanted else 'NOT HELD'}", flush=True
    )
    return found == wanted


if __name__ == "__main__":
    raise SystemExit(0 if main(int(sys.argv[1]) if len(sys.argv) > 1 else HANDS) else 1)
