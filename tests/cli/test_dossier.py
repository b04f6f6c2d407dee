"""`gristwright advise --dossier`, run as a user runs it."""

import json
from pathlib import Path

import pytest

from gristwright.cli.main import main
from scenario import FOLDER


def test_the_dossier_stands_beside_the_recommendation(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["advise", str(FOLDER / "enquiry.toml"), "--lots", str(FOLDER / "lots.csv"), "--members", "8"]
    assert main([*words, "--out", str(tmp_path / "plain")]) == 0
    assert main([*words, "--out", str(tmp_path / "full"), "--dossier", "--paper", "letter"]) == 0
    assert "dossier.html" in capsys.readouterr().out
    names = sorted(path.name for path in (tmp_path / "full").iterdir())
    assert names == ["dossier.html", "dossier.json", "dossier.pdf", "recommendation.json", "recommendation.pdf"]
    full, plain = (json.loads((tmp_path / k / "recommendation.json").read_text("utf-8")) for k in ("full", "plain"))
    assert full == plain
    assert (tmp_path / "full" / "dossier.html").read_text("utf-8").count("<h1>") == 1
