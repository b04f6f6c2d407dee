"""`make audit` never calls clean what is unknown: a package that nobody was asked about is told."""

from __future__ import annotations

import importlib.util
import json
import sys
from types import ModuleType

import pytest

from house.places import ROOT

CLEAN = {"name": "barley", "version": "1.0", "vulns": []}
KNOWN = {"name": "oats", "version": "2.0", "vulns": [{"id": "X-1", "fix_versions": ["2.1"]}]}
PASSED_OVER = {"name": "rye", "skip_reason": "not found"}


@pytest.fixture(scope="module")
def audit() -> ModuleType:
    spec = importlib.util.spec_from_file_location("audit", ROOT / "requirements" / "audit.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    # Its dataclass looks the module up by name.
    sys.modules["audit"] = module
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(
    ("packages", "code", "said"),
    [
        ([CLEAN], 0, "1 packages looked up, 0 advisories"),
        ([CLEAN, KNOWN, PASSED_OVER], 1, "oats 2.0: X-1, mended in 2.1"),
        ([CLEAN, PASSED_OVER], 3, "NOT LOOKED UP: rye"),
        ([PASSED_OVER], 3, "NOT LOOKED UP: the advisory database gave no answer"),
    ],
)
def test_each_answer_has_its_code(audit: ModuleType, packages: list[object], code: int, said: str) -> None:
    lines, ended = audit.told("run.lock", audit.understood(json.dumps({"dependencies": packages}), ""))
    assert ended == code
    assert said in "\n".join(lines)


def test_without_a_database_nothing_is_called_clean(audit: ModuleType) -> None:
    lines, ended = audit.told("run.lock", audit.understood("", "Traceback\nConnectionError: no such host\n"))
    assert ended == 3
    assert "ConnectionError: no such host" in lines[0]


def test_every_lock_file_is_looked_up(audit: ModuleType) -> None:
    assert set(audit.LOCKS) == {path.name for path in (ROOT / "requirements").glob("*.lock")}
