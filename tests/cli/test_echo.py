"""What a file or an argument brings along reaches the terminal as its code point, never as a command to it."""

from __future__ import annotations

import json
import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from gristwright.cli.echo import echo, first_of_each
from gristwright.cli.main import cli, main
from gristwright.cli.tables import as_json
from scenario import FOLDER, copied

# Ring, colour, title of the window, line written over, direction turned, characters that are not there.
STEERS = "\x07\x1b[31m\x1b]0;owned\x07\rgone\x9b1A\u202egnp.\u2066x\u2069\u200b\ufeff\x7f"


def steering(text: str) -> list[str]:
    """The characters that would act on a terminal."""
    return [c for c in text if unicodedata.category(c) in ("Cc", "Cf", "Cs") and c not in "\n\t"]


def called(*arguments: str) -> Result:
    return CliRunner().invoke(cli, arguments, color=True)


def test_what_would_steer_a_terminal_stands_as_its_code_point(capsys: pytest.CaptureFixture[str]) -> None:
    echo(f"a\tb\n{STEERS} Größe 1\u202f000 Ποτοποιία")
    said = capsys.readouterr().out
    assert said.startswith("a\tb\n[U+0007][U+001B][31m[U+001B]]0;owned[U+0007][U+000D]gone[U+009B]1A[U+202E]gnp.")
    assert said.endswith("Größe 1\u202f000 Ποτοποιία\n")
    assert steering(said) == []


@pytest.mark.parametrize(
    "arguments",
    [
        (f"ch{STEERS}eck",),
        ("check", f"{STEERS}.toml"),
        ("check", f"--{STEERS}"),
        ("check", "bill.toml", "--seed", STEERS),
        ("check", "bill.toml", STEERS, STEERS),
        ("types", STEERS),
        ("schema", STEERS),
        ("convert", "12", STEERS, "degP"),
        ("law", str(FOLDER / "bill.toml"), "--lots", str(FOLDER / "lots.csv"), "--date", STEERS),
        ("vary", str(FOLDER / "bill.toml"), "--lots", str(FOLDER / "lots.csv"), "--over", f"mash.{STEERS}=1:2:2"),
    ],
)
def test_an_argument_does_not_steer_the_terminal(arguments: tuple[str, ...], capfd: pytest.CaptureFixture[str]) -> None:
    ended = main(arguments)
    told = capfd.readouterr()
    assert ended == 2
    assert len(told.err.splitlines()) == 1
    assert steering(told.out + told.err) == []


def test_nor_does_a_file(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    bill, lots = folder / "bill.toml", folder / "lots.csv"
    escaped = json.dumps(STEERS).replace("\x7f", "\\u007f")
    bill.write_text(f"{escaped} = {escaped}\n" + bill.read_text(encoding="utf-8"), encoding="utf-8")
    head, *rows = lots.read_text(encoding="utf-8").split("\n")
    lots.write_text("\n".join([f"{head},{STEERS.replace(chr(13), '')}", *rows]), encoding="utf-8")
    for name in ("bill.toml", "lots.csv"):
        odd = folder / f"{STEERS}{name}"
        odd.write_bytes((folder / name).read_bytes())
    for said in (
        called("check", str(bill), "--lots", str(lots)),
        called("check", str(folder / f"{STEERS}bill.toml"), "--lots", str(folder / f"{STEERS}lots.csv")),
        called("lots", str(lots)),
        called("lots", str(folder / f"{STEERS}lots.csv")),
    ):
        assert said.exit_code == 2
        assert "[U+" in said.stderr or "U+0007" in said.stderr
        assert steering(said.output) == []


def test_json_stays_json_with_every_character_in_it() -> None:
    text = as_json({"name": STEERS + chr(0xD800) + "\U000e0041 Größe"})
    assert steering(text) == []
    assert "Größe" in text
    assert json.loads(text)["name"] == STEERS + chr(0xD800) + "\U000e0041 Größe"


def test_an_output_that_has_few_characters_gets_the_code_points_of_the_others() -> None:
    code = "from gristwright.cli.echo import echo; echo('−1 °C')"
    done = subprocess.run(
        [sys.executable, "-c", code], env={"PYTHONIOENCODING": "latin-1", "PYTHONPATH": ":".join(sys.path)},
        capture_output=True, encoding="latin-1", check=True,
    )  # fmt: skip
    assert done.stdout == "[U+2212]1 °C\n"


def test_of_many_sentences_alike_the_first_are_printed_and_the_rest_counted() -> None:
    alike = [f"row {k}: 'cask {k}' is not known." for k in range(90)]
    told = first_of_each([*alike, "another one."])
    assert told[:50] == alike[:50]
    assert told[50:] == ["another one.", f"And 40 more like this: {alike[0]}"]
    assert first_of_each(["x" * k for k in range(1000)])[-1] == "And 500 more."
