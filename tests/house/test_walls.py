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
        ("casework/recommend/search.py", "from gristwright.files.jobs_in import read_bill", "A module looks down only"),
        ("stages/markers/model.py", "from gristwright.stages.grist import materials", "Stages never import each other"),
        (
            "casework/bench/words.py",
            "from gristwright.casework.recommend import search",
            "A room of casework looks down only",
        ),
        (
            "casework/trade/specify.py",
            "from gristwright.casework.recommend import search",
            "A room of casework looks down only",
        ),
        (
            "casework/mash_house/order.py",
            "from gristwright.casework.claim import claim",
            "A room of casework looks down only",
        ),
        (
            "casework/stock/ages.py",
            "from gristwright.casework.bench import bench",
            "A room of casework looks down only",
        ),
        ("casework/drawer.py", "X = 1", "A room of casework looks down only"),
        (
            "cli/run.py",
            "from gristwright.casework.bench.boards import of_lots",
            "Floors above enter a room by its face",
        ),
        (
            "files/jobs_in.py",
            "from gristwright.casework.claim.tables import OWN",
            "Floors above enter a room by its face",
        ),
        (
            "cli/lots.py",
            "from gristwright.files.certificates.headings import words",
            "Certificates are entered by their face",
        ),
        ("rules/law/model.py", "from gristwright.rules.hazard import cautions", "Law and hazard stand apart"),
    ],
)
def test_a_planted_break_is_caught(copied: Path, where: str, line: str, contract: str) -> None:
    broken = copied / "src" / "gristwright" / where
    before = broken.read_text(encoding="utf-8") if broken.exists() else ""
    broken.write_text(f"{before}\n{line}\n", encoding="utf-8")
    done = lint(copied)
    assert done.returncode != 0
    assert f"{contract} BROKEN" in done.stdout
