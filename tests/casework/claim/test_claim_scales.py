"""What a file says a panel's scale speaks of: immaturity or age is read for age, malt stands apart, else it is said.

The sheet is another house's, with scales of its own words; casks, panel and laboratory are invented and drawn here, so
the truth is what they were drawn with.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from gristwright.casework.claim.claim import claim
from gristwright.documents.claim_statement import claim_pages, claim_view
from gristwright.documents.gain import ages_view
from gristwright.files.casks_out import casks_table
from gristwright.files.csv_out import csv_bytes
from gristwright.files.ladder_in import read_casks
from gristwright.records.ageing import AgeClaim, ArmAnswer, ClaimAnswer, ClaimStanding

CLAIM = AgeClaim(3.0, 6.0, 8.0)
AGES, CASKS, ASSESSORS, SEED = (3, 6, 9, 12), 4, 9, 4
BEFORE = "arm;cask;age [months];wood;fill;entry strength;warehouse;assessor;sitting"
MARKERS = ("ethyl acetate [g/hL pa]", "volatile acids [g/hL pa]", "vanillin [mg/L]")
DECLARED = ("meaty [0-15, immature]", "gummy [0-15, age]")
UNSAID = ("meaty [0-15]", "gummy [0-15]")


def sheet(folder: Path, heads: tuple[str, ...], reads: dict[str, float], arm: float | None = None) -> Path:
    """A file of the house: `reads` is the age that each scale, or the laboratory, truly reads of an arm's cask."""
    rng = np.random.default_rng(SEED + (arm is not None))
    rows = [f"{BEFORE};{';'.join((*MARKERS, *heads))}"]
    names = [head.split(" [")[0] for head in heads]
    for age in AGES if arm is None else [arm]:
        for number in range(CASKS if arm is None else 7):
            cask = f"{'R' if arm is None else 'T'}{age:g}-{number}"
            facts = f";{cask};{12 * age:g};sherry butt, european oak;1;63.2;lower store" if arm is None else (
                f"toasted;{cask};{12 * age:g};sherry butt, european oak;1;63.2;lower store"
            )  # fmt: skip
            known = reads.get("laboratory", age) if arm is not None else age
            values = [20.0 + 3.0 * (known + 0.5 * rng.normal()) for _ in MARKERS]
            rows.append(f"{facts};;;{';'.join(f'{v:.2f}' for v in values)}{';' * len(heads)}".replace(".", ","))
            own = {name: 0.3 * rng.normal() for name in names}
            for taster in range(ASSESSORS):
                cells = []
                for name in names:
                    truth = (reads.get(name, age) if arm is not None else age) + own[name] + 0.8 * rng.normal()
                    cells.append(13.5 - 0.9 * truth if name == "meaty" else 1.5 + 0.9 * truth)
                shown = ";".join(f"{float(np.clip(v, 0.0, 15.0)):.1f}" for v in cells)
                rows.append(f"{facts};N{taster};1;{';' * (len(MARKERS) - 1)};{shown}".replace(".", ","))
    path = folder / ("reference.csv" if arm is None else "toasted.csv")
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def answered(folder: Path, heads: tuple[str, ...], arm_heads: tuple[str, ...] = (), **reads: float) -> ClaimAnswer:
    """The house's claim that its casks of three years read like six to eight."""
    ladder = read_casks(sheet(folder, heads, reads)).accepted()
    arms = read_casks(sheet(folder, arm_heads or heads, reads, arm=3), arms=True).accepted()
    return claim(ladder, arms, [CLAIM])


def the_arm(found: ClaimAnswer) -> ArmAnswer:
    (answer,) = found.answers
    return answer


def test_notes_alone_are_read_for_age_and_carry_a_claim(tmp_path: Path) -> None:
    """No scale of maturity: meaty that falls and gummy that rises stand in its place, and all are truly of 8 years."""
    answer = the_arm(answered(tmp_path, DECLARED, meaty=8.0, gummy=8.0, laboratory=8.0))
    assert (answer.statement, answer.verdict) == ("reads_older", ClaimStanding.SUPPORTED)
    assert "score of maturing from meaty (immature) and gummy (age)" in answer.sentence
    line = answer.line("panel")
    assert line is not None and line.low is not None and line.high is not None
    assert line.low < 8.0 < line.high and line.low > 6.0
    meaty = next(note for note in answer.malt if note.attribute == "meaty")
    assert meaty.difference.high < 0.0
    assert "speaks of immaturity, falls with age on this ladder and is read for age" in meaty.words


def test_the_same_scales_undeclared_say_nothing_of_age_and_are_named(tmp_path: Path) -> None:
    found = answered(tmp_path, UNSAID, meaty=8.0, gummy=8.0, laboratory=8.0)
    answer = the_arm(found)
    assert answer.statement == "chem_alone"
    assert all("shown and not judged" in note.words for note in answer.malt)
    (said,) = [warning for warning in found.warnings if "meaty and gummy" in warning]
    assert "neither table nor file says what meaty and gummy speak of" in said
    assert "[0-10, immature]" in said


def test_what_is_immature_still_there_stands_against_a_raised_maturity_score(tmp_path: Path) -> None:
    """Sweetness lifts maturity to 8 years; meaty and the laboratory stay at 3: malt's flavour, no maturing."""
    heads = ("maturity [0-15]", "meaty [0-15, immature]", "caramel [0-15]")
    answer = the_arm(answered(tmp_path, heads, maturity=8.0, meaty=3.0, caramel=8.0, laboratory=3.0))
    assert answer.statement == "masked"
    assert answer.verdict is ClaimStanding.REFUTED
    assert "the panel's notes" in answer.verdict_words
    assert answer.sentence.startswith("Higher caramel, no evidence of greater maturity")
    assert "score of maturing from meaty (immature)" in answer.sentence
    assert answer.gained_years is None


def test_a_note_that_stays_stops_a_claim_that_markers_and_maturity_would_carry(tmp_path: Path) -> None:
    heads = ("maturity [0-15]", "meaty [0-15, immature]")
    stays = the_arm(answered(tmp_path, heads, maturity=8.0, meaty=3.0, laboratory=8.0))
    assert stays.statement == "notes_not_older"
    assert stays.verdict is ClaimStanding.REFUTED
    fell = the_arm(answered(tmp_path, heads, maturity=8.0, meaty=8.0, laboratory=8.0))
    assert (fell.statement, fell.verdict) == ("reads_older", ClaimStanding.SUPPORTED)
    assert "markers, panel and its notes all exclude every age under 6 years" in fell.verdict_words
    assert "on its score of maturing from meaty (immature) like those of" in fell.sentence
    notes = fell.line("notes")
    assert notes is not None and notes.used and fell.gained_years is not None


def test_a_note_that_goes_the_other_way_on_the_ladder_is_not_read(tmp_path: Path) -> None:
    """Gummy rises with age here; called immature it is shown, and says that it does not fall."""
    heads = ("maturity [0-15]", "gummy [0-15, immature]")
    answer = the_arm(answered(tmp_path, heads, maturity=8.0, gummy=8.0, laboratory=8.0))
    assert answer.statement == "reads_older"
    assert answer.line("notes") is None
    (gummy,) = answer.malt
    assert "speaks of immaturity but does not fall with age on this ladder" in gummy.words


def test_files_that_say_two_things_of_a_scale_are_told(tmp_path: Path) -> None:
    found = answered(tmp_path, DECLARED, ("meaty [0-15, malt]", "gummy [0-15]"), meaty=8.0, gummy=8.0, laboratory=8.0)
    assert any("meaty speaks of malt here and of immature in reference.csv" in text for text in found.warnings)
    line = the_arm(found).line("panel")
    assert line is not None and line.title == "panel, gummy"


def test_a_file_calls_a_word_of_malt_something_else(tmp_path: Path) -> None:
    """Cereal is a word of malt in our table; a house that calls it immature is taken at its word."""
    heads = ("maturity [0-15]", "cereal [0-15, immature]")
    answer = the_arm(answered(tmp_path, heads, maturity=3.0, cereal=8.0, laboratory=3.0))
    (cereal,) = answer.malt
    assert (cereal.judged, cereal.speaks_of) == (False, "immature")


@pytest.mark.parametrize(
    ("heading", "kind"),
    [
        ("meaty [0-15, immature]", "immature"),
        ("meaty [0-15; Unreif]", "immature"),
        ("meaty (0 to 15 immaturity)", "immature"),
        ("meaty [0-15, new make]", "immature"),
        ("meaty [0–15, age]", "age"),
        ("meaty [0-15, Malz]", "malt"),
    ],
)
def test_the_heading_says_what_a_scale_speaks_of(tmp_path: Path, heading: str, kind: str) -> None:
    path = tmp_path / "panel.csv"
    path.write_text(f'cask,age_years,assessor,"{heading}"\nA1,3,P1,2\n', encoding="utf-8")
    table = read_casks(path, arms=True).accepted()
    assert table.speaks_of == {"meaty": kind}
    again = tmp_path / "again.csv"
    again.write_bytes(csv_bytes(casks_table(table)))
    assert read_casks(again, arms=True).accepted().speaks_of == {"meaty": kind}


def test_a_word_behind_a_scale_that_says_nothing_is_told_and_no_unit(tmp_path: Path) -> None:
    path = tmp_path / "panel.csv"
    path.write_text('cask,age_years,assessor,"meaty [0-15, funky]","maturity [0-15, immature]"\nA1,3,P1,2,4\n', "utf-8")
    reading = read_casks(path, arms=True)
    assert reading.accepted().speaks_of == {} and reading.accepted().units == {}
    said = " ".join(problem.sentence() for problem in reading.problems)
    assert "'funky' does not say what 'meaty' speaks of" in said
    assert "'maturity' is read for age and is no note of immature" in said


def test_paper_and_desk_say_what_the_terminal_says(tmp_path: Path) -> None:
    """The statement's page, and what dossier and desk show of an enquiry's arms, hold the sentence and the notes."""
    found = answered(tmp_path, ("maturity [0-15]", *DECLARED), maturity=8.0, meaty=8.0, gummy=8.0, laboratory=8.0)
    (arm,) = claim_view(found).arms
    assert [line.role for line in arm.lines][-2:] == ["panel", "notes"]
    assert arm.lines[-1].title == "Panel, meaty and gummy" and "meaty for immaturity" in arm.lines[-1].note
    assert claim_pages(claim_view(found))[0].startswith(b"%PDF")
    ages = ages_view(found)
    assert ages is not None
    assert ages.arms[0].sentence == arm.sentence
    assert "read for age" in ages.arms[0].malt[0].words
