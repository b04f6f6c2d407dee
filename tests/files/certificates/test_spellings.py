"""Headings with their units as certificates print them; common practice of laboratories in English and German."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from gristwright.basics import NOWHERE, Refused
from gristwright.files.certificates import column_of, read_heading

ROWS = list(csv.DictReader(Path(__file__).with_name("spellings.csv").read_text(encoding="utf-8").splitlines()))


@pytest.mark.parametrize("row", ROWS, ids=[row["heading"] for row in ROWS])
def test_a_heading_says_field_unit_basis_and_method(row: dict[str, str]) -> None:
    column = column_of(read_heading(row["heading"]), "", NOWHERE)
    said = (column.field, column.unit, column.basis, column.method)
    assert said == (row["field"], row["unit"], row["basis"], row["method"])


@pytest.mark.parametrize("heading", ["DP [°L]", "colour [°L]", "colour [L]"])
def test_a_bare_l_is_refused_however_it_is_written(heading: str) -> None:
    with pytest.raises(Refused, match="degrees Lintner"):
        column_of(read_heading(heading), "", NOWHERE)
