"""Numbers in sentences: a value reads otherwise than a limit it passes, one thing is one."""

from __future__ import annotations

import pytest

from gristwright.quantities.shown import counted, digits_of, outside, told_apart


@pytest.mark.parametrize(
    ("value", "limits", "shown"),
    [
        (85.00001, (55.0, 85.0), "85.00001"),
        (85.0, (55.0, 85.0), "85"),
        (83.8000004, (60.0, 83.8), "83.8000004"),
        (147.0, (40.0, 78.0), "147"),
        (1_000_001.0, (1.0, 1_000_000.0), "1000001"),
    ],
)
def test_a_value_reads_otherwise_than_its_limit(value: float, limits: tuple[float, ...], shown: str) -> None:
    assert told_apart(value, *limits) == shown


def test_a_sentence_has_value_and_limits_in_digits() -> None:
    assert outside(2_000_000.0, 1.0, 1_000_000.0, "L") == "2000000 L is outside 1-1000000 L."
    assert outside(-520.0, 0.0, 20_000.0, "money a tonne") == "-520 a tonne is outside 0-20000 a tonne."
    assert digits_of(1e-9) == "1e-09"


def test_one_is_one() -> None:
    assert [counted(n, "cask") for n in (0, 1, 2)] == ["0 casks", "1 cask", "2 casks"]
    assert counted(2, "mash", "mashes") == "2 mashes"
