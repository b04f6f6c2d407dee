"""A standard stream that is full or closed ends in a sentence and a code; what a killed run left is swept."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from gristwright import scratch

COMMAND = f"{sys.executable} -c 'from gristwright.cli.main import main; raise SystemExit(main())'"
LOST = "The standard output takes no more: "


def shell(line: str, **env: str) -> subprocess.CompletedProcess[str]:
    line = line.replace("gristwright", COMMAND)
    return subprocess.run(["bash", "-c", line], env=os.environ | env, capture_output=True, text=True, timeout=120)


@pytest.mark.parametrize("env", [{}, {"PYTHONUNBUFFERED": "1"}], ids=["buffered", "unbuffered"])
def test_an_output_that_takes_no_more_is_told_in_one_line(env: dict[str, str], tmp_path: Path) -> None:
    for line, why in (
        ("gristwright types >/dev/full", "there is no room left on its disk"),
        ("gristwright types >&-", "it is closed"),
        ("gristwright types --json | true; exit ${PIPESTATUS[0]}", "whoever read it has closed it"),
        (f"ulimit -f 1; gristwright types --json >{tmp_path / 'x'}", "the file it goes to may not grow larger"),
    ):
        done = shell(line, **env)
        assert done.returncode == 3, (line, done.stderr)
        assert done.stderr == f"{LOST}{why}. What was still to be printed is lost.\n"


def test_nobody_to_tell_is_no_fault() -> None:
    for line, code in (
        ("gristwright types --json >/dev/full 2>/dev/full", 3),
        ("gristwright types >&- 2>&-", 3),
        ("gristwright no-such-command 2>/dev/full", 2),
        ("gristwright types 2>&- <&-", 0),
    ):
        assert shell(line).returncode == code, line


def test_what_killed_runs_left_is_swept_and_what_living_ones_hold_is_not(tmp_path: Path) -> None:
    gone, alive, young = (
        tmp_path / f"{scratch.PREFIX}{one}" for one in ("999999999-a", f"{os.getpid()}-b", f"{os.getpid()}-c")
    )
    for folder in (gone, alive, young):
        folder.mkdir()
    (gone / "certificate.xlsx").write_bytes(b"a customer's")
    long_ago = time.time() - 2 * scratch.SETTLED_S
    os.utime(alive, (long_ago, long_ago))
    handle = scratch.held(alive)
    assert handle is not None
    scratch.sweep(tmp_path)
    assert sorted(tmp_path.iterdir()) == sorted((alive, young))
    os.close(handle)
    scratch.sweep(tmp_path)
    assert list(tmp_path.iterdir()) == [young]
