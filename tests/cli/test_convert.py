"""`gristwright convert` and the command table: what is printed, what is refused, what is loaded."""

import json
import subprocess
import sys

import pytest
from click.testing import CliRunner, Result

from gristwright.cli import main as front
from gristwright.cli.tables import WIDTH, as_text, plain_table
from gristwright.quantities.shown import THIN


def run(*words: str) -> Result:
    return CliRunner().invoke(front.cli, list(words))


def test_convert_prints_value_spread_and_method() -> None:
    done = run("convert", "317", "degWK", "degLintner")
    assert done.exit_code == 0
    assert "95.1429 degLintner" in done.output
    assert "(degWK + 16) / 3.5" in done.output
    assert max(map(len, done.output.splitlines())) <= WIDTH


def test_convert_json_names_its_units() -> None:
    data = json.loads(run("convert", "317", "degWK", "degLintner", "--json").output)
    assert data["given"] == {"degWK": 317.0}
    assert data["degLintner"] == pytest.approx(95.14, abs=0.01)
    assert data["degLintner_low"] < data["degLintner"] < data["degLintner_high"]
    assert data["standing"] == "common practice"
    assert {"method", "source", "note"} <= set(data)


@pytest.mark.parametrize("words", [("12,4", "degP", "SG"), ("12,4 °P", "SG"), ("12.4degP", "SG")])
def test_a_quantity_is_typed_as_people_write_it(words: tuple[str, ...]) -> None:
    assert json.loads(run("convert", *words, "--json").output)["SG"] == pytest.approx(1.0500, abs=1e-4)


def test_the_unit_wanted_settles_the_one_given() -> None:
    assert "degIoB" in run("convert", "150", "IoB", "degWK").output
    assert "IoB_colour" in run("convert", "150", "IoB", "EBC").output


def test_temperatures_below_zero_are_no_options() -> None:
    assert json.loads(run("convert", "-5", "degC", "degF", "--json").output)["degF"] == pytest.approx(23.0)


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("317", "L", "degWK"), "'L' alone may mean degrees Lintner (degLintner), degrees Lovibond (degLovibond)"),
        (("317", "degWK", "L"), "'L' alone may mean"),
        (("317", "degWK", "EBC"), "'EBC' measures colour, not diastatic power"),
        (("317",), "a value, its unit and the unit wanted are needed"),
        (("1,000", "kg", "lb"), "may be a thousand"),
    ],
)
def test_refusals_are_sentences_and_exit_2(words: tuple[str, ...], sentence: str) -> None:
    done = run("convert", *words)
    assert done.exit_code == 2
    assert sentence in done.stderr
    assert "Traceback" not in done.output
    assert done.stdout == ""


def test_every_problem_is_one_line() -> None:
    assert len(run("convert", "1,000", "L", "degWK").stderr.splitlines()) == 2
    assert len(run("gauge", "reduce", "--litres", "-1", "--from", "140", "--to", "150").stderr.splitlines()) == 4


def test_the_list_shows_what_converts_into_what() -> None:
    assert "degWK, degLintner, degIoB" in run("convert", "--list").output
    assert json.loads(run("convert", "--list", "--json").output)["colour"][0] == "EBC"


def test_help_lists_every_command_without_loading_one() -> None:
    done = run("--help")
    assert done.exit_code == 0
    assert all(name in done.output for name in front.COMMANDS)


def test_version() -> None:
    from gristwright import __version__

    assert run("--version").output == f"gristwright {__version__}\n"


def test_an_unknown_command_is_refused() -> None:
    assert run("brew").exit_code == 2


def test_main_returns_the_exit_code(capsys: pytest.CaptureFixture[str]) -> None:
    assert front.main(["convert", "1", "hL", "litre"]) == 0
    assert front.main(["convert", "1", "L", "hL"]) == 2
    assert front.main(["gauge", "density"]) == 2
    assert front.main(["--help"]) == 0
    assert "Traceback" not in capsys.readouterr().err


def test_any_other_exception_is_a_bug_and_is_not_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("gristwright.cli.convert._answer", lambda words, as_data: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        front.main(["convert", "1", "hL", "litre"])


def test_a_command_that_is_not_there_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(front.COMMANDS, "advise", ("gristwright.cli.nowhere:advise", "Nothing."))
    done = run("advise")
    assert done.exit_code == 1
    assert "not part of this installation" in done.output


def test_importing_the_front_loads_no_heavy_library() -> None:
    heavy = ("numpy", "scipy", "typst", "vl_convert", "jinja2", "cattrs")
    code = f"import sys, gristwright.cli.main; print([m for m in {heavy!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_table_keeps_to_80_columns_and_aligns_numbers() -> None:
    text = plain_table(["bill", "LPA per t", "remark"], [["A", 410.25, "word " * 40], ["long name", 9.5, "short"]])
    lines = text.splitlines()
    assert max(map(len, lines)) <= WIDTH
    assert lines[2].index("410.25") + len("410.25") == lines[-1].index("9.5") + len("9.5")


def test_numbers_read_plainly() -> None:
    assert [as_text(x) for x in (1234567.0, 0.5, 3, None, 948.0452)] == ["1234567", "0.5", "3", "", "948.05"]


def test_a_number_with_grouped_thousands_is_a_number() -> None:
    lines = plain_table(["bill", "litres"], [["A", f"16{THIN}103"], ["B", "736"]]).splitlines()
    assert lines[2].endswith(f"16{THIN}103") and lines[3].endswith("   736")
