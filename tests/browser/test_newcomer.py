"""Somebody who has never seen the desk, from an empty one to an issued answer: few pages, few fields typed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from browser.conftest import Desk
from browser.person import PASSWORD

MOST_PAGES, MOST_TYPED = 6, 15
# An invented certificate as a maltster may send it: two lots, German headings, decimal commas.
CERTIFICATE = (
    b"Partie;Malztyp;Wassergehalt [%];Extrakt fein i.Tr. [%];Diastatische Kraft [WK]\n"
    b"HM-7;pale_distilling_malt;4,4;82,1;265\n"
    b"KM-2;caramel_malt_dark;5,0;78,5;\n"
)
HOUSE = {
    "Name of the house": "Invented Brook", "Grist mashed in a year": "300", "Grist of one mash": "1500",
    "Wort, or whole mash, of a tonne": "5200", "Washbacks": "4", "A washback holds": "9000", "Fermentation": "72",
    "Charge of the wash still": "7000", "Charge of the spirit still": "4000",
}  # fmt: skip
CASK = {"Strength at filling": "63,5", "Years in the cask": "3", "Strength in the bottle": "46"}


class Newcomer:
    """What somebody types, and which pages are seen."""

    def __init__(self, page: Page) -> None:
        self.page, self.typed = page, 0
        self.pages: set[str] = set()
        page.on("framenavigated", lambda frame: self.pages.add(re.sub(r"[0-9a-f-]{36}", "x", frame.url.split("?")[0])))

    def types(self, label: str | re.Pattern[str], text: str) -> None:
        field = self.page.get_by_label(label).first
        field.select_text()
        field.press_sequentially(text)
        self.typed += 1

    def chooses(self, label: str, option: str) -> None:
        self.page.get_by_label(label, exact=True).select_option(option)

    def presses(self, name: str) -> None:
        with self.page.expect_navigation():
            self.page.get_by_role("button", name=name, exact=True).click()

    def goes(self, name: str) -> None:
        with self.page.expect_navigation():
            self.page.get_by_role("navigation", name="This enquiry").get_by_role("link", name=name, exact=True).click()


@pytest.fixture
def page(browser: Browser, tmp_path: Path) -> Iterator[Page]:
    desk = Desk(tmp_path / "home").open()
    page = browser.new_page(base_url=desk.address, viewport={"width": 1440, "height": 900}, locale="de-DE")
    page.goto("/")
    page.get_by_label("Your name").fill("Änne Invented")
    for field in page.locator("input[type=password]").all():
        field.fill(PASSWORD)
    page.get_by_role("button", name="Make this desk mine").click()
    expect(page.get_by_role("heading", name="Enquiries")).to_be_visible()
    yield page
    page.close()
    desk.close()


def test_a_newcomer_comes_from_an_empty_desk_to_an_issued_answer(page: Page) -> None:
    here = Newcomer(page)
    here.pages.add(re.sub(r"[0-9a-f-]{36}", "x", page.url))
    here.chooses("Currency", "EUR")
    page.get_by_label("Certificates, if you have some").set_input_files(
        {"name": "malz.csv", "mimeType": "text/csv", "buffer": CERTIFICATE}
    )
    here.presses("Begin")
    expect(page.get_by_role("heading", name="House", level=1)).to_be_visible()
    expect(page.locator("main")).to_contain_text("2 lots added from malz.csv: HM-7, KM-2.")
    here.chooses("Country", "DE")
    for label, text in HOUSE.items():
        here.types(label, text)
    here.presses("Save")
    here.goes("On offer")
    here.types("HM-7: Price a tonne", "512,50")
    here.types("KM-2: Price a tonne", "780")
    here.types("HM-7: Share today, %", "100")
    here.presses("Save")
    here.goes("Cask")
    here.chooses("Kind of cask", "barrel")
    here.chooses("Store", "temperate store")
    for label, text in CASK.items():
        here.types(label, text)
    here.presses("Save")
    here.goes("Answers")
    here.presses("Find bills")
    if page.get_by_role("button", name="Search all the same").count():
        here.presses("Search all the same")
    draft = page.locator("table tbody th a").first
    expect(draft).to_be_visible(timeout=180_000)
    draft.click()
    page.locator("details.decide summary").click()
    here.presses("Issue the answer")
    expect(page.get_by_role("heading", name=re.compile("Answer of"))).to_be_visible()
    expect(page.get_by_role("link", name="PDF", exact=True)).to_be_visible()
    expect(page.locator(".dossier")).to_contain_text("Änne Invented")
    seen = {address for address in here.pages if not address.endswith(("/find/", "/decide/", "/start/"))}
    assert len(seen) <= MOST_PAGES, sorted(seen)
    assert here.typed <= MOST_TYPED
