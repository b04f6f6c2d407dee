"""The whole way through the desk, from the first start to the dossier, wide and narrow, light and dark."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Locator, Page, expect

from browser.conftest import Desk, Watched
from programme import FOLDER as PROGRAMME

NAME, PASSWORD = "A.Example", "barley-and-water-7"
PICTURES = os.environ.get("DESK_PICTURES", "")
WIDE, NARROW = {"width": 1440, "height": 900}, {"width": 390, "height": 844}
FAULTY = (
    "lot,material,moisture [%],extract fine dry [%],diastatic power [degWK],total nitrogen dry [%]\n"
    "PD-1,pale_distilling_malt,4.6,81.6,262,1.50\n"
    "PD-2,pale_distilling_malt,4.9,80.5,24B,1.58\n"
    "CM-120,caramel_malt_medium,5.2,75.8,0,1.70\n"
    "CM-300,caramel_malt_dark,4.9,74.6,0,1.74\n"
)


def picture(page: Page, name: str) -> None:
    """Keep what the page looks like, when somebody asked for it."""
    if PICTURES:
        Path(PICTURES).mkdir(parents=True, exist_ok=True)
        page.screenshot(path=f"{PICTURES}/{name}.png", full_page=True)


def go(page: Page, target: Locator) -> None:
    """Click what leads to another page and wait until it is there: a click alone does not."""
    with page.expect_navigation():
        target.click()


def fair(page: Page) -> None:
    """No finding of axe that is more than minor, and nothing wider than the window."""
    page.wait_for_load_state()
    found = Axe().run(page).response["violations"]
    bad = [
        (v["id"], [n["target"] for n in v["nodes"]][:4])
        for v in found
        if v["impact"] in ("moderate", "serious", "critical")
    ]
    assert bad == []
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]


@pytest.fixture(scope="module")
def watched() -> Watched:
    return Watched()


@pytest.fixture(scope="module")
def page(browser: Browser, desk: Desk, watched: Watched) -> Page:
    context = browser.new_context(viewport=WIDE, color_scheme="light", base_url=desk.address)
    page = context.new_page()
    page.set_default_timeout(30_000)
    watched.follow(page)
    return page


def test_the_first_start_makes_an_owner(page: Page) -> None:
    page.goto("/")
    expect(page.get_by_role("heading", name="First start")).to_be_visible()
    fair(page)
    picture(page, "first-start")
    page.get_by_label("Your name").fill(NAME)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("Password confirmation").fill(PASSWORD)
    page.get_by_role("button", name="Make this desk mine").click()
    expect(page.get_by_role("heading", name="Enquiries")).to_be_visible()
    fair(page)


def test_the_example_becomes_an_enquiry(page: Page) -> None:
    page.get_by_role("button", name="Start with the example").click()
    expect(page.get_by_role("heading", name="The bill being tried")).to_be_visible()
    expect(page.locator("[data-drawn] svg")).to_be_visible()
    fair(page)
    picture(page, "bill-1440-light")


def test_a_faulty_certificate_is_mended_and_taken_over(page: Page) -> None:
    go(page, page.get_by_role("navigation", name="This enquiry").get_by_role("link", name="Lots", exact=True))
    sent = {"name": "new-lots.csv", "mimeType": "text/csv", "buffer": FAULTY.encode()}
    page.get_by_label("Certificates of lots").set_input_files(sent)
    page.get_by_role("button", name="Send and read").click()
    expect(page.get_by_role("button", name="Take these lots over")).to_have_count(0)
    fair(page)
    picture(page, "fault-1440-light")
    page.get_by_label("new-lots.csv, row 3, diastatic power").fill("248")
    page.get_by_role("button", name="Mend and read again").click()
    fair(page)
    picture(page, "mended-1440-light")
    for lot in ("PD-1", "PD-2", "CM-120", "CM-300"):
        page.get_by_label(f"Replace {lot} of lots.csv").check()
    page.get_by_role("button", name="Take these lots over").click()
    expect(page.get_by_role("status")).to_have_count(4)
    expect(page.get_by_role("status").first).to_have_text("PD-1 replaced by that of new-lots.csv.")
    fair(page)


def test_shares_are_tried(page: Page) -> None:
    go(page, page.get_by_role("link", name="Bill", exact=True))
    page.get_by_label("CM-120", exact=True).fill("10")
    expect(page.locator("#tried caption").first).to_contain_text("90 % PD-1 + 10 % CM-120")
    expect(page.get_by_label("PD-1", exact=True)).to_have_value("90")
    expect(page.locator("#tried [data-drawn] svg")).to_be_visible()
    page.get_by_label("CM-120", exact=True).fill("20")
    expect(page.locator("#tried")).to_contain_text("CM-120: 20 % is outside the 0 to 15 % allowed.")
    page.get_by_label("CM-120", exact=True).fill("5")
    expect(page.locator("#tried caption").first).to_contain_text("95 % PD-1 + 5 % CM-120")


def test_the_bill_being_tried_is_asked_about(page: Page) -> None:
    page.get_by_label("Name of this bill").fill("Five of caramel")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.get_by_role("status").first).to_contain_text("“Five of caramel” will be answered by a search.")
    asked = page.locator("#asked")
    expect(asked.get_by_role("listitem")).to_contain_text("95 % PD-1 + 5 % CM-120")
    page.get_by_label("Name of this bill").fill("Five of caramel")
    page.get_by_label("CM-120", exact=True).fill("6")
    go(page, page.get_by_role("button", name="Have this bill answered"))
    expect(page.get_by_role("alert").first).to_contain_text("is the name of another bill asked about")
    expect(page.get_by_label("Name of this bill")).to_have_value("Five of caramel")
    fair(page)
    page.get_by_label("Name of this bill").fill("Six of caramel")
    go(page, page.get_by_role("button", name="Have this bill answered"))
    expect(asked.get_by_role("listitem")).to_have_count(2)
    go(page, asked.get_by_role("button", name="Take out Six of caramel"))
    expect(asked.get_by_role("listitem")).to_have_count(1)
    go(page, asked.get_by_role("button", name="Try Five of caramel"))
    expect(page.get_by_label("CM-120", exact=True)).to_have_value("5")
    fair(page)


def test_prices_and_casks_of_known_age_go_with_the_enquiry(page: Page) -> None:
    go(page, page.get_by_role("link", name="Release and age"))
    expect(page.get_by_label("Price of a cask")).to_have_value("115")
    page.get_by_label("Interest").fill("5,5")
    page.get_by_role("button", name="Save the prices").click()
    expect(page.get_by_label("Interest")).to_have_value("5.5")
    page.get_by_label("Claims").fill("3:6-8")
    page.get_by_label("Reference casks of known age").set_input_files(PROGRAMME / "ladder.csv")
    page.get_by_label("Casks under test").set_input_files(PROGRAMME / "arms.csv")
    page.get_by_label("What each arm was mashed from").fill("B: pale_distilling_malt 95, caramel_malt_medium 5")
    page.get_by_role("button", name="Save the claim").click()
    expect(page.locator("main")).to_contain_text("Claim, at 3 years it reads like 6 to 8 years: supported")
    expect(page.locator("main")).to_contain_text("none of it may be printed on a label")
    fair(page)


def test_a_search_is_stopped_and_another_finds_bills(page: Page) -> None:
    go(page, page.get_by_role("link", name="Answers", exact=True))
    page.get_by_label("Draws", exact=True).select_option("16384")
    page.get_by_role("button", name="Find bills").click()
    expect(page.get_by_role("progressbar")).to_be_visible()
    fair(page)
    page.get_by_role("button", name="Stop the search").click()
    expect(page.locator("p.job")).to_contain_text("Stopped", timeout=20_000)
    page.get_by_role("button", name="Find bills").click()
    expect(page.locator("table tbody th a")).to_be_visible(timeout=60_000)
    expect(page.get_by_role("region", name="Answers")).to_contain_text("draft")
    fair(page)
    picture(page, "answers-1440-light")


def test_a_draft_is_issued_by_name(page: Page) -> None:
    go(page, page.locator("table tbody th a").first)
    expect(page.get_by_role("heading", name="Draft of an answer")).to_be_visible()
    expect(page.locator("[data-drawn] svg").first).to_be_visible()
    fair(page)
    picture(page, "draft-1440-light")
    expect(page.locator("#customer")).to_contain_text("Five of caramel")
    go(page, page.get_by_role("link", name="German"))
    expect(page.locator("#customer[lang=de]")).to_contain_text("Five of caramel")
    fair(page)
    picture(page, "german-1440-light")
    page.set_viewport_size(NARROW)
    fair(page)
    picture(page, "german-390-light")
    page.set_viewport_size(WIDE)
    page.get_by_text("Issue this answer, or delete the draft").click()
    page.get_by_label("Note, printed with the answer").fill("As agreed on the telephone.")
    fair(page)
    go(page, page.get_by_role("button", name="Issue the answer"))
    expect(page.locator("main")).to_contain_text("The answer was issued.")


def test_the_dossier_is_taken_away(page: Page) -> None:
    for kind, start in (("PDF", b"%PDF"), ("JSON", b"{"), ("HTML", b"<!"), ("PDF in German", b"%PDF")):
        with page.expect_download() as got:
            page.get_by_role("link", name=kind, exact=True).click()
        assert Path(got.value.path()).read_bytes().lstrip().startswith(start)
    expect(page.get_by_role("heading", name=re.compile("Answer of"))).to_be_visible()
    expect(page.locator("[data-chart]:not([data-drawn])")).to_have_count(0)
    assert page.locator("[data-drawn]").count() > 4
    expect(page.locator("main")).to_contain_text("Years that would be needed")
    expect(page.locator("main")).to_contain_text("Higher sweetness, no evidence of greater maturity")
    fair(page)
    picture(page, "answer-1440-light")


LINKS = (
    "Bill",
    "Answers",
    "Question",
    "House",
    "Cask",
    "Release and age",
    "Lots",
    "On offer",
    "Changes",
    "Files, copy",
)


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_every_page_is_fair_in_both_themes(page: Page, theme: str, size: dict[str, int]) -> None:
    page.set_viewport_size(size)
    page.get_by_label("Light or dark").select_option(theme)
    go(page, page.get_by_role("button", name="Set"))
    for name in LINKS:
        go(page, page.get_by_role("navigation", name="This enquiry").get_by_role("link", name=name, exact=True))
        if name == "Bill":
            expect(page.locator("[data-drawn] svg")).to_be_visible()
        fair(page)
        picture(page, f"{name.split()[0].lower()}-{size['width']}-{theme}")


# Pages that stand beside the way through an enquiry, below its address.
BESIDE = (
    "certificates/lot/type/", "certificates/elsewhere/", "certificates/remembered/", "files/", "delete/", "answers/",
)  # fmt: skip


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
def test_pages_beside_the_way_are_fair(page: Page, size: dict[str, int]) -> None:
    page.set_viewport_size(size)
    go(page, page.get_by_role("navigation", name="This enquiry").get_by_role("link", name="Bill", exact=True))
    here = page.url.split("?")[0]
    lot = page.request.get(f"{here}certificates/").text()
    lots = [f"certificates/{found}" for found in re.findall(r'certificates/(lot/[0-9a-f-]{36}/)"', lot)[:1]]
    assert lots
    for address in (*(here + below for below in (*BESIDE, *lots)), "/", "/?list=bin", "/password/"):
        page.goto(address)
        fair(page)
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), address
    page.set_viewport_size(WIDE)
    page.goto(here)


def test_the_system_decides_until_somebody_does(page: Page) -> None:
    page.get_by_label("Light or dark").select_option("as the system")
    go(page, page.get_by_role("button", name="Set"))
    grounds = []
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        grounds.append(page.evaluate("getComputedStyle(document.body).backgroundColor"))
    assert grounds[0] != grounds[1]
    page.emulate_media(color_scheme="light")


def test_the_keyboard_is_enough(page: Page) -> None:
    go(page, page.get_by_role("link", name="Bill", exact=True))
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Skip to the page itself")).to_be_focused()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    expect(page.get_by_label("PD-1", exact=True)).to_be_focused()
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"


def test_without_scripts_a_bill_is_tried_all_the_same(browser: Browser, desk: Desk, page: Page) -> None:
    context = browser.new_context(viewport=NARROW, base_url=desk.address, java_script_enabled=False)
    plain = context.new_page()
    plain.goto("/")
    plain.get_by_label("Your name").fill(NAME)
    plain.get_by_label("Password").fill(PASSWORD)
    plain.get_by_role("button", name="Sign in").click()
    plain.get_by_role("link", name="Caramel malt in an all-malt whisky", exact=True).click()
    plain.get_by_label("CM-300", exact=True).fill("5")
    plain.get_by_label("CM-120", exact=True).fill("0")
    plain.get_by_role("button", name="Work it out").click()
    expect(plain.locator("#tried caption").first).to_contain_text("95 % PD-1 + 5 % CM-300")
    context.close()


@pytest.mark.usefixtures("page")
def test_nothing_left_this_machine_and_nothing_was_complained_of(watched: Watched) -> None:
    assert len(watched.requests) > 40
    assert watched.strangers() == []
    assert watched.complaints == []
