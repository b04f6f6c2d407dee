"""The bill page under the fingers of somebody who types: live, honest while it works, and on paper."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect
from pypdf import PdfReader

from browser.conftest import Desk
from browser.test_walk import NAME, NARROW, PASSWORD, WIDE, fair, go, picture
from scenario import FOLDER

FRESH = "#tried:not([aria-busy])"
LOTS, MOST_STOPS = 30, 6


@pytest.fixture(scope="module")
def page(browser: Browser, desk: Desk) -> Page:
    page = browser.new_context(viewport=WIDE, color_scheme="light", base_url=desk.address).new_page()
    page.set_default_timeout(30_000)
    page.goto("/")
    page.get_by_label("Your name").fill(NAME)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("Password confirmation").fill(PASSWORD)
    page.get_by_role("button", name="Make this desk mine").click()
    go(page, page.get_by_role("button", name="Start with the example"))
    expect(page.locator("[data-drawn] svg")).to_be_visible()
    return page


def share(page: Page, lot: str) -> Locator:
    return page.get_by_label(lot, exact=True)


def typed(page: Page, lot: str, text: str) -> None:
    """By keystrokes, as a person types."""
    share(page, lot).press("Control+a")
    page.keyboard.type(text, delay=60)


def test_figures_and_ledger_are_seen_without_scrolling(page: Page) -> None:
    for place in (page.locator(".headline"), page.locator("#tried figure svg"), page.locator("#total")):
        box = place.bounding_box()
        assert box
        assert box["y"] + box["height"] <= WIDE["height"]


def test_few_stops_lead_to_the_first_share(page: Page) -> None:
    page.reload()
    for _ in range(MOST_STOPS):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent") == "Skip to the shares":
            page.keyboard.press("Enter")
        if page.evaluate("document.activeElement.id") == "shares-PD-1":
            return
    pytest.fail(f"{MOST_STOPS} stops were not enough")


def test_a_share_is_typed_with_a_comma_and_its_figures_come(page: Page) -> None:
    typed(page, "CM-120", "12,5")
    assert page.locator("#tried").get_attribute("aria-busy") == "true"
    assert "line-through" in page.locator(".headline .big").first.evaluate(
        "(one) => getComputedStyle(one).textDecoration"
    )
    expect(page.locator("#total")).to_contain_text("100")
    expect(share(page, "PD-1")).to_have_value("87.5")
    expect(page.locator(FRESH)).to_contain_text("87.5 % PD-1 + 12.5 % CM-120")
    expect(share(page, "CM-120")).to_be_focused()
    expect(share(page, "CM-120")).to_have_value("12,5")
    expect(page.locator("#said")).to_contain_text(re.compile(r"New spirit \d+\.\d L pure alcohol/t; .*Worst board: "))
    expect(page.locator("#tried")).to_contain_text("Final figures")
    expect(share(page, "CM-120")).to_be_focused()


def test_what_is_left_is_said_while_typing(page: Page) -> None:
    page.get_by_label("No lot makes up the rest").check()
    share(page, "CM-120").focus()
    typed(page, "CM-120", "0")
    expect(page.locator("#total")).to_contain_text("left: 12.5 %")
    page.get_by_label("PD-1 makes up the rest").check()
    expect(page.locator("#total")).to_contain_text("nothing left")
    expect(page.locator(FRESH)).to_contain_text("100 % PD-1")


def test_what_was_unfolded_and_the_keyboard_outlast_an_answer(page: Page) -> None:
    first = page.locator(".lines summary").first
    first.press("Enter")
    expect(page.locator(".lines details").first).to_have_attribute("open", "")
    share(page, "CM-120").focus()
    typed(page, "CM-120", "7")
    page.keyboard.press("Shift+Tab")
    page.locator(".lines summary").nth(1).focus()
    expect(page.locator(FRESH)).to_contain_text("93 % PD-1 + 7 % CM-120")
    expect(page.locator("#tried")).to_contain_text("Final figures")
    expect(page.locator(".lines details").first).to_have_attribute("open", "")
    expect(page.locator(".lines summary").nth(1)).to_be_focused()


def test_a_chart_is_read_by_keyboard_and_pointer_and_taken_away(page: Page) -> None:
    chart = page.locator("#tried .chart")
    chart.focus()
    page.keyboard.press("End")
    expect(page.locator(".tip")).to_have_text(re.compile(r"^In the bottle: \d+\.\d \(\d+\.?\d* to \d+\.?\d*\)$"))
    page.keyboard.press("Escape")
    expect(page.locator(".tip")).to_be_hidden()
    page.locator("#tried .chart svg text", has_text=re.compile("^−")).first.hover()
    expect(page.locator(".tip")).to_have_text(re.compile(": −"))
    for kind, start in (("SVG", b"<svg"), ("PNG", b"\x89PNG"), ("CSV", b"\xef\xbb\xbfrow,")):
        with page.expect_download() as got:
            page.get_by_role("button", name=kind, exact=True).click()
        assert Path(got.value.path()).read_bytes().startswith(start)
    page.get_by_role("button", name="Enlarge").click()
    expect(page.locator("dialog .chart svg")).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.locator("dialog")).to_have_count(0)
    expect(page.get_by_role("button", name="Enlarge")).to_be_focused()
    fair(page)


def test_everything_that_is_pressed_is_large_enough(page: Page) -> None:
    page.set_viewport_size(NARROW)
    small = page.evaluate("""[...document.querySelectorAll("a, button, input:not([type=radio]), select, summary, .hit")]
        .filter((one) => one.getClientRects().length && !one.closest(".away, .skip"))
        .map((one) => [one.textContent.trim().slice(0, 30), one.getBoundingClientRect()])
        .filter(([, box]) => Math.min(box.width, box.height) < 23.9).map(([text]) => text)""")
    assert small == []
    fair(page)
    picture(page, "bill-page-390")
    page.set_viewport_size(WIDE)


def test_a_page_is_printed_on_white_with_everything_unfolded(page: Page, tmp_path: Path) -> None:
    page.emulate_media(color_scheme="dark")
    for size in ("A4", "Letter"):
        page.pdf(path=tmp_path / "bill.pdf", format=size)
        text = " ".join(sheet.extract_text() for sheet in PdfReader(tmp_path / "bill.pdf").pages)
        text = re.sub(r"\s+", " ", text)
        for said in ("Caramel malt in an all-malt whisky", "Printed on", "free amino nitrogen", "EU-1a", "1 of "):
            assert said in text
        for away in ("Sign out (", "Work it out", "Skip to", "Enlarge"):
            assert away not in text
    page.emulate_media(color_scheme="light")


def thirty(folder: Path) -> list[Path]:
    """The invented example with thirty lots on offer."""
    for name in ("plant.toml", "bill.toml"):
        shutil.copy(FOLDER / name, folder)
    heads, *rows = (FOLDER / "lots.csv").read_text(encoding="utf-8").splitlines()
    more = [rows[1].replace("PD-2", f"PD-{k}").replace("23-1904", f"23-{k}") for k in range(5, LOTS + 1)]
    (folder / "lots.csv").write_text("\n".join([heads, *rows, *more]) + "\n", encoding="utf-8")
    asked = (
        (FOLDER / "enquiry.toml")
        .read_text(encoding="utf-8")
        .replace("Caramel malt in an all-malt", "Thirty lots for an")
    )
    offers = "".join(f'[[offered]]\nlot_id = "PD-{k}"\nprice_per_t = {480 + k}\n\n' for k in range(5, LOTS + 1))
    (folder / "enquiry.toml").write_text(asked.replace("[[groups]]", f"{offers}[[groups]]"), encoding="utf-8")
    return sorted(folder.iterdir())


def test_of_thirty_lots_those_of_the_bill_are_shown_and_others_found(page: Page, tmp_path: Path) -> None:
    page.goto("/")
    page.get_by_label("Files, TOML and CSV or XLSX").set_input_files(thirty(tmp_path))
    go(page, page.get_by_role("button", name="Start from files"))
    rows = page.locator("#lots tr:visible")
    expect(rows).to_have_count(1)
    page.get_by_label("Find a lot").press_sequentially("caramel")
    expect(rows).to_have_count(2)
    page.keyboard.press("Enter")
    expect(share(page, "CM-120")).to_be_focused()
    page.keyboard.press("Control+a")
    page.keyboard.type("5", delay=60)
    expect(page.locator(FRESH)).to_contain_text("95 % PD-1 + 5 % CM-120")
    page.get_by_label("Find a lot").fill("")
    expect(rows).to_have_count(2)
    page.get_by_role("button", name="Show all 30 lots").click()
    expect(rows).to_have_count(LOTS)
    fair(page)
    picture(page, "thirty-lots-1440")
    page.get_by_role("button", name="Show only lots of the bill").click()
    expect(rows).to_have_count(2)


def test_who_is_no_longer_signed_in_comes_back_to_the_shares_typed(page: Page) -> None:
    page.context.clear_cookies(name="gristwright_desk")
    typed(page, "CM-120", "6,5")
    expect(page.locator("#trouble")).to_contain_text("You are no longer signed in.")
    assert page.locator("#tried").get_attribute("aria-busy") == "true"
    go(page, page.get_by_role("link", name="Sign in again"))
    page.get_by_label("Your name").fill(NAME)
    page.get_by_label("Password").fill(PASSWORD)
    go(page, page.get_by_role("button", name="Sign in", exact=True))
    expect(share(page, "CM-120")).to_have_value("6,5")
    expect(page.locator(FRESH)).to_contain_text("93.5 % PD-1 + 6.5 % CM-120")


def test_a_desk_that_is_gone_is_said_and_nothing_typed_is_lost(page: Page, desk: Desk) -> None:
    desk.kill()
    typed(page, "CM-120", "8")
    expect(page.locator("#trouble")).to_contain_text("The desk does not answer.")
    expect(share(page, "CM-120")).to_have_value("8")
    assert page.locator("#tried").get_attribute("aria-busy") == "true"
    desk.open()
