"""Prices at release and a claim of age in an enquiry file: read, or every fault named with its place."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

import programme
from gristwright.basics import at
from gristwright.files import ladder_in
from gristwright.files.claim_in import grists_text, parse_claim, parse_grists
from gristwright.files.jobs_in import read_enquiry
from gristwright.records.ageing import AgeClaim, ArmGrist
from gristwright.records.give_gain import ReleasePrices
from scenario import copied

CLAIM = """
[claim]
ladder = "ladder.csv"
arms = "arms.csv"
claims = ["3:6-8"]

[claim.grist.B]
pale_distilling_malt = 90
caramel_malt_medium = 10
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in ("ladder.csv", "arms.csv"):
        shutil.copy(programme.FOLDER / name, tmp_path)
    return copied(tmp_path)


def said(folder: Path, more: str, *swaps: tuple[str, str]) -> str:
    """Every problem of the enquiry with a claim and some texts exchanged."""
    path = folder / "enquiry.toml"
    text = path.read_text(encoding="utf-8") + more
    for old, new in swaps:
        assert old in text
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
    return "\n".join(problem.sentence() for problem in read_enquiry(path).problems)


def test_the_example_has_prices_and_no_claim(folder: Path) -> None:
    asked = read_enquiry(folder / "enquiry.toml").accepted()
    wanted = ReleasePrices(cask_price=115, fills=3, rent_per_cask_year=12, interest_pct_per_year=6, dry_goods_per_L=2.1)
    assert asked.release == wanted and asked.claim is None


def test_no_table_no_prices(folder: Path) -> None:
    path = folder / "enquiry.toml"
    path.write_text(path.read_text(encoding="utf-8").partition("[release]")[0], encoding="utf-8")
    assert read_enquiry(path).accepted().release is None


def test_a_claim_is_read_with_its_files(folder: Path) -> None:
    assert said(folder, CLAIM) == ""
    reading = read_enquiry(folder / "enquiry.toml")
    claim = reading.accepted().claim
    assert claim is not None
    assert (claim.claims, claim.model, claim.ladder, claim.arms) == (
        (AgeClaim(3.0, 6.0, 8.0),), "line", programme.ladder(), programme.arms()
    )  # fmt: skip
    assert claim.grists == (ArmGrist("B", (("pale_distilling_malt", 9000), ("caramel_malt_medium", 1000))),)
    assert {path.name for path in reading.files} >= {"ladder.csv", "arms.csv"}


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (
            "interest_pct_per_year = 6",
            "interest_pct_per_year = 60",
            "release.interest_pct_per_year: 60 % a year is outside",
        ),
        ("fills = 3", "filling = 3", "release.filling: is not a field we know. Did you mean 'fills'?"),
        ("fills = 3", "evaporation_low_pct_per_year = 2", "release.evaporation_high_pct_per_year: is missing"),
        ("cask_price = 115", 'cask_price = "much"', "release.cask_price: 'much' is not a number"),
        ('"3:6-8"', '"6-8"', "claim.claims: '6-8' is no claim"),
        ('"3:6-8"', '"6:3"', "is no claim of greater age"),
        ('"3:6-8"', '"4:6"', "no arm has this true age"),
        ('"ladder.csv"', '"nowhere.csv"', "nowhere.csv: is not there"),
        ('"ladder.csv"', "3", "claim.ladder: 3 is not text"),
        ('arms = "arms.csv"', 'armes = "arms.csv"', "claim.arms: is missing"),
        ("medium = 10", "medium = 9", "claim.grist.B.shares: make 99 %. Make them 100 %."),
        ("caramel_malt_medium = 10", "caramel_malt_medum = 10", "Did you mean caramel_malt_medium?"),
        ("grist.B", "grist.Z", "claim.grist.Z: no arm 'Z' in arms.csv. Arms there: A, B."),
        ('claims = ["3:6-8"]', 'model = "bent"', "claim.model: 'bent' is not known here"),
    ],
)
def test_each_fault_has_place_value_and_way_out(folder: Path, old: str, new: str, told: str) -> None:
    assert told in said(folder, CLAIM, (old, new))


def test_all_faults_at_once(folder: Path) -> None:
    text = said(folder, CLAIM, ("fills = 3", "fills = 0"), ('"3:6-8"', '"6-8"'), ("medium = 10", "medium = 9"))
    assert all(part in text for part in ("release.fills", "claim.claims", "claim.grist.B.shares"))


def test_grists_are_written_as_they_are_read() -> None:
    grists = (ArmGrist("A", (("pale_distilling_malt", 8750), ("caramel_malt_dark", 1250))),)
    assert parse_grists(grists_text(grists), at("grists")) == (grists, [])
    assert parse_grists("A: pale_distilling_malt 87,5; caramel_malt_dark 12,5", at("grists")) == (grists, [])
    assert parse_grists("A: pale_distilling_malt 87,5, caramel_malt_dark 12,5", at("grists")) == (grists, [])
    assert parse_claim(" 3 : 6 - 8 ", "claim") == AgeClaim(3.0, 6.0, 8.0)


def test_prices_at_release_need_years_in_wood(folder: Path) -> None:
    plant = folder / "plant.toml"
    text = plant.read_text(encoding="utf-8")
    assert "years = 5" in text
    plant.write_text(text.replace("years = 5", "years = 0"), encoding="utf-8")
    assert "release: no years in wood are planned" in said(folder, "")


def test_a_table_of_casks_that_could_not_be_read_back_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "ladder.csv"
    path.write_text("cask,age_years,vanillin [mg/L]\n" + "R-1,3,0.5\n" * 20_000, encoding="utf-8")
    said = [problem.sentence() for problem in ladder_in.read_casks(path).problems]
    assert said == ["ladder.csv: holds more than 15384 rows. Send the rows that count."]
