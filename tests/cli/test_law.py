"""`gristwright law` as a user runs it: a verdict for every category, grouped by market."""

import json
import shutil

from gristwright.casework.bench.law_of_bill import law_of_bill
from gristwright.cli.main import main
from gristwright.rules import law
from house.places import EXAMPLES
from scenario import FOLDER, copied, lots, sheet

BILL, LOTS = str(FOLDER / "bill.toml"), str(FOLDER / "lots.csv")


def test_every_category_has_a_verdict_within_80_columns(capsys):
    assert main(["law", BILL, "--lots", LOTS, "--all"]) == 0
    printed = capsys.readouterr().out
    assert max(len(line) for line in printed.splitlines()) <= 80
    for answer in law_of_bill(sheet(), lots(), every=True).answers:
        assert f"{answer.verdict.value.upper()}  {answer.category}:" in printed
        assert printed.count(f"\n{answer.market}\n") == 1
    assert "not legal advice" in printed


def test_reasons_and_both_bases_are_printed(capsys):
    assert main(["law", BILL, "--lots", LOTS, "--category", "IE_GRAIN", "--category", "EU_WHISKY"]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    assert "IW-4a fail: malted barley 100.00 % of the grist as weighed and dry, at most 30 % asked." in printed
    assert "PASS EU_WHISKY" in printed and "US_BOURBON" not in printed
    assert "PD-1 pale distilling malt 100.00 100.00" in printed


def test_a_missing_moisture_leaves_the_dry_share_unknown(tmp_path, capsys):
    folder = copied(tmp_path)
    text = (folder / "lots.csv").read_text().replace("2025,4.6,", "2025,,")
    (folder / "lots.csv").write_text(text)
    assert main(["law", str(folder / "bill.toml"), "--lots", str(folder / "lots.csv")]) == 0
    assert "not known" in capsys.readouterr().out


def test_json_has_all_categories_and_the_day(capsys):
    assert main(["law", BILL, "--lots", LOTS, "--on", "2025-06-01", "--json", "--all"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["format"] == "gristwright.law/1" and data["on"] == "2025-06-01"
    assert {c["category"] for c in data["categories"]} == {key for key, _, _ in law.categories()}
    assert [c["category"] for c in data["categories"] if c["asked"]] == list(sheet().categories)
    assert all(c["source"] and c["version_date"]["iso"] for c in data["categories"])


def test_the_day_decides_which_text_is_too_new(capsys):
    assert main(["law", BILL, "--lots", LOTS, "--on", "2024-06-01", "--category", "US_WHISKY"]) == 0
    assert "later than the day judged" in " ".join(capsys.readouterr().out.split())


def test_an_unknown_category_is_refused(capsys):
    assert main(["law", BILL, "--lots", LOTS, "--category", "EU_WHISKEY"]) == 2
    assert "Did you mean 'EU_WHISKY' (Whisky or whiskey (EU category 2)) or 'IE_WHISKEY'" in capsys.readouterr().err


def of_wood(tmp_path, capsys, wood, category="GB_SCOTCH"):
    tmp_path.mkdir(exist_ok=True)
    folder = copied(tmp_path)
    plant = folder / "plant.toml"
    plant.write_text(plant.read_text().replace("[cask.kind]\n", f'[cask.kind]\nwood = "{wood}"\n'))
    args = ["law", str(folder / "bill.toml"), "--lots", str(folder / "lots.csv"), "--category", category, "--json"]
    assert main(args) == 0
    (found,) = json.loads(capsys.readouterr().out)["categories"]
    return {rule["rule"]: (rule["verdict"], rule["reason"]) for rule in found["answers"]}


def test_a_plant_may_name_its_wood_as_people_do(tmp_path, capsys):
    plain = of_wood(tmp_path / "a", capsys, "oak")
    for place, wood in enumerate(("Quercus alba", "mizunara", "European Oak", "Eiche")):
        named = of_wood(tmp_path / str(place), capsys, wood)
        assert {rule: verdict for rule, (verdict, _) in named.items()} == {
            rule: verdict for rule, (verdict, _) in plain.items()
        }


def test_a_wood_the_table_lacks_is_unknown_and_named_with_what_is_accepted(tmp_path, capsys):
    found = of_wood(tmp_path, capsys, "mizunaro", "EU_WHISKY")
    verdict, reason = found["EU-5"]
    assert verdict == "unknown"
    assert '"mizunaro" is no wood known here (meant is mizunara?); accepted is acacia, ' in reason


def test_by_default_the_names_of_the_house_and_its_markets_are_judged_and_fails_are_a_line(tmp_path, capsys):
    folder = copied(tmp_path)
    bill = folder / "bill.toml"
    bill.write_text(bill.read_text().replace("[shares]", 'markets = ["US"]\n\n[shares]'))
    assert main(["law", str(bill), "--lots", str(folder / "lots.csv")]) == 0
    printed = capsys.readouterr().out
    assert "Asked for\n  PASS  EU_WHISKY" in printed
    assert "For the house and its markets\n  PASS  US_WHISKY" in printed
    [fails] = [part for part in printed.split("\n\n") if part.startswith("Also judged, fails: Bourbon whisky;")]
    assert "GB_SCOTCH" not in printed and "Canadian" not in fails


def test_an_unknown_market_is_one_fault_with_those_there_are(tmp_path, capsys):
    folder = copied(tmp_path)
    bill = folder / "bill.toml"
    bill.write_text(bill.read_text().replace("[shares]", 'markets = ["CH", "germany"]\n\n[shares]'))
    assert main(["law", str(bill), "--lots", str(folder / "lots.csv")]) == 2
    [said] = [line for line in capsys.readouterr().err.splitlines() if "markets" in line]
    assert said.startswith("bill, markets: 'CH', 'germany' are no markets whose rules are here. Is DE meant?")
    assert "AT, AU, BE" in said


def test_beer_is_told_that_it_is_not_judged(capsys):
    beer = EXAMPLES / "raw-barley-beer"
    args = ["law", str(beer / "bill.toml"), "--lots", str(beer / "certificates.xlsx")]
    assert main(args) == 0
    assert law.NOT_OF_BEER in " ".join(capsys.readouterr().out.split())
    assert main([*args, "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert (data["categories"], data["notes"]) == ([], [law.NOT_OF_BEER])


def test_names_or_markets_in_a_bill_of_beer_get_the_same_sentence(tmp_path, capsys):
    folder = tmp_path / "beer"
    shutil.copytree(EXAMPLES / "raw-barley-beer", folder)
    bill = folder / "bill.toml"
    bill.write_text(bill.read_text().replace("[shares]", 'markets = ["US"]\ncategories = ["EU_WHISKY"]\n\n[shares]'))
    assert main(["check", str(bill), "--lots", str(folder / "certificates.xlsx")]) == 2
    said = capsys.readouterr().err
    assert f"bill, categories: EU_WHISKY: {law.NOT_OF_BEER}" in said
    assert f"bill, markets: US: {law.NOT_OF_BEER}" in said
