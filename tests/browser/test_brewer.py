"""A brewer at the desk: from the first start to figures, a mash and a forecast; files out and back, archive and bin."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from browser.conftest import Desk, Watched
from browser.test_walk import NAME, NARROW, PASSWORD, WIDE, fair, go, picture
from casework.test_beer import HOUSE

FIELDS = {
    "name": "Stone Yard Brewhouse (invented)", "country": "IE", "tonnes_per_year": "900", "mash-kg_per_mash": "1500",
    "mash-wort_L_per_t": "5300", "mash-liquor_L_per_kg": "3,2", "mash-plate_area_m2": "7,5",
    "mash-rests-1-settled_degC": "63", "mash-rests-1-minutes": "45",
    "mash-rests-2-settled_degC": "72", "mash-rests-2-minutes": "20",
    "washbacks-count": "10", "washbacks-volume_L": "10000", "washbacks-hours": "120", "washbacks-set_degC": "16",
}  # fmt: skip
OFFER = {"PA-1": ("560", "50"), "RB-1": ("250", "35"), "HE-2": ("610", "15")}


@pytest.fixture(scope="module")
def watched() -> Watched:
    return Watched()


@pytest.fixture(scope="module")
def page(browser: Browser, desk: Desk, watched: Watched) -> Page:
    context = browser.new_context(viewport=WIDE, color_scheme="light", base_url=desk.address, locale="en-GB")
    page = context.new_page()
    page.set_default_timeout(30_000)
    watched.follow(page)
    page.goto("/")
    page.get_by_label("Your name").fill(NAME)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("Password confirmation").fill(PASSWORD)
    page.get_by_role("button", name="Make this desk mine").click()
    page.get_by_label("Title", exact=True).fill("A third of raw barley")
    go(page, page.get_by_role("button", name="Begin"))
    return page


def keep(page: Page) -> None:
    """Send the page of fields."""
    go(page, page.locator("form.sections > p.end > button"))
    expect(page.locator(".problems")).to_have_count(0)


def menu(page: Page, name: str) -> None:
    go(page, page.get_by_role("navigation", name="This enquiry").get_by_role("link", name=name, exact=True))


def test_the_question_is_one_of_beer(page: Page) -> None:
    page.get_by_label("Customer", exact=True).fill("Stone Yard (invented)")
    page.get_by_label("Question", exact=True).fill("What does a third of raw barley cost in attenuation?")
    page.get_by_label("Adviser").fill(NAME)
    page.get_by_label("Date of the enquiry").fill("2026-11-25")
    page.get_by_label("Currency").select_option("EUR")
    page.get_by_label("Processing cost of a tonne mashed").fill("0")
    page.get_by_label("Purpose").select_option("beer")
    keep(page)
    expect(page.get_by_label("Purpose")).to_have_value("beer")
    page.get_by_label("Apparent attenuation aimed at").fill("78")
    keep(page)
    fair(page)
    picture(page, "brewer-question")
    expect(page.get_by_role("link", name="Cask", exact=True)).to_have_count(0)


def test_a_brewery_has_no_stills(page: Page) -> None:
    menu(page, "House")
    for name, text in FIELDS.items():
        field = page.locator(f"[id='id_{name}']")
        field.select_option(text) if name == "country" else field.fill(text)
    expect(page.get_by_label("The wort is boiled")).to_be_checked()
    expect(page.get_by_text("Stills", exact=True)).to_have_count(0)
    keep(page)
    fair(page)
    picture(page, "brewer-house")


def test_certificates_and_todays_bill(page: Page) -> None:
    menu(page, "Lots")
    page.get_by_label("Certificates of lots").set_input_files(HOUSE / "certificates.xlsx")
    go(page, page.get_by_role("button", name="Send and read"))
    go(page, page.get_by_role("button", name="Take these lots over"))
    menu(page, "On offer")
    for lot, (price, share) in OFFER.items():
        page.get_by_label(f"{lot}: Price a tonne").fill(price)
        page.get_by_label(f"{lot}: Share today").fill(share)
    for lot in set(page.locator("table.entry tbody th").all_inner_texts()) - set(OFFER):
        page.get_by_label(f"{lot}: ").last.check()
    keep(page)
    fair(page)


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_bill_page_shows_wort_and_beer(page: Page, size: dict[str, int], theme: str) -> None:
    page.set_viewport_size(size)
    page.emulate_media(color_scheme=theme)
    menu(page, "Bill")
    expect(page.get_by_role("heading", name="Wort and beer")).to_be_visible()
    expect(page.locator("#tried")).to_contain_text("Final figures")
    fair(page)
    picture(page, f"brewer-bill-{size['width']}-{theme}")
    page.set_viewport_size(WIDE)
    page.emulate_media(color_scheme="light")


def test_other_shares_move_the_figures(page: Page) -> None:
    page.get_by_label("HE-2", exact=True).fill("5")
    expect(page.locator("#tried caption").first).to_contain_text("60 % PA-1 + 35 % RB-1 + 5 % HE-2")
    expect(page.locator("#tried")).to_contain_text("Final figures")


def test_the_mash_is_simulated(page: Page) -> None:
    page.get_by_role("button", name="Simulate the mash").click()
    expect(page.get_by_role("heading", name="The mash of")).to_be_visible(timeout=120_000)
    expect(page.locator("#mash")).not_to_contain_text("new spirit")
    fair(page)
    picture(page, "brewer-mash")


def test_the_forecast_is_taken_away(page: Page, tmp_path: Path) -> None:
    menu(page, "Answers")
    expect(page.locator("main")).to_contain_text("Find bills")
    fair(page)
    picture(page, "brewer-forecast")
    with page.expect_download() as got:
        page.get_by_role("link", name="Take its forecast away as PDF").click()
    assert Path(got.value.path()).read_bytes().startswith(b"%PDF")


def test_it_goes_away_as_files_and_comes_back(page: Page) -> None:
    menu(page, "Files, copy")
    fair(page)
    picture(page, "files")
    with page.expect_download() as got:
        page.get_by_role("link", name="Take everything away as one ZIP").click()
    sent = {"name": got.value.suggested_filename, "mimeType": "application/zip",
            "buffer": Path(got.value.path()).read_bytes()}  # fmt: skip
    assert sent["name"] == "a-third-of-raw-barley.zip"
    go(page, page.get_by_role("link", name="Enquiries"))
    page.get_by_label("Files, TOML").set_input_files(sent)
    go(page, page.get_by_role("button", name="Start from files"))
    expect(page.get_by_role("heading", name="Wort and beer")).to_be_visible()
    go(page, page.get_by_role("link", name="Enquiries"))
    expect(page.get_by_role("row", name="A third of raw barley")).to_have_count(2)


def test_one_of_the_two_goes_into_the_bin_and_is_deleted(page: Page) -> None:
    page.get_by_role("searchbox").fill("barley")
    go(page, page.get_by_role("button", name="Look for them"))
    fair(page)
    picture(page, "enquiries")
    go(
        page,
        page.get_by_role("row", name="A third of raw barley").first.get_by_role("link", name="Files, copy, archive"),
    )
    go(page, page.get_by_role("button", name="Put it into the bin"))
    expect(page.locator(".enquiry")).to_contain_text("This enquiry lies in the bin")
    go(page, page.get_by_role("link", name="Delete it for good"))
    fair(page)
    picture(page, "delete")
    page.get_by_label("To delete it, write its title").fill("A third of raw barley")
    go(page, page.get_by_role("button", name="Delete for good"))
    expect(page.get_by_role("row", name="A third of raw barley")).to_have_count(1)


def test_the_password_is_changed(page: Page) -> None:
    go(page, page.get_by_role("link", name="Password"))
    fair(page)
    picture(page, "password")
    page.get_by_label("Password now").fill(PASSWORD)
    page.get_by_label("New password", exact=True).fill("malt-and-water-8")
    page.get_by_label("New password once more").fill("malt-and-water-8")
    go(page, page.get_by_role("button", name="Change it"))
    expect(page.get_by_role("status")).to_have_text("The password was changed.")


def test_nothing_was_asked_of_anybody_else(watched: Watched) -> None:
    assert watched.strangers() == []
    assert watched.complaints == []
