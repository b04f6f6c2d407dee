"""What broken workbooks do. Run: PYTHONPATH=tests .venv/bin/python benchmarks/broken_workbooks.py [CASES [SEED]].

Workbooks broken in every way (tests/files/broken_workbooks.py) are read one after the other, and a cell of those that
can be read is mended: each gives sheets or one sentence. Printed are the cases, how they ended, crashes of the process
that reads (a crash is a sentence, too), what ended otherwise (must be 0), the slowest, the largest memory of a process
that reads, and what this one grew by.
"""

from __future__ import annotations

import resource
import sys
import time
from collections import Counter

from files.broken_workbooks import broken
from gristwright.basics import Address, Problem, Refused
from gristwright.files import workbook
from gristwright.files.workbook_child import BROKE

# One is read, and mended.
MOST_SECONDS, MOST_GROWN_MB = 2 * workbook.MOST_SECONDS + 5, 200.0


def told(name: str, raw: bytes) -> str:
    """How reading one ended: read, the sentence without the name, or the error that must not be."""
    problems: list[Problem] = []
    try:
        sheets = workbook.read_workbook(name, raw, raw.startswith(b"PK"), problems)
        if raw.startswith(b"PK"):
            workbook.mended_workbook(name, raw, [(Address(name, sheets[0].name, 3, 2), "mended")])
    except Refused as refused:
        return refused.problems[0].what if len(refused.problems) == 1 else "ERROR several sentences"
    except Exception as error:
        return f"ERROR {type(error).__name__} {error}"
    return "read, and mended where it is no old one"


def main() -> int:
    """Read so many, print the figures; 1 when a limit is not held."""
    count, first = (int(text) for text in [*sys.argv[1:3], *("500", "0")[len(sys.argv) - 1 :]])
    ends: Counter[str] = Counter()
    slowest, at_start = (0.0, ""), 0
    for seed in range(first, first + count):
        name, raw = broken(seed)
        start = time.perf_counter()
        said = told(name, raw)
        slowest = max(slowest, (time.perf_counter() - start, f"{name} of seed {seed}"))
        ends[said] += 1
        if said.startswith("ERROR"):
            print(f"seed {seed} {name}: {said}")
        at_start = at_start or resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    wrong = sum(number for said, number in ends.items() if said.startswith("ERROR"))
    child = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1000
    grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - at_start) / 1000
    for said, number in ends.most_common():
        print(f"{number:6}  {said[:100]}")
    print(f"{count} workbooks from seed {first}; crashes of the process that reads {ends[BROKE[0]]}; otherwise {wrong}")
    print(f"slowest {slowest[0]:.1f} s ({slowest[1]}); largest process that reads {child:.0f} MB")
    print(f"this process grew by {grown:.0f} MB")
    return int(bool(wrong) or slowest[0] > MOST_SECONDS or grown > MOST_GROWN_MB)


if __name__ == "__main__":
    raise SystemExit(main())
