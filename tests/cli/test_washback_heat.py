"""What is told of a wash, its heat first, stands in every answer of the command line, in the same words."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from gristwright.casework.bench.words import bill_cautions
from gristwright.cli.main import main
from scenario import FOLDER, answered, copied

PEAK = "a washback with 10\u202f000 L peaks at"
CAUTION = "above the 34 °C wanted at most in"
DIES = "Yeast dies of heat"
GAS = "One washback gives off"


@pytest.fixture
def hot(tmp_path: Path) -> Path:
    """The invented house, set warm and without cooling."""
    folder = copied(tmp_path)
    return changed(folder, set_degC=32, cooling='"none"')


def changed(folder: Path, **said: object) -> Path:
    """The plant file with lines of its washbacks put in place of those that stand there."""
    text = (folder / "plant.toml").read_text(encoding="utf-8")
    for key, value in said.items():
        text = re.sub(rf"(?m)^{key} = .*\n", "", text)
        text = text.replace("[washbacks]\n", f"[washbacks]\n{key} = {value}\n")
    (folder / "plant.toml").write_text(text, encoding="utf-8")
    return folder


def plain(text: str) -> str:
    return re.sub(r"[ \n\u00a0]+", " ", text).replace("degC", "°C").replace("degP", "°P")


def said(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main([*words]) == 0
    return plain(capsys.readouterr().out)


def on(folder: Path, command: str, *more: str) -> list[str]:
    return [command, str(folder / "bill.toml"), "--lots", str(folder / "lots.csv"), *more]


@pytest.mark.parametrize("command", ["run", "check"])
@pytest.mark.parametrize("form", [(), ("--json",)])
def test_a_bill_is_told_of_it(
    command: str, form: tuple[str, ...], hot: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = said(capsys, *on(hot, command, *form))
    assert all(part in text for part in (PEAK, CAUTION, DIES, GAS, "Set it at"))
    assert "not judged: the set temperature" not in text


@pytest.mark.parametrize("said_of_it", [{"set_degC": 14}, {"cooling": '"jacket"'}])
def test_one_line_of_the_plant_file_alone_takes_the_caution_away(
    said_of_it: dict[str, object], hot: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (hot / "plant.toml").read_text(encoding="utf-8")
    for key, value in said_of_it.items():
        text = re.sub(rf"(?m)^{key} = .*$", f"{key} = {value}", text)
    (hot / "plant.toml").write_text(text, encoding="utf-8")
    found = said(capsys, *on(hot, "run"))
    assert GAS in found and DIES not in found and CAUTION not in found


def test_a_brewer_is_told_in_his_words(capsys: pytest.CaptureFixture[str]) -> None:
    folder = FOLDER.parent / "raw-barley-beer"
    words = ["run", str(folder / "bill.toml"), "--lots", str(folder / "certificates.xlsx"), "--members", "8"]
    told = said(capsys, *words)
    assert "One fermenter gives off" in told and "a fermenter with" in told
    assert "washback" not in told


def test_the_answer_on_the_terminal_on_paper_and_as_data_says_it(
    hot: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["advise", str(hot / "enquiry.toml"), "--lots", str(hot / "lots.csv"), "--members", "8", "--dossier"]
    told = {"terminal": said(capsys, *words, "--out", str(tmp_path / "out"))}
    for path in sorted((tmp_path / "out").iterdir()):
        told[path.name] = plain(_text(path))
    assert len(told) == 6
    assert [name for name, text in told.items() if PEAK not in text and "expected to peak" not in text] == []
    view = json.loads((tmp_path / "out" / "dossier.json").read_text(encoding="utf-8"))
    assert any(CAUTION in plain(line) for line in view["cautions"])
    assert sum("expected to peak" in line for line in view["order"]["cautions"]) == 1


def _text(path: Path) -> str:
    if path.suffix != ".pdf":
        return path.read_text(encoding="utf-8")
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(path.read_bytes())).pages)


def test_only_the_bills_over_the_line_are_named_where_it_is_not_all_of_them() -> None:
    answer = answered()
    weak, strong = answer.present, replace(answer.offers[0].result, cautions=(*answer.present.cautions, "Too hot."))
    found = bill_cautions((weak, strong))
    assert found == (*answer.present.cautions, f"Of {strong.bill.name}: Too hot.")


def test_an_unknown_way_of_cooling_is_refused_at_its_field(hot: Path, capsys: pytest.CaptureFixture[str]) -> None:
    changed(hot, cooling='"jackett"')
    assert main(on(hot, "run")) == 2
    assert "plant.toml, washbacks.cooling: 'jackett' is not known here. Did you mean 'jacket'?" in plain(
        capsys.readouterr().err
    )
