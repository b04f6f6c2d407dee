"""The program that solves a cover: the solver writes lines of its own to standard output, and here nobody reads them.

`cover` starts it by its path, so it imports nothing of ours. Standard input is a JSON object (see `main`), the one
argument the file that the answer goes into.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any


def main() -> None:
    """Solve what is asked: path (where libraries are), cost, rows, least, gap, seconds. Answers a list or null."""
    asked = json.load(sys.stdin)
    sys.path[:] = asked["path"]
    Path(sys.argv[1]).write_text(json.dumps(solved(asked), allow_nan=False), encoding="utf-8")


def solved(asked: dict[str, Any]) -> list[float] | None:
    """The amount of every member; None when there is no solution."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    solution = milp(
        c=np.array(asked["cost"]),
        integrality=np.ones(len(asked["cost"]), dtype=np.int64),
        bounds=Bounds(0.0, 1.0),
        constraints=LinearConstraint(np.array(asked["rows"]), asked["least"], np.inf),
        options={"mip_rel_gap": asked["gap"], "time_limit": asked["seconds"]},
    )
    return None if solution.x is None else solution.x.tolist()


if __name__ == "__main__":
    main()
