"""Broken workbooks, the same forty each time: sheets or one sentence, and this process lives on."""

from __future__ import annotations

import re

import pytest

from files.broken_workbooks import broken
from gristwright.basics import Problem, Refused
from gristwright.files import workbook

SAID = re.compile(r"broken\.xlsx?(?:, sheet .*)?: .+[.]$", re.DOTALL)


@pytest.mark.parametrize("seed", range(40))
def test_a_broken_workbook_is_read_or_refused_in_one_sentence(seed: int) -> None:
    name, raw = broken(seed)
    problems: list[Problem] = []
    try:
        sheets = workbook.read_workbook(f"broken.{name.rpartition('.')[2]}", raw, raw.startswith(b"PK"), problems)
    except Refused as refused:
        (problem,) = refused.problems
        told = problem.sentence()
    else:
        assert all(cell.number is None or abs(cell.number) < 1e308 for s in sheets for row in s.cells for cell in row)
        told = "broken.xlsx: read."
    assert SAID.fullmatch(told), told


def test_a_seed_gives_the_same_workbook() -> None:
    assert [broken(seed) for seed in (3, 4)] == [broken(seed) for seed in (3, 4)]
