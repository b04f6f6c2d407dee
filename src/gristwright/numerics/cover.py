"""The cheapest choice of members, whole or not at all, whose sums reach what is asked of each row.

A binary programme, solved by HiGHS through SciPy in a process of its own, `cover_child`: the solver writes lines of its
own to standard output, which belongs to whoever runs this one. See docs/numbers.md.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

from gristwright.basics import BoolArray, FloatArray
from gristwright.numerics import cover_child

PROGRAM = ("-I", cover_child.__file__)


def cheapest_cover(
    cost: FloatArray, rows: FloatArray, least: FloatArray, gap: float, seconds: float
) -> BoolArray | None:
    """Members picked, shape (members,), to a relative gap or as far as the time goes; None when there is no solution.

    Cost is (members,), rows are (rows, members), least is (rows,).
    """
    asked = {"path": sys.path, "cost": cost.tolist(), "rows": rows.tolist(), "least": least.tolist()}
    amounts = _told(json.dumps({**asked, "gap": gap, "seconds": seconds}, allow_nan=False))
    return None if amounts is None else np.array(amounts) > 0.5


def _told(asked: str) -> list[float] | None:
    """What the process answers. Raises RuntimeError with its last words when it dies."""
    with tempfile.TemporaryDirectory() as folder:
        answer = Path(folder) / "answer.json"
        command = [sys.executable, *PROGRAM, str(answer)]
        done = subprocess.run(
            command, input=asked.encode(), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, check=False
        )
        if done.returncode or not answer.exists():
            last = done.stderr.decode(errors="replace").strip().rpartition("\n")[2]
            raise RuntimeError(f"The process that solves a cover ended with {done.returncode}: {last}")
        amounts: list[float] | None = json.loads(answer.read_text(encoding="utf-8"))
        return amounts
