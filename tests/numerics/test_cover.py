"""The cheapest cover: against every choice by hand, and nothing of the solver's own words comes through."""

from __future__ import annotations

import itertools
import subprocess
import sys

import numpy as np
import pytest

from gristwright.numerics import cover, cover_child

# A programme during which the solver writes to standard output, told to be silent or not.
NOISY = (
    "import numpy as np; from scipy.optimize import Bounds, LinearConstraint, milp\n"
    "from numerics.test_cover import invented\n"
    "cost, rows, least = invented(8, 40)\n"
    "milp(cost, integrality=np.ones(40), bounds=Bounds(0, 1), constraints=LinearConstraint(rows, least, np.inf),\n"
    "    options={'mip_rel_gap': 1e-4, 'disp': False})\n"
)


def invented(seed: int, members: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Cost, rows and least of an invented cover."""
    draws = np.random.default_rng(seed)
    size, surplus = draws.uniform(50.0, 250.0, members), draws.uniform(-30.0, 60.0, members)
    cost = size * draws.choice([9.0, 10.0, 11.5], members) * 0.97 + draws.normal(0.0, 1.0, members)
    return cost, np.stack([size, surplus]), np.array([0.3 * size.sum(), 0.0])


@pytest.mark.parametrize("seed", range(4))
def test_no_choice_costs_less(seed: int) -> None:
    cost, rows, least = invented(seed, 10)
    choices = np.array(list(itertools.product([False, True], repeat=10)))
    enough = choices[(choices @ rows.T >= least).all(axis=1)]
    picked = cover.cheapest_cover(cost, rows, least, 1e-9, 60.0)
    assert picked is not None
    assert picked.dtype == bool
    assert cost @ picked == pytest.approx((enough @ cost).min(), rel=1e-9)


def test_what_cannot_be_covered_is_none() -> None:
    cost, rows, least = invented(0, 10)
    assert cover.cheapest_cover(cost, rows, least * 4.0, 1e-4, 60.0) is None


def test_the_solver_writes_and_nothing_comes_through(capfd: pytest.CaptureFixture[str]) -> None:
    command = [sys.executable, "-c", f"import sys; sys.path[:] = {sys.path!r}\n{NOISY}"]
    assert subprocess.run(command, capture_output=True, check=True).stdout != b""
    assert cover.cheapest_cover(*invented(8, 40), 1e-4, 60.0) is not None
    assert capfd.readouterr() == ("", "")


def test_whatever_the_process_writes_stays_there(
    capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    loud = "import os, runpy\nos.write(1, b'x'); os.write(2, b'y')\n"
    loud += f"runpy.run_path({cover_child.__file__!r}, run_name='__main__')"
    monkeypatch.setattr(cover, "PROGRAM", ("-I", "-c", loud))
    assert cover.cheapest_cover(*invented(8, 40), 1e-4, 60.0) is not None
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize("program", ["raise SystemExit('no room')", "import sys; print('no room', file=sys.stderr)"])
def test_a_process_that_dies_is_an_error(program: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cover, "PROGRAM", ("-I", "-c", program))
    with pytest.raises(RuntimeError, match="no room"):
        cover.cheapest_cover(*invented(0, 10), 1e-4, 60.0)
