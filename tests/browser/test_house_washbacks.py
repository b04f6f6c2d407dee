"""Yeast, a measured course and the months of a house, filled in wide and narrow and with the keyboard alone."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from browser.conftest import Desk, Watched
from browser.test_walk import NAME, NARROW, PASSWORD, WIDE, fair, go, picture


@pytest.fixture(scope="module")
def watched() -> Watched:
    return Watched()


@pytest.fixture(scope="module")
def page(browser: Browser, desk: Desk, watched: Watched) -> Page:
    context = browser.new_context(viewport=WIDE, color_scheme="light", base_url=desk.address)
    page = context.new_page()
    page.set_default_timeout(30_000)
    watched.follow(page)
    page.goto("/")
    page.get_by_label("Your name").fill(NAME)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("Password confirmation").fill(PASSWORD)
    page.get_by_role("button", name="Make this desk mine").click()
    page.get_by_role("button", name="Start with the example").click()
    go(page, page.get_by_role("link", name="House", exact=True))
    return page


def part(page: Page, legend: str) -> Locator:
    """A section of the house that folds, as a screen reader finds it."""
    return page.get_by_role("group", name=legend, exact=True)


def test_they_are_folded_while_nothing_is_said_and_unfold_by_the_keyboard(page: Page) -> None:
    for legend in ("Yeast and cooling", "Measured course", "Room and water by month"):
        expect(part(page, legend).locator("summary")).to_contain_text("Nothing filled in.")
        expect(part(page, legend).get_by_role("textbox").first).to_be_hidden()
        part(page, legend).locator("summary").focus()
        page.keyboard.press("Enter")
        expect(part(page, legend).get_by_role("textbox").first).to_be_visible()
    page.keyboard.press("Tab")
    expect(page.get_by_label("January, room")).to_be_focused()
    fair(page)
    picture(page, "washbacks-unfolded-1440")


def test_a_course_is_typed_row_by_row_and_a_fault_is_led_to(page: Page) -> None:
    page.get_by_label("Reading 1, after pitching").focus()
    for text in ("0", "1,055", "20", "12", "1.060", "27"):
        page.keyboard.type(text)
        page.keyboard.press("Tab")
    page.get_by_label("July, room").fill("24")
    go(page, page.get_by_role("button", name="Save"))
    wrong = page.get_by_label("Reading 2, gravity")
    expect(wrong).to_be_visible()
    expect(wrong).to_have_attribute("aria-invalid", "true")
    expect(part(page, "Yeast and cooling").get_by_role("textbox").first).to_be_hidden()
    link = page.get_by_role("alert").get_by_role("link", name="Reading 2, gravity")
    link.click()
    expect(wrong).to_be_focused()
    fair(page)


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_rows_fit_a_phone(page: Page, theme: str) -> None:
    page.set_viewport_size(NARROW)
    page.emulate_media(color_scheme=theme)  # type: ignore[arg-type]
    for legend, fields in (("Measured course", 3), ("Room and water by month", 2)):
        boxes = [one.bounding_box() for one in part(page, legend).get_by_role("textbox").all()[: fields + 1]]
        tops = [round(box["y"]) for box in boxes if box]
        assert len(set(tops[:fields])) == 1, f"a row of {legend} is broken"
        assert tops[fields] > tops[0]
        assert all(box and box["x"] >= 0 and box["x"] + box["width"] <= NARROW["width"] for box in boxes)
    fair(page)
    picture(page, f"washbacks-390-{theme}")
    page.emulate_media(color_scheme="light")
    page.set_viewport_size(WIDE)


def test_what_is_mended_is_kept_and_stands_unfolded(page: Page) -> None:
    page.get_by_label("Reading 2, gravity").fill("1.041")
    go(page, page.get_by_role("button", name="Save"))
    expect(page.get_by_role("status").first).to_contain_text("Saved.")
    expect(page.get_by_label("Reading 2, gravity")).to_have_value("1.041")
    expect(page.get_by_label("July, room")).to_be_visible()
    expect(page.locator("#main")).to_contain_text("are left out.")
    fair(page)


def test_what_was_typed_and_not_saved_is_unfolded_when_it_is_put_back(page: Page) -> None:
    part(page, "Yeast and cooling").locator("summary").click()
    page.get_by_label("Pitch", exact=True).fill("12")
    page.reload()
    page.get_by_role("button", name="Put it back").click()
    expect(page.get_by_label("Pitch", exact=True)).to_have_value("12")
    expect(page.get_by_label("Pitch", exact=True)).to_be_visible()


@pytest.mark.usefixtures("page")
def test_nothing_left_this_machine_and_nothing_was_complained_of(watched: Watched) -> None:
    assert watched.strangers() == []
    assert watched.complaints == []
