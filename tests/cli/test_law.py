"""`gristwright law` as a user runs it: a verdict for every category, grouped by market."""

import json

from gristwright.casework.bench.law_of_bill import law_of_bill
from gristwright.cli.main import main
from gristwright.rules import law
from scenario import FOLDER, copied, lots, sheet

BILL, LOTS = str(FOLDER / "bill.toml"), str(FOLDER / "lots.csv")


def test_every_category_has_a_verdict_within_80_columns(capsys):
    assert main(["law", BILL, "--lots", LOTS]) == 0
    printed = capsys.readouterr().out
    assert max(len(line) for line in printed.splitlines()) <= 80
    for answer in law_of_bill(sheet(), lots()).answers:
        assert f"{answer.verdict.value.upper()}  {answer.category}:" in printed
        assert printed.count(f"\n{answer.market}\n") == 1
    assert "not legal advice" in printed


def test_reasons_and_both_bases_are_printed(capsys):
    assert main(["law", BILL, "--lots", LOTS, "--category", "IE_GRAIN", "--category", "EU_WHISKY"]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    assert "IW-4a fail: the share is 100.00 % of the mass as it is and 100.00 % of the dry mass" in printed
    assert "PASS EU_WHISKY" in printed and "US_BOURBON" not in printed
    assert "PD-1 pale distilling malt 100.00 100.00" in printed


def test_a_missing_moisture_leaves_the_dry_share_unknown(tmp_path, capsys):
    folder = copied(tmp_path)
    text = (folder / "lots.csv").read_text().replace("2025,4.6,", "2025,,")
    (folder / "lots.csv").write_text(text)
    assert main(["law", str(folder / "bill.toml"), "--lots", str(folder / "lots.csv")]) == 0
    assert "not known" in capsys.readouterr().out


def test_json_has_all_categories_and_the_day(capsys):
    assert main(["law", BILL, "--lots", LOTS, "--on", "2025-06-01", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["format"] == "gristwright.law/1" and data["on"] == "2025-06-01"
    assert [c["category"] for c in data["categories"]] == [key for key, _, _ in law.categories()]
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
