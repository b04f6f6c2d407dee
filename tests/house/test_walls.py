"""The floors hold, and the tool that guards them does catch a break."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from house.places import PACKAGE, ROOT

LINT = "from importlinter.cli import lint_imports; raise SystemExit(lint_imports(no_cache=True))"


def lint(root: Path) -> subprocess.CompletedProcess[str]:
    """import-linter on the package below a root, as its configuration stands there."""
    env = os.environ | {"PYTHONPATH": str(root / "src")}
    return subprocess.run([sys.executable, "-c", LINT], cwd=root, env=env, capture_output=True, text=True, check=False)


@pytest.fixture
def copied(tmp_path: Path) -> Path:
    shutil.copytree(PACKAGE, tmp_path / "src" / "gristwright", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


def test_the_walls_hold() -> None:
    done = lint(ROOT)
    assert done.returncode == 0, done.stdout


@pytest.mark.parametrize(
    ("where", "line", "contract"),
    [
        ("stages/mash/model.py", "from gristwright.stages.grist import model", "Stages never import each other"),
        ("basics.py", "from gristwright.records.bill import Bill", "A module looks down only"),
        ("casework/search.py", "from gristwright.files.jobs_in import read_bill", "A module looks down only"),
        ("rules/law/model.py", "from gristwright.rules.hazard import cautions", "Law and hazard stand apart"),
    ],
)
def test_a_planted_break_is_caught(copied: Path, where: str, line: str, contract: str) -> None:
    broken = copied / "src" / "gristwright" / where
    broken.write_text(broken.read_text(encoding="utf-8") + f"\n{line}\n", encoding="utf-8")
    done = lint(copied)
    assert done.returncode != 0
    assert f"{contract} BROKEN" in done.stdout
