"""Houses from elsewhere, read from files: what their bills may be called. By our reading of the rules, not the law."""

from __future__ import annotations

from pathlib import Path

import pytest

from casework.bench.law_houses import bill, house, judged
from gristwright.basics import Refused, Verdict
from gristwright.casework.bench import LawOfBill, basis_words
from gristwright.records.law import SettledBy

BARREL = 'entry_abv_pct = 62.5\nyears = {years}\nbottle_abv_pct = 50\n[cask.kind]\nname = "barrel"\nwood = "{wood}"\n'
CORN = {"MZ": ("raw_maize", 51.5, 14.0), "RY": ("raw_rye", 33.0, 11.0), "DM": ("pale_distilling_malt", 15.5, 4.5)}
RYE = {"RM": ("rye_malt", 85.0, 5.0), "CR": ("caramel_rye_malt", 15.0, 4.0)}
POT_STILL = {"DM": ("pale_distilling_malt", 50.0, 4.5), "RB": ("raw_barley", 45.0, 14.0), "OA": ("raw_oats", 5.0, 8.0)}
MALT = {"DM": ("pale_distilling_malt", 100.0, 4.5)}


def barrel(years: float = 4, wood: str = "American oak") -> str:
    return BARREL.format(years=years, wood=wood)


def verdicts(found: LawOfBill) -> dict[str, Verdict]:
    return {answer.category: answer.verdict for answer in found.answers}


def test_a_bourbon_house_that_bottles_for_germany(tmp_path: Path) -> None:
    house(tmp_path, "US-KY", barrel(), column=True)
    bill(tmp_path, CORN, 'markets = ["DE"]')
    found = judged(tmp_path)
    stand = verdicts(found)
    # 51.5 x 0.86 / (51.5 x 0.86 + 33 x 0.89 + 15.5 x 0.955) = 44.29 / 88.46 = 50.07 % of the dry grist
    assert stand["US_STRAIGHT_BOURBON"] is stand["US_BOURBON"] is Verdict.DEPENDS
    assert stand["EU_WHISKY"] is stand["US_WHISKY"] is Verdict.PASS
    assert stand["US_BONDED_BOURBON"] is Verdict.UNKNOWN
    [said] = basis_words(found.asked, found.beside)
    assert said == (
        "Straight bourbon whisky; Bourbon whisky bottled in bond depends on basis: maize 51.50 % of the grist as "
        "weighed and 50.07 % of the dry grist, at least 51 % asked."
    )


def test_headlines_are_typed_and_few(tmp_path: Path) -> None:
    house(tmp_path, "US", barrel(), column=True)
    bill(tmp_path, CORN, 'markets = ["DE"]\ncategories = ["US_BONDED_BOURBON"]')
    short = judged(tmp_path).headlines
    first, *others = short.entries
    assert (first.category, first.asked, first.verdict) == ("US_BONDED_BOURBON", True, Verdict.UNKNOWN)
    assert first.rule is not None
    assert first.settled_by == (SettledBy("plant.toml", "[cask] one_season = true"),)
    assert first.basis is not None
    assert first.basis.share is not None
    assert first.basis.share.asis_pct == (51.5, 51.5)
    assert [(one.category, one.asked) for one in others] == [
        ("EU_WHISKY", False),
        ("US_WHISKY", False),
        ("US_STRAIGHT_BOURBON", False),
    ]
    assert len(short.fails) == 13
    assert all(one.verdict is Verdict.FAIL and one.rule is not None for one in short.fails)


def test_one_season_said_settles_the_bond_but_for_the_basis(tmp_path: Path) -> None:
    house(tmp_path, "US", "one_season = true\n" + barrel(), column=True)
    bill(tmp_path, CORN)
    assert verdicts(judged(tmp_path))["US_BONDED_BOURBON"] is Verdict.DEPENDS


def test_a_rye_house_in_germany_with_a_vat_of_steel(tmp_path: Path) -> None:
    steel = '[[cask.stays]]\nyears = {}\nwood = "Edelstahl"\ncapacity_L = 2000\n'
    for years, expected in ((2.5, Verdict.FAIL), (3, Verdict.PASS)):
        house(tmp_path, "DE", barrel(years, "Eiche") + steel.format(1))
        bill(tmp_path, RYE)
        stand = verdicts(judged(tmp_path))
        assert stand == {"EU_WHISKY": expected, "EU_SINGLE_MALT": Verdict.FAIL}


def test_an_irish_pot_still_house_with_oats(tmp_path: Path) -> None:
    """Technical file FD/36/073: no more than 5 % other cereals; dry it is 5.05 %, for the barley is the wetter."""
    house(tmp_path, "IE", barrel(3, "oak"))
    bill(tmp_path, POT_STILL)
    found = judged(tmp_path)
    assert verdicts(found)["IE_POT_STILL"] is Verdict.DEPENDS
    assert verdicts(found)["EU_WHISKY"] is Verdict.PASS
    [said] = basis_words(found.asked, found.beside)
    assert said.startswith("Irish pot still whiskey depends on basis: grain other than barley 5.00 % of the grist as")
    assert "5.05 % of the dry grist, at most 5 % asked" in said


@pytest.mark.parametrize("wood", ["mizunara", "Mizunara Oak", "Quercus crispula", "japanische Eiche"])
def test_a_japanese_cask_of_mizunara_is_oak_everywhere(tmp_path: Path, wood: str) -> None:
    house(tmp_path, "JP", barrel(3, wood))
    bill(tmp_path, MALT, 'markets = ["US", "DE"]')
    stand = verdicts(judged(tmp_path))
    assert [key for key, verdict in stand.items() if verdict is Verdict.PASS] == [
        "EU_WHISKY",
        "EU_SINGLE_MALT",
        "JP_WHISKY",
        "US_WHISKY",
        "US_MALT",
        "US_STRAIGHT_MALT",
    ]


def test_a_word_for_wood_that_nobody_knows_is_unknown_wherever_it_stands(tmp_path: Path) -> None:
    finish = '[[cask.stays]]\nyears = 1\nwood = "wuud"\ncapacity_L = 500\nnew = false\ncharred = true\n'
    house(tmp_path, "DE", barrel(2.5, "oak") + finish)
    bill(tmp_path, MALT)
    [answer] = [answer for answer in judged(tmp_path).answers if answer.category == "EU_WHISKY"]
    [rule] = answer.deciding
    assert rule.verdict is Verdict.UNKNOWN
    assert '"wuud" is no wood known here' in rule.reason
    assert rule.settled_by == (SettledBy("plant.toml", '[[cask.stays]] no. 1, wood = "oak"'),)


def test_a_finish_a_move_abroad_and_a_vat_too_large_are_judged(tmp_path: Path) -> None:
    away = '[[cask.stays]]\nyears = 1\nwood = "oak"\ncapacity_L = {}\nnew = false\ncharred = true\ncountry = "{}"\n'
    for size, place, scotch, union in ((500, "GB-SCT", "pass", "pass"), (500, "ES", "fail", "pass"),
                                       (900, "GB-SCT", "fail", "fail")):  # fmt: skip
        house(tmp_path, "GB-SCT", "excise_warehouse = true\n" + barrel(2.5, "oak") + away.format(size, place))
        bill(tmp_path, MALT, 'markets = ["DE"]')
        stand = verdicts(judged(tmp_path))
        assert (stand["GB_SCOTCH"].value, stand["EU_WHISKY"].value) == (scotch, union)


def test_a_cask_above_the_legal_size_and_a_strength_above_the_model_fail_the_rule_and_no_check(tmp_path: Path) -> None:
    large = barrel(4, "oak").replace('name = "barrel"', 'name = "vat"\ncapacity_L = 701\nwall_mm = 40')
    house(tmp_path, "DE", large)
    bill(tmp_path, MALT)
    assert verdicts(judged(tmp_path))["EU_WHISKY"] is Verdict.FAIL
    house(tmp_path, "US", large.replace("701", "9000").replace("62.5", "66"))
    found = judged(tmp_path)
    said = [problem.what for problem in found.warnings]
    assert any(what.startswith("capacity 9000 L is outside 2 to 750 L") and "law is judged" in what for what in said)
    reasons = {rule.rule_id: rule.reason for answer in found.answers for rule in answer.deciding}
    assert reasons["US-BO-125"] == "the strength into the cask is 66 %vol; asked at most 62.5 %vol."
    assert "US-AS-oak" in reasons  # bottled in November 2030, after the transition


def test_a_bottle_below_and_above_every_law_can_be_entered(tmp_path: Path) -> None:
    for strength, expected in ((39.9, Verdict.FAIL), (61.0, Verdict.PASS), (95.0, Verdict.PASS)):
        house(tmp_path, "DE", barrel(4, "oak").replace("bottle_abv_pct = 50", f"bottle_abv_pct = {strength}"))
        bill(tmp_path, MALT)
        assert verdicts(judged(tmp_path))["EU_WHISKY"] is expected


def test_a_house_whose_rules_are_not_here_is_told_so(tmp_path: Path) -> None:
    house(tmp_path, "CH", barrel())
    bill(tmp_path, MALT)
    found = judged(tmp_path)
    assert (found.answers, found.notes) == ((), ("No rules of CH, where the house stands, are here.",))
    assert len(judged(tmp_path, every=True).answers) > 25
    bill(tmp_path, MALT, 'markets = ["CH", "DE"]')
    with pytest.raises(Refused, match="'CH' is no market"):
        judged(tmp_path)
