"""Page, terminal and paper say the same of one bill: same litres, same boards, mashed at 69, at 64 degC and for rye."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader

from browser.conftest import Desk
from browser.person import PASSWORD

HOUSE = """format = "gristwright.plant/1"
name = "Quern Lane (invented)"
kind = "separated"
country = "DE"
one_distillery = true
tonnes_per_year = 400
enzymes = "malt only"
ferment_agents = "yeast"
[mash]
kg_per_mash = 1800
wort_L_per_t = 5100
settled_mash_degC = {settled}
vessel = "{vessel}"
[washbacks]
count = 6
volume_L = 12500
hours = 72
[pot_stills]
wash_charge_L = 4800
spirit_charge_L = 3400
[cask]
kind = "barrel"
climate = "cool humid store"
entry_abv_pct = 62
years = 4
bottle_abv_pct = 46
bottle_L = 0.7
"""
SHEET = """format = "gristwright.bill/1"
name = "today"
plant = "plant.toml"
categories = []
currency = "EUR"
date = 2026-11-25
[shares]
{shares}
[price_per_t]
{prices}
"""
ENQUIRY = """format = "gristwright.enquiry/1"
invented = true
title = "One answer"
customer = "Quern Lane (invented)"
question = "What do we get?"
adviser = "A. Example"
date = 2026-11-25
valid_days = 90
purpose = "whisky"
categories = []
currency = "EUR"
plant = "plant.toml"
processing_cost_per_t = 300
[present]
bill = "bill.toml"
"""
OFFERED = '[[material]]\nlot = "{lot}"\nprice_per_t = {price}\nleast_pct = {least}\nmost_pct = {most}\n'
BARLEY = "lot,material,moisture [%],extract fine dry [%],diastatic power [degWK],total nitrogen dry [%]\n"
BARLEY += "P-7,pale_distilling_malt,4.6,81.6,262,1.50\nC-7,caramel_malt_medium,5.2,75.8,0,1.70\n"
RYE = "lot,material,moisture [%],extract fine dry [%],diastatic power [degWK],total nitrogen dry [%]\n"
RYE += "R-7,rye_malt,5.1,85.0,330,1.75\nK-7,caramel_rye_malt,5.6,78.0,0,1.80\n"


@dataclass(frozen=True)
class House:
    """A house as its files say it: where its mash settles, its vessel, certificates, today's shares."""

    settled: float
    vessel: str
    lots: str
    today: dict[str, int]

    def write(self, folder: Path) -> None:
        (folder / "plant.toml").write_text(HOUSE.format(settled=self.settled, vessel=self.vessel))
        (folder / "lots.csv").write_text(self.lots)
        base, second = self.today
        prices = {base: 520, second: 700}
        shares = "\n".join(f"{lot} = {pct}" for lot, pct in self.today.items())
        listed = "\n".join(f"{lot} = {price}" for lot, price in prices.items())
        (folder / "bill.toml").write_text(SHEET.format(shares=shares, prices=listed))
        ranges = {base: (80, 100), second: (0, 20)}
        offered = [
            OFFERED.format(lot=lot, price=prices[lot], least=low, most=high) for lot, (low, high) in ranges.items()
        ]
        (folder / "enquiry.toml").write_text(ENQUIRY + "".join(offered))


HOUSES = {
    "barley at 69 degC": House(69.0, "tun", BARLEY, {"P-7": 95, "C-7": 5}),
    "barley at 64 degC": House(64.0, "tun", BARLEY, {"P-7": 95, "C-7": 5}),
    "rye": House(63.0, "lauter", RYE, {"R-7": 85, "K-7": 15}),
}
# Puts an enquiry into the tables of a desk, as its forms would.
INTO_THE_DESK = """
from pathlib import Path
from gristwright.workbench.worker import set_up
set_up()
from django.contrib.auth import get_user_model
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.jobs_in import read_enquiry
from gristwright.store.mapping import save_enquiry
asked = read_enquiry(Path("enquiry.toml")).accepted()
print(save_enquiry(asked, read_lots(Path("lots.csv")).accepted(), get_user_model().objects.get()).pk)
"""


def python(code: str, folder: Path, home: Path, *words: str) -> str:
    env = {"GRISTWRIGHT_HOME": str(home), "PATH": "/usr/bin:/bin", "PYTHONPATH": ":".join(sys.path), "COLUMNS": "300"}
    done = subprocess.run([sys.executable, "-c", code, *words], cwd=folder, env=env, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return done.stdout


def terminal(folder: Path, *words: str) -> str:
    code = "from gristwright.cli.main import main; raise SystemExit(main())"
    return python(code, folder, folder, *words)


@pytest.fixture(scope="module")
def page(browser: Browser, desk: Desk) -> Page:
    page = browser.new_context(base_url=desk.address).new_page()
    page.set_default_timeout(30_000)
    page.goto("/")
    page.get_by_label("Your name").fill("A.Example")
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("Password confirmation").fill(PASSWORD)
    page.get_by_role("button", name="Make this desk mine").click()
    expect(page.get_by_role("heading", name="Enquiries")).to_be_visible()
    return page


WORD = re.compile("not in order|in order|watch|unknown")


def squeezed(text: str) -> str:
    return "".join(text.split())


def on_page(page: Page) -> tuple[list[str], dict[str, str]]:
    """Today's litres, middle and band, and the word of every board, as the bill page shows them."""
    expect(page.locator("#tried")).to_contain_text("Final figures")
    row = page.get_by_role("region", name="Figures").locator("tbody tr").first
    litres = [squeezed(text) for text in row.locator("td").nth(0).inner_text().split("\n")]
    lines = page.locator(".lines details summary .line").all()
    words = {line.locator("span.board").inner_text(): line.locator("> span").nth(1).inner_text() for line in lines}
    return litres, {title: WORD.findall(text)[0] for title, text in words.items()}


def on_paper(path: Path, titles: list[str]) -> tuple[str, dict[str, str]]:
    """All the words of the PDF, and of each board the word in the column of today's bill."""
    text = " ".join("\n".join(page.extract_text() for page in PdfReader(path).pages).split())
    boards = text.partition("The boards")[2]
    found = {}
    for title in titles:
        row = boards.partition(title)[2]
        assert row, title
        found[title] = WORD.findall(row)[0]
    return squeezed(text), found


@pytest.mark.parametrize("house", HOUSES)
def test_page_terminal_and_paper_say_the_same(house: str, page: Page, desk: Desk, tmp_path: Path) -> None:
    HOUSES[house].write(tmp_path)
    key = python(INTO_THE_DESK, tmp_path, desk.home).strip()
    page.goto(f"/enquiries/{key}/")
    litres, boards = on_page(page)

    files = ("--lots", "lots.csv")
    said = json.loads(terminal(tmp_path, "check", "bill.toml", *files, "--json"))
    assert {board["title"]: board["light"] for board in said["boards"]} == boards
    run = terminal(tmp_path, "run", "bill.toml", *files)
    terminal(tmp_path, "advise", "enquiry.toml", *files, "--out", "out")
    printed, of_paper = on_paper(tmp_path / "out" / "recommendation.pdf", list(boards))
    assert of_paper == boards
    if litres[0] == "withheld":
        assert "withheld" in run and "withheld" in printed
        return
    low, middle, high = re.search(r"new spirit +L pure alcohol/t +([\d.]+) +([\d.]+) +([\d.]+)", run).groups()
    assert litres == [middle, f"{low}to{high}"]
    assert f"Newspirit{middle}Lpurealcohol/t{low}to{high}" in printed
