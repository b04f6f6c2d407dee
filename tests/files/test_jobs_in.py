"""Reading enquiry, plant and bill files: what holds is read, what does not is named, all at once."""

import datetime as dt

import pytest

from gristwright.basics import Refused
from gristwright.files.jobs_in import read_bill, read_enquiry
from gristwright.records.bill import Share
from scenario import copied


@pytest.fixture
def folder(tmp_path):
    return copied(tmp_path)


def edit(folder, name, old, new):
    text = (folder / name).read_text()
    assert old in text
    (folder / name).write_text(text.replace(old, new))


def faults(folder) -> str:
    return "\n".join(p.sentence() for p in read_enquiry(folder / "enquiry.toml").problems)


def test_the_scenario_reads(folder):
    asked = read_enquiry(folder / "enquiry.toml").accepted()
    assert asked.date == dt.date(2026, 11, 25)
    assert asked.present.shares == (Share("PD-1", 10_000),)
    assert asked.offered[1].most_parts == 5000
    assert asked.cask.kind.capacity_L == 200.0
    assert len(asked.cask.climate.month_degC) == 12


def test_decimal_comma_in_quotes(folder):
    edit(folder, "enquiry.toml", "mean_lpa_per_t = 392", 'mean_lpa_per_t = "392,5"')
    assert read_enquiry(folder / "enquiry.toml").accepted().record.mean_lpa_per_t == 392.5


@pytest.mark.parametrize(
    ("name", "old", "new", "said"),
    [
        ("enquiry.toml", "sd_lpa_per_t", "sd_lpa_per_ton", "Did you mean 'sd_lpa_per_t'?"),
        ("enquiry.toml", "price_per_t = 496", 'price_per_t = "much"', "offered 2.price_per_t: 'much' is not a number"),
        ("enquiry.toml", "date = 2026-11-25", 'date = "soon"', "is not a date"),
        ("enquiry.toml", "grid_pct = 5", "grid_pct = 7", "7 % does not divide 100 %"),
        ("enquiry.toml", "least_pct = 5", "least_pct = 50", "is above most_pct"),
        ("enquiry.toml", '"CM-300"]', '"CM-400"]', "lot 'CM-400' is not offered"),
        ("enquiry.toml", 'plant = "plant.toml"', 'plant = "nowhere.toml"', "is not there"),
        ("enquiry.toml", "most_pct = 50", "most_pct = 33.333", "finer than 0.01 %"),
        ("enquiry.toml", "invented = true", 'invented = "yes"', "neither true nor false"),
        ("plant.toml", "count = 6", "count = 0", "washbacks.count: 0"),
        ("plant.toml", 'name = "barrel"', 'name = "barel"', "One of your own needs capacity_L and wall_mm."),
        ("plant.toml", 'kind = "separated"', 'kind = "seperated"', "Did you mean 'separated'?"),
        ("bill.toml", "PD-1 = 100", "PD-1 = 101", "101 % is outside 0-100 %"),
        ("bill.toml", "bill/2", "bill/9", "version 9 is newer than this release reads (2)"),
        ("bill.toml", 'format = "gristwright.bill/2"', "", "the line that says its format is missing"),
    ],
)  # fmt: skip
def test_each_fault_has_place_value_and_way_out(folder, name, old, new, said):
    edit(folder, name, old, new)
    text = faults(folder)
    assert said in text
    assert name.split(".")[0] in text or "nowhere" in text


def test_all_faults_of_all_files_at_once(folder):
    edit(folder, "plant.toml", "count = 6", "count = 0")
    edit(folder, "enquiry.toml", "grid_pct = 5", "grid_pct = 7")
    edit(folder, "bill.toml", "PD-1 = 100", "PD-1 = 101")
    text = faults(folder)
    assert "plant.toml" in text and "enquiry.toml" in text and "bill.toml" in text
    with pytest.raises(Refused):
        read_enquiry(folder / "enquiry.toml").accepted()


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b"a = [", "line 1: 'a = [' cannot be read"),
        (b"\xff\xfe\x00a", "is text in UTF-16. Save it as UTF-8"),
        (b'format = "gristwright.bill/1"', "is a bill, not an enquiry. Follow it with gristwright run"),
        (b"x" * 2_100_000, "larger than 2 MB"),
    ],
)
def test_files_that_are_no_enquiry(tmp_path, raw, said):
    path = tmp_path / "enquiry.toml"
    path.write_bytes(raw)
    (problem,) = read_enquiry(path).problems
    assert said in problem.sentence()


def test_own_climate_of_eleven_months_is_refused(folder):
    own = 'climate = { name = "our store", month_degC = [8,8,9,10,11,12,13,13,12,11,9], month_humidity = [0.8] }'
    edit(folder, "plant.toml", 'climate = "cool humid store"', own)
    text = faults(folder)
    assert "has 11 months and 12 are needed" in text and "has 1 month and" in text


def test_bill_sheet(folder):
    sheet = read_bill(folder / "bill.toml").accepted()
    assert sheet.prices == {"PD-1": 520.0}
    assert sheet.categories == ("EU_WHISKY", "EU_SINGLE_MALT")
