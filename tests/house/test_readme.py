"""The example of the README runs as printed and prints what the README says."""

from __future__ import annotations

import re

import pytest

from house.places import ROOT

BLOCK = re.compile(r"```python\n(.*?)```", re.DOTALL)
SAID = re.compile(r"^# prints: (.*)$", re.MULTILINE)


def test_the_example_runs(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(ROOT)
    blocks = BLOCK.findall((ROOT / "README.md").read_text(encoding="utf-8"))
    assert len(blocks) == 1
    assert len([line for line in blocks[0].splitlines() if line.strip()]) <= 11
    exec(compile(blocks[0], "README.md", "exec"), {"__name__": "readme"})
    assert capsys.readouterr().out.strip().splitlines() == SAID.findall(blocks[0])
