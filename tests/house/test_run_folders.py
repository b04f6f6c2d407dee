"""A killed run of tests leaves no folder behind for longer than to the next run."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

from run_folders import sweep

MAKES = "import run_folders, sys, time; print(run_folders.own_folder(sys.argv[1]), flush=True); time.sleep(60)"


def test_only_the_folder_of_a_killed_run_is_swept(tmp_path: Path) -> None:
    words = [sys.executable, "-c", MAKES, "run-"]
    where = {"TMPDIR": str(tmp_path), "PYTHONPATH": str(Path(__file__).parents[1])}
    runs = [subprocess.Popen(words, env=where, stdout=subprocess.PIPE, text=True) for _ in range(2)]
    try:
        killed, alive = (Path(run.stdout.readline().strip()) for run in runs if run.stdout)
        runs[0].send_signal(signal.SIGKILL)
        runs[0].wait()
        strange = tmp_path / "run-of-another"
        strange.mkdir()
        sweep(tmp_path, "run-")
        assert killed.exists()  # too young to be told from one that is just being made
        sweep(tmp_path, "run-", settled=0.0)
        assert not killed.exists() and alive.exists() and strange.exists()
    finally:
        for run in runs:
            run.kill()
            run.wait()
            if run.stdout:
                run.stdout.close()
