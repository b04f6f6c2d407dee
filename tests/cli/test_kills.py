"""A few of the kills of `make kill`, at moments of their own."""

from __future__ import annotations

from pathlib import Path

from kills import attacked


def test_runs_that_are_killed_leave_old_files_or_new_ones(tmp_path: Path) -> None:
    assert list(attacked(6, 2, tmp_path, ("terminal",))) == [("terminal", "")] * 6


def test_an_update_that_is_killed_goes_on_at_the_next_start(tmp_path: Path) -> None:
    assert list(attacked(1, 2, tmp_path, ("update",))) == [("update", "")]
