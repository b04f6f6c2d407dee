"""What reaches the spirit, and the series of doses, on paper, page, terminal and in the file: the same everywhere."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from casework.full import answered_in_full
from gristwright.cli.main import main
from gristwright.documents.data import as_data
from gristwright.documents.dossier import drawn
from gristwright.documents.dossier_html import html_of
from gristwright.documents.dossier_view import dossier_view
from gristwright.documents.recommendation import recommendation_pdf
from gristwright.documents.view import markers_view, recommendation_view
from scenario import FOLDER, answered


def test_every_bill_has_a_column_and_every_marker_a_row() -> None:
    table = markers_view(answered())
    assert table.columns == ("Today", *"ABCDE"[: len(answered().offers)])
    assert {row.marker for row in table.rows} == {one.marker for one in answered().markers}
    for row in table.rows:
        assert len(row.cells) == len(table.columns)
        assert row.standing and row.source and row.brought_by and row.sentence
        for cell in row.cells:
            assert cell.verdict in ("likely_felt", "unknown", "does_not_pass", "")
    malty = table.rows[0]
    assert malty.threshold.startswith("2.8") and malty.under == "ethanol in water, 40 %vol"
    assert malty.cells[0].times == "" and malty.cells[1].times.endswith("x today's")
    assert "63.5 %vol" in table.strength


def test_what_is_not_followed_has_its_reason_and_no_number() -> None:
    rows = {row.marker: row for row in markers_view(answered()).rows}
    assert {cell.words for cell in rows["colour"].cells[1:]} == {"does not pass"}
    assert not any(character.isdigit() for cell in rows["colour"].cells for character in cell.text)
    assert rows["maltol"].steps and rows["maltol"].held


def test_page_and_file_hold_the_same_amounts() -> None:
    made = answered_in_full()
    view = dossier_view(made)
    page = html_of(as_data(view), drawn(made, view).pictures)
    assert "What reaches the spirit, in amounts" in page
    for row in view.advice.markers.rows:
        for cell in row.cells:
            assert cell.text in page
    assert "The trial that would settle it" in page
    assert 'id="dose"' not in page
    data = json.loads(json.dumps(as_data(view)))
    first = data["offers"][0]["bill"]["markers"][0]
    assert first["verdict"] == "likely_felt" and first["words"] == "likely felt"
    assert first["spirit"]["unit"] == "µg/L" and first["spirit"]["low"] < first["spirit"]["high"]
    assert [step["step"] for step in first["steps"]] == ["grist", "wort", "wash", "spirit", "cask"]


def test_an_answer_without_special_malts_prints_its_one_marker() -> None:
    answer = answered()
    alone = replace(answer, offers=(), trade=())
    assert [row.marker for row in markers_view(alone).rows] == ["methylbutanals"]
    assert recommendation_pdf(recommendation_view(alone), alone.present.ledger).startswith(b"%PDF")


def test_the_terminal_shows_amounts_and_doses(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    given = ["advise", str(FOLDER / "dose.toml"), "--lots", str(FOLDER / "lots.csv"), "--members", "8"]
    assert main([*given, "--out", str(tmp_path)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "What reaches the spirit, in amounts" in said and "* likely felt" in said
    assert "How much, for how long" in said and "6 casks of a dose beside 6 of today" in said
    data = json.loads((tmp_path / "recommendation.json").read_text(encoding="utf-8"))
    assert data["dose"]["answer"][0].startswith("6 casks of a dose")
    assert [stage["when"] for stage in data["dose"]["stages"]] == ["new spirit", "year 1", "year 2", "year 3"]
    assert (tmp_path / "recommendation.pdf").read_bytes().startswith(b"%PDF")


def test_a_dossier_with_a_series_shows_it_on_the_page(tmp_path: Path) -> None:
    given = ["advise", str(FOLDER / "dose.toml"), "--lots", str(FOLDER / "lots.csv"), "--members", "8", "--dossier"]
    assert main([*given, "--out", str(tmp_path)]) == 0
    page = (tmp_path / "dossier.html").read_text(encoding="utf-8")
    assert 'id="dose"' in page and "Looks that may stop a dose" in page and "never goes on a label" in page
