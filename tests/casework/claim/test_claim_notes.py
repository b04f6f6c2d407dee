"""Only a scale named as a note of malt is judged as malt's own flavour; the others are shown with their numbers."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from gristwright.casework.claim.claim import claim
from gristwright.documents.claim_statement import claim_view
from gristwright.files.ladder_in import read_casks
from gristwright.records.ageing import ArmAnswer, CaskTable, ClaimAnswer
from gristwright.reference import csv_rows
from programme import CLAIM, arms, ladder, of_arm

MALT = [row["word"] for row in csv_rows("tables/ageing_notes.csv") if row["of_malt"] == "yes"]


def renamed(table: CaskTable, names: dict[str, str]) -> CaskTable:
    """The scales of a table under other names."""

    def other(values: dict[str, float]) -> dict[str, float]:
        return {names.get(name, name): value for name, value in values.items()}

    scales = {names.get(name, name): ends for name, ends in table.scales.items()}
    return replace(table, scales=scales, scores=tuple(replace(s, values=other(s.values)) for s in table.scores))


def asked(names: dict[str, str], malt_notes: tuple[str, ...] = ()) -> ClaimAnswer:
    """The programme with its scales renamed; arm A is sweeter, not older."""
    new = replace(renamed(arms(), names), malt_notes=malt_notes)
    return claim(renamed(ladder(), names), new, [CLAIM])


def lines(answer: ArmAnswer) -> dict[str, tuple[bool, bool]]:
    return {line.attribute: (line.raised, line.judged) for line in answer.malt}


def test_a_raised_sulphur_scale_is_no_flavour_of_malt() -> None:
    """Sulphur in place of sweetness: the statement names no flavour of malt, and the numbers stand there unjudged."""
    answer = of_arm(asked({"sweetness": "sulphury", "roast": "feinty"}), "A")
    assert lines(answer)["sulphury"] == (True, False)
    assert answer.statement == "panel_not_chem"
    assert "sulphury" not in answer.sentence
    assert "malt's own flavour" not in answer.settle
    line = next(line for line in answer.malt if line.attribute == "sulphury")
    assert "of a scale 0 to 10" in line.words
    assert "shown and not judged" in line.words
    assert line.difference.low > 0.0


@pytest.mark.parametrize("word", ["caramel", "toffee", "smoke", "malty", "süß", "Karamell", "rauchig"])
def test_a_scale_of_the_table_is_judged(word: str) -> None:
    answer = of_arm(asked({"sweetness": word.casefold(), "roast": "sulphury"}), "A")
    assert lines(answer)[word.casefold()] == (True, True)
    assert answer.statement == "sweeter"
    assert answer.sentence.startswith(f"Higher {word.casefold()}, no evidence of greater maturity")


@pytest.mark.parametrize("word", ["estery", "woody", "spicy", "sour", "nutty", "quite another thing"])
def test_any_other_scale_is_shown_and_not_judged(word: str) -> None:
    answer = of_arm(asked({"sweetness": word, "roast": "feinty"}), "A")
    assert answer.statement != "sweeter"
    assert lines(answer)[word] == (True, False)


def test_sulphur_beside_caramel_leaves_the_caramel_alone_to_the_malt() -> None:
    answer = of_arm(asked({"sweetness": "caramel", "roast": "sulphury"}), "A")
    assert set(lines(answer)) == {"caramel", "sulphury"}
    assert not lines(answer)["sulphury"][1]
    assert "sulphury" not in answer.sentence


def test_a_scale_that_the_file_names_as_a_note_of_malt_is_judged() -> None:
    assert of_arm(asked({"sweetness": "nutty"}), "A").statement != "sweeter"
    answer = of_arm(asked({"sweetness": "nutty"}, ("nutty",)), "A")
    assert answer.statement == "sweeter"
    assert answer.sentence.startswith("Higher nutty")


@pytest.mark.parametrize(
    "heading", ["nutty [0-10 malt]", "nutty [0-10, malt]", "nutty (0 to 10; malt note)", "Nutty [0–10 MALT]"]
)
def test_the_heading_says_that_a_scale_is_a_note_of_malt(tmp_path: Path, heading: str) -> None:
    path = tmp_path / "arms.csv"
    path.write_text(f'cask,age_years,assessor,sour [0-10],"{heading}"\nA1,3,P1,2,4\n', encoding="utf-8")
    table = read_casks(path, arms=True).accepted()
    assert table.scales == {"sour": (0.0, 10.0), "nutty": (0.0, 10.0)}
    assert table.malt_notes == ("nutty",)


def test_maturity_is_never_a_note_of_malt(tmp_path: Path) -> None:
    path = tmp_path / "arms.csv"
    path.write_text('cask,age_years,assessor,"maturity [0-10, malt]"\nA1,3,P1,4\n', encoding="utf-8")
    reading = read_casks(path, arms=True)
    assert reading.accepted().malt_notes == ()
    assert "is read for age" in reading.problems[0].sentence()


def test_the_page_tells_judged_and_shown_apart() -> None:
    view = claim_view(asked({"sweetness": "caramel", "roast": "sulphury"}))
    notes = {line.attribute: line for arm in view.arms if arm.arm == "A" for line in arm.malt}
    assert notes["Caramel"].judged and "not judged" not in notes["Caramel"].words
    assert not notes["Sulphury"].judged and "not judged" in notes["Sulphury"].words


def test_no_word_that_says_anything_but_malt_is_in_the_list() -> None:
    assert not {"sulphury", "feinty", "woody", "estery", "oily", "sour", "spicy", "floral", "maturity"} & set(MALT)
    assert {"sweetness", "caramel", "roast", "malty", "smoke"} <= set(MALT)
