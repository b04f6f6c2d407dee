"""Every row of tests/outside/*.csv comes out as it says: a hit still hits, a miss still misses."""

import json

import pytest

from outside.evidence import Row, all_rows

ROWS = all_rows()
STANDINGS = {"published", "common practice", "from memory", "derived", "estimate"}


@pytest.mark.parametrize("row", ROWS, ids=[row.id for row in ROWS])
def test_row(row: Row) -> None:
    value = row.computed()
    found = "holds" if row.agrees(value) else "miss"
    assert found == row.outcome, f"{row.what}: {value!r} against {row.expected} +- {row.tolerance} ({row.source})"


def test_ids_are_unique() -> None:
    ids = [row.id for row in ROWS]
    assert sorted(set(ids)) == sorted(ids)


@pytest.mark.parametrize("row", ROWS, ids=[row.id for row in ROWS])
def test_row_is_complete(row: Row) -> None:
    assert row.standing in STANDINGS
    assert row.used_to_fit in ("yes", "no")
    assert row.outcome in ("holds", "miss")
    assert row.source
    assert isinstance(json.loads(row.arguments), dict)
    assert row.tolerance >= 0
    assert row.note or row.outcome == "holds", "a miss says why"
