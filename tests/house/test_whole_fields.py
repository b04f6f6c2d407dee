"""A field of a certificate stands in every table, or is refused by its name: half a row planted, as for the others."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from gristwright.files.certificates.headings import read_heading
from house.half_rows import Rows, changed, copied, like, refused


@pytest.fixture
def tables(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    with copied(tmp_path, monkeypatch) as copy:
        yield copy


OF_FIELDS = ("certificate_fields", "certificate_headings")


def plant_field(tables: Path, lacking: str = "", **cells: str) -> None:
    """A field like the friability, without its rows in one table, or with other cells of its own."""
    for name in OF_FIELDS:
        if name != lacking:
            more = cells if name == "certificate_fields" else {}
            path = tables / "tables" / f"{name}.csv"
            changed(path, lambda rows, more=more: [*rows, *_field_like(rows, more)])


def _field_like(rows: Rows, cells: dict[str, str]) -> Rows:
    own = like(rows, "field", "friability_pct", "glassiness_pct", **cells)
    return [row | {"heading": "glassy " + row["heading"]} if "heading" in row else row for row in own]


def test_a_whole_new_field_is_read(tables: Path) -> None:
    plant_field(tables)
    assert read_heading("Glassy friability [%]").fields == ("glassiness_pct",)


@pytest.mark.parametrize(
    ("lacking", "said"),
    [
        ("certificate_fields", "certificate_headings.csv, glassiness_pct: is no field of tables/certificate_fields"),
        ("certificate_headings", "certificate_headings.csv, glassiness_pct: has no heading"),
    ],
)
def test_a_field_missing_from_a_table_is_refused(tables: Path, lacking: str, said: str) -> None:
    plant_field(tables, lacking)
    refused(lambda: read_heading("moisture"), said)


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"title": ""}, "has no title"),
        ({"short": ""}, "has no short"),
        ({"table_unit": ""}, "has no table_unit"),
        ({"units": ""}, "has no units"),
        ({"most": ""}, "lacks a bound"),
        ({"least": "100"}, "lacks a bound"),
        ({"units": "% grains"}, "is in grains, and nothing says what that is in %"),
        ({"units": "% EBC"}, "is in EBC, and nothing says what that is in %"),
    ],
)
def test_a_field_that_is_half_there_is_refused(tables: Path, cells: dict[str, str], said: str) -> None:
    plant_field(tables, **cells)
    refused(lambda: read_heading("moisture"), "glassiness_pct", said)


@pytest.mark.parametrize("table", ["certificate_limits", "laboratory_spread"])
def test_what_is_said_of_no_field_is_refused(tables: Path, table: str) -> None:
    changed(tables / "tables" / f"{table}.csv", lambda rows: [*rows, rows[0] | {"field": "glassiness_pct"}])
    refused(lambda: read_heading("moisture"), f"{table}.csv, glassiness_pct", "is no field")
