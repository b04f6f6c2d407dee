"""Every row of tests/outside/*.csv comes out as it says and names a need; every need has its reason and its rows."""

import json

import pytest

from outside.rows import COLUMNS, Outcome, Row, all_rows, needs, rows_of

ROWS = all_rows()
IDS = [row.id for row in ROWS]
STANDINGS = {"published", "common practice", "from memory", "derived", "estimate"}


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_row(row: Row) -> None:
    said = f"{row.what}: {row.computed()!r} against {row.expected} +- {row.tolerance}, need {row.need.said()}"
    assert row.judged().value == row.outcome, f"{said} ({row.source}); make evidence PIN=--pin writes it anew"


def test_ids_are_unique() -> None:
    assert sorted(set(IDS)) == sorted(IDS)


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_row_is_complete(row: Row) -> None:
    assert row.quantity in needs(), "a row names the need it is held against"
    assert row.need.allowed(row.expected) > 0.0, "a relative need says nothing of an outside number of nought"
    assert row.standing in STANDINGS
    assert row.used_to_fit in ("yes", "no")
    assert row.source
    assert isinstance(json.loads(row.arguments), dict)
    assert row.tolerance >= 0
    assert row.note or row.outcome == Outcome.ROUNDING.value, "a row beyond the source's rounding says why"


def test_every_need_has_a_reason_and_a_row() -> None:
    used = {row.quantity for row in ROWS}
    for need in needs().values():
        assert need.within > 0.0
        assert need.kind in ("absolute", "relative")
        assert (need.kind == "relative") <= (need.unit == "%")
        assert len(need.why.split()) >= 5, f"{need.key}: why?"
        assert need.key in used, f"no row points to {need.key}"


def test_a_row_without_a_quantity_is_refused(tmp_path) -> None:  # type: ignore[no-untyped-def]
    cells = ["A", "one", "builtins.float", "{}", "0", "0", "Author 1990", "-", "published", "no", "", ""]
    (tmp_path / "r.csv").write_text(f"{','.join(COLUMNS)}\n{','.join(cells)}\n")
    with pytest.raises(ValueError, match="row A"):
        rows_of(tmp_path / "r.csv")
