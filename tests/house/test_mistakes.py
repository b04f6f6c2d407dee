"""What is said to who makes a mistake: every mistake of the table, with the exact sentences it gives and no other.

Each is made in a copy of an invented example; the table is mistakes.toml.
"""

from __future__ import annotations

import shlex
import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest

from gristwright.cli.main import main
from house.places import EXAMPLES

TABLE = Path(__file__).with_name("mistakes.toml")
MISTAKES: list[dict[str, Any]] = tomllib.loads(TABLE.read_text(encoding="utf-8"))["mistake"]
USUAL = "run bill.toml --lots lots.csv --members 8"
LEAST = 60


def make(mistake: dict[str, Any], folder: Path) -> None:
    """Make a mistake in a copy of the example."""
    encoding = mistake.get("encoding", "utf-8")
    for name, text in mistake.get("write", {}).items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text, encoding=encoding)
    for name, pairs in mistake.get("change", {}).items():
        text = (folder / name).read_text(encoding="utf-8")
        for before, after in pairs:
            assert before in text
            text = text.replace(before, after, 1)
        (folder / name).write_text(text, encoding=encoding)
    for name, digits in mistake.get("bytes", {}).items():
        (folder / name).write_bytes(bytes.fromhex(digits))
    for name in mistake.get("gone", []):
        (folder / name).unlink()
    for name in mistake.get("folder", []):
        (folder / name).unlink()
        (folder / name).mkdir()


@pytest.mark.parametrize("mistake", MISTAKES, ids=[mistake["what"] for mistake in MISTAKES])
def test_a_mistake_gives_these_sentences(
    mistake: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "all-malt-pot"
    shutil.copytree(EXAMPLES / "all-malt-pot", folder)
    make(mistake, folder)
    monkeypatch.chdir(folder)
    monkeypatch.setenv("GRISTWRIGHT_HOME", str(tmp_path / "home"))
    ended = main(shlex.split(mistake.get("run", USUAL)))
    said = capsys.readouterr()
    if "mind" in mistake:
        assert ended == 0
        assert all(sentence in " ".join(said.out.split()) for sentence in mistake["mind"])
        return
    assert ended == 2
    assert said.err.splitlines() == mistake["says"]


def test_there_are_enough_of_them_and_each_once() -> None:
    assert len(MISTAKES) >= LEAST
    assert len({mistake["what"] for mistake in MISTAKES}) == len(MISTAKES)


@pytest.mark.parametrize("mistake", MISTAKES, ids=[mistake["what"] for mistake in MISTAKES])
def test_a_sentence_has_a_place_and_an_end_and_does_not_repeat_itself(mistake: dict[str, Any]) -> None:
    for sentence in mistake.get("says", []):
        place, _, rest = sentence.partition(": ")
        assert place and rest, sentence
        assert sentence[-1] in ".?", sentence
        meant = [part.strip(" ?") for part in sentence.partition("Did you mean ")[2].split(" or ")]
        assert len(set(meant)) == len(meant), sentence
        assert not any(part in sentence for part in ("Traceback", "None", "Error:", " 1 draws", " 1 bills")), sentence
